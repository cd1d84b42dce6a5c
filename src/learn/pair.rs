//! One job: what was estimated and what it took.

use super::LearnError;
use super::error::{positive, quantity};
use super::track::Track;

/// Jobs whose actual figure is further from the estimate than by this factor are refused: 60 is minutes entered for hours, 1000
/// grams for kilograms. A slip of the decimal point by one or two places is a wild entry, and borne.
pub const GREATEST_RATIO: f64 = 500.0;

/// One job: what was estimated and what it took, in the same unit (hours or grams).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// What was estimated before any learnt correction, h or g, above 0.
    pub estimated: f64,
    /// What it took, h or g, above 0.
    pub actual: f64,
    /// How long ago the job was done, days, at least 0.
    pub age_days: f64,
}

impl Pair {
    /// The job as its logarithmic ratio and its age, with its place in a list.
    ///
    /// # Errors
    /// Figures that are not finite and above 0; an age that is not finite and at least 0; figures of two jobs.
    pub(super) fn job(&self, given: usize) -> Result<Job, LearnError> {
        let estimated = positive("the estimated figure", self.estimated)?;
        let actual = positive("the actual figure", self.actual)?;
        let age_days = quantity("the age of a job in days", self.age_days)?;
        // the difference of logarithms can't overflow where the ratio could
        let log_ratio = actual.ln() - estimated.ln();
        if log_ratio.abs() > GREATEST_RATIO.ln() {
            return Err(LearnError::NotTheSameJob {
                estimated,
                actual,
                most: GREATEST_RATIO,
            });
        }
        Ok(Job {
            log_ratio,
            age_days,
            given,
        })
    }
}

/// A checked job.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Job {
    /// `ln(actual / estimated)`.
    pub log_ratio: f64,
    /// Days since.
    pub age_days: f64,
    /// Its place in the list that was given.
    pub given: usize,
}

/// Checked jobs, the oldest first. Jobs of one day are put in the order of their ratios, so that the order in which they
/// were given is without effect to the last bit.
pub(super) fn jobs(pairs: &[Pair]) -> Result<Vec<Job>, LearnError> {
    let each = pairs
        .iter()
        .enumerate()
        .map(|(given, pair)| pair.job(given));
    let mut jobs = each.collect::<Result<Vec<_>, _>>()?;
    jobs.sort_by(|a, b| {
        b.age_days
            .total_cmp(&a.age_days)
            .then(a.log_ratio.total_cmp(&b.log_ratio))
    });
    Ok(jobs)
}

/// What the other jobs say to each pair, in the order of the pairs: the logarithm of the factor its estimate is to be multiplied by.
pub(super) fn log_factors_left_out(pairs: &[Pair]) -> Result<Vec<f64>, LearnError> {
    let jobs = jobs(pairs)?;
    let mut factors = vec![0.0; pairs.len()];
    for (job, known) in jobs.iter().zip(Track::of(&jobs).left_out()) {
        factors[job.given] = known.quantile(0.5);
    }
    Ok(factors)
}
