//! A ledger under way: the lines printed so far, in their order, and what is charged above the costs.

use rust_decimal::Decimal;

use super::CostError;
use super::charge::{labour_cost, margin_on, share_of};
use super::decimal::{factor, money, printed, product, round_money, sum};
use super::ledger::LedgerLine;
use super::terms::Terms;
use super::words::{percent, plain, price};
use crate::shop::Rates;

/// The lines of a ledger in their order. Profit is the line `margin` or, in a shop that reckons so, `mark_up` in its place.
pub const LINES: [&str; 24] = [
    "plastic",
    "spool_rest",
    "drying",
    "machine",
    "upkeep",
    "energy",
    "file_check",
    "set_up",
    "bed_clearing",
    "spool_changes",
    "removal",
    "finishing",
    "support_removal",
    "inspection",
    "packing",
    "nozzle",
    "bought_in",
    "failures",
    "overhead",
    "margin",
    "mark_up",
    "least_order",
    "rush",
    "tax",
];

/// The lines printed so far.
#[derive(Debug, Clone)]
pub(super) struct Sheet {
    digits: u32,
    pub lines: Vec<LedgerLine>,
    /// What was taken off the list price.
    pub discount: Decimal,
}

impl Sheet {
    fn new(digits: u32) -> Self {
        Self {
            digits,
            lines: Vec::new(),
            discount: Decimal::ZERO,
        }
    }

    /// The sum of the printed lines.
    pub fn sum(&self) -> Result<Decimal, CostError> {
        let amounts: Vec<Decimal> = self.lines.iter().map(|line| line.amount).collect();
        sum("the sum of the lines", &amounts)
    }

    /// The whole of an order: what making the pieces costs, `further` costs, overhead, what is charged above them, and tax. Beside
    /// the sheet the costs and the sum before tax. The order's terms are those of the first kind; `quantity` pieces are delivered.
    pub fn charged(
        kinds: &[Terms],
        quantity: u32,
        further: Vec<LedgerLine>,
        digits: u32,
    ) -> Result<(Sheet, [Decimal; 2]), CostError> {
        let rates = kinds.first().ok_or(CostError::NoPieces)?.rates;
        let mut sheet = Sheet::new(digits);
        sheet.add_making_of(kinds)?;
        sheet.add_once(kinds, quantity)?;
        let place = |line: &LedgerLine| LINES.iter().position(|name| *name == line.line);
        sheet.lines.sort_by_key(place);
        sheet.lines.extend(further);
        sheet.add_overhead(rates)?;
        let cost = sheet.sum()?;
        sheet.add_profit(rates, quantity)?;
        sheet.add_least_order(rates)?;
        sheet.add_rush(rates)?;
        let subtotal = sheet.sum()?;
        sheet.add_tax(rates)?;
        Ok((sheet, [cost, subtotal]))
    }

    /// What making the pieces costs, line by line over several kinds of start. The formulas of two kinds are told one after the
    /// other, of more only what each comes to.
    fn add_making_of(&mut self, kinds: &[Terms]) -> Result<(), CostError> {
        for (number, terms) in kinds.iter().enumerate() {
            let mut of_kind = Sheet::new(self.digits);
            of_kind.add_making(terms)?;
            if number == 0 {
                self.lines = of_kind.lines;
                continue;
            }
            for (line, more) in self.lines.iter_mut().zip(of_kind.lines) {
                line.detail = match (kinds.len(), number) {
                    (2, _) => format!("{}; and {}", line.detail, more.detail),
                    (_, 1) => format!("{} + {}", line.amount, more.amount),
                    _ => format!("{} + {}", line.detail, more.amount),
                };
                line.amount = sum("a line of several kinds", &[line.amount, more.amount])?;
            }
        }
        Ok(())
    }

    /// Overhead on the costs so far.
    fn add_overhead(&mut self, rates: &Rates) -> Result<(), CostError> {
        let costs = self.sum()?;
        let overhead = factor("the overhead", rates.overhead)?;
        let detail = format!("{} of {} costs", percent(overhead), self.price(costs));
        self.print("overhead", detail, share_of(costs, overhead)?)
    }

    /// The profit that a margin or a mark-up puts on the costs so far, less the discount on the list price they make.
    fn add_profit(&mut self, rates: &Rates, quantity: u32) -> Result<(), CostError> {
        let cost = self.sum()?;
        let shown = self.price(cost);
        let (line, words) = match rates.mark_up {
            Some(mark_up) => {
                let mark_up = factor("the mark-up", mark_up)?;
                ("mark_up", format!("{} of {shown} costs", percent(mark_up)))
            }
            None => {
                let margin = below_one("the margin", rates.margin)?;
                let left = plain(Decimal::ONE - margin, 9);
                let words = format!(
                    "{} of the price: {shown} / {left} - {shown}",
                    percent(margin)
                );
                ("margin", words)
            }
        };
        let Profit {
            whole,
            kept,
            list,
            discount: share,
        } = Profit::on(cost, rates, quantity, self.digits)?;
        let discount = whole - kept;
        let detail = if discount.is_zero() {
            words
        } else {
            format!(
                "{words} = {whole}, less a discount of {} on {} = {discount}",
                percent(share),
                self.price(round_money(list, self.digits))
            )
        };
        self.discount = discount;
        self.print(line, detail, kept)
    }

    /// What is missing to the least order.
    fn add_least_order(&mut self, rates: &Rates) -> Result<(), CostError> {
        let sum = self.sum()?;
        // rounded before it is compared: the order then never falls when the costs rise by one unit
        let least = round_money(money("the least order", rates.least_order)?, self.digits);
        let (detail, missing) = if sum < least {
            let reached = self.price(sum);
            (
                format!("least order {least}, of which {reached} is reached"),
                least - sum,
            )
        } else {
            (format!("least order {least} is reached"), Decimal::ZERO)
        };
        self.print("least_order", detail, missing)
    }

    /// The surcharge on an order that goes before others.
    fn add_rush(&mut self, rates: &Rates) -> Result<(), CostError> {
        let price = self.sum()?;
        let share = factor("the rush surcharge", rates.rush)?;
        if !rates.job.rush {
            let detail = "the order goes in its turn".to_owned();
            return self.print("rush", detail, Decimal::ZERO);
        }
        let detail = format!("{} of {}", percent(share), self.price(price));
        self.print("rush", detail, share_of(price, share)?)
    }

    /// Tax on the sum so far.
    fn add_tax(&mut self, rates: &Rates) -> Result<(), CostError> {
        let sum = self.sum()?;
        let tax = factor("the tax", rates.tax)?;
        let detail = format!("{} {} of {}", rates.tax_name, percent(tax), self.price(sum));
        self.print("tax", detail, share_of(sum, tax)?)
    }

    /// A line of work: the product of `factors` is its minutes, `detail` how they come about.
    pub fn labour(
        &mut self,
        line: &'static str,
        detail: String,
        factors: &[Decimal],
        terms: &Terms,
    ) -> Result<(), CostError> {
        let per_h = terms.rates.labour_per_h;
        let detail = format!("{detail} at {}/h", self.price(per_h));
        self.print(
            line,
            detail,
            labour_cost(product("labour", factors)?, per_h)?,
        )
    }

    /// Puts a line, rounded half-even to the currency's minor unit.
    pub fn print(
        &mut self,
        line: &'static str,
        detail: String,
        amount: Decimal,
    ) -> Result<(), CostError> {
        let amount = printed("an amount", amount, self.digits)?;
        self.lines.push(LedgerLine {
            line,
            detail,
            amount,
        });
        Ok(())
    }

    /// A price or rate as it stands in a formula.
    pub fn price(&self, value: Decimal) -> String {
        price(value, self.digits)
    }

    /// Decimals of the currency.
    pub fn digits(&self) -> u32 {
        self.digits
    }

    /// What a line printed before came to.
    pub fn amount(&self, line: &str) -> Decimal {
        let found = self.lines.iter().find(|each| each.line == line);
        found.map_or(Decimal::ZERO, |line| line.amount)
    }
}

/// The profit on a cost.
struct Profit {
    /// Before the discount.
    whole: Decimal,
    /// After it.
    kept: Decimal,
    /// Cost and profit before the discount, not rounded.
    list: Decimal,
    /// The discount, a fraction.
    discount: Decimal,
}

impl Profit {
    fn on(cost: Decimal, rates: &Rates, quantity: u32, digits: u32) -> Result<Self, CostError> {
        let profit = match rates.mark_up {
            Some(mark_up) => share_of(cost, factor("the mark-up", mark_up)?)?,
            None => margin_on(cost, below_one("the margin", rates.margin)?)?,
        };
        let discount = below_one("the discount", rates.discount_on(quantity))?;
        let list = sum("the list price", &[cost, profit])?;
        let off = share_of(list, discount)?;
        let whole = printed("an amount", profit, digits)?;
        if off > profit {
            return Err(CostError::BelowCost {
                discount,
                profit: whole,
                list: round_money(list, digits),
            });
        }
        // Rounded as a difference: two roundings could lower the price of what costs a little more.
        let kept = printed("an amount", profit - off, digits)?;
        Ok(Profit {
            whole,
            kept,
            list,
            discount,
        })
    }
}

/// What is charged before tax for something that costs so much: with the shop's margin or mark-up, less its discount on so many pieces,
/// not below its least order, and the surcharge on a rush.
///
/// # Errors
/// Rates that are none, a discount of more than the profit, amounts beyond 28 digits.
pub fn charged(
    cost: Decimal,
    rates: &Rates,
    quantity: u32,
    digits: u32,
) -> Result<Decimal, CostError> {
    let kept = Profit::on(cost, rates, quantity, digits)?.kept;
    let least = money("the least order", rates.least_order)?;
    let price = sum("the price", &[cost, kept])?.max(round_money(least, digits));
    let rush = match rates.job.rush {
        true => share_of(price, factor("the rush surcharge", rates.rush)?)?,
        false => Decimal::ZERO,
    };
    printed("the price", sum("the price", &[price, rush])?, digits)
}

fn below_one(what: &'static str, value: f64) -> Result<Decimal, CostError> {
    let share = factor(what, value)?;
    if share < Decimal::ONE {
        Ok(share)
    } else {
        Err(CostError::NotBelowOne { what, value })
    }
}
