//! The small charges that a ledger's lines are made of. Nothing here is rounded: a line is rounded once, when printed.

use rust_decimal::Decimal;

use super::CostError;
use super::decimal::{money, product, quotient, sum};

const SECONDS_PER_HOUR: Decimal = Decimal::from_parts(3600, 0, 0, false, 0);
const MINUTES_PER_HOUR: Decimal = Decimal::from_parts(60, 0, 0, false, 0);
const GRAMS_PER_KG: Decimal = Decimal::from_parts(1000, 0, 0, false, 0);
const JOULES_PER_KWH: Decimal = Decimal::from_parts(3_600_000, 0, 0, false, 0);

/// Money per hour, kept as money over hours so that a price over a life is not rounded before it is used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HourlyRate {
    money: Decimal,
    hours: Decimal,
}

impl HourlyRate {
    /// A rate that is already per hour.
    ///
    /// # Errors
    /// A negative rate.
    pub fn per_hour(rate: Decimal) -> Result<Self, CostError> {
        Ok(Self {
            money: money("an hourly rate", rate)?,
            hours: Decimal::ONE,
        })
    }

    /// The charge for some seconds.
    ///
    /// # Errors
    /// Negative seconds; too large an amount.
    pub fn for_seconds(&self, seconds: Decimal) -> Result<Decimal, CostError> {
        let hours = product("the hours of a rate", &[self.hours, SECONDS_PER_HOUR])?;
        quotient(
            "the charge for time",
            product("the charge for time", &[self.money, seconds])?,
            hours,
        )
    }

    /// The charge for some hours.
    ///
    /// # Errors
    /// Negative hours; too large an amount.
    pub fn for_hours(&self, hours: Decimal) -> Result<Decimal, CostError> {
        quotient(
            "the charge for time",
            product("the charge for time", &[self.money, hours])?,
            self.hours,
        )
    }
}

/// What a machine costs per hour: its price over its life, plus upkeep.
///
/// # Errors
/// A negative price or upkeep, a life of 0 hours, too large an amount.
pub fn machine_rate_per_h(
    price: Decimal,
    life_h: Decimal,
    upkeep_per_h: Decimal,
) -> Result<HourlyRate, CostError> {
    let hours = money("the machine's life in hours", life_h)?;
    if hours.is_zero() {
        return Err(CostError::Zero {
            what: "the machine's life in hours",
        });
    }
    let upkeep = product("the machine's upkeep", &[upkeep_per_h, hours])?;
    let money = sum(
        "the machine's hourly rate",
        &[money("the machine's price", price)?, upkeep],
    )?;
    Ok(HourlyRate { money, hours })
}

/// Plastic by its price per kilogram.
///
/// # Errors
/// A negative mass or price; too large an amount.
pub fn plastic_cost(grams: Decimal, price_per_kg: Decimal) -> Result<Decimal, CostError> {
    quotient(
        "the plastic",
        product("the plastic", &[grams, price_per_kg])?,
        GRAMS_PER_KG,
    )
}

/// Work by its price per hour.
///
/// # Errors
/// A negative time or rate; too large an amount.
pub fn labour_cost(minutes: Decimal, per_h: Decimal) -> Result<Decimal, CostError> {
    quotient(
        "labour",
        product("labour", &[minutes, per_h])?,
        MINUTES_PER_HOUR,
    )
}

/// Electricity in joules (watt seconds) by its price per kWh.
///
/// # Errors
/// A negative energy or price; too large an amount.
pub fn energy_cost(joules: Decimal, per_kwh: Decimal) -> Result<Decimal, CostError> {
    quotient(
        "electricity",
        product("electricity", &[joules, per_kwh])?,
        JOULES_PER_KWH,
    )
}

/// A nozzle's wear: its price by the share of its life in grams that is used up.
///
/// # Errors
/// A negative mass or price, a life of 0 grams, too large an amount.
pub fn nozzle_cost(grams: Decimal, price: Decimal, life_g: Decimal) -> Result<Decimal, CostError> {
    quotient(
        "the nozzle's life in grams",
        product("nozzle wear", &[grams, price])?,
        life_g,
    )
}

/// A share of an amount: overhead, mark-up, tax.
///
/// # Errors
/// A negative amount or share; too large an amount.
pub fn share_of(amount: Decimal, share: Decimal) -> Result<Decimal, CostError> {
    product("a share of an amount", &[amount, share])
}

/// The profit that makes up `margin` of the price: `cost margin / (1 - margin)`, so that price = cost / (1 - margin).
/// Not a mark-up, which is a share of the cost.
///
/// # Errors
/// A negative cost or margin, a margin of 1 or more, too large an amount.
pub fn margin_on(cost: Decimal, margin: Decimal) -> Result<Decimal, CostError> {
    let profit = product("the margin", &[cost, margin])?;
    quotient(
        "what the margin leaves of the price",
        profit,
        Decimal::ONE - margin,
    )
}

/// The quantity at which a tool with a cheap piece has cost as much as pieces without a tool:
/// `tool / (piece - tooled piece)`. `None` where the tooled piece is no cheaper, so the tool never pays.
/// Not rounded: the tool is cheaper from the next whole piece on.
///
/// # Errors
/// A negative amount, or too large a quantity.
pub fn break_even_quantity(
    tool: Decimal,
    piece: Decimal,
    tooled_piece: Decimal,
) -> Result<Option<Decimal>, CostError> {
    let tool = money("the tool's price", tool)?;
    let saved = money("the piece's cost", piece)? - money("the tooled piece's cost", tooled_piece)?;
    if saved <= Decimal::ZERO {
        return Ok(None);
    }
    quotient("the break-even quantity", tool, saved).map(Some)
}
