//! Numbers as they stand in a ledger line's formula: plain, without trailing zeros.

use rust_decimal::{Decimal, RoundingStrategy};

use super::decimal::round_money;

/// A number with at most so many decimals and no trailing zeros.
pub(super) fn plain(value: Decimal, most_digits: u32) -> String {
    value
        .round_dp_with_strategy(most_digits, RoundingStrategy::MidpointNearestEven)
        .normalize()
        .to_string()
}

/// A share as a percentage.
pub(super) fn percent(share: Decimal) -> String {
    match share.checked_mul(Decimal::ONE_HUNDRED) {
        Some(value) => format!("{} %", plain(value, 6)),
        None => format!("{} times", plain(share, 0)),
    }
}

/// A price or rate: the currency's decimals, or up to six where it is given finer.
pub(super) fn price(value: Decimal, digits: u32) -> String {
    let fine = value
        .round_dp_with_strategy(6, RoundingStrategy::MidpointNearestEven)
        .normalize();
    if fine.scale() > digits {
        fine.to_string()
    } else {
        round_money(fine, digits).to_string()
    }
}

/// "20160 s (5.6 h)".
pub(super) fn time(seconds: Decimal) -> String {
    format!(
        "{seconds} s ({} h)",
        plain(seconds / Decimal::from(3600), 2)
    )
}
