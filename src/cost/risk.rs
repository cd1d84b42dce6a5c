//! What failures cost a print that starts again from nothing.

use super::CostError;
use super::absence::Absence;
use super::decay::{expected_failures, lost_share, mean_decay, quantity};
use crate::shop::{AttendedWeek, Failures};

/// A print that starts again from nothing after every failure (design, section 4 "Risk").
///
/// A start fails in its first layers with a fixed chance and a fixed loss of time; a run that is past its start
/// fails at a constant rate per hour of the whole run, heating included, and then stands still for `stop_h`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Restart {
    /// T: length of an undisturbed run, h.
    pub hours: f64,
    /// The part of it that heats up, h; only divides the lost running hours by their power.
    pub heating_h: f64,
    /// p0: chance that a start fails early, 0 to below 1.
    pub start_chance: f64,
    /// D0: hours lost by such a start, h.
    pub start_lost_h: f64,
    /// lambda: failures per hour of a run past its start, 1/h.
    pub rate_per_h: f64,
    /// D: hours lost after such a failure, clearing and the mean wait for somebody, h.
    pub stop_h: f64,
}

/// Expected values per good part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Risk {
    /// Runs past the start, the good one included: `e^(lambda T)`.
    pub runs_past_start: f64,
    /// Starts, the good one included: `e^(lambda T) / (1 - p0)`.
    pub starts: f64,
    /// Machine hours, the good run, failed runs, clearing and waits included, h.
    pub machine_h: f64,
    /// Machine hours beyond the undisturbed run, h.
    pub extra_machine_h: f64,
    /// Plastic lost per gram of the part: `(e^(lambda T) - 1)/(lambda T) - 1`. Early starts lose none in this model.
    pub lost_share: f64,
    /// Hours of failed runs and early starts spent heating, h.
    pub lost_heating_h: f64,
    /// Hours of failed runs and early starts spent printing, h. Clearing and waits run no heater.
    pub lost_printing_h: f64,
    /// Chance that one start does not end in a good part: `1 - (1 - p0) e^(-lambda T)`.
    pub failure_probability: f64,
}

impl Restart {
    /// A run of so many hours on a machine in a shop's week. Its stop is the clearing time plus the mean wait for
    /// the next attended hour, averaged over starts at each opening of the week.
    ///
    /// # Errors
    /// A week that is never attended or badly written; numbers that are not finite and at least 0; a print that
    /// would never finish.
    pub fn on(
        failures: &Failures,
        hours: f64,
        heating_h: f64,
        attended: &AttendedWeek,
    ) -> Result<Self, CostError> {
        let wait_h =
            Absence::of(attended)?.mean_wait_from_openings_h(hours, failures.rate_per_h)?;
        Ok(Self {
            hours,
            heating_h,
            start_chance: failures.start_chance,
            start_lost_h: failures.start_lost_h,
            rate_per_h: failures.rate_per_h,
            stop_h: quantity("the clearing time in hours", failures.clearing_h)? + wait_h,
        })
    }

    /// The expected values per good part.
    ///
    /// # Errors
    /// Numbers that are not finite and at least 0; a start chance of 1 or more; a print that would never finish.
    pub fn risk(&self) -> Result<Risk, CostError> {
        let expected = expected_failures(self.hours, self.rate_per_h)?;
        let heating_h = quantity("the heating time in hours", self.heating_h)?.min(self.hours);
        let start_lost_h = quantity(
            "the time lost by a failed start in hours",
            self.start_lost_h,
        )?;
        let stop_h = quantity("the time lost after a failure in hours", self.stop_h)?;
        let kept = 1.0 - chance(self.start_chance)?;

        let runs_past_start = expected.exp();
        let early_starts = runs_past_start * self.start_chance / kept;
        let lost_share = lost_share(expected);
        // (e^(lambda T) - 1)/lambda = T (1 + lost_share), which also holds at lambda = 0
        let extra_machine_h =
            self.hours * lost_share + expected.exp_m1() * stop_h + early_starts * start_lost_h;
        Ok(Risk {
            runs_past_start,
            starts: runs_past_start / kept,
            machine_h: self.hours + extra_machine_h,
            extra_machine_h,
            lost_share,
            lost_heating_h: self.lost_heating_h(runs_past_start, heating_h)
                + early_starts * start_lost_h.min(heating_h),
            lost_printing_h: self.lost_printing_h(heating_h)
                + early_starts * (start_lost_h - heating_h).max(0.0),
            failure_probability: self.start_chance - kept * (-expected).exp_m1(),
        })
    }

    /// Every run past its start heats until it fails or is hot; the good run's own heating is not lost.
    fn lost_heating_h(&self, runs: f64, heating_h: f64) -> f64 {
        (runs * heating_h * mean_decay(self.rate_per_h * heating_h) - heating_h).max(0.0)
    }

    fn lost_printing_h(&self, heating_h: f64) -> f64 {
        let printing_h = self.hours - heating_h;
        printing_h * lost_share(self.rate_per_h * printing_h)
    }
}

fn chance(value: f64) -> Result<f64, CostError> {
    let what = "the chance that a start fails";
    let value = quantity(what, value)?;
    if value < 1.0 {
        Ok(value)
    } else {
        Err(CostError::NotBelowOne { what, value })
    }
}
