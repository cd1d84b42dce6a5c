//! The one place where measured numbers become decimal and where money is rounded.

use iso_currency::Currency;
use rust_decimal::{Decimal, RoundingStrategy};

use super::CostError;

/// A time at 1 s, half-even.
///
/// # Errors
/// A number that is NaN, infinite, negative or too large; `what` names it.
pub fn seconds(what: &'static str, value_s: f64) -> Result<Decimal, CostError> {
    from_measured(what, value_s, 0)
}

/// A mass at 0.01 g, half-even.
///
/// # Errors
/// A number that is NaN, infinite, negative or too large; `what` names it.
pub fn grams(what: &'static str, value_g: f64) -> Result<Decimal, CostError> {
    from_measured(what, value_g, 2)
}

/// Any other factor (a share, minutes, hours, watts, a life) at 1e-9, half-even.
///
/// # Errors
/// A number that is NaN, infinite, negative or too large; `what` names it.
pub fn factor(what: &'static str, value: f64) -> Result<Decimal, CostError> {
    from_measured(what, value, 9)
}

/// How many decimals a currency's minor unit has (ISO 4217): 0 for JPY, 2 for EUR, 3 for KWD.
///
/// # Errors
/// A currency without a minor unit.
pub fn minor_digits(currency: Currency) -> Result<u32, CostError> {
    match currency.exponent() {
        Some(digits) => Ok(u32::from(digits)),
        None => Err(CostError::NoMinorUnit {
            code: currency.code(),
        }),
    }
}

/// An amount rounded half-even to `digits` decimals and written with just so many ("24.00"), as far as the 28 digits
/// of a decimal reach.
pub fn round_money(amount: Decimal, digits: u32) -> Decimal {
    let mut rounded = amount.round_dp_with_strategy(digits, RoundingStrategy::MidpointNearestEven);
    rounded.rescale(digits);
    rounded
}

/// [`round_money`], refused where the amount is too long to hold its currency's decimals.
pub(super) fn printed(
    what: &'static str,
    amount: Decimal,
    digits: u32,
) -> Result<Decimal, CostError> {
    let rounded = round_money(amount, digits);
    if rounded.scale() == digits {
        Ok(rounded)
    } else {
        Err(CostError::TooLarge { what })
    }
}

fn from_measured(what: &'static str, value: f64, digits: u32) -> Result<Decimal, CostError> {
    if !value.is_finite() || value < 0.0 {
        return Err(CostError::NotAQuantity { what, value });
    }
    if value == 0.0 {
        return Ok(Decimal::ZERO); // -0.0 would print its sign
    }
    let Some(exact) = Decimal::from_f64_retain(value) else {
        return Err(CostError::TooLarge { what });
    };
    Ok(exact
        .round_dp_with_strategy(digits, RoundingStrategy::MidpointNearestEven)
        .normalize())
}

/// A price or rate that is at least 0.
pub(super) fn money(what: &'static str, value: Decimal) -> Result<Decimal, CostError> {
    if value < Decimal::ZERO {
        Err(CostError::Negative { what, value })
    } else {
        Ok(value.normalize())
    }
}

/// The product of factors of at least 0.
pub(super) fn product(what: &'static str, factors: &[Decimal]) -> Result<Decimal, CostError> {
    let mut result = Decimal::ONE;
    for &factor in factors {
        result = result
            .checked_mul(money(what, factor)?)
            .ok_or(CostError::TooLarge { what })?;
    }
    Ok(result)
}

/// One amount over another. Dividing comes last in every charge, so that an exact half stays exact until it is rounded.
pub(super) fn quotient(
    what: &'static str,
    amount: Decimal,
    by: Decimal,
) -> Result<Decimal, CostError> {
    if by.is_zero() {
        return Err(CostError::Zero { what });
    }
    amount
        .checked_div(money(what, by)?)
        .ok_or(CostError::TooLarge { what })
}

/// The sum of some amounts.
pub(super) fn sum(what: &'static str, amounts: &[Decimal]) -> Result<Decimal, CostError> {
    let mut result = Decimal::ZERO;
    for &amount in amounts {
        result = result
            .checked_add(amount)
            .ok_or(CostError::TooLarge { what })?;
    }
    Ok(result)
}
