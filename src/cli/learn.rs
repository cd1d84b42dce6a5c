//! `jobs learn`: what the book teaches, and writing it into the shop file.

use std::io::Write;
use std::path::Path;

use super::jobs::Call;
use super::parts::name;
use super::{Failure, Outcome, shop};
use crate::quote;
use crate::shop::{changed_text, read_shop};
use crate::store::{Book, Jobs, Learned, Lessons, What};

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
        let said = write(call, &mut book, &jobs, &lessons, take_extreme)?;
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
    jobs: &Jobs,
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
    let (changes, left_out) = lessons.changes(&call.shop, jobs);
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
    call.add(book, |_| Ok((vec![What::Learned(Learned { set })], ())))?;
    for assignment in &assignments {
        said += &format!("written into {file}: {}\n", assignment.replace('=', " = "));
    }
    Ok(said)
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
