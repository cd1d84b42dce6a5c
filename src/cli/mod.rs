//! The way in from a terminal: reads what was typed, the files and the clock, and prints what the rooms answer. Data goes to
//! standard output and nothing else does; errors go to standard error, one sentence each.

mod args;
mod bedful;
mod bench;
mod bench_args;
mod cut;
mod document;
mod estimate;
mod fit;
mod history;
mod job;
mod jobs;
mod jobs_args;
mod learn;
mod offer;
mod parts;
mod payback;
mod picture;
mod run;
mod shop;
mod target;
mod tooling;

use std::io::Write;
use std::process::ExitCode;

use clap::Parser;

use args::{Cli, Command};

/// Why a command ends early.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Failure {
    sentence: String,
}

impl Failure {
    fn of(sentence: impl Into<String>) -> Self {
        Failure {
            sentence: sentence.into(),
        }
    }
}

/// What a command printed and how it ended.
#[derive(Debug, Clone, PartialEq, Default)]
struct Outcome {
    out: String,
    errors: Vec<String>,
    exit: u8,
}

/// Exit code where the answer is no.
const NO: u8 = 1;
/// Exit code of bad input or usage.
const BAD: u8 = 2;

/// Runs the command line of this process.
pub fn main() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(error) if is_an_answer(&error) => {
            let _ = error.print();
            return ExitCode::from(if error.use_stderr() { BAD } else { 0 });
        }
        Err(error) => return finish(Err(Failure::of(usage_sentence(&error.to_string())))),
    };
    let outcome = match cli.command {
        Command::Measure(args) => run::measure(&args),
        Command::Fit(args) => fit::fit(&args),
        Command::Estimate(args) => estimate::estimate(&args),
        Command::Quote(args) => offer::quote(&args),
        Command::Payback(args) => payback::payback(&args),
        Command::Bedful(args) => bedful::bedful(&args),
        Command::Tooling(args) => tooling::tooling(&args),
        Command::Jobs(args) => jobs::jobs(&args),
        Command::Shop(args) => shop::shop(&args),
        Command::Bench(args) => bench::bench(&args),
    };
    finish(outcome)
}

/// Whether what the argument parser says is help or a version, whole pages of it.
fn is_an_answer(error: &clap::Error) -> bool {
    use clap::error::ErrorKind as Kind;
    matches!(
        error.kind(),
        Kind::DisplayHelp
            | Kind::DisplayVersion
            | Kind::DisplayHelpOnMissingArgumentOrSubcommand
            | Kind::MissingSubcommand
    )
}

/// The argument parser's error in one sentence: what is wrong, its tip, and where to read on.
fn usage_sentence(text: &str) -> String {
    let wrong: Vec<&str> = text
        .lines()
        .take_while(|line| !line.trim().is_empty())
        .map(str::trim)
        .collect();
    let wrong = wrong.join(" ");
    let wrong = wrong.strip_prefix("error: ").unwrap_or(&wrong);
    let tips = text
        .lines()
        .filter_map(|line| line.trim().strip_prefix("tip: "));
    let tips: String = tips.map(|tip| format!("; {tip}")).collect();
    format!("{wrong}{tips}; `beadtally help` and `beadtally COMMAND --help` show what there is")
}

fn finish(outcome: Result<Outcome, Failure>) -> ExitCode {
    let outcome = outcome.unwrap_or_else(|failure| Outcome {
        errors: vec![failure.sentence],
        exit: BAD,
        ..Outcome::default()
    });
    for sentence in &outcome.errors {
        let _ = writeln!(std::io::stderr(), "beadtally: {sentence}");
    }
    // A reader that closed its end has what it wanted.
    let mut stdout = std::io::stdout().lock();
    let written = stdout
        .write_all(outcome.out.as_bytes())
        .and_then(|()| stdout.flush());
    match written {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => {
            let _ = writeln!(
                std::io::stderr(),
                "beadtally: the answer could not be written: {error}"
            );
            ExitCode::from(BAD)
        }
        _ => ExitCode::from(outcome.exit),
    }
}
