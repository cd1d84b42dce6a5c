//! Everything a ledger is computed from, checked and made decimal once.

use rust_decimal::Decimal;

use super::CostError;
use super::decimal::{factor, grams, product, quotient, seconds, sum};
use super::ledger::{Run, Starts};
use super::risk::{Restart, Risk};
use crate::shop::{AttendedWeek, Failures, Machine, Material, Nozzle, Rates};

const SECONDS_PER_HOUR: f64 = 3600.0;
pub(super) const MM2_PER_100CM2: Decimal = Decimal::from_parts(10_000, 0, 0, false, 0);

/// The checked, decimal terms of one order.
#[derive(Debug, Clone)]
pub(super) struct Terms<'a> {
    pub machine: &'a Machine,
    pub nozzle: &'a Nozzle,
    pub material: &'a Material,
    pub rates: &'a Rates,
    /// Decimals of the currency.
    pub digits: u32,
    /// Starts that end well: each makes so many pieces at once.
    pub starts: Decimal,
    /// Good pieces of all of them.
    pub pieces: Decimal,
    pub seconds: Decimal,
    pub heating_s: Decimal,
    pub support_g: Decimal,
    /// Part and support, g.
    pub laid_g: Decimal,
    /// Plastic of one start that is not part of the piece, g.
    pub purge_g: Decimal,
    /// Part, support and purge: what one run pushes through the nozzle, g.
    pub through_nozzle_g: Decimal,
    pub price_per_kg: Decimal,
    /// Plastic bought per gram laid: 1 and the waste.
    pub waste_factor: Decimal,
    pub abrasive: bool,
    pub machine_life_h: Decimal,
    pub nozzle_life_g: Decimal,
    pub heating_w: Decimal,
    pub printing_w: Decimal,
    pub bed_clearing_min: Decimal,
    pub spool_change_min: Decimal,
    pub removal_min: Decimal,
    pub finishing_min: Decimal,
    pub finishing_min_per_100cm2: Decimal,
    pub support_removal_min_per_100g: Decimal,
    pub support_removal_min_per_100cm2: Decimal,
    /// Surface of the pieces of one start, in hundreds of cm2.
    pub surface_100cm2: Decimal,
    /// What their support holds up, in hundreds of cm2.
    pub held_100cm2: Decimal,
    /// What an order can use of a spool, g.
    pub spool_use_g: Decimal,
    /// By what the plastic and the nozzle multiply the machine's failures per hour.
    pub failure_factor: f64,
    pub risk: Risk,
    pub odds: Odds,
}

/// The expected values of a good piece that enter the ledger, at 1e-9.
#[derive(Debug, Clone, Copy)]
pub(super) struct Odds {
    pub starts: Decimal,
    pub machine_h: Decimal,
    pub extra_machine_h: Decimal,
    pub lost_share: Decimal,
    pub lost_heating_h: Decimal,
    pub lost_printing_h: Decimal,
}

impl<'a> Terms<'a> {
    pub fn new(
        of: &Starts<'a>,
        rates: &'a Rates,
        attended: &AttendedWeek,
        digits: u32,
    ) -> Result<Self, CostError> {
        if of.starts == 0 || of.pieces_per_start == 0 {
            return Err(CostError::NoPieces);
        }
        let run = &of.run;
        let (run_s, heating_s) = checked_times(run)?;
        let support_g = grams("the support's mass in grams", run.support_g)?;
        let laid_g = sum(
            "the plastic",
            &[grams("the part's mass in grams", run.part_g)?, support_g],
        )?;
        let purge_g = grams("the purge in grams", rates.purge_g)?;
        let failures = run.failures();
        let risk = risk_of(run, &failures, attended)?;
        Ok(Self {
            machine: run.machine,
            nozzle: run.nozzle,
            material: run.material,
            rates,
            digits,
            starts: Decimal::from(of.starts),
            pieces: Decimal::from(u64::from(of.starts) * u64::from(of.pieces_per_start)),
            seconds: run_s,
            heating_s,
            support_g,
            laid_g,
            purge_g,
            through_nozzle_g: sum("the plastic", &[laid_g, purge_g])?,
            price_per_kg: run.material.price_per_kg,
            waste_factor: sum(
                "the waste",
                &[Decimal::ONE, factor("the waste", run.material.waste)?],
            )?,
            abrasive: run.material.abrasive,
            machine_life_h: factor("the machine's life in hours", run.machine.life_h)?,
            nozzle_life_g: nozzle_life_g(run)?,
            heating_w: factor("the heating power in watts", run.machine.heating_w)?,
            printing_w: factor("the printing power in watts", run.machine.printing_w)?,
            bed_clearing_min: factor("the bed clearing in minutes", rates.bed_clearing_min)?,
            spool_change_min: factor("the spool change in minutes", rates.spool_change_min)?,
            removal_min: factor("the removal in minutes", rates.removal_min)?,
            finishing_min: factor("the finishing in minutes", rates.finishing_min)?,
            finishing_min_per_100cm2: factor(
                "the finishing in minutes per 100 cm2",
                rates.finishing_min_per_100cm2,
            )?,
            support_removal_min_per_100g: factor(
                "the support removal in minutes per 100 g",
                rates.support_removal_min_per_100g,
            )?,
            support_removal_min_per_100cm2: factor(
                "the support removal in minutes per 100 cm2",
                rates.support_removal_min_per_100cm2,
            )?,
            surface_100cm2: hundreds_of_cm2("the surface in mm2", run.surface_mm2)?,
            held_100cm2: hundreds_of_cm2("the supported area in mm2", run.held_mm2)?,
            spool_use_g: grams(
                "what can be used of a spool in grams",
                run.material.spool_g - run.material.spool_rest_g,
            )?,
            failure_factor: run.failure_factor(),
            odds: Odds::of(&risk)?,
            risk,
        })
    }
}

impl Terms<'_> {
    /// Plastic bought for all starts, the rests of spools not among it, g.
    pub fn bought_g(&self) -> Result<Decimal, CostError> {
        let laid = product("the plastic", &[self.laid_g, self.waste_factor])?;
        product(
            "the plastic",
            &[self.starts, sum("the plastic", &[laid, self.purge_g])?],
        )
    }

    /// Spools that run out in one start.
    pub fn spool_changes(&self) -> Result<Decimal, CostError> {
        let spools = quotient(
            "what can be used of a spool in grams",
            self.through_nozzle_g,
            self.spool_use_g,
        )?;
        Ok((spools.ceil() - Decimal::ONE).max(Decimal::ZERO))
    }
}

impl Run<'_> {
    /// By what the plastic and the nozzle multiply the machine's failures per hour.
    pub fn failure_factor(&self) -> f64 {
        self.material.failure_factor * self.nozzle.failure_factor
    }

    /// The failures of the machine with this plastic and nozzle.
    pub fn failures(&self) -> Failures {
        self.machine.failures.times(self.failure_factor())
    }
}

fn hundreds_of_cm2(what: &'static str, area_mm2: f64) -> Result<Decimal, CostError> {
    quotient(what, factor(what, area_mm2)?.round_dp(0), MM2_PER_100CM2)
}

impl Odds {
    fn of(risk: &Risk) -> Result<Self, CostError> {
        Ok(Self {
            starts: factor("the expected starts", risk.starts)?,
            machine_h: factor("the expected machine hours", risk.machine_h)?,
            extra_machine_h: factor("the expected machine hours", risk.extra_machine_h)?,
            lost_share: factor("the expected lost plastic", risk.lost_share)?,
            lost_heating_h: factor("the expected lost heating hours", risk.lost_heating_h)?,
            lost_printing_h: factor("the expected lost printing hours", risk.lost_printing_h)?,
        })
    }
}

/// The whole run and its heating part, s.
fn checked_times(run: &Run) -> Result<(Decimal, Decimal), CostError> {
    let run_s = seconds("the run in seconds", run.seconds)?;
    let heating_s = seconds("the heating in seconds", run.start_seconds)?;
    if run_s.is_zero() {
        return Err(CostError::Zero {
            what: "the run in seconds",
        });
    }
    if heating_s > run_s {
        return Err(CostError::HeatingLongerThanRun {
            start_seconds: heating_s,
            seconds: run_s,
        });
    }
    Ok((run_s, heating_s))
}

/// The risk of the run at the same whole seconds that the ledger charges.
fn risk_of(run: &Run, failures: &Failures, attended: &AttendedWeek) -> Result<Risk, CostError> {
    let hours = run.seconds.round_ties_even() / SECONDS_PER_HOUR;
    let heating_h = run.start_seconds.round_ties_even() / SECONDS_PER_HOUR;
    Restart::on(failures, hours, heating_h, attended)?.risk()
}

fn nozzle_life_g(run: &Run) -> Result<Decimal, CostError> {
    if run.material.abrasive {
        grams(
            "the nozzle's life in grams of abrasive plastic",
            run.nozzle.life_abrasive_g,
        )
    } else {
        grams(
            "the nozzle's life in grams of plain plastic",
            run.nozzle.life_plain_g,
        )
    }
}
