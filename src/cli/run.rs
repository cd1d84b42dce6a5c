//! The commands that answer about parts.

use std::path::{Path, PathBuf};

use indicatif::{ParallelProgressIterator, ProgressBar, ProgressDrawTarget, ProgressStyle};
use jiff::Zoned;
use rayon::prelude::*;

use super::args::{EstimateArgs, FitArgs, MeasureArgs, QuoteArgs};
use super::parts::{BadPart, files, name, read};
use super::{BAD, Failure, NO, Outcome, job, shop};
use crate::estimate::{Ask, Estimate, estimate as estimate_part};
use crate::mesh::InspectedMesh;
use crate::pose::{Footprints, MachineFit, fit_machine};
use crate::quote::{self, ListEntry, Subject, TriageRow};
use crate::shop::Shop;

/// A file by its name, with what was made of it.
type Answered<T> = Vec<(String, Result<T, BadPart>)>;

/// Runs `answer` on every file in parallel, with a progress bar where several are worked on a terminal.
fn answer_all<T: Send>(
    paths: &[PathBuf],
    answer: impl Fn(&Path) -> Result<T, BadPart> + Sync,
) -> Answered<T> {
    let bar = if paths.len() > 1 {
        ProgressBar::new(paths.len() as u64)
    } else {
        ProgressBar::hidden()
    };
    // Drawn on standard error, and by the library's own rule only where that is a terminal.
    bar.set_draw_target(if paths.len() > 1 {
        ProgressDrawTarget::stderr()
    } else {
        ProgressDrawTarget::hidden()
    });
    if let Ok(style) = ProgressStyle::with_template("{pos}/{len} parts {wide_bar} {eta}") {
        bar.set_style(style);
    }
    let answered = paths
        .par_iter()
        .progress_with(bar.clone())
        .map(|path| (name(path), answer(path)))
        .collect();
    bar.finish_and_clear();
    answered
}

/// The errors of bad files, and the exit code they ask for.
fn errors<T>(answered: &Answered<T>) -> (Vec<String>, u8) {
    let sentences: Vec<String> = answered
        .iter()
        .filter_map(|(part, result)| Some(format!("{part}: {}", result.as_ref().err()?.error)))
        .collect();
    let exit = if sentences.is_empty() { 0 } else { BAD };
    (sentences, exit)
}

/// JSON Lines; of a single bad file nothing, its error stands on standard error.
fn json_lines<T>(answered: &Answered<T>, object: impl Fn(&str, &T) -> String) -> String {
    let alone = answered.len() == 1;
    answered
        .iter()
        .filter(|(_, result)| !alone || result.is_ok())
        .map(|(part, result)| match result {
            Ok(value) => object(part, value) + "\n",
            Err(bad) => quote::bad_part_json(part, &bad.error, &bad.ask) + "\n",
        })
        .collect()
}

fn list_entries<'a, T, U>(
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
    let answered = answer_all(&files(&args.files.parts)?, read);
    let (errors, exit) = errors(&answered);
    let out = if args.files.json {
        json_lines(&answered, quote::measure_json)
    } else {
        match &answered[..] {
            [(part, Ok(mesh))] => quote::measure_text(part, mesh),
            [(_, Err(_))] => String::new(),
            _ => quote::measure_list_text(&list_entries(&answered, |mesh| mesh)),
        }
    };
    Ok(Outcome { out, errors, exit })
}

/// Runs `fit`.
pub(super) fn fit(args: &FitArgs) -> Result<Outcome, Failure> {
    let shop = shop::open(&args.shop)?;
    let answered = answer_all(&files(&args.files.parts)?, |path| {
        let mesh = read(path)?;
        let fits = fit_all(&mesh, &shop);
        Ok((mesh, fits))
    });
    let (errors, bad) = errors(&answered);
    let nowhere = answered.iter().any(|(_, r)| {
        r.as_ref()
            .is_ok_and(|(_, fits)| fits.iter().all(|(_, f)| !f.fits))
    });
    let out = if args.files.json {
        json_lines(&answered, |part, (_, fits)| quote::fit_json(part, fits))
    } else {
        match &answered[..] {
            [(part, Ok((mesh, fits)))] => quote::fit_text(part, mesh, fits),
            [(_, Err(_))] => String::new(),
            _ => quote::fit_list_text(&list_entries(&answered, |(_, fits)| fits.as_slice())),
        }
    };
    Ok(Outcome {
        out,
        errors,
        exit: bad.max(if nowhere { NO } else { 0 }),
    })
}

fn fit_all(mesh: &InspectedMesh, shop: &Shop) -> Vec<(String, MachineFit)> {
    let footprints = Footprints::of(&mesh.mesh);
    shop.machines
        .iter()
        .map(|m| (m.id.clone(), fit_machine(&footprints, &m.space)))
        .collect()
}

/// A part that was estimated.
struct Estimated {
    mesh: InspectedMesh,
    estimate: Estimate,
}

fn estimate_all(paths: &[PathBuf], shop: &Shop, ask: &Ask) -> Answered<Estimated> {
    answer_all(paths, |path| {
        let mesh = read(path)?;
        let estimate = estimate_part(&mesh, shop, ask).map_err(|error| BadPart {
            error: error.to_string(),
            ask: "We could not price your part as asked; we will come back to you.".to_owned(),
        })?;
        Ok(Estimated { mesh, estimate })
    })
}

fn triage_rows(answered: &Answered<Estimated>, shop: &Shop) -> Vec<TriageRow> {
    answered
        .iter()
        .map(|(part, result)| match result {
            Ok(e) => TriageRow::good(part, shop, &e.mesh, &e.estimate),
            Err(bad) => TriageRow::bad(part, &bad.error, &bad.ask),
        })
        .collect()
}

fn exit_of(answered: &Answered<Estimated>, bad: u8) -> u8 {
    let no = answered
        .iter()
        .any(|(_, r)| r.as_ref().is_ok_and(|e| e.estimate.picked().is_none()));
    bad.max(if no { NO } else { 0 })
}

/// Runs `estimate`.
pub(super) fn estimate(args: &EstimateArgs) -> Result<Outcome, Failure> {
    let shop = shop::open(&args.shop)?;
    let ask = job::ask(&args.job, args.quantity, &Zoned::now())?;
    ask.check(&shop)
        .map_err(|e| Failure::usage(e.to_string()))?;
    let answered = estimate_all(&files(&args.files.parts)?, &shop, &ask);
    let (errors, bad) = errors(&answered);
    let alone_and_bad = matches!(&answered[..], [(_, Err(_))]);
    let out = if alone_and_bad {
        String::new()
    } else if args.files.json {
        json_lines(&answered, |part, e| {
            quote::estimate_json(part, &shop, &e.mesh, &e.estimate)
        })
    } else if args.job.csv {
        quote::triage_csv(&triage_rows(&answered, &shop))
    } else if let Some(option) = &args.why {
        why(&answered, &shop, &ask, option)?
    } else if let [(part, Ok(e))] = &answered[..] {
        quote::estimate_text(&subject(part, e, &shop), &ask)
    } else {
        quote::triage_text(&triage_rows(&answered, &shop))
    };
    Ok(Outcome {
        out,
        errors,
        exit: exit_of(&answered, bad),
    })
}

fn subject<'a>(part: &'a str, estimated: &'a Estimated, shop: &'a Shop) -> Subject<'a> {
    Subject {
        part,
        mesh: &estimated.mesh,
        shop,
        estimate: &estimated.estimate,
    }
}

fn why(
    answered: &Answered<Estimated>,
    shop: &Shop,
    ask: &Ask,
    wanted: &str,
) -> Result<String, Failure> {
    let mut texts = Vec::new();
    for (part, result) in answered {
        let Ok(estimated) = result else { continue };
        let options = &estimated.estimate.options;
        let Some(option) = options.iter().find(|o| o.name() == wanted) else {
            let names: Vec<String> = options
                .iter()
                .map(crate::estimate::PartOption::name)
                .collect();
            return Err(Failure::usage(format!(
                "--why {wanted}: there is no such option; give one of {}",
                names.join(", ")
            )));
        };
        texts.push(quote::why_text(
            &subject(part, estimated, shop),
            option,
            ask,
        ));
    }
    Ok(texts.join("\n"))
}

/// Runs `quote`.
pub(super) fn quote(args: &QuoteArgs) -> Result<Outcome, Failure> {
    let shop = shop::open(&args.shop)?;
    let first = args.quantity.first().copied().unwrap_or(1);
    let ask = job::ask(&args.job, first, &Zoned::now())?;
    ask.check(&shop)
        .map_err(|e| Failure::usage(e.to_string()))?;
    if args.quantity.contains(&0) {
        return Err(Failure::usage(
            "--quantity: 0 is no quantity; give at least 1 piece",
        ));
    }
    let answered = estimate_all(&files(&args.files.parts)?, &shop, &ask);
    let (errors, bad) = errors(&answered);
    let out = match &answered[..] {
        [(_, Err(_))] => String::new(),
        _ if args.job.csv => quote::triage_csv(&triage_rows(&answered, &shop)),
        [(part, Ok(e))] if !args.files.json => {
            let (breaks, lead) = money(e, &shop, &args.quantity)?;
            match lead {
                Some(lead) => quote::quote_text(&subject(part, e, &shop), &ask, &breaks, &lead),
                None => quote::estimate_text(&subject(part, e, &shop), &ask),
            }
        }
        _ if args.files.json => {
            let mut lines = String::new();
            for (part, result) in &answered {
                lines += &match result {
                    Ok(e) => {
                        let (breaks, lead) = money(e, &shop, &args.quantity)?;
                        quote::quote_json(part, &shop, &e.mesh, &e.estimate, &breaks, lead.as_ref())
                    }
                    Err(bad) => quote::bad_part_json(part, &bad.error, &bad.ask),
                };
                lines.push('\n');
            }
            lines
        }
        _ => quote::triage_text(&triage_rows(&answered, &shop)),
    };
    Ok(Outcome {
        out,
        errors,
        exit: exit_of(&answered, bad),
    })
}

fn money(
    estimated: &Estimated,
    shop: &Shop,
    quantities: &[u32],
) -> Result<(Vec<crate::cost::Ledger>, Option<crate::estimate::LeadTime>), Failure> {
    let breaks = estimated
        .estimate
        .breaks(shop, quantities)
        .map_err(|e| Failure::input(e.to_string()))?;
    Ok((breaks, estimated.estimate.lead_time(shop)))
}
