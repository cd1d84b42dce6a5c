//! Figures that can't be.

use jiff::civil::DateTime;

use super::entry::Offer;
use super::error::{StoreError, refused, said};

/// No print takes longer, h: a slip of the pen.
const LONGEST_H: f64 = 2000.0;
/// No print weighs more, g: the same.
const HEAVIEST_G: f64 = 1e6;
/// No order has more pieces.
const MOST_PIECES: u32 = 100_000;
/// What is further off its estimate than by this factor is of another print, or another unit.
const FURTHEST: f64 = 100.0;

pub(super) fn pieces(what: &str, count: u32) -> Result<(), StoreError> {
    if (1..=MOST_PIECES).contains(&count) {
        return Ok(());
    }
    refused(format!("{what} can't be {count}; give 1 to {MOST_PIECES}"))
}

/// An offer as the program makes it, and as a correction may leave it.
pub(super) fn offer_is_right(offer: &Offer) -> Result<(), StoreError> {
    pieces("the quantity", offer.quantity)?;
    hours("an offer's hours", offer.seconds / 3600.0)?;
    positive("an offer's grams", offer.grams)?;
    let factors = [offer.correction, offer.grams_correction, offer.band_factor];
    for factor in factors {
        positive("a correction of an offer", factor)?;
    }
    let holds = offer.seconds_from <= offer.seconds && offer.seconds <= offer.seconds_to;
    if !holds || offer.seconds_from < 0.0 || !offer.seconds_to.is_finite() {
        return refused(
            "an offer's band must hold its hours: seconds_from, seconds, seconds_to in their order",
        );
    }
    let money = [offer.unit_cost, offer.unit_price, offer.total];
    if money.iter().any(|amount| amount.is_sign_negative()) {
        return refused("an offer's price and cost can't be negative");
    }
    Ok(())
}

/// Whether a figure can be of the print that was estimated.
pub(super) fn of_this_print(what: &str, value: f64, estimated: f64) -> Result<(), StoreError> {
    let ratio = value / estimated;
    if (1.0 / FURTHEST..=FURTHEST).contains(&ratio) {
        return Ok(());
    }
    refused(format!(
        "{what} of {value} is {ratio:.3} times the {estimated:.2} estimated; check the figure and its unit"
    ))
}

pub(super) fn positive(what: &str, value: f64) -> Result<(), StoreError> {
    if value > 0.0 && value <= HEAVIEST_G {
        return Ok(());
    }
    refused(format!(
        "{what} can't be {}; give a number above 0, at most {HEAVIEST_G}",
        short(value)
    ))
}

pub(super) fn hours(what: &str, value: f64) -> Result<(), StoreError> {
    if value.is_finite() && value > 0.0 && value <= LONGEST_H {
        return Ok(());
    }
    refused(format!(
        "{what} can't be {}; give a number above 0, at most {LONGEST_H}",
        short(value)
    ))
}

pub(super) fn not_ahead(what: &str, when: DateTime, at: DateTime) -> Result<(), StoreError> {
    if when <= at {
        return Ok(());
    }
    refused(format!(
        "{what} on {} lies after {}, when it was entered; enter it when it has happened",
        said(when),
        said(at)
    ))
}

/// A number that may be absurd, in few characters.
fn short(value: f64) -> String {
    let plain = value.to_string();
    if plain.len() <= 12 {
        plain
    } else {
        format!("{value:e}")
    }
}
