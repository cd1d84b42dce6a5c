//! The ledger of an order: what it costs and what is charged, line by line.

use iso_currency::Currency;
use rust_decimal::Decimal;

use super::CostError;
use super::charge::machine_rate_per_h;
use super::decimal::{minor_digits, printed, product, quotient, sum};
use super::risk::Risk;
use super::sheet::Sheet;
use super::terms::Terms;
use crate::shop::{AttendedWeek, Machine, Material, Nozzle, Rates};

/// One run: one piece made by one start of one option.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Run<'a> {
    /// The machine it runs on.
    pub machine: &'a Machine,
    /// The nozzle it wears.
    pub nozzle: &'a Nozzle,
    /// The plastic it lays.
    pub material: &'a Material,
    /// The whole run with the machine's correction in it, heating included, s; above 0.
    pub seconds: f64,
    /// The heating and levelling part of it, s; at most `seconds`.
    pub start_seconds: f64,
    /// Mass of the part, g.
    pub part_g: f64,
    /// Mass of its support, g.
    pub support_g: f64,
    /// Surface of the part, mm2; finishing may be charged by it.
    pub surface_mm2: f64,
    /// Area that its support holds up, mm2; removal may be charged by it.
    pub held_mm2: f64,
}

/// Starts of one kind: a bed of so many pieces, printed so often.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Starts<'a> {
    /// One start. Its seconds and masses are those of the whole bed.
    pub run: Run<'a>,
    /// Pieces that one start makes, at least 1.
    pub pieces_per_start: u32,
    /// Starts that must end well, at least 1.
    pub starts: u32,
}

/// One line of a ledger.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LedgerLine {
    /// What it is for: always all of [`LINES`](super::LINES), in that order; an order of joined pieces has `joining`, `adhesive`
    /// and `hardware` before `overhead`.
    pub line: &'static str,
    /// The formula with the numbers put in, in plain words.
    pub detail: String,
    /// The amount, rounded half-even to the currency's minor unit.
    pub amount: Decimal,
}

/// What an order of some pieces costs and what is charged for it. Every amount has the currency's decimals.
///
/// The printed total rules. The price of a piece is for reading: `quantity` times [`Ledger::unit_price`] differs from
/// [`Ledger::subtotal`] by [`Ledger::unit_rounding`], at most half a minor unit per piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Ledger {
    /// The currency of every amount.
    pub currency: Currency,
    /// Pieces ordered.
    pub quantity: u32,
    /// The lines, tax last; they add up to `total` exactly.
    pub lines: Vec<LedgerLine>,
    /// The lines up to and including overhead: what the order costs with no margin.
    pub cost: Decimal,
    /// The lines before tax: cost, margin and what is missing to the least order.
    pub subtotal: Decimal,
    /// The tax line.
    pub tax: Decimal,
    /// The sum of the printed lines.
    pub total: Decimal,
    /// What was taken off the list price, before tax; the margin's line is what is left of it.
    pub discount: Decimal,
    /// Price of a piece before tax: `subtotal / quantity`, rounded half-even.
    pub unit_price: Decimal,
    /// `subtotal - quantity unit_price`; may be negative.
    pub unit_rounding: Decimal,
    /// Floor price of a piece, with overhead and without margin: `cost / quantity`, rounded half-even.
    pub unit_cost: Decimal,
    /// Expected machine hours of the order: failed runs, clearing and waits included, h.
    pub machine_hours: Decimal,
    /// What an hour of the machine brings in once everything else is paid:
    /// `(subtotal - cost) / machine_hours + price / life`, rounded half-even. Without margin it is what the machine's
    /// own hour was charged at, so a shop compares jobs by it: the higher, the better the machine is used.
    pub earned_per_machine_hour: Decimal,
    /// The odds of one piece.
    pub risk: Risk,
}

impl Ledger {
    /// The line of a name.
    pub fn line(&self, line: &str) -> Option<&LedgerLine> {
        self.lines.iter().find(|each| each.line == line)
    }

    /// The ledger's promise: the lines add up to the total exactly, none is negative, and each has the currency's
    /// decimals.
    pub fn adds_up(&self) -> bool {
        let sum = self
            .lines
            .iter()
            .try_fold(Decimal::ZERO, |sum, line| sum.checked_add(line.amount));
        let clean = |amount: Decimal| {
            amount >= Decimal::ZERO
                && self.currency.exponent().map(u32::from) == Some(amount.scale())
        };
        sum == Some(self.total)
            && self.subtotal.checked_add(self.tax) == Some(self.total)
            && self.lines.iter().all(|line| clean(line.amount))
    }
}

/// The ledger of `quantity` pieces, each made by a start of its own.
///
/// Set-up is charged once per order, everything else per piece. Failures are charged at their expected value (see
/// [`Restart`](crate::cost::Restart)); work that a failure causes is not charged beyond the machine's hours. Purge
/// is charged with every start and carries no waste of its own.
///
/// # Errors
/// A quantity of 0; a run of no time or shorter than its heating; any number that is NaN, infinite or negative; a
/// margin or start chance of 1 or more; a machine or nozzle life of 0; a week that is never attended; a print that
/// would never finish; a currency without a minor unit; amounts beyond 28 digits.
pub fn ledger(
    run: &Run,
    rates: &Rates,
    attended: &AttendedWeek,
    currency: Currency,
    quantity: u32,
) -> Result<Ledger, CostError> {
    let alone = Starts {
        run: *run,
        pieces_per_start: 1,
        starts: quantity,
    };
    order_ledger(&[alone], rates, attended, currency)
}

/// The ledger of an order that is printed in starts of several kinds, such as full beds and one with the rest.
///
/// Machine time, electricity, failures and purge are charged per start, with the whole bed at stake; removal and finishing
/// per piece, support removal by the bed's support, set-up once per order. With one kind of one piece per start it is
/// [`ledger`]. Each line is rounded for each kind. The ledger's odds are those of the first kind.
///
/// # Errors
/// As [`ledger`]; no starts, or starts of no pieces.
pub fn order_ledger(
    order: &[Starts<'_>],
    rates: &Rates,
    attended: &AttendedWeek,
    currency: Currency,
) -> Result<Ledger, CostError> {
    let digits = minor_digits(currency)?;
    let kinds: Vec<Terms> = order
        .iter()
        .map(|starts| Terms::new(starts, rates, attended, digits))
        .collect::<Result<_, CostError>>()?;
    let first = kinds.first().ok_or(CostError::NoPieces)?;
    let pieces: Vec<Decimal> = kinds.iter().map(|terms| terms.pieces).collect();
    let pieces = sum("the quantity", &pieces)?;
    let quantity = u32::try_from(pieces).unwrap_or(u32::MAX);
    let (sheet, [cost, subtotal]) = Sheet::charged(&kinds, quantity, Vec::new(), digits)?;
    close(&kinds, first, pieces, currency, sheet, [cost, subtotal])
}

/// The ledgers of one run at several quantities, in their order.
///
/// # Errors
/// As [`ledger`], for the first quantity that fails.
pub fn price_breaks(
    run: &Run,
    rates: &Rates,
    attended: &AttendedWeek,
    currency: Currency,
    quantities: &[u32],
) -> Result<Vec<Ledger>, CostError> {
    quantities
        .iter()
        .map(|&quantity| ledger(run, rates, attended, currency, quantity))
        .collect()
}

fn close(
    kinds: &[Terms],
    first: &Terms,
    pieces: Decimal,
    currency: Currency,
    sheet: Sheet,
    [cost, subtotal]: [Decimal; 2],
) -> Result<Ledger, CostError> {
    let total = sheet.sum()?;
    let per_piece = |amount| {
        printed(
            "the price of a piece",
            quotient("the quantity", amount, pieces)?,
            first.digits,
        )
    };
    let unit_price = per_piece(subtotal)?;
    let hours: Vec<Decimal> = kinds
        .iter()
        .map(|terms| product("the machine hours", &[terms.starts, terms.odds.machine_h]))
        .collect::<Result<_, CostError>>()?;
    let machine_hours = sum("the machine hours", &hours)?;
    Ok(Ledger {
        currency,
        quantity: u32::try_from(pieces).unwrap_or(u32::MAX),
        cost,
        subtotal,
        tax: total - subtotal,
        total,
        discount: sheet.discount,
        unit_price,
        unit_rounding: subtotal - product("the price of all pieces", &[pieces, unit_price])?,
        unit_cost: per_piece(cost)?,
        earned_per_machine_hour: earned_per_h(first, subtotal - cost, machine_hours)?,
        machine_hours,
        risk: first.risk,
        lines: sheet.lines,
    })
}

fn earned_per_h(
    terms: &Terms,
    profit: Decimal,
    machine_hours: Decimal,
) -> Result<Decimal, CostError> {
    let written_off = machine_rate_per_h(terms.machine.price, terms.machine_life_h, Decimal::ZERO)?;
    let profit = quotient("the machine hours", profit, machine_hours)?;
    let earned = sum(
        "the earning per hour",
        &[profit, written_off.for_hours(Decimal::ONE)?],
    )?;
    printed("the earning per hour", earned, terms.digits)
}
