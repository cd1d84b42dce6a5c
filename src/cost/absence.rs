//! How long a failed print waits for somebody.

use super::CostError;
use super::decay::{expected_failures, mean_decay, mean_decay_to_end, quantity};
use crate::shop::AttendedWeek;

const DAY_MIN: u32 = 24 * 60;
const WEEK_H: f64 = 7.0 * 24.0;

/// The hours of a week in which nobody is there.
#[derive(Debug, Clone, PartialEq)]
pub struct Absence {
    /// When attended hours begin after a gap, hours after Monday 0:00, in order; Monday 0:00 where there is no gap.
    openings_h: Vec<f64>,
    /// Gaps (leave, return), hours after Monday 0:00; the last may return in the next week.
    gaps_h: Vec<(f64, f64)>,
}

/// Part of a gap as seen from a start: it begins and ends so many hours later, and somebody is back at `back_h`.
#[derive(Debug, Clone, Copy)]
struct Stretch {
    begin_h: f64,
    end_h: f64,
    back_h: f64,
}

impl Absence {
    /// The gaps between a week's attended hours; intervals that touch (also over midnight or Sunday night) are one.
    ///
    /// # Errors
    /// A week without attended hours; an interval that is empty, runs backwards or leaves its day.
    pub fn of(week: &AttendedWeek) -> Result<Self, CostError> {
        let attended = joined(intervals(week)?);
        let (Some(first), Some(last)) = (attended.first(), attended.last()) else {
            return Err(CostError::NeverAttended);
        };
        let mut gaps_min: Vec<(u32, u32)> = attended
            .windows(2)
            .map(|pair| (pair[0].1, pair[1].0))
            .collect();
        if last.1 < first.0 + 7 * DAY_MIN {
            gaps_min.push((last.1, first.0 + 7 * DAY_MIN));
        }
        let gaps_h: Vec<(f64, f64)> = gaps_min
            .iter()
            .map(|&(leave, back)| (f64::from(leave) / 60.0, f64::from(back) / 60.0))
            .collect();
        let mut openings_h: Vec<f64> = gaps_h.iter().map(|gap| gap.1 % WEEK_H).collect();
        if openings_h.is_empty() {
            openings_h.push(0.0);
        }
        openings_h.sort_by(f64::total_cmp);
        Ok(Self { openings_h, gaps_h })
    }

    /// When attended hours begin after a gap, hours after Monday 0:00.
    pub fn openings_h(&self) -> &[f64] {
        &self.openings_h
    }

    /// Mean wait from a failure to the next attended hour, h, for a print that was started `start_h` hours after
    /// Monday 0:00, would last `hours` and does fail, at a constant rate per hour: the failure's moment t is
    /// weighted by `e^(-rate t)` over 0 to `hours`. A failure in attended hours waits for nobody. Integrated exactly
    /// over the gaps, whole weeks by their geometric series, so the work does not grow with the print's length.
    ///
    /// # Errors
    /// Arguments that are not finite numbers of at least 0; a print that would never finish.
    pub fn mean_wait_h(&self, start_h: f64, hours: f64, rate_per_h: f64) -> Result<f64, CostError> {
        let start_h = quantity("the start in the week in hours", start_h)?;
        let expected = expected_failures(hours, rate_per_h)?;
        if hours == 0.0 {
            return Ok(0.0);
        }
        let stretches = self.seen_from(start_h % WEEK_H);
        let weeks = (hours / WEEK_H).floor();
        let rest_h = hours - weeks * WEEK_H;
        let per_week = rate_per_h * WEEK_H;
        let of_a_week = weighted_wait(&stretches, WEEK_H, rate_per_h);
        let of_the_rest = weighted_wait(&stretches, rest_h, rate_per_h);
        let whole = of_a_week * weeks * mean_decay(per_week * weeks) / mean_decay(per_week);
        let waited = whole + (-per_week * weeks).exp() * of_the_rest;
        Ok(waited / (hours * mean_decay(expected)))
    }

    /// [`Absence::mean_wait_h`] averaged over a start at each opening of the week: a shop starts its prints when it
    /// comes in, and they run on.
    ///
    /// # Errors
    /// As [`Absence::mean_wait_h`].
    pub fn mean_wait_from_openings_h(&self, hours: f64, rate_per_h: f64) -> Result<f64, CostError> {
        let mut total = 0.0;
        for &opening in &self.openings_h {
            total += self.mean_wait_h(opening, hours, rate_per_h)?;
        }
        Ok(total / self.openings_h.len() as f64)
    }

    /// The gaps of the week that begins at a start; a gap that the start lies in is split in two.
    fn seen_from(&self, start_h: f64) -> Vec<Stretch> {
        let mut stretches = Vec::with_capacity(self.gaps_h.len() + 1);
        for &(leave, back) in &self.gaps_h {
            let begin_h = (leave - start_h).rem_euclid(WEEK_H);
            let back_h = begin_h + (back - leave);
            stretches.push(Stretch {
                begin_h,
                end_h: back_h.min(WEEK_H),
                back_h,
            });
            if back_h > WEEK_H {
                stretches.push(Stretch {
                    begin_h: 0.0,
                    end_h: back_h - WEEK_H,
                    back_h: back_h - WEEK_H,
                });
            }
        }
        stretches
    }
}

/// Minutes after Monday 0:00 of every attended interval, in order.
fn intervals(week: &AttendedWeek) -> Result<Vec<(u32, u32)>, CostError> {
    for (day, hours) in (1_usize..).zip(&week.days) {
        if let Some(&(from, to)) = hours.iter().find(|(from, to)| from >= to || *to > DAY_MIN) {
            return Err(CostError::BadInterval { day, from, to });
        }
    }
    let mut all = week.intervals_min();
    all.sort_unstable();
    Ok(all)
}

fn joined(intervals: Vec<(u32, u32)>) -> Vec<(u32, u32)> {
    let mut result: Vec<(u32, u32)> = Vec::with_capacity(intervals.len());
    for (from, to) in intervals {
        match result.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(to),
            _ => result.push((from, to)),
        }
    }
    result
}

/// The integral of wait times `e^(-rate t)` over 0 to `until_h`.
fn weighted_wait(stretches: &[Stretch], until_h: f64, rate_per_h: f64) -> f64 {
    stretches
        .iter()
        .map(|stretch| weighted_stretch(stretch, until_h, rate_per_h))
        .sum()
}

fn weighted_stretch(stretch: &Stretch, until_h: f64, rate_per_h: f64) -> f64 {
    let length = stretch.end_h.min(until_h) - stretch.begin_h;
    if length <= 0.0 {
        return 0.0;
    }
    // the wait at t is what is left after the stretch's end, plus the distance to that end
    let beyond = stretch.back_h - (stretch.begin_h + length);
    let x = rate_per_h * length;
    let inside = beyond * length * mean_decay(x) + length * length * mean_decay_to_end(x);
    (-rate_per_h * stretch.begin_h).exp() * inside
}
