//! The lines of a ledger: each an amount and the formula it came from, with the numbers put in.

use rust_decimal::Decimal;

use super::CostError;
use super::charge::{
    HourlyRate, energy_cost, labour_cost, machine_rate_per_h, margin_on, nozzle_cost, plastic_cost,
    share_of,
};
use super::decimal::{money, printed, product, quotient, round_money, sum};
use super::ledger::LedgerLine;
use super::terms::Terms;
use super::words::{percent, plain, price, time};

const SECONDS_PER_HOUR: Decimal = Decimal::from_parts(3600, 0, 0, false, 0);
const JOULES_PER_KWH: Decimal = Decimal::from_parts(3_600_000, 0, 0, false, 0);

/// The lines printed so far.
#[derive(Debug, Clone)]
pub(super) struct Sheet {
    digits: u32,
    pub lines: Vec<LedgerLine>,
}

impl Sheet {
    fn new(digits: u32) -> Self {
        Self {
            digits,
            lines: Vec::new(),
        }
    }

    /// The sum of the printed lines.
    pub fn sum(&self) -> Result<Decimal, CostError> {
        let amounts: Vec<Decimal> = self.lines.iter().map(|line| line.amount).collect();
        sum("the sum of the lines", &amounts)
    }

    /// The whole of an order: what making the pieces costs, `further` costs, overhead, what is charged above them, and tax. Beside
    /// the sheet the costs and the sum before tax. The order's terms are those of the first kind.
    pub fn charged(
        kinds: &[Terms],
        further: Vec<LedgerLine>,
        digits: u32,
    ) -> Result<(Sheet, [Decimal; 2]), CostError> {
        let of_order = kinds.first().ok_or(CostError::NoPieces)?;
        let mut sheet = Sheet::new(digits);
        sheet.add_making_of(kinds)?;
        sheet.lines.extend(further);
        sheet.add_overhead(of_order)?;
        let cost = sheet.sum()?;
        sheet.add_profit(of_order)?;
        let subtotal = sheet.sum()?;
        sheet.add_tax(of_order)?;
        Ok((sheet, [cost, subtotal]))
    }

    /// What making the pieces costs, line by line over several kinds of start. The order is set up once. The formulas of two kinds
    /// are told one after the other, of more only what each comes to.
    fn add_making_of(&mut self, kinds: &[Terms]) -> Result<(), CostError> {
        for (number, terms) in kinds.iter().enumerate() {
            let mut of_kind = Sheet::new(self.digits);
            of_kind.add_making(terms)?;
            if number == 0 {
                self.lines = of_kind.lines;
                continue;
            }
            for (line, more) in self.lines.iter_mut().zip(of_kind.lines) {
                if line.line == "set_up" {
                    continue;
                }
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
    fn add_overhead(&mut self, terms: &Terms) -> Result<(), CostError> {
        let costs = self.sum()?;
        let detail = format!("{} of {} costs", percent(terms.overhead), self.price(costs));
        self.print("overhead", detail, share_of(costs, terms.overhead)?)
    }

    fn add_making(&mut self, terms: &Terms) -> Result<(), CostError> {
        self.add_plastic(terms)?;
        self.add_machine(terms)?;
        self.add_energy(terms)?;
        self.add_labour(terms)?;
        self.add_nozzle(terms)?;
        self.add_failures(terms)
    }

    /// What is charged above the costs so far, up to the least order.
    fn add_profit(&mut self, terms: &Terms) -> Result<(), CostError> {
        let cost = self.sum()?;
        let (margin, left) = (percent(terms.margin), plain(Decimal::ONE - terms.margin, 9));
        let detail = format!(
            "{margin} of the price: {0} / {left} - {0}",
            self.price(cost)
        );
        self.print("margin", detail, margin_on(cost, terms.margin)?)?;

        let sum = self.sum()?;
        // rounded before it is compared: the order then never falls when the costs rise by one unit
        let least = round_money(
            money("the least order", terms.rates.least_order)?,
            self.digits,
        );
        let (detail, missing) = if sum < least {
            (
                format!(
                    "least order {least}, of which {} is reached",
                    self.price(sum)
                ),
                least - sum,
            )
        } else {
            (format!("least order {least} is reached"), Decimal::ZERO)
        };
        self.print("least_order", detail, missing)
    }

    /// Tax on the sum so far.
    fn add_tax(&mut self, terms: &Terms) -> Result<(), CostError> {
        let sum = self.sum()?;
        let detail = format!(
            "{} {} of {}",
            terms.rates.tax_name,
            percent(terms.tax),
            self.price(sum)
        );
        self.print("tax", detail, share_of(sum, terms.tax)?)
    }

    fn add_plastic(&mut self, terms: &Terms) -> Result<(), CostError> {
        let bought = product("the plastic", &[terms.laid_g, terms.waste_factor])?;
        let grams = product(
            "the plastic",
            &[terms.starts, sum("the plastic", &[bought, terms.purge_g])?],
        )?;
        let detail = format!(
            "{} x ({} g{} x {} with waste + {} g purge) at {}/kg",
            terms.starts,
            plain(terms.laid_g, 2),
            support_words(terms.support_g),
            plain(terms.waste_factor, 9),
            plain(terms.purge_g, 2),
            self.price(terms.price_per_kg),
        );
        self.print("plastic", detail, plastic_cost(grams, terms.price_per_kg)?)
    }

    fn add_machine(&mut self, terms: &Terms) -> Result<(), CostError> {
        let seconds = product("the machine time", &[terms.starts, terms.seconds])?;
        let written_off =
            machine_rate_per_h(terms.machine.price, terms.machine_life_h, Decimal::ZERO)?;
        let (pieces, time) = (terms.starts, time(terms.seconds));
        let detail = format!(
            "{pieces} x {time} at {} over a life of {} h ({}/h)",
            self.price(terms.machine.price),
            plain(terms.machine_life_h, 9),
            self.rate(&written_off)?,
        );
        self.print("machine", detail, written_off.for_seconds(seconds)?)?;

        let upkeep = HourlyRate::per_hour(terms.machine.upkeep_per_h)?;
        let detail = format!(
            "{pieces} x {time} at {}/h",
            self.price(terms.machine.upkeep_per_h)
        );
        self.print("upkeep", detail, upkeep.for_seconds(seconds)?)
    }

    fn add_energy(&mut self, terms: &Terms) -> Result<(), CostError> {
        let printing_s = terms.seconds - terms.heating_s;
        let joules = product(
            "the electricity",
            &[terms.starts, joules(terms, terms.heating_s, printing_s)?],
        )?;
        let detail = format!(
            "{} x ({} s heating at {} W + {printing_s} s printing at {} W) = {} kWh at {}/kWh",
            terms.starts,
            terms.heating_s,
            plain(terms.heating_w, 9),
            plain(terms.printing_w, 9),
            plain(quotient("the electricity", joules, JOULES_PER_KWH)?, 3),
            self.price(terms.rates.energy_per_kwh),
        );
        self.print(
            "energy",
            detail,
            energy_cost(joules, terms.rates.energy_per_kwh)?,
        )
    }

    fn add_labour(&mut self, terms: &Terms) -> Result<(), CostError> {
        let per_h = terms.rates.labour_per_h;
        let at = format!("at {}/h", self.price(per_h));
        let detail = format!("{} min once per order {at}", plain(terms.set_up_min, 9));
        self.print("set_up", detail, labour_cost(terms.set_up_min, per_h)?)?;
        for (line, each_min) in [
            ("removal", terms.removal_min),
            ("finishing", terms.finishing_min),
        ] {
            let detail = format!("{} x {} min {at}", terms.pieces, plain(each_min, 9));
            self.print(
                line,
                detail,
                labour_cost(product("labour", &[terms.pieces, each_min])?, per_h)?,
            )?;
        }
        let per_100g = terms.support_removal_min_per_100g;
        let (pieces, support_g) = (terms.starts, terms.support_g);
        let minutes = quotient(
            "labour",
            product("labour", &[pieces, support_g, per_100g])?,
            Decimal::ONE_HUNDRED,
        )?;
        let (support, each) = (plain(support_g, 2), plain(per_100g, 9));
        let detail = format!("{pieces} x {support} g of support at {each} min per 100 g {at}");
        self.print("support_removal", detail, labour_cost(minutes, per_h)?)
    }

    fn add_nozzle(&mut self, terms: &Terms) -> Result<(), CostError> {
        let grams = product("nozzle wear", &[terms.starts, terms.through_nozzle_g])?;
        let detail = format!(
            "{} x {} g through a nozzle of {} that lasts {} g of {} plastic",
            terms.starts,
            plain(terms.through_nozzle_g, 2),
            self.price(terms.nozzle.price),
            plain(terms.nozzle_life_g, 2),
            if terms.abrasive { "abrasive" } else { "plain" },
        );
        self.print(
            "nozzle",
            detail,
            nozzle_cost(grams, terms.nozzle.price, terms.nozzle_life_g)?,
        )
    }

    /// What failures add to the lines above: the machine's hours (failed runs, clearing, waits), the electricity of
    /// the failed runs, the plastic they lost and the purge of every start but one, and the nozzle that laid it.
    fn add_failures(&mut self, terms: &Terms) -> Result<(), CostError> {
        let odds = &terms.odds;
        let machine = machine_rate_per_h(
            terms.machine.price,
            terms.machine_life_h,
            terms.machine.upkeep_per_h,
        )?;
        let heating_s = product("the lost time", &[odds.lost_heating_h, SECONDS_PER_HOUR])?;
        let printing_s = product("the lost time", &[odds.lost_printing_h, SECONDS_PER_HOUR])?;
        let joules = joules(terms, heating_s, printing_s)?;
        let lost_g = product("the lost plastic", &[terms.laid_g, odds.lost_share])?;
        let purge_g = product("the purge", &[odds.starts - Decimal::ONE, terms.purge_g])?;
        let bought_g = sum(
            "the lost plastic",
            &[
                product("the waste", &[lost_g, terms.waste_factor])?,
                purge_g,
            ],
        )?;
        let worn_g = sum("the lost plastic", &[lost_g, purge_g])?;
        let each = sum(
            "expected failures",
            &[
                machine.for_hours(odds.extra_machine_h)?,
                energy_cost(joules, terms.rates.energy_per_kwh)?,
                plastic_cost(bought_g, terms.price_per_kg)?,
                nozzle_cost(worn_g, terms.nozzle.price, terms.nozzle_life_g)?,
            ],
        )?;
        let detail = format!(
            "{}; {} x ({} h more on the machine at {}/h, {} kWh at {}/kWh, {} g of plastic lost with waste and purge \
             at {}/kg, and its nozzle wear)",
            failure_words(terms),
            terms.starts,
            plain(odds.extra_machine_h, 4),
            self.rate(&machine)?,
            plain(quotient("the electricity", joules, JOULES_PER_KWH)?, 3),
            self.price(terms.rates.energy_per_kwh),
            plain(bought_g, 2),
            self.price(terms.price_per_kg),
        );
        self.print(
            "failures",
            detail,
            product("expected failures", &[terms.starts, each])?,
        )
    }

    fn print(
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

    fn price(&self, value: Decimal) -> String {
        price(value, self.digits)
    }

    fn rate(&self, rate: &HourlyRate) -> Result<String, CostError> {
        let per_h = rate.for_hours(Decimal::ONE)?;
        Ok(price(round_money(per_h, self.digits + 2), self.digits))
    }
}

/// Electricity of some seconds of heating and of printing, J.
fn joules(terms: &Terms, heating_s: Decimal, printing_s: Decimal) -> Result<Decimal, CostError> {
    let heating = product("the electricity", &[terms.heating_w, heating_s])?;
    sum(
        "the electricity",
        &[
            heating,
            product("the electricity", &[terms.printing_w, printing_s])?,
        ],
    )
}

fn support_words(support_g: Decimal) -> String {
    if support_g.is_zero() {
        String::new()
    } else {
        format!(" (of it {} g support)", plain(support_g, 2))
    }
}

fn failure_words(terms: &Terms) -> String {
    let failures = &terms.machine.failures;
    let shown = |value: f64| match Decimal::from_f64_retain(value * 100.0) {
        Some(value) => plain(value, 9),
        None => value.to_string(),
    };
    let basis = if failures.by_default {
        "both are the stated defaults, a judgement without source"
    } else {
        "both are this machine's own"
    };
    format!(
        "{} starts per good {}: p0 = {} % of starts fail early, then lambda = {} % an hour of printing ({basis})",
        plain(terms.odds.starts, 4),
        if terms.pieces == terms.starts {
            "piece"
        } else {
            "bed"
        },
        shown(failures.start_chance),
        shown(failures.rate_per_h),
    )
}
