//! The commands that answer about parts.

use std::path::{Path, PathBuf};

use indicatif::{ParallelProgressIterator, ProgressBar, ProgressStyle};
use jiff::Zoned;
use rayon::prelude::*;

use super::args::{JobArgs, MeasureArgs, PartArgs, ShopFile};
use super::parts::{
    BadPart, Named, Reading, doubt, files, name, plain, read, refuse_doubtful_unit,
};
use super::{BAD, Failure, NO, Outcome, job, shop};
use crate::estimate::{Ask, Estimate, EstimateError, estimate as estimate_part, narrowest_wall_mm};
use crate::health::examine;
use crate::mesh::{Finding, FindingKind, InspectedMesh};
use crate::quote::{self, ListEntry, Subject, TriageRow};
use crate::shop::Shop;

/// Parts by their names, with what was made of them.
pub(super) type Answered<T> = Vec<Named<T>>;

/// Runs `answer` on every part of every file in parallel, with a progress bar where several are worked on a terminal.
pub(super) fn answer_all<T: Send>(
    paths: &[PathBuf],
    reading: &Reading<'_>,
    answer: impl Fn(InspectedMesh) -> Result<T, BadPart> + Sync,
) -> Answered<T> {
    // Drawn on standard error, and by the library's own rule only where that is a terminal.
    let bar = if paths.len() > 1 {
        ProgressBar::new(paths.len() as u64)
    } else {
        ProgressBar::hidden()
    };
    if let Ok(style) = ProgressStyle::with_template("{pos}/{len} files {wide_bar} {eta}") {
        bar.set_style(style);
    }
    let answered: Vec<Answered<T>> = paths
        .par_iter()
        .progress_with(bar.clone())
        .map(|path| {
            let parts = read(path, reading).into_iter();
            parts
                .map(|(name, part)| (name, part.and_then(&answer)))
                .collect()
        })
        .collect();
    bar.finish_and_clear();
    answered.into_iter().flatten().collect()
}

/// The errors of bad files, and the exit code they ask for.
pub(super) fn errors<T>(answered: &Answered<T>) -> (Vec<String>, u8) {
    let sentences: Vec<String> = answered
        .iter()
        .filter_map(|(part, result)| Some(format!("{part}: {}", result.as_ref().err()?.error)))
        .collect();
    let exit = if sentences.is_empty() { 0 } else { BAD };
    (sentences, exit)
}

/// JSON Lines; of a single bad file nothing, its error stands on standard error.
pub(super) fn json_lines<T>(
    answered: &Answered<T>,
    object: impl Fn(&str, &T) -> Result<String, Failure>,
) -> Result<String, Failure> {
    let alone = answered.len() == 1;
    let told = answered
        .iter()
        .filter(|(_, result)| !alone || result.is_ok());
    told.map(|(part, result)| {
        let object = match result {
            Ok(value) => object(part, value)?,
            Err(bad) => quote::bad_part_json(part, &bad.error, &bad.ask),
        };
        Ok(object + "\n")
    })
    .collect()
}

pub(super) fn list_entries<'a, T, U>(
    answered: &'a Answered<T>,
    entry: impl Fn(&'a T) -> U,
) -> Vec<ListEntry<'a, U>> {
    answered
        .iter()
        .map(|(part, result)| {
            let entry = match result {
                Ok(value) => Ok(entry(value)),
                Err(bad) => Err((bad.error.as_str(), bad.ask.as_str())),
            };
            (part.as_str(), entry)
        })
        .collect()
}

/// Runs `measure`.
pub(super) fn measure(args: &MeasureArgs) -> Result<Outcome, Failure> {
    let shop = shop::open(&args.shop)?;
    let reading = Reading::of(&args.files, &shop);
    let answered = answer_all(&files(&args.files.parts)?, &reading, |mut mesh| {
        if let Some(doubt) = doubt(&mesh, &reading) {
            mesh.findings
                .push(Finding::new(FindingKind::Unit, 1, doubt.sentence()));
        }
        Ok(if args.quick {
            mesh
        } else {
            examine(mesh, narrowest_wall_mm(&shop))
        })
    });
    let (mut errors, mut exit) = errors(&answered);
    let out = if args.files.json {
        json_lines(&answered, |part, mesh| Ok(quote::measure_json(part, mesh)))?
    } else {
        match &answered[..] {
            [(part, Ok(mesh))] => quote::measure_text(part, mesh),
            [(_, Err(_))] => String::new(),
            _ => quote::measure_list_text(&list_entries(&answered, |mesh| mesh)),
        }
    };
    if let Some(path) = &args.report {
        let parts: Vec<(&str, &InspectedMesh)> = answered
            .iter()
            .filter_map(|(part, result)| Some((part.as_str(), result.as_ref().ok()?)))
            .collect();
        if let Err(failure) = write_report(path, &parts) {
            errors.push(failure.sentence);
            exit = BAD;
        }
    }
    Ok(Outcome { out, errors, exit })
}

fn write_report(path: &Path, parts: &[(&str, &InspectedMesh)]) -> Result<(), Failure> {
    if parts.is_empty() {
        return Err(Failure::of(format!(
            "{}: not written, for no part could be measured",
            name(path)
        )));
    }
    write(path, &quote::measure_page(parts))
}

/// Writes a file that was asked for beside the answer.
pub(super) fn write(path: &Path, text: &str) -> Result<(), Failure> {
    write_bytes(path, text.as_bytes())
}

/// As [`write`], any bytes.
pub(super) fn write_bytes(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    std::fs::write(path, bytes).map_err(|e| {
        Failure::of(format!(
            "{}: {}; give a path that can be written",
            name(path),
            plain(&e)
        ))
    })
}

/// The exit code from that of bad files and whether some answer is no.
pub(super) fn exit_code(bad: u8, no: bool) -> u8 {
    bad.max(if no { NO } else { 0 })
}

/// A part that was estimated.
pub(super) struct Estimated {
    pub mesh: InspectedMesh,
    pub estimate: Estimate,
}

/// Estimates parts; in full examined first where `full` asks for it.
fn estimate_all(
    paths: &[PathBuf],
    reading: &Reading<'_>,
    ask: &Ask,
    full: bool,
) -> Answered<Estimated> {
    answer_all(paths, reading, |mesh| {
        refuse_doubtful_unit(&mesh, reading)?;
        let mesh = if full {
            examine(mesh, narrowest_wall_mm(reading.shop))
        } else {
            mesh
        };
        let estimate = estimate_one(&mesh, reading.shop, ask)?;
        Ok(Estimated { mesh, estimate })
    })
}

/// One part, or why it can't be estimated.
pub(super) fn estimate_one(
    mesh: &InspectedMesh,
    shop: &Shop,
    ask: &Ask,
) -> Result<Estimate, BadPart> {
    estimate_part(mesh, shop, ask).map_err(|error| BadPart {
        ask: ask_about(&error),
        error: error.to_string(),
        question: false,
    })
}

/// The sentence to send the customer where a part can't be estimated.
fn ask_about(error: &EstimateError) -> String {
    use EstimateError as E;
    match error {
        E::LooseFacets { .. } | E::Untrusted { .. } => {
            "Your file does not say what is solid: its surface has large gaps. Could you export the part as one closed solid?"
        }
        E::TooManyBodies { .. } => {
            "Your file holds a great many separate bodies. Could you export the part as one solid?"
        }
        E::TooManyLayers { .. } => "Which unit is your file drawn in, and how large is the part?",
        E::Unknown { .. } | E::OutOfRange { .. } | E::NotTaken { .. } | E::Bead(_) | E::Bedful(_) | E::Cost(_) | E::Piece { .. } => {
            "Which plastic and finish do you need, and may another nozzle or layer height be used?"
        }
    }
    .to_owned()
}

fn triage_rows(answered: &Answered<Estimated>, shop: &Shop) -> Vec<TriageRow> {
    answered
        .iter()
        .map(|(part, result)| match result {
            Ok(e) => TriageRow::good(part, shop, &e.mesh, &e.estimate),
            Err(bad) if bad.question => TriageRow::question(part, &bad.error, &bad.ask),
            Err(bad) => TriageRow::bad(part, &bad.error, &bad.ask),
        })
        .collect()
}

fn exit_of(answered: &Answered<Estimated>, bad: u8) -> u8 {
    let no = answered
        .iter()
        .any(|(_, r)| r.as_ref().is_ok_and(|e| e.estimate.picked().is_none()));
    exit_code(bad, no)
}

/// What was asked of a shop about several parts, and the answers.
pub(super) struct Answers {
    pub shop: Shop,
    pub ask: Ask,
    pub parts: Answered<Estimated>,
}

impl Answers {
    pub fn to(
        files_asked: &PartArgs,
        shop: &ShopFile,
        job: &JobArgs,
        quantity: u32,
        full: bool,
    ) -> Result<Answers, Failure> {
        let shop = shop::open(shop)?;
        let ask = job::ask(job, quantity, &Zoned::now())?;
        Answers::asked(files_asked, shop, ask, full)
    }

    /// As [`Answers::to`], of a shop that is at hand and at a moment of its own; parts are examined in full.
    pub fn at(
        files_asked: &PartArgs,
        shop: Shop,
        job: &JobArgs,
        quantity: u32,
        now: &Zoned,
    ) -> Result<Answers, Failure> {
        Answers::asked(files_asked, shop, job::ask(job, quantity, now)?, true)
    }

    fn asked(files_asked: &PartArgs, shop: Shop, ask: Ask, full: bool) -> Result<Answers, Failure> {
        ask.check(&shop).map_err(|e| Failure::of(e.to_string()))?;
        let reading = Reading::of(files_asked, &shop);
        let parts = estimate_all(&files(&files_asked.parts)?, &reading, &ask, full);
        Ok(Answers { shop, ask, parts })
    }

    pub fn subject<'a>(&'a self, part: &'a str, estimated: &'a Estimated) -> Subject<'a> {
        Subject {
            part,
            mesh: &estimated.mesh,
            shop: &self.shop,
            estimate: &estimated.estimate,
        }
    }

    pub fn rows(&self) -> Vec<TriageRow> {
        triage_rows(&self.parts, &self.shop)
    }

    pub fn outcome(&self, out: String) -> Outcome {
        let (errors, bad) = errors(&self.parts);
        Outcome {
            out,
            errors,
            exit: exit_of(&self.parts, bad),
        }
    }
}
