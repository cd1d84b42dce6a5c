//! The answers as text: at most 100 columns, readable without colour.

use std::fmt::Write;

use super::answer::answer;
use super::gravity::worst;
use super::options::options_table;
use super::subject::Subject;
use super::words::{
    WIDTH, capitalised, cubic, duration, from_to, hang, money, pieces, pose_sentence, size,
    size_inch, wrap,
};
use crate::cost::Ledger;
use crate::estimate::{Ask, Band, LeadTime, Made, PartOption, what_would_help};
use crate::mesh::{Finding, Grade, InspectedMesh, Unit};
use crate::shop::{MeasuredRow, no_row};

/// What the demonstration shop's outputs say.
pub(super) const INVENTED: &str = "The shop is the built-in demonstration; its prices, speeds and rates are invented. \
                        Give your own with --shop FILE (beadtally shop new writes one to fill in).";

fn paragraph(text: &mut String, what: &str) {
    line!(text, "{}", wrap(what, WIDTH, "  "));
}

/// What a part is: size, volume, whether its mesh can be trusted.
pub fn measure_text(part: &str, mesh: &InspectedMesh) -> String {
    let mut text = String::new();
    let size_mm: [f64; 3] = mesh.mesh.size_mm().into();
    line!(text, "{part}");
    line!(
        text,
        "  size       {} ({}), {}",
        size(size_mm),
        size_inch(size_mm),
        unit_in_words(mesh)
    );
    line!(text, "  volume     {}", cubic(mesh.mass.volume_mm3));
    let trust = format!("  trust      {}", trust_in_words(mesh));
    line!(text, "{}", hang(&trust, 13));
    line!(text, "  surface    {:.1} cm2", mesh.mass.area_mm2 / 100.0);
    let c = mesh.mass.centroid_mm;
    line!(text, "  centroid   ({:.2}, {:.2}, {:.2}) mm", c.x, c.y, c.z);
    line!(text, "  bodies     {}", mesh.topology.bodies);
    line!(text, "  facets     {}", mesh.facets_read);
    findings(&mut text, &mesh.findings, "  ");
    text
}

/// Which unit a part was read in, and who says so.
pub(super) fn unit_in_words(mesh: &InspectedMesh) -> String {
    let unit = mesh.source.unit.sign();
    if mesh.source.unit_stated {
        format!("the file states {unit}")
    } else {
        format!("taken as {unit}, for {} states no unit", mesh.source.format)
    }
}

/// The grade of a part's volume and what it means.
pub(super) fn trust_in_words(mesh: &InspectedMesh) -> String {
    let [low, high] = mesh.trust.volume_bounds_mm3;
    let looked = if mesh.examined {
        " and it does not run through itself"
    } else {
        "; self-intersections were not looked for"
    };
    match mesh.trust.grade {
        Grade::Exact => format!("exact: the surface is closed{looked}"),
        Grade::Mended => format!("mended: the surface is closed after mending{looked}"),
        Grade::Bounded if high == low => {
            format!("bounded: {} with the openings closed flat", cubic(low))
        }
        Grade::Bounded => format!("bounded: between {} and {}", cubic(low), cubic(high)),
        Grade::Refused => format!(
            "refused: anything between {} and {}, too far apart to price; ask for the part as one closed solid",
            cubic(low),
            cubic(high)
        ),
    }
}

fn findings(text: &mut String, findings: &[Finding], indent: &str) {
    for finding in findings {
        let state = if finding.mended { "mended" } else { "found" };
        let sentence = format!("{indent}{state:<10} {}", finding.detail);
        line!(text, "{}", hang(&sentence, indent.len() + 11));
    }
}

/// Every option of a shop for a part, the answer first.
pub fn estimate_text(subject: &Subject<'_>, ask: &Ask) -> String {
    let mut text = answer(subject, ask.quantity) + "\n";
    about(&mut text, subject, ask);
    line!(text, "");
    options_table(&mut text, subject);
    refused(&mut text, subject);
    remarks(&mut text, subject, ask);
    text
}

/// What an owner must know of the volume before reading a price made from it.
fn trust_in_short(mesh: &InspectedMesh) -> String {
    let [low, high] = mesh.trust.volume_bounds_mm3;
    let unit = match mesh.source.unit {
        Unit::Millimetre => String::new(),
        unit => format!(", drawn in {}", unit.sign()),
    };
    let trust = match mesh.trust.grade {
        Grade::Exact => "closed".to_owned(),
        Grade::Mended => "closed after mending".to_owned(),
        _ if high == low => "NOT closed".to_owned(),
        _ => {
            let percent = 50.0 * mesh.trust.width();
            format!(
                "{}, volume known within {percent:.1} %: grams and price as well",
                if mesh.watertight {
                    "closed"
                } else {
                    "NOT closed"
                }
            )
        }
    };
    format!("{unit}, {trust}")
}

fn about(text: &mut String, subject: &Subject<'_>, ask: &Ask) {
    let size_mm = subject.drawn_size_mm();
    let fill = if ask.fill >= 1.0 {
        "solid".to_owned()
    } else {
        format!("{:.0} % fill", 100.0 * ask.fill)
    };
    let plastic = subject
        .material()
        .map_or(subject.estimate.material.as_str(), |m| m.what.as_str());
    line!(text, "");
    paragraph(
        text,
        &format!(
            "{}: {} ({}), {}{}.",
            subject.part,
            size(size_mm),
            size_inch(size_mm),
            cubic(subject.mesh.mass.volume_mm3),
            trust_in_short(subject.mesh)
        ),
    );
    paragraph(
        text,
        &format!(
            "Laid {fill} in {} ({plastic}), {}.",
            subject.estimate.material,
            pieces(ask.quantity)
        ),
    );
    let down = subject.estimate.down.in_words();
    let why = &subject.estimate.down_why;
    paragraph(text, &format!("Pose: {}.", pose_sentence(&down, why)));
}

/// One line per reason, with the options it refuses.
fn refused(text: &mut String, subject: &Subject<'_>) {
    let mut reasons: Vec<(String, Vec<String>)> = Vec::new();
    for option in &subject.estimate.options {
        let Err(refusal) = &option.outcome else {
            continue;
        };
        let reason = refusal.reasons.join("; ");
        match reasons.iter_mut().find(|(r, _)| *r == reason) {
            Some((_, names)) => names.push(option.name()),
            None => reasons.push((reason, vec![option.name()])),
        }
    }
    if !reasons.is_empty() {
        line!(text, "\nNot possible:");
    }
    for (reason, names) in reasons {
        let sentence = format!("  {}: {reason}.", names.join(", "));
        line!(text, "{}", hang(&sentence, 2));
    }
}

fn remarks(text: &mut String, subject: &Subject<'_>, ask: &Ask) {
    line!(text, "");
    for finding in &subject.estimate.findings {
        if Some(finding) != worst(&subject.estimate.findings) || subject.estimate.picked().is_none()
        {
            paragraph(text, &format!("Also found: {}.", finding.detail));
        }
    }
    least_order(text, subject);
    band_and_help(text, subject);
    rows_and_corrections(text, subject);
    if let Some((_, made)) = subject.estimate.picked() {
        if made.roughness_um.is_none() {
            paragraph(
                text,
                "No roughness is given: much of the surface leans beyond the 70 degrees its formula was tried on.",
            );
        }
        if ask.base_model {
            paragraph(
                text,
                "Base model: no exceptions for short spans and small cross-holes.",
            );
        }
    }
    for caution in cautions(subject) {
        paragraph(text, &caution);
    }
    if subject.shop.demonstration {
        paragraph(text, INVENTED);
    }
}

/// How far the hours and the price of the option picked may be off and why, and what would make it quicker.
fn band_and_help(text: &mut String, subject: &Subject<'_>) {
    let Some((option, made)) = subject.estimate.picked() else {
        return;
    };
    if let Some(band) = &made.band {
        paragraph(text, &band_sentence(option, made, band));
    }
    for sentence in what_would_help(subject.estimate, option, subject.shop) {
        paragraph(text, &format!("{}: {sentence}.", option.name()));
    }
}

/// The band of an option: from, to, and what each input does, the one that weighs most first.
pub(super) fn band_sentence(option: &PartOption, made: &Made, band: &Band) -> String {
    let whole_s = made.seconds.whole_s();
    let percent = |seconds: f64| format!("{:+.1} %", 100.0 * (seconds / whole_s - 1.0));
    let inputs: Vec<String> = band
        .inputs
        .iter()
        .map(|i| {
            format!(
                "{} gives {} to {}",
                i.range,
                percent(i.from_s),
                percent(i.to_s)
            )
        })
        .collect();
    let learnt = band.learnt.map_or(String::new(), |factor| {
        format!(
            ", then {factor} of that in their logarithms, as real prints have shown (shop file)"
        )
    });
    format!(
        "Band of {}: {}, {} to {} {} each. {} (the first weighs most; joined as the root of their squares{learnt}).",
        option.name(),
        from_to(band),
        band.from_price,
        band.to_price,
        made.ledger.currency.code(),
        capitalised(&inputs.join("; "))
    )
}

/// Which figures were borrowed or corrected, once per sentence.
fn rows_and_corrections(text: &mut String, subject: &Subject<'_>) {
    let mut said: Vec<String> = Vec::new();
    for option in &subject.estimate.options {
        let Some(made) = option.made() else { continue };
        let row = match &made.row {
            Some(row) => row.borrowed.as_ref().map(|b| format!("Melt limit: {b}.")),
            None => {
                let machine = subject.shop.machine(&option.machine);
                machine.map(|m| format!("Melt limit: {}.", no_row(m)))
            }
        };
        said.extend(row);
        if made.correction != 1.0 {
            said.push(format!(
                "Correction: the hours of {} are multiplied by {} (real over estimated, from the shop file).",
                of_row_or_machine(option, made, |row| row.correction),
                made.correction
            ));
        }
        if made.grams_correction != 1.0 {
            said.push(format!(
                "Correction: the grams of {} are multiplied by {} (weighed over estimated, from the shop file).",
                of_row_or_machine(option, made, |row| row.grams_correction),
                made.grams_correction
            ));
        }
    }
    said.dedup();
    for sentence in said {
        paragraph(text, &sentence);
    }
}

/// Where the least order is charged, prices do not tell options apart.
fn least_order(text: &mut String, subject: &Subject<'_>) {
    let made = subject.estimate.options.iter().filter_map(PartOption::made);
    let below = made
        .filter(|made| {
            let line = made.ledger.line("least_order");
            line.is_some_and(|line| !line.amount.is_zero())
        })
        .count();
    if below > 0 {
        let many = if below == 1 {
            "1 option comes".to_owned()
        } else {
            format!("{below} options come")
        };
        paragraph(
            text,
            &format!(
                "Least order: {many} to less than the shop's least order of {} and {} charged that, so the price says nothing between \
                 such options; the quote's ledger shows what is added.",
                subject.shop.rates.least_order,
                if below == 1 { "is" } else { "are" }
            ),
        );
    }
}

/// Whose correction it is: the machine's, or that of the option alone.
fn of_row_or_machine(
    option: &PartOption,
    made: &Made,
    key: impl Fn(&MeasuredRow) -> Option<f64>,
) -> String {
    let own = made.row.as_ref().and_then(|row| row.own());
    match own.and_then(key) {
        Some(_) => option.name(),
        None => option.machine.clone(),
    }
}

/// What to be careful of with this plastic, on these machines, in this trade.
pub(super) fn cautions(subject: &Subject<'_>) -> Vec<String> {
    let mut all = vec![
        "Caution: hot nozzle and bed, moving parts, hours of unattended heat, fumes and ultrafine particles: local codes \
         and the plastic's safety data sheet come first."
            .to_owned(),
    ];
    if let Some(material) = subject.material() {
        all.extend(
            material
                .cautions
                .iter()
                .map(|c| format!("{}: {c}.", material.id)),
        );
    }
    all.push(
        "A part whose failure can hurt someone (load, pressure, food, medical, vehicle) needs review by a licensed \
         engineer; this is a price, not a design approval."
            .to_owned(),
    );
    all
}

/// A quote: the answer, the ledger of the option picked, quantities and lead time.
pub fn quote_text(subject: &Subject<'_>, ask: &Ask, breaks: &[Ledger], lead: &LeadTime) -> String {
    let mut text = answer(subject, ask.quantity) + "\n";
    about(&mut text, subject, ask);
    if let Some((option, made)) = subject.estimate.picked() {
        line!(
            text,
            "\nLedger of {} for {} (amounts in {})",
            option.name(),
            pieces(made.ledger.quantity),
            made.ledger.currency.code()
        );
        ledger_lines(&mut text, &made.ledger);
        let l = &made.ledger;
        let unit = |amount| money(amount, l.currency);
        paragraph(
            &mut text,
            &format!(
                "Each {} before tax; floor price {} (no margin); earns {} per machine hour.",
                unit(l.unit_price),
                unit(l.unit_cost),
                unit(l.earned_per_machine_hour)
            ),
        );
        quantities(&mut text, breaks);
        paragraph(&mut text, &lead_sentence(made, lead));
    }
    remarks(&mut text, subject, ask);
    text
}

/// Every line of a ledger, then its total.
pub(super) fn ledger_lines(text: &mut String, ledger: &Ledger) {
    for each in &ledger.lines {
        let head = format!(
            "  {:<16} {:>12}  {}",
            each.line.replace('_', " "),
            each.amount,
            each.detail
        );
        line!(text, "{}", hang(&head, 33));
    }
    line!(text, "  {:<16} {:>12}", "total", ledger.total);
}

fn quantities(text: &mut String, breaks: &[Ledger]) {
    if breaks.len() < 2 {
        return;
    }
    line!(
        text,
        "\n  {:>8} {:>12} {:>12} {:>14}  {:>10}",
        "quantity",
        "each",
        "floor",
        "total w. tax",
        "earns/h"
    );
    for b in breaks {
        line!(
            text,
            "  {:>8} {:>12} {:>12} {:>14}  {:>10}",
            b.quantity,
            b.unit_price,
            b.unit_cost,
            b.total,
            b.earned_per_machine_hour
        );
    }
}

fn lead_sentence(made: &Made, lead: &LeadTime) -> String {
    let each = duration(made.seconds.whole_s());
    let prints = match lead.prints {
        1 => format!("1 print of {each}, started while the shop is attended, is"),
        n => format!(
            "{n} prints of {each} one after another on one machine, each started while the shop is attended, are"
        ),
    };
    format!(
        "Lead time: {prints} done {} after an opening on Monday ({:.1} a week); failures, other jobs and finishing are \
         not in it.",
        duration(lead.hours * 3600.0),
        lead.prints_per_week
    )
}
