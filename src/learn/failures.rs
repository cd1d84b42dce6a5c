//! What a machine's own failures tell of its next ones.
//!
//! The two numbers are those of [`Restart`](crate::cost::Restart): the chance that a start fails in its first layers, and failures per
//! hour printed after it. Starts are drawn independently and failures come at a constant rate, so that what is known of each is
//! a beta and a gamma distribution, before the counts and after them (Gelman et al., *Bayesian Data Analysis*, on conjugate priors
//! of the binomial and the Poisson with exposure, from memory).

use statrs::function::beta::checked_beta_reg;
use statrs::function::gamma::checked_gamma_lr;

use super::LearnError;
use super::error::{positive, quantity};
use crate::shop::Failures;

/// Chance that a start fails, thought before a machine's first record, 2 %: a judgement without source.
pub const START_CHANCE: f64 = Failures::DEFAULT_START_CHANCE;
/// Failures per hour printed, thought before a machine's first record, 0.003/h: a judgement without source.
pub const RATE_PER_H: f64 = Failures::DEFAULT_RATE_PER_H;
/// Level of the intervals, equal tails.
pub const FAILURE_LEVEL: f64 = 0.9;
/// Tries and failures are taken up to so many: more than any shop has, and few enough for the library's series to end.
const MOST_COUNT: f64 = 1e9;

/// What a machine has done.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Exposure {
    /// Starts, the failed ones included.
    pub starts: u64,
    /// Those that failed in their first layers.
    pub early_failures: u64,
    /// Hours printed past the start, those of failed prints included, h.
    pub hours: f64,
    /// Prints that failed in those hours.
    pub failures: u64,
}

/// What is known of a chance or a rate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Learnt {
    /// The mean: what to reckon with.
    pub mean: f64,
    /// It is below this with a chance of 5 %,
    pub from: f64,
    /// and above this with 5 %.
    pub to: f64,
    /// Chance that it lies between: [`FAILURE_LEVEL`].
    pub level: f64,
}

/// Both numbers of a machine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FailuresLearnt {
    /// p0: chance that a start fails early.
    pub start_chance: Learnt,
    /// lambda: failures per hour of a run past its start, 1/h.
    pub rate_per_h: Learnt,
}

/// What the records of a machine make of [`START_CHANCE`] and [`RATE_PER_H`].
///
/// # Errors
/// More failed starts than starts; hours that are not finite and at least 0; failures in no hours; more than 1e9 of anything
/// counted.
pub fn failures(exposures: &[Exposure]) -> Result<FailuresLearnt, LearnError> {
    failures_from(START_CHANCE, RATE_PER_H, exposures)
}

/// The same from a chance and a rate (1/h) of the shop's own, each taken to be worth one failure: as many starts and hours as
/// hold one failure at them, 50 starts and 333 h at the defaults. It is the least that still has a mean, and the first failure
/// the shop sees for itself weighs as much as the judgement.
///
/// # Errors
/// Those of [`failures`]; a chance that is not above 0 and below 1; a rate that is not finite and above 0.
pub fn failures_from(
    start_chance: f64,
    rate_per_h: f64,
    exposures: &[Exposure],
) -> Result<FailuresLearnt, LearnError> {
    let mut chance = ChanceOf::worth_one_failure(start_chance)?;
    let mut rate = RateOf::worth_one_failure(rate_per_h)?;
    for exposure in exposures {
        chance = chance.after(exposure.starts, exposure.early_failures)?;
        rate = rate.after(exposure.hours, exposure.failures)?;
    }
    Ok(FailuresLearnt {
        start_chance: chance.learnt()?,
        rate_per_h: rate.learnt()?,
    })
}

/// A beta distribution of a chance, in the counts it is worth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChanceOf {
    /// Failed tries, above 0.
    pub failed: f64,
    /// Tries that held, above 0.
    pub held: f64,
}

impl ChanceOf {
    /// A mean that is worth one failed try: beta with 1 and `1/mean - 1`.
    ///
    /// # Errors
    /// A mean that is not above 0 and below 1.
    pub fn worth_one_failure(mean: f64) -> Result<Self, LearnError> {
        if mean > 0.0 && mean < 1.0 {
            Ok(ChanceOf {
                failed: 1.0,
                held: 1.0 / mean - 1.0,
            })
        } else {
            let what = "the chance that a start fails";
            Err(LearnError::NotAChance { what, value: mean })
        }
    }

    /// What tries make of it: failed ones are added to `failed`, the others to `held`.
    ///
    /// # Errors
    /// More failures than tries.
    pub fn after(self, tries: u64, failures: u64) -> Result<Self, LearnError> {
        let held = tries
            .checked_sub(failures)
            .ok_or(LearnError::MoreFailuresThanStarts {
                early_failures: failures,
                starts: tries,
            })?;
        Ok(ChanceOf {
            failed: self.failed + failures as f64,
            held: self.held + held as f64,
        })
    }

    /// Mean `failed/(failed + held)` and interval.
    ///
    /// # Errors
    /// Counts that are not finite and above 0, or above 1e9.
    pub fn learnt(self) -> Result<Learnt, LearnError> {
        let failed = count("the number of failed tries", self.failed)?;
        let held = count("the number of tries that held", self.held)?;
        let mean = failed / (failed + held);
        let below = |x: f64| checked_beta_reg(failed, held, x).ok();
        Learnt::of("the chance that a start fails", mean, 1.0, 1.0, below)
    }
}

/// A gamma distribution of a rate, in the counts it is worth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RateOf {
    /// Failures, above 0.
    pub failures: f64,
    /// Hours in which they came, above 0.
    pub hours: f64,
}

impl RateOf {
    /// A mean (1/h) that is worth one failure: gamma with shape 1 and `1/mean` hours.
    ///
    /// # Errors
    /// A mean that is not finite and above 0.
    pub fn worth_one_failure(mean: f64) -> Result<Self, LearnError> {
        let mean = positive("the rate of failures per hour", mean)?;
        Ok(RateOf {
            failures: 1.0,
            hours: 1.0 / mean,
        })
    }

    /// What hours make of it: failures and hours are added.
    ///
    /// # Errors
    /// Hours that are not finite and at least 0; failures in no hours.
    pub fn after(self, hours: f64, failures: u64) -> Result<Self, LearnError> {
        let hours = quantity("the hours printed", hours)?;
        if failures > 0 && hours == 0.0 {
            return Err(LearnError::FailuresWithoutHours { failures });
        }
        Ok(RateOf {
            failures: self.failures + failures as f64,
            hours: self.hours + hours,
        })
    }

    /// Mean `failures/hours` (1/h) and interval.
    ///
    /// # Errors
    /// Counts or hours that are not finite and above 0; failures above 1e9.
    pub fn learnt(self) -> Result<Learnt, LearnError> {
        let failures = count("the number of failures", self.failures)?;
        let hours = positive("the hours printed", self.hours)?;
        // no rate of so many failures lies beyond: 30 deviations, and 30 more for the few
        let most = 30.0 + failures + 30.0 * failures.sqrt();
        let below = |x: f64| checked_gamma_lr(failures, x).ok();
        let what = "the rate of failures per hour";
        Learnt::of(what, failures / hours, most, hours, below)
    }
}

impl Learnt {
    /// From the chance of a value below `x`, for `x` from 0 to `most`; values are `x` over `unit`.
    fn of(
        what: &'static str,
        mean: f64,
        most: f64,
        unit: f64,
        below: impl Fn(f64) -> Option<f64>,
    ) -> Result<Learnt, LearnError> {
        let tail = 0.5 * (1.0 - FAILURE_LEVEL);
        let end =
            |chance| halved_to(chance, most, &below).ok_or(LearnError::NoDistribution { what });
        Ok(Learnt {
            mean,
            from: end(tail)? / unit,
            to: end(1.0 - tail)? / unit,
            level: FAILURE_LEVEL,
        })
    }
}

/// Tries or failures above 0, at most [`MOST_COUNT`].
fn count(what: &'static str, value: f64) -> Result<f64, LearnError> {
    let value = positive(what, value)?;
    if value <= MOST_COUNT {
        Ok(value)
    } else {
        let most = MOST_COUNT;
        Err(LearnError::TooMany { what, value, most })
    }
}

/// Where a rising function passes a chance, between 0 and `most`, by halving until no double lies between. The library's own search for
/// quantiles of the beta does not end for ten million starts; its distribution functions do. `None` where they refuse.
fn halved_to(chance: f64, most: f64, below: impl Fn(f64) -> Option<f64>) -> Option<f64> {
    let (mut low, mut high) = (0.0, most);
    loop {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            return Some(middle);
        }
        let there = below(middle)?;
        if there.is_nan() {
            return None;
        }
        if there < chance {
            low = middle;
        } else {
            high = middle;
        }
    }
}
