//! Everything a ledger is computed from, checked and made decimal once.

use rust_decimal::Decimal;

use super::CostError;
use super::decimal::{factor, grams, seconds, sum};
use super::ledger::{Run, Starts};
use super::risk::{Restart, Risk};
use crate::shop::{AttendedWeek, Machine, Nozzle, Rates};

const SECONDS_PER_HOUR: f64 = 3600.0;

/// The checked, decimal terms of one order.
#[derive(Debug, Clone)]
pub(super) struct Terms<'a> {
    pub machine: &'a Machine,
    pub nozzle: &'a Nozzle,
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
    pub set_up_min: Decimal,
    pub removal_min: Decimal,
    pub finishing_min: Decimal,
    pub support_removal_min_per_100g: Decimal,
    pub overhead: Decimal,
    pub margin: Decimal,
    pub tax: Decimal,
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
        let risk = risk_of(run, attended)?;
        Ok(Self {
            machine: run.machine,
            nozzle: run.nozzle,
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
            set_up_min: factor("the set-up in minutes", rates.set_up_min)?,
            removal_min: factor("the removal in minutes", rates.removal_min)?,
            finishing_min: factor("the finishing in minutes", rates.finishing_min)?,
            support_removal_min_per_100g: factor(
                "the support removal in minutes per 100 g",
                rates.support_removal_min_per_100g,
            )?,
            overhead: factor("the overhead", rates.overhead)?,
            margin: below_one("the margin", rates.margin)?,
            tax: factor("the tax", rates.tax)?,
            odds: Odds::of(&risk)?,
            risk,
        })
    }
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
fn risk_of(run: &Run, attended: &AttendedWeek) -> Result<Risk, CostError> {
    let hours = run.seconds.round_ties_even() / SECONDS_PER_HOUR;
    let heating_h = run.start_seconds.round_ties_even() / SECONDS_PER_HOUR;
    Restart::on(&run.machine.failures, hours, heating_h, attended)?.risk()
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

fn below_one(what: &'static str, value: f64) -> Result<Decimal, CostError> {
    let share = factor(what, value)?;
    if share < Decimal::ONE {
        Ok(share)
    } else {
        Err(CostError::NotBelowOne { what, value })
    }
}
