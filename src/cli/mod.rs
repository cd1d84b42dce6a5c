//! The way in from a terminal: reads what was typed, the files and the clock, and prints what the rooms answer. Data goes to
//! standard output and nothing else does; errors go to standard error, one sentence each.

mod args;
mod bench;
mod bench_args;
mod estimate;
mod history;
mod job;
mod jobs;
mod jobs_args;
mod learn;
mod parts;
mod run;
mod shop;

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
        Err(error) => {
            let _ = error.print();
            return ExitCode::from(if error.use_stderr() { BAD } else { 0 });
        }
    };
    let outcome = match cli.command {
        Command::Measure(args) => run::measure(&args),
        Command::Fit(args) => run::fit(&args),
        Command::Estimate(args) => estimate::estimate(&args),
        Command::Quote(args) => run::quote(&args),
        Command::Jobs(args) => jobs::jobs(&args),
        Command::Shop(args) => shop::shop(&args),
        Command::Bench(args) => bench::bench(&args),
    };
    finish(outcome)
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
