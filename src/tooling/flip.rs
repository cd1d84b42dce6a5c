//! The quantity at which the answer flips.
//!
//! A mould lasts for so many pieces; the next one is due after them, so the total is a saw-tooth and the answer may flip back. Within
//! the life of one mould the difference between the two ways only goes one way, which bisection needs.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::ask::MOST_PIECES;
use crate::cost::decimal::minor_digits;
use crate::cost::{CostError, charged};
use crate::shop::Shop;

/// Moulds looked at one after the other, at most.
const MOST_MOULDS: u32 = 60;

/// The totals of both ways, before tax, by quantity.
#[derive(Clone)]
pub struct Totals<'a> {
    /// What is charged.
    pub shop: &'a Shop,
    /// The price of so many printed pieces before tax.
    pub print: &'a dyn Fn(u32) -> Result<Decimal, CostError>,
    /// What a mould costs, without margin.
    pub tool_cost: Decimal,
    /// What a piece on it costs, without margin.
    pub piece_cost: Decimal,
    /// Pieces a mould lasts for, at least 1.
    pub life_pieces: u32,
}

impl Totals<'_> {
    /// The moulds that so many pieces take.
    pub fn moulds(&self, quantity: u32) -> u32 {
        quantity.div_ceil(self.life_pieces.max(1))
    }

    /// The price of so many printed pieces.
    ///
    /// # Errors
    /// What a ledger fails for.
    pub fn printed(&self, quantity: u32) -> Result<Decimal, CostError> {
        (self.print)(quantity)
    }

    /// The price of so many moulded pieces with the moulds they take, charged as any order is.
    ///
    /// # Errors
    /// Amounts beyond 28 digits.
    pub fn moulded(&self, quantity: u32) -> Result<Decimal, CostError> {
        let rates = &self.shop.rates;
        let times = |amount: Decimal, count: u32| amount.checked_mul(Decimal::from(count));
        let cost = times(self.tool_cost, self.moulds(quantity))
            .zip(times(self.piece_cost, quantity))
            .and_then(|(tools, pieces)| tools.checked_add(pieces))
            .ok_or(CostError::TooLarge { what: "the cost" })?;
        charged(cost, rates, quantity, minor_digits(self.shop.currency)?)
    }

    /// By how much the mould is cheaper.
    fn gain(&self, quantity: u32) -> Result<Decimal, CostError> {
        Ok(self.printed(quantity)? - self.moulded(quantity)?)
    }
}

/// Where the mould is cheaper.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Flip {
    /// Quantities from and to in which it is, apart and rising; the last may have no end.
    pub cheaper: Vec<(u32, Option<u32>)>,
}

impl Flip {
    /// The least quantity at which the mould is cheaper.
    pub fn first(&self) -> Option<u32> {
        self.cheaper.first().map(|(from, _)| *from)
    }
}

/// The end of a range in words; `None` says it goes on.
pub fn open_end(to: Option<u32>) -> String {
    to.map_or_else(|| "on".to_owned(), |to| format!("to {to}"))
}

/// Finds the quantities at which the mould is cheaper.
///
/// # Errors
/// As [`Totals::printed`] and [`Totals::moulded`].
pub fn flip(totals: &Totals<'_>) -> Result<Flip, CostError> {
    let life = totals.life_pieces.clamp(1, MOST_PIECES);
    let last_of = |mould: u32| {
        mould
            .saturating_add(1)
            .saturating_mul(life)
            .min(MOST_PIECES)
    };
    let most_moulds = MOST_PIECES / life;
    let first_mould = first_worth_a_look(totals, &last_of)?.min(most_moulds.saturating_sub(1));
    let mut found = Flip::default();
    let mut whole_before = false;
    for mould in first_mould
        ..most_moulds
            .min(first_mould.saturating_add(MOST_MOULDS))
            .max(first_mould + 1)
    {
        let (from, to) = (mould * life + 1, last_of(mould));
        if totals.gain(to)? <= Decimal::ZERO {
            whole_before = false;
            continue;
        }
        let first = bisected(totals, from, to)?;
        match found.cheaper.last_mut() {
            Some(last) if last.1 == Some(first - 1) => last.1 = Some(to),
            _ => found.cheaper.push((first, Some(to))),
        }
        let whole = first == from;
        // Two whole lives without a flip, the second gaining more at its start: it goes on like that.
        let gains = whole && whole_before && totals.gain(from)? >= totals.gain(from - life)?;
        if gains || to >= MOST_PIECES {
            if let Some(last) = found.cheaper.last_mut() {
                last.1 = None;
            }
            break;
        }
        whole_before = whole;
    }
    Ok(found)
}

/// The mould before which none can pay: the gain at the end of a mould's life grows by the same from one to the next.
fn first_worth_a_look(
    totals: &Totals<'_>,
    last_of: &impl Fn(u32) -> u32,
) -> Result<u32, CostError> {
    let begun = totals.gain(last_of(1))?;
    let grows = totals.gain(last_of(2))? - begun;
    if begun > Decimal::ZERO || grows <= Decimal::ZERO {
        return Ok(0);
    }
    let moulds = (-begun / grows).floor().to_u32().unwrap_or(u32::MAX);
    Ok(moulds.saturating_sub(1))
}

/// The least quantity of a mould's life at which it is cheaper; at the last one it is.
fn bisected(totals: &Totals<'_>, from: u32, to: u32) -> Result<u32, CostError> {
    let (mut low, mut high) = (from, to);
    while low < high {
        let middle = low + (high - low) / 2;
        if totals.gain(middle)? > Decimal::ZERO {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    Ok(high)
}
