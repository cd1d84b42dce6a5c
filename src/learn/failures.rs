//! What a machine's own failures tell of its next ones.
//!
//! The two numbers are those of [`Restart`](crate::cost::Restart): the chance that a start fails in its first layers, and failures per
//! hour printed after it. Starts are drawn independently and failures come at a constant rate, so that what is known of each is
//! a beta and a gamma distribution, before the counts and after them (Gelman et al., *Bayesian Data Analysis*, on conjugate priors
//! of the binomial and the Poisson with exposure, from memory).

use statrs::distribution::{Beta, ContinuousCDF, Gamma};

use super::LearnError;
use super::error::{positive, quantity};
use crate::shop::Failures;

/// Chance that a start fails, thought before a machine's first record, 2 %: a judgement without source.
pub const START_CHANCE: f64 = Failures::DEFAULT_START_CHANCE;
/// Failures per hour printed, thought before a machine's first record, 0.003/h: a judgement without source.
pub const RATE_PER_H: f64 = Failures::DEFAULT_RATE_PER_H;
/// Level of the intervals, equal tails.
pub const FAILURE_LEVEL: f64 = 0.9;

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
/// More failed starts than starts; hours that are not finite and at least 0; failures in no hours.
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
    /// Counts that are not finite and above 0.
    pub fn learnt(self) -> Result<Learnt, LearnError> {
        let failed = positive("the number of failed tries", self.failed)?;
        let held = positive("the number of tries that held", self.held)?;
        let what = "the chance that a start fails";
        let beta = Beta::new(failed, held).map_err(|_| LearnError::NoDistribution { what })?;
        Ok(Learnt::of(failed / (failed + held), |chance| {
            beta.inverse_cdf(chance)
        }))
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
    /// Counts or hours that are not finite and above 0.
    pub fn learnt(self) -> Result<Learnt, LearnError> {
        let failures = positive("the number of failures", self.failures)?;
        let hours = positive("the hours printed", self.hours)?;
        let what = "the rate of failures per hour";
        // in units of 1/hours, so that the library's search always works near 1
        let gamma = Gamma::new(failures, 1.0).map_err(|_| LearnError::NoDistribution { what })?;
        Ok(Learnt::of(failures / hours, |chance| {
            gamma.inverse_cdf(chance) / hours
        }))
    }
}

impl Learnt {
    fn of(mean: f64, below: impl Fn(f64) -> f64) -> Learnt {
        let tail = 0.5 * (1.0 - FAILURE_LEVEL);
        Learnt {
            mean,
            from: below(tail),
            to: below(1.0 - tail),
            level: FAILURE_LEVEL,
        }
    }
}
