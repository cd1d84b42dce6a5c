//! An order on full beds: a table per machine, what is best, and the bed from above.

use std::fmt::Write;

use super::bed_picture::{BedPicture, bed_svg};
use super::words::{WIDTH, duration, hang, hours_column, length, money, pieces, wrap};
use crate::bedful::{Bedful, Beds, MOST_COPIES};
use crate::estimate::{Bedfuls, BedsMade, MachineBeds};

/// The beds of an order on every machine. `parts` are the parts' names in the order of the answer.
pub fn bedful_text(parts: &[String], answer: &Bedfuls) -> String {
    let mut text = String::new();
    let standing: Vec<String> = parts
        .iter()
        .zip(&answer.down)
        .map(|(part, down)| format!("{part} ({})", down.in_words()))
        .collect();
    let heading = format!(
        "{} in {} on full beds, {} mm between parts.",
        standing.join(", "),
        answer.material,
        length(answer.clearance_mm)
    );
    line!(text, "{}", wrap(&heading, WIDTH, "  "));
    if let Some((machine, nozzle, made)) = answer.picked() {
        line!(text, "{}", wrap(&best(machine, nozzle, made), WIDTH, "  "));
    }
    for machine in &answer.machines {
        machine_text(&mut text, parts, answer, machine);
    }
    let legend = "  each: a piece's share of the beds' hours; alone: printed one at a time; cost: of a piece with overhead and without \
                  margin; fail: chance that one start of the first bed fails, with all its copies";
    if answer.pick.is_some() {
        line!(text, "\n{}", wrap(legend, WIDTH, "  "));
    }
    text
}

fn best(machine: &MachineBeds, nozzle: &str, made: &BedsMade) -> String {
    let currency = made.ledger.currency;
    let (together, alone) = (made.ledger.unit_cost, made.alone.unit_cost);
    let count = made.pieces();
    let each_s = made.whole_s() / f64::from(count.max(1));
    let than = if count <= machine.beds.count() {
        "one at a time".to_owned()
    } else if together < alone {
        format!(
            "{} less than one at a time",
            money(alone - together, currency)
        )
    } else {
        format!(
            "{} more than one at a time, for a failure takes the whole bed",
            money(together - alone, currency)
        )
    };
    format!(
        "Cheapest on full beds: {}/{nozzle}, {}: {} in {}, {} a piece, which costs {}, {than}.",
        machine.machine,
        in_beds(&machine.beds),
        pieces(count),
        duration(made.whole_s()),
        duration(each_s),
        money(together, currency),
    )
}

/// `3 beds of 8 and 1 of 5`.
fn in_beds(beds: &Beds) -> String {
    let kinds = beds.kinds.iter().enumerate().map(|(number, (bed, times))| {
        let beds = match (number, times) {
            (0, 1) => " bed".to_owned(),
            (0, _) => " beds".to_owned(),
            _ => String::new(),
        };
        format!("{times}{beds} of {}", bed.copies())
    });
    kinds.collect::<Vec<_>>().join(" and ")
}

fn machine_text(text: &mut String, parts: &[String], answer: &Bedfuls, machine: &MachineBeds) {
    let made = machine.options.iter().any(|(_, made)| made.is_ok());
    if !made {
        let mut reasons: Vec<(&str, Vec<&str>)> = Vec::new();
        for (nozzle, made) in &machine.options {
            let Err(reason) = made else { continue };
            match reasons
                .iter_mut()
                .find(|(known, _)| *known == reason.as_str())
            {
                Some((_, nozzles)) => nozzles.push(nozzle),
                None => reasons.push((reason, vec![nozzle])),
            }
        }
        let said: Vec<String> = match &reasons[..] {
            [(reason, _)] => vec![(*reason).to_owned()],
            several => several
                .iter()
                .map(|(reason, nozzles)| format!("with {}: {reason}", nozzles.join(", ")))
                .collect(),
        };
        let sentence = format!("{}: {}.", machine.machine, said.join("; "));
        line!(text, "\n{}", hang(&sentence, 2));
        return;
    }
    line!(text, "\n{}: {}", machine.machine, in_beds(&machine.beds));
    for (number, (bed, _)) in machine.beds.kinds.iter().enumerate() {
        if parts.len() > 1 {
            line!(text, "  bed {}: {}", number + 1, mix(parts, bed));
        }
        if bed.capped {
            line!(
                text,
                "  no more than {MOST_COPIES} copies are placed on one bed"
            );
        }
    }
    line!(
        text,
        "  {:<12} {:>7} {:>7} {:>7} {:>9} {:>9} {:>6} {:>7}",
        "nozzle",
        "bed h",
        "each h",
        "alone h",
        "cost each",
        "alone",
        "fail %",
        "at risk"
    );
    for (option, (nozzle, made)) in machine.options.iter().enumerate() {
        match made {
            Ok(made) => row(text, answer, machine, nozzle, made, option),
            Err(reasons) => line!(text, "{}", hang(&format!("  {nozzle:<12}  {reasons}"), 16)),
        }
    }
}

fn mix(parts: &[String], bed: &Bedful) -> String {
    let counts = parts
        .iter()
        .enumerate()
        .map(|(item, part)| (bed.copies_of(item), part));
    let counts = counts
        .filter(|(n, _)| *n > 0)
        .map(|(n, part)| format!("{n} x {part}"));
    counts.collect::<Vec<_>>().join(", ")
}

fn row(
    text: &mut String,
    answer: &Bedfuls,
    machine: &MachineBeds,
    nozzle: &str,
    made: &BedsMade,
    option: usize,
) {
    let Some(first) = made.beds.first() else {
        return;
    };
    let n = f64::from(made.pieces().max(1));
    let picked = answer
        .pick
        .is_some_and(|[m, o]| o == option && answer.machines[m].machine == machine.machine);
    line!(
        text,
        "{} {nozzle:<12} {:>7} {:>7} {:>7} {:>9} {:>9} {:>6.1} {:>7}",
        if picked { '*' } else { ' ' },
        hours_column(first.seconds.whole_s()),
        hours_column(made.whole_s() / n),
        hours_column(made.alone_s / n),
        made.ledger.unit_cost.to_string(),
        made.alone.unit_cost.to_string(),
        100.0 * first.risk.failure_probability,
        first.copies
    );
}

/// The first bed of a machine from above as an SVG document: what may be covered, and each copy with its number.
///
/// # Errors
/// What the plotting library says where it can't draw; a machine without a bed.
pub fn bedful_svg(title: &str, machine: &MachineBeds, clearance_mm: f64) -> Result<String, String> {
    let (bed, _) = machine.beds.kinds.first().ok_or("no copy was placed")?;
    let placed = bed.placements.iter().enumerate();
    bed_svg(&BedPicture {
        title: title.to_owned(),
        notes: vec![format!(
            "{} on the bed, at least {} mm between them. Grey can't be used.",
            pieces(bed.copies()),
            length(clearance_mm)
        )],
        bed: &machine.bed,
        usable: &machine.usable,
        parts: placed
            .map(|(number, placed)| (placed.outline.clone(), (number + 1).to_string()))
            .collect(),
        measures: Vec::new(),
    })
}
