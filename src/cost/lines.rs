//! What the starts of one kind cost, line by line: each an amount and the formula it came from, with the numbers put in.

use rust_decimal::Decimal;

use super::CostError;
use super::charge::{HourlyRate, energy_cost, machine_rate_per_h, nozzle_cost, plastic_cost};
use super::decimal::{product, quotient, round_money, sum};
use super::sheet::Sheet;
use super::terms::Terms;
use super::words::{plain, price, time};

const SECONDS_PER_HOUR: Decimal = Decimal::from_parts(3600, 0, 0, false, 0);
const JOULES_PER_KWH: Decimal = Decimal::from_parts(3_600_000, 0, 0, false, 0);

impl Sheet {
    /// Every line that the starts of one kind have a part in.
    pub fn add_making(&mut self, terms: &Terms) -> Result<(), CostError> {
        self.add_plastic(terms)?;
        self.add_machine(terms)?;
        self.add_energy(terms)?;
        self.add_labour(terms)?;
        self.add_nozzle(terms)?;
        self.add_failures(terms)
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
            "{pieces} x {time} at {} over a life of {} h{} ({}/h)",
            self.price(terms.machine.price),
            plain(terms.machine_life_h, 2),
            life_words(terms),
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
        let starts = terms.starts;
        let (clearing, changing) = (terms.bed_clearing_min, terms.spool_change_min);
        let detail = format!("{starts} x {} min", plain(clearing, 9));
        self.labour("bed_clearing", detail, &[starts, clearing], terms)?;
        let changes = terms.spool_changes()?;
        let detail = format!("{starts} x {changes} changes x {} min", plain(changing, 9));
        self.labour("spool_changes", detail, &[starts, changes, changing], terms)?;
        let detail = format!("{} x {} min", terms.pieces, plain(terms.removal_min, 9));
        self.labour("removal", detail, &[terms.pieces, terms.removal_min], terms)?;
        self.add_finishing(terms)?;
        self.add_support_removal(terms)
    }

    fn add_finishing(&mut self, terms: &Terms) -> Result<(), CostError> {
        let (each, per_area) = (terms.finishing_min, terms.finishing_min_per_100cm2);
        let mut detail = format!("{} x {} min", terms.pieces, plain(each, 9));
        let mut minutes = product("labour", &[terms.pieces, each])?;
        if !per_area.is_zero() {
            let area = product("labour", &[terms.starts, terms.surface_100cm2])?;
            detail += &by_area(area, per_area);
            minutes = sum("labour", &[minutes, product("labour", &[area, per_area])?])?;
        }
        self.labour("finishing", detail, &[minutes], terms)
    }

    fn add_support_removal(&mut self, terms: &Terms) -> Result<(), CostError> {
        let (per_100g, per_area) = (
            terms.support_removal_min_per_100g,
            terms.support_removal_min_per_100cm2,
        );
        let (starts, support_g) = (terms.starts, terms.support_g);
        let mut minutes = quotient(
            "labour",
            product("labour", &[starts, support_g, per_100g])?,
            Decimal::ONE_HUNDRED,
        )?;
        let mut detail = format!(
            "{starts} x {} g of support at {} min per 100 g",
            plain(support_g, 2),
            plain(per_100g, 9)
        );
        if !per_area.is_zero() {
            let area = product("labour", &[starts, terms.held_100cm2])?;
            detail += &by_area(area, per_area);
            minutes = sum("labour", &[minutes, product("labour", &[area, per_area])?])?;
        }
        self.labour("support_removal", detail, &[minutes], terms)
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
            "{}; {} x ({} h more on the machine, clearing and waiting for somebody among them, at {}/h, {} kWh at {}/kWh, {} g of plastic lost with waste and purge \
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

    fn rate(&self, rate: &HourlyRate) -> Result<String, CostError> {
        let per_h = rate.for_hours(Decimal::ONE)?;
        Ok(price(round_money(per_h, self.digits() + 2), self.digits()))
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

/// " + 250 cm2 at 4 min per 100 cm2"; the area in hundreds.
fn by_area(area_100cm2: Decimal, min_per_100cm2: Decimal) -> String {
    format!(
        " + {} cm2 at {} min per 100 cm2",
        plain(area_100cm2 * Decimal::ONE_HUNDRED, 1),
        plain(min_per_100cm2, 9)
    )
}

fn life_words(terms: &Terms) -> String {
    terms.machine.life_basis.map_or(String::new(), |basis| {
        format!(
            ", {} years at {} % use",
            basis.years,
            basis.utilisation * 100.0
        )
    })
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
    let factor = terms.failure_factor;
    let factors = if factor == 1.0 {
        String::new()
    } else {
        format!(", times {factor} for the plastic and the nozzle")
    };
    format!(
        "{} starts per good {}: p0 = {} % of starts fail early, then lambda = {} % an hour of printing ({basis}{factors})",
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
