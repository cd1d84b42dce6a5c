//! What the book teaches: corrections of hours and grams by row, how good the bands were, and failures by machine.

use std::collections::BTreeMap;

use jiff::civil::DateTime;

use super::error::StoreError;
use super::history::{Observed, Row, exposures, observed};
use super::jobs::Jobs;
use crate::learn::{
    BandFactor, BandedPair, Correction, Errors, Exposure, FailuresLearnt, LearnError, Pair,
    band_factor, correction, errors_left_out, failures,
};

/// What one row's prints teach.
#[derive(Debug, Clone, PartialEq)]
pub struct RowLesson {
    /// Machine, nozzle and material.
    pub row: Row,
    /// Real hours over the model's.
    pub hours: Correction,
    /// How far off hours were, and are with the correction; `None` with fewer than two prints.
    pub hours_errors: Option<Errors>,
    /// The same of the prints that were held by motion, melt or cooling, where there are several of these.
    pub by_limit: Vec<(String, Correction)>,
    /// Weighed grams over the model's, where any were weighed.
    pub grams: Option<Correction>,
    /// How far off grams were, and are.
    pub grams_errors: Option<Errors>,
    /// How good the bands were.
    pub bands: BandFactor,
}

/// What one machine's failures teach.
#[derive(Debug, Clone, PartialEq)]
pub struct FailureLesson {
    /// The machine's id.
    pub machine: String,
    /// Its record.
    pub exposure: Exposure,
    /// What follows.
    pub learnt: FailuresLearnt,
}

/// All that the book teaches.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Lessons {
    /// By row.
    pub rows: Vec<RowLesson>,
    /// By machine.
    pub failures: Vec<FailureLesson>,
}

const HOURS_PER_DAY: f64 = 24.0;
/// A band that begins below this share of its hours is taken to begin there.
const LEAST_SHARE: f64 = 0.01;

impl Lessons {
    /// What the book teaches at a time.
    ///
    /// # Errors
    /// Figures from which nothing can be learned, with the job they are of.
    pub fn of(jobs: &Jobs, now: DateTime) -> Result<Lessons, StoreError> {
        let mut by_row: BTreeMap<Row, Vec<Observed>> = BTreeMap::new();
        for print in observed(jobs) {
            by_row.entry(Row::of(&print.offer)).or_default().push(print);
        }
        let taught = |e: LearnError| StoreError::Refused(format!("nothing can be learned: {e}"));
        let rows = by_row
            .into_iter()
            .map(|(row, prints)| RowLesson::of(row, &prints, now))
            .collect::<Result<_, _>>()
            .map_err(taught)?;
        let failures = exposures(jobs)
            .into_iter()
            .map(|(machine, exposure)| {
                Ok(FailureLesson {
                    machine,
                    exposure,
                    learnt: failures(&[exposure])?,
                })
            })
            .collect::<Result<_, _>>()
            .map_err(taught)?;
        Ok(Lessons { rows, failures })
    }

    /// Sentences on corrections that are too large to be taken without being asked about.
    pub fn extreme(&self) -> Vec<String> {
        let all = self.rows.iter().flat_map(|lesson| {
            let name = lesson.row.name();
            let grams = lesson.grams.as_ref().map(|grams| ("grams", grams));
            [("hours", &lesson.hours)]
                .into_iter()
                .chain(grams)
                .filter(|(_, correction)| correction.is_extreme())
                .map(|(what, correction)| {
                    format!(
                        "the {what} of {name} would be multiplied by {:.3}",
                        correction.factor
                    )
                })
                .collect::<Vec<_>>()
        });
        all.collect()
    }
}

impl RowLesson {
    fn of(row: Row, prints: &[Observed], now: DateTime) -> Result<RowLesson, LearnError> {
        let pairs: Vec<Pair> = prints.iter().map(|p| hours_pair(p, now)).collect();
        let mut limits: Vec<&str> = prints.iter().map(|p| p.offer.limit.as_str()).collect();
        limits.sort_unstable();
        limits.dedup();
        let of_limit = |limit: &&str| {
            let of: Vec<Pair> = prints
                .iter()
                .filter(|p| p.offer.limit == *limit)
                .map(|p| hours_pair(p, now))
                .collect();
            correction(&of).map(|correction| ((*limit).to_owned(), correction))
        };
        let by_limit = if limits.len() > 1 {
            limits.iter().map(of_limit).collect::<Result<_, _>>()?
        } else {
            Vec::new()
        };
        let grams: Vec<Pair> = prints.iter().filter_map(|p| grams_pair(p, now)).collect();
        let banded: Vec<BandedPair> = prints.iter().map(|p| banded(p, now)).collect();
        Ok(RowLesson {
            row,
            hours: correction(&pairs)?,
            hours_errors: errors_left_out(&pairs)?,
            by_limit,
            grams: (!grams.is_empty())
                .then(|| correction(&grams))
                .transpose()?,
            grams_errors: errors_left_out(&grams)?,
            bands: band_factor(&banded)?,
        })
    }
}

fn age_days(print: &Observed, now: DateTime) -> f64 {
    let hours = now.duration_since(print.ended).as_secs_f64() / 3600.0;
    (hours / HOURS_PER_DAY).max(0.0)
}

/// Against the model without any correction, so that what is learned stands in the place of what was.
fn hours_pair(print: &Observed, now: DateTime) -> Pair {
    Pair {
        estimated: print.model_h(),
        actual: print.hours,
        age_days: age_days(print, now),
    }
}

fn grams_pair(print: &Observed, now: DateTime) -> Option<Pair> {
    Some(Pair {
        estimated: print.offer.grams / print.offer.grams_correction,
        actual: print.grams?,
        age_days: age_days(print, now),
    })
}

/// The band as it would have been without an earlier learning.
fn banded(print: &Observed, now: DateTime) -> BandedPair {
    let pair = hours_pair(print, now);
    let offer = &print.offer;
    let end =
        |seconds: f64| pair.estimated * (seconds / offer.seconds).powf(1.0 / offer.band_factor);
    BandedPair {
        pair,
        // A band may reach down to nothing; its logarithm may not.
        from: end(offer.seconds_from.max(LEAST_SHARE * offer.seconds)).min(pair.estimated),
        to: end(offer.seconds_to).max(pair.estimated),
    }
}
