//! Several files as one list: a line each, what needs a sentence below it.

use std::fmt::Write;

use super::fit::FitRow;
use super::gravity::worst;
use super::triage::TriageRow;
use super::words::{WIDTH, by, capitalised, hours_column, inches, own_name, wrap};
use crate::mesh::InspectedMesh;

/// Columns for a part's name.
const NAME: usize = 18;

/// The list of estimates and quotes, in the order of the owner's decision.
pub fn triage_text(rows: &[TriageRow]) -> String {
    let mut text = String::new();
    line!(
        text,
        "{:<NAME$} {:<8} {:>20} {:>16} {:<11} {:>6} {:>8} {:>6}",
        "part",
        "verdict",
        "size mm",
        "size in",
        "machine",
        "h:min",
        "price",
        "per h"
    );
    for row in rows {
        let size = |size: Option<[f64; 3]>, width: usize| {
            size.map_or("-".to_owned(), |size| size_within(size, width))
        };
        let price = row.price.map_or("-".to_owned(), |p| p.to_string());
        let earns = row
            .earned_per_machine_hour
            .map_or("-".to_owned(), |p| p.to_string());
        line!(
            text,
            "{:<NAME$} {:<8} {:>20} {:>16} {:<11} {:>6} {:>8} {:>6}",
            short(&row.part),
            row.verdict.name(),
            size(row.size_mm, 20),
            size(row.size_inch(), 16),
            on(row),
            row.hours
                .map_or("-".to_owned(), |h| hours_column(h * 3600.0)),
            price,
            earns
        );
        below(&mut text, row);
    }
    if let Some(shop) = rows.iter().find_map(|r| r.shop.as_ref()) {
        let currency = rows
            .iter()
            .find_map(|r| r.currency.as_deref())
            .unwrap_or_default();
        let sentence = format!("Prices in {currency}, each, before tax. Shop: {shop}.");
        line!(text, "{}", wrap(&sentence, WIDTH, "  "));
    }
    text
}

/// A box in at most `width` characters where whole units allow it: a large part needs no tenths.
fn size_within(size: [f64; 3], width: usize) -> String {
    let fine = by(size, 1);
    if fine.len() <= width {
        fine
    } else {
        by(size, 0)
    }
}

fn on(row: &TriageRow) -> String {
    match (&row.machine, row.turn_deg) {
        (Some(machine), Some(turn)) if turn != 0.0 => format!("{machine} {turn:.0} deg"),
        (Some(machine), _) => machine.clone(),
        _ => "-".to_owned(),
    }
}

fn below(text: &mut String, row: &TriageRow) {
    let doubtful = row
        .trust
        .as_deref()
        .filter(|t| !t.starts_with("watertight"));
    let finding = row
        .worst_finding
        .as_deref()
        .filter(|f| Some(*f) != doubtful);
    let mut said: Vec<&str> = Vec::new();
    for sentence in [doubtful, finding].into_iter().flatten() {
        said.push(sentence);
        line!(
            text,
            "{}",
            wrap(&format!("    {}", capitalised(sentence)), WIDTH, "    ")
        );
    }
    if let Some(ask) = row.ask.as_deref().filter(|ask| !said.contains(ask)) {
        line!(text, "{}", wrap(&format!("    Ask: {ask}"), WIDTH, "    "));
    }
}

/// A file's own name, or its end where that is too long: ends tell files apart better than beginnings.
fn short(name: &str) -> String {
    let own = own_name(name);
    let count = own.chars().count();
    if count <= NAME {
        return own.to_owned();
    }
    let end: String = own.chars().skip(count - (NAME - 2)).collect();
    format!("..{end}")
}

/// A part that was read, or why it was not and what to ask.
pub type ListEntry<'a, T> = (&'a str, Result<T, (&'a str, &'a str)>);

/// The list of measures.
pub fn measure_list_text(entries: &[ListEntry<'_, &InspectedMesh>]) -> String {
    let mut text = String::new();
    line!(
        text,
        "{:<NAME$} {:>21} {:>17} {:>11} {:>8} {:>9}",
        "part",
        "size mm",
        "size in",
        "volume cm3",
        "trust",
        "facets"
    );
    for (part, entry) in entries {
        match entry {
            Ok(mesh) => {
                let size_mm: [f64; 3] = mesh.mesh.size_mm().into();
                line!(
                    text,
                    "{:<NAME$} {:>21} {:>17} {:>11.2} {:>8} {:>9}",
                    short(part),
                    by(size_mm, 1),
                    by(inches(size_mm), 1),
                    mesh.mass.volume_mm3 / 1000.0,
                    mesh.trust.grade.name(),
                    mesh.facets_read
                );
                if let Some(finding) = worst(&mesh.findings) {
                    line!(
                        text,
                        "{}",
                        wrap(
                            &format!("    {}", capitalised(&finding.detail)),
                            WIDTH,
                            "    "
                        )
                    );
                }
            }
            Err((error, ask)) => bad_entry(&mut text, part, error, ask),
        }
    }
    text
}

/// The list of fits: which machines hold each part.
pub fn fit_list_text(entries: &[ListEntry<'_, &[FitRow]>]) -> String {
    let mut text = String::new();
    line!(
        text,
        "{:<NAME$} machines that hold it (turn, room to spare)",
        "part"
    );
    for (part, entry) in entries {
        match entry {
            Ok(fits) => {
                let holding: Vec<String> = fits
                    .iter()
                    .filter_map(|row| {
                        let pose = row.fit.poses.first()?;
                        let machine = &row.machine;
                        Some(format!(
                            "{machine} ({:.0} deg, {:.1} mm)",
                            pose.turn_deg, pose.margin_mm
                        ))
                    })
                    .collect();
                let held = if holding.is_empty() {
                    "none".to_owned()
                } else {
                    holding.join(", ")
                };
                let indent = " ".repeat(NAME + 1);
                line!(
                    text,
                    "{:<NAME$} {}",
                    short(part),
                    wrap(&held, WIDTH - NAME, &indent)
                );
            }
            Err((error, ask)) => bad_entry(&mut text, part, error, ask),
        }
    }
    text
}

fn bad_entry(text: &mut String, part: &str, error: &str, ask: &str) {
    line!(text, "{:<NAME$} bad file", short(part));
    line!(
        text,
        "{}",
        wrap(&format!("    {}", capitalised(error)), WIDTH, "    ")
    );
    line!(text, "{}", wrap(&format!("    Ask: {ask}"), WIDTH, "    "));
}
