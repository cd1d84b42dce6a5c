//! The answer in plain words, before any table.

use super::gravity::worst;
use super::subject::Subject;
use super::words::{WIDTH, duration, from_to, grams, held_by, length, money, placed, wrap};
use crate::estimate::{Made, PartOption};
use crate::shop::Shop;

/// The first lines: which machine, nozzle and turn, hours, grams, price, what holds the speed, and the finding that
/// matters most.
pub(super) fn answer(subject: &Subject<'_>, quantity: u32) -> String {
    let estimate = subject.estimate;
    let Some((option, made)) = estimate.picked() else {
        let mut text = wrap(&format!("No: {}.", estimate.pick.why), WIDTH, "  ");
        let missed = estimate
            .options
            .iter()
            .find_map(|o| o.outcome.as_ref().err().filter(|r| !r.fits));
        if let Some(reason) = missed.and_then(|r| r.reasons.first()) {
            text += &format!("\n{}", wrap(&format!("Nearest: {reason}."), WIDTH, "  "));
        }
        return text;
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
        money(made.ledger.unit_price, made.ledger.currency),
        if quantity == 1 {
            String::new()
        } else {
            format!(" for {quantity}")
        },
        format_args!("fits {}", placed(made)),
        held_by(made),
    );
    let mut text = wrap(&sentence, WIDTH, "  ");
    if let Some(finding) = worst(&estimate.findings) {
        text += &format!(
            "\n{}",
            wrap(&format!("Mind: {}.", finding.detail), WIDTH, "  ")
        );
    }
    if let Some(remark) = &estimate.other_pose {
        text += &format!(
            "\n{}",
            wrap(&format!("Another pose: {remark}."), WIDTH, "  ")
        );
    }
    text
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

fn nozzle_name(option: &PartOption, shop: &Shop) -> String {
    match shop.nozzle(&option.nozzle) {
        Some(nozzle) => format!("{} mm {}", length(nozzle.diameter_mm), nozzle.metal.name()),
        None => option.nozzle.clone(),
    }
}
