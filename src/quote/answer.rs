//! The answer in plain words, before any table.

use super::gravity::worst;
use super::subject::Subject;
use super::words::{WIDTH, duration, from_to, grams, held_by, length, money, placed, wrap};
use crate::cost::Ledger;
use crate::estimate::{Made, PartOption};
use crate::shop::Shop;

/// The first lines: which machine, nozzle and turn, hours, grams, price, what holds the speed, and the finding that
/// matters most.
pub(super) fn answer(subject: &Subject<'_>, quantity: u32) -> String {
    let picked = subject.estimate.picked();
    let picked = picked.map(|(option, made)| (option, made, &made.ledger));
    let sentences = answer_sentences(subject, picked, quantity);
    let wrapped: Vec<String> = sentences.iter().map(|s| wrap(s, WIDTH, "  ")).collect();
    wrapped.join("\n")
}

/// The same unbroken, for an option with the ledger that its order has.
pub(super) fn answer_sentences(
    subject: &Subject<'_>,
    chosen: Option<(&PartOption, &Made, &Ledger)>,
    quantity: u32,
) -> Vec<String> {
    let estimate = subject.estimate;
    let Some((option, made, ledger)) = chosen else {
        let missed = estimate
            .options
            .iter()
            .find_map(|o| o.outcome.as_ref().err().filter(|r| !r.fits));
        let nearest = missed.and_then(|r| r.reasons.first());
        let no = format!("No: {}.", estimate.pick.why);
        let nearest = nearest.map(|reason| format!("Nearest: {reason}."));
        return [no].into_iter().chain(nearest).collect();
    };
    let sentence = format!(
        "{}, {}: {}{}, {}, {} each{}; {}; {}.",
        machine_name(option, subject.shop),
        nozzle_name(option, subject.shop),
        duration(made.seconds.whole_s()),
        made.band
            .as_ref()
            .map_or(String::new(), |band| format!(" ({})", from_to(band))),
        weight(made),
        money(ledger.unit_price, ledger.currency),
        if quantity == 1 {
            String::new()
        } else {
            format!(" for {quantity}")
        },
        format_args!("fits {}", placed(made)),
        held_by(made),
    );
    let mind = worst(&estimate.findings).map(|finding| format!("Mind: {}.", finding.detail));
    let pose = estimate.other_pose.as_ref();
    let pose = pose.map(|remark| format!("Another pose: {remark}."));
    [sentence].into_iter().chain(mind).chain(pose).collect()
}

fn weight(made: &Made) -> String {
    if made.support_g < 0.05 {
        return grams(made.mass_g);
    }
    format!(
        "{} and {} of support",
        grams(made.mass_g),
        grams(made.support_g)
    )
}

/// A machine by its id and the first words of what it is.
pub(super) fn machine_name(option: &PartOption, shop: &Shop) -> String {
    let what = shop
        .machine(&option.machine)
        .map_or("", |m| m.what.as_str());
    let short = what
        .split([',', ';', '.', '('])
        .next()
        .unwrap_or_default()
        .trim();
    if short.is_empty() {
        option.machine.clone()
    } else {
        format!("{} ({short})", option.machine)
    }
}

pub(super) fn nozzle_name(option: &PartOption, shop: &Shop) -> String {
    match shop.nozzle(&option.nozzle) {
        Some(nozzle) => format!("{} mm {}", length(nozzle.diameter_mm), nozzle.metal.name()),
        None => option.nozzle.clone(),
    }
}
