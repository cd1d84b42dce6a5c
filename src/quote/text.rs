//! The answers as text: at most 100 columns, readable without colour.

use std::fmt::Write;

use super::answer::answer;
use super::options::options_table;
use super::remarks::{caution_and_invented, remarks};
use super::subject::Subject;
use super::words::{WIDTH, cubic, hang, pieces, pose_sentence, size, size_inch, wrap};
use crate::cost::Ledger;
use crate::estimate::Ask;
use crate::mesh::{Finding, Grade, InspectedMesh, Unit};

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
    let mut text = answer(subject, ask.quantity) + "\n\n";
    for sentence in about(subject, ask) {
        paragraph(&mut text, &sentence);
    }
    line!(text, "");
    options_table(&mut text, subject);
    let refused = refusals(subject);
    if !refused.is_empty() {
        line!(text, "\nNot possible:");
    }
    for sentence in refused {
        line!(text, "{}", hang(&format!("  {sentence}"), 2));
    }
    line!(text, "");
    let closing = caution_and_invented(subject);
    for sentence in remarks(subject, ask).iter().chain(&closing) {
        paragraph(&mut text, sentence);
    }
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

/// What the part is, how it is laid and in which pose, a sentence each.
pub(super) fn about(subject: &Subject<'_>, ask: &Ask) -> [String; 3] {
    let size_mm = subject.drawn_size_mm();
    let fill = if ask.fill >= 1.0 {
        "solid".to_owned()
    } else {
        format!("{:.0} % fill", 100.0 * ask.fill)
    };
    let plastic = subject
        .material()
        .map_or(subject.estimate.material.as_str(), |m| m.what.as_str());
    let down = subject.estimate.down.in_words();
    let why = &subject.estimate.down_why;
    [
        format!(
            "{}: {} ({}), {}{}.",
            subject.part,
            size(size_mm),
            size_inch(size_mm),
            cubic(subject.mesh.mass.volume_mm3),
            trust_in_short(subject.mesh)
        ),
        format!(
            "Laid {fill} in {} ({plastic}), {}.",
            subject.estimate.material,
            pieces(ask.quantity)
        ),
        format!("Pose: {}.", pose_sentence(&down, why)),
    ]
}

/// The reasons for which options are refused, each with the options it refuses.
pub(super) fn refusals(subject: &Subject<'_>) -> Vec<String> {
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
    reasons
        .into_iter()
        .map(|(reason, names)| format!("{}: {reason}.", names.join(", ")))
        .collect()
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
