//! What an owner must know beside the figures: findings, bands, borrowed rows and corrections, cautions.

use super::gravity::worst;
use super::subject::Subject;
use super::words::{capitalised, from_to};
use crate::estimate::{Ask, Band, Made, PartOption, what_would_help};
use crate::shop::{MeasuredRow, no_row};

/// What the demonstration shop's outputs say.
pub(super) const INVENTED: &str = "The shop is the built-in demonstration; its prices, speeds and rates are invented. \
                        Give your own with --shop FILE (beadtally shop new writes one to fill in).";

/// What else an owner must know before the price is sent.
pub(super) fn remarks(subject: &Subject<'_>, ask: &Ask) -> Vec<String> {
    let mut said = Vec::new();
    for finding in &subject.estimate.findings {
        if Some(finding) != worst(&subject.estimate.findings) || subject.estimate.picked().is_none()
        {
            said.push(format!("Also found: {}.", finding.detail));
        }
    }
    said.extend(least_order(subject));
    said.extend(band_and_help(subject));
    said.extend(rows_and_corrections(subject));
    if let Some((_, made)) = subject.estimate.picked() {
        if made.roughness_um.is_none() {
            said.push(
                "No roughness is given: much of the surface leans beyond the 70 degrees its formula was tried on."
                    .to_owned(),
            );
        }
        if ask.base_model {
            said.push(
                "Base model: no exceptions for short spans and small cross-holes.".to_owned(),
            );
        }
    }
    said
}

/// The cautions, and that the demonstration shop is invented.
pub(super) fn caution_and_invented(subject: &Subject<'_>) -> Vec<String> {
    let mut said = cautions(subject);
    if subject.shop.demonstration {
        said.push(INVENTED.to_owned());
    }
    said
}

/// How far the hours and the price of the option picked may be off and why, and what would make it quicker.
fn band_and_help(subject: &Subject<'_>) -> Vec<String> {
    let Some((option, made)) = subject.estimate.picked() else {
        return Vec::new();
    };
    let band = made.band.as_ref();
    let band = band.map(|band| band_sentence(option, made, band));
    let help = what_would_help(subject.estimate, option, subject.shop);
    let help = help
        .into_iter()
        .map(|sentence| format!("{}: {sentence}.", option.name()));
    band.into_iter().chain(help).collect()
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
fn rows_and_corrections(subject: &Subject<'_>) -> Vec<String> {
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
    said
}

/// Where the least order is charged, prices do not tell options apart.
fn least_order(subject: &Subject<'_>) -> Option<String> {
    let made = subject.estimate.options.iter().filter_map(PartOption::made);
    let below = made
        .filter(|made| {
            let line = made.ledger.line("least_order");
            line.is_some_and(|line| !line.amount.is_zero())
        })
        .count();
    let many = match below {
        0 => return None,
        1 => "1 option comes".to_owned(),
        _ => format!("{below} options come"),
    };
    Some(format!(
        "Least order: {many} to less than the shop's least order of {} and {} charged that, so the price says nothing between \
         such options; the quote's ledger shows what is added.",
        subject.shop.rates.least_order,
        if below == 1 { "is" } else { "are" }
    ))
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
