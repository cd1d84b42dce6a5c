//! `jobs learn`: what the book teaches, and writing it into the shop file.

use std::io::Write;
use std::path::Path;

use super::jobs::Call;
use super::parts::name;
use super::{Failure, Outcome, shop};
use crate::learn::Errors;
use crate::quote;
use crate::shop::{changed_text, read_shop};
use crate::store::{Book, Jobs, Learned, Lessons, What};

/// Corrections are written to so many digits behind the point: finer ones are not known.
const DIGITS: i32 = 4;

/// Fewer prints than this write no correction: one may be the exception.
const FEWEST_PRINTS: usize = 3;
/// Fewer prints than this do not change a band: in its tests the factor holds what it says from about 20 on, and is of use from half.
const FEWEST_BANDS: usize = 10;

/// Runs `jobs learn`.
pub(super) fn learn(call: &Call<'_>, apply: bool, take_extreme: bool) -> Result<Outcome, Failure> {
    let mut book = call.existing()?;
    let jobs = book.jobs().map_err(|e| call.wrong(&e))?;
    let lessons = Lessons::of(&jobs, call.now).map_err(|e| call.wrong(&e))?;
    let mut out = if call.args.json {
        quote::lessons_json(&lessons)
    } else {
        quote::lessons_text(&lessons, &call.shop)
    };
    if apply {
        let said = write(call, &mut book, &lessons, take_extreme)?;
        if !call.args.json {
            out += &said;
        }
    }
    Ok(Outcome {
        out,
        ..Outcome::default()
    })
}

/// Writes what was learned into the shop file, and into the book that it was.
fn write(
    call: &Call<'_>,
    book: &mut Book,
    lessons: &Lessons,
    take_extreme: bool,
) -> Result<String, Failure> {
    let Some(path) = &call.args.shop else {
        return Err(Failure::of(
            "--apply writes into a shop file; give it with --shop FILE",
        ));
    };
    let extreme = lessons.extreme();
    if let (Some(first), false) = (extreme.first(), take_extreme) {
        return Err(Failure::of(format!(
            "{first}: by a factor of two or a half an estimate is not biased, but of another part, unit or setting; nothing was \
             written: correct the entry that is wrong, or say --take-extreme"
        )));
    }
    let jobs = book.jobs().map_err(|e| call.wrong(&e))?;
    let (changes, left_out) = changes(call, lessons, &jobs);
    let mut said = String::new();
    for sentence in left_out {
        said += &format!("{sentence}\n");
    }
    if changes.is_empty() {
        return Ok(said + "nothing to write: the shop file says it already\n");
    }
    let file = name(path);
    let bytes = shop::bytes_of(path)?;
    let assignments: Vec<String> = changes.iter().map(|(k, v)| format!("{k}={v}")).collect();
    let text = changed_text(&String::from_utf8_lossy(&bytes), &file, "", &assignments)
        .map_err(|e| Failure::of(format!("{file}: {e}; nothing was written")))?;
    read_shop(&text, &file).map_err(|e| Failure::of(format!("{e}; nothing was written")))?;
    replace(path, &text)?;
    let set = changes
        .iter()
        .map(|(key, value)| (key.clone(), (*value).into()))
        .collect();
    book.add(call.now, |_| Ok((vec![What::Learned(Learned { set })], ())))
        .map_err(|e| call.wrong(&e))?;
    for assignment in &assignments {
        said += &format!("written into {file}: {}\n", assignment.replace('=', " = "));
    }
    Ok(said)
}

/// Keys of the shop file with their new values, and sentences on what can't be written.
fn changes(call: &Call<'_>, lessons: &Lessons, jobs: &Jobs) -> (Vec<(String, f64)>, Vec<String>) {
    let rounded = |value: f64| {
        let scale = 10f64.powi(DIGITS);
        (value * scale).round() / scale
    };
    let mut changes = Vec::new();
    let mut left_out = Vec::new();
    for lesson in &lessons.rows {
        let row = &lesson.row;
        let key = format!("{}/{}/{}", row.machine, row.nozzle, row.material);
        let of_shop = call.shop.measured.iter().find(|r| {
            r.machine == row.machine && r.nozzle == row.nozzle && r.material == row.material
        });
        let Some(of_shop) = of_shop else {
            left_out.push(format!(
                "not written: the shop file has no [[measured]] row for {key}; measure its melt limit first (beadtally bench flow)"
            ));
            continue;
        };
        let mut put = |name: &str, now: Option<f64>, value: f64| {
            let value = rounded(value);
            if now.unwrap_or(1.0) != value {
                changes.push((format!("measured.{key}.{name}"), value));
            }
        };
        if lesson.hours.pairs < FEWEST_PRINTS {
            left_out.push(format!(
                "not written: {key} has {} of the {FEWEST_PRINTS} prints it takes",
                lesson.hours.pairs
            ));
            continue;
        }
        let better =
            |errors: &Option<Errors>| errors.is_some_and(|e| e.after.median <= e.before.median);
        if better(&lesson.hours_errors) {
            put("correction", of_shop.correction, lesson.hours.factor);
        } else {
            left_out.push(format!(
                "not written: the hours of {key} are no better with a correction"
            ));
        }
        if let Some(grams) = lesson
            .grams
            .as_ref()
            .filter(|_| better(&lesson.grams_errors))
        {
            put("grams_correction", of_shop.grams_correction, grams.factor);
        }
        if lesson.bands.pairs >= FEWEST_BANDS {
            put("band_factor", of_shop.band_factor, lesson.bands.factor);
        } else {
            left_out.push(format!(
                "not written: how good the bands of {key} are is told after {FEWEST_BANDS} prints, it has {}",
                lesson.bands.pairs
            ));
        }
    }
    for lesson in &lessons.failures {
        let Some(machine) = call.shop.machine(&lesson.machine) else {
            continue;
        };
        let key = |name: &str| format!("machine.{}.failures.{name}", lesson.machine);
        if !machine.failures.by_default && !jobs.has_learned(&key("rate_per_h")) {
            left_out.push(format!(
                "not written: {} has its own start_chance and rate_per_h in the shop file; take them out first",
                lesson.machine
            ));
            continue;
        }
        let mut put = |name: &str, now: f64, value: f64| {
            let value = (value * 1e6).round() / 1e6;
            if now != value {
                changes.push((key(name), value));
            }
        };
        let learnt = &lesson.learnt;
        put(
            "start_chance",
            machine.failures.start_chance,
            learnt.start_chance.mean,
        );
        put(
            "rate_per_h",
            machine.failures.rate_per_h,
            learnt.rate_per_h.mean,
        );
    }
    (changes, left_out)
}

/// Puts a new text in place of a file's: written beside it first, so that the old one is whole until the new one is.
fn replace(path: &Path, text: &str) -> Result<(), Failure> {
    let failed = |e: std::io::Error| {
        Failure::of(format!(
            "{}: {e}; nothing was written, make the file and its folder writable",
            name(path)
        ))
    };
    // Behind a link lies the file that is meant.
    let path = &std::fs::canonicalize(path).map_err(failed)?;
    let about = std::fs::metadata(path).map_err(failed)?;
    if about.permissions().readonly() {
        return Err(Failure::of(format!(
            "{}: the file is read-only; nothing was written, make it writable",
            name(path)
        )));
    }
    let beside = path.with_extension("toml.new");
    let mut file = std::fs::File::create(&beside).map_err(failed)?;
    let written = file
        .write_all(text.as_bytes())
        .and_then(|()| file.set_permissions(about.permissions()))
        .and_then(|()| file.sync_all())
        .and_then(|()| std::fs::rename(&beside, path));
    written.map_err(|e| {
        // What was half written is of no use; whether it can be removed changes nothing.
        let _ = std::fs::remove_file(&beside);
        failed(e)
    })
}
