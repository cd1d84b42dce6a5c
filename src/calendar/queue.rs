//! What a machine still has to print, and the numbers of it that are followed.

use jiff::Timestamp;

use super::CalendarError;
use crate::cost::Restart;

/// The most spool changes of one print that are followed.
pub const MOST_SPOOL_CHANGES: u32 = 1000;
/// The most starts that one good print may take on average.
pub const MOST_STARTS: f64 = 1000.0;
/// The longest time that is taken, s: 30 years.
const LONGEST_S: i64 = 30 * 366 * 24 * 3600;

/// How a print fails: as [`Restart`], in which each failure means a start from nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chances {
    /// Chance that a start fails early, 0 to below 1.
    pub start_chance: f64,
    /// What such a start takes, s. Somebody is there for it, or finds it when next there; there is nothing to clear.
    pub start_lost_s: f64,
    /// Failures per hour of a run past its start, 1/h. Each is found and cleared when somebody is there.
    pub rate_per_h: f64,
}

impl Chances {
    /// A print that never fails.
    pub const NONE: Chances = Chances {
        start_chance: 0.0,
        start_lost_s: 0.0,
        rate_per_h: 0.0,
    };

    /// Those of a print whose cost was asked. Its mean wait for somebody is left out: the calendar knows each wait itself.
    pub fn of(restart: &Restart) -> Self {
        Chances {
            start_chance: restart.start_chance,
            start_lost_s: restart.start_lost_h * 3600.0,
            rate_per_h: restart.rate_per_h,
        }
    }
}

/// Equal prints, one after the other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Print {
    /// Length of one that is not disturbed, heating included, s.
    pub seconds: f64,
    /// How many good ones are wanted.
    pub times: u32,
    /// Spool changes of one: it halts at each, spread evenly over it, until somebody is there and has changed the spool.
    pub spool_changes: u32,
    /// How it fails.
    pub chances: Chances,
}

/// What a machine has to do.
#[derive(Debug, Clone, PartialEq)]
pub struct Queue {
    /// When the machine is free; the moment asked for, where that is later.
    pub free_from: Timestamp,
    /// Spans that are taken by others, with the changeover before each; in any order, they may overlap. A print starts only where it
    /// would end, undisturbed, before the next one begins.
    pub busy: Vec<(Timestamp, Timestamp)>,
    /// Whether bed and machine are ready for the first print, so that it needs no changeover.
    pub ready: bool,
    /// Attended work between two prints: taking off the finished bed and making ready for the next, s.
    pub changeover_s: f64,
    /// Attended work of a spool change in a print, s.
    pub spool_change_s: f64,
    /// Attended work after a failure before the next start, s. No changeover comes on top.
    pub clearing_s: f64,
    /// What it prints, in this order.
    pub prints: Vec<Print>,
}

/// A [`Print`] in whole seconds, checked.
#[derive(Debug, Clone, Copy)]
pub(super) struct Job {
    pub seconds: i64,
    pub times: u32,
    pub spool_changes: u32,
    pub start_chance: f64,
    pub start_lost_s: i64,
    pub rate_per_s: f64,
    /// Starts that a good one takes on average.
    pub starts: f64,
}

/// A [`Queue`] in whole seconds, checked; what is taken is in order and apart.
#[derive(Debug, Clone)]
pub(super) struct Line {
    pub free_from: i64,
    pub busy: Vec<(i64, i64)>,
    pub ready: bool,
    pub changeover_s: i64,
    pub spool_change_s: i64,
    pub clearing_s: i64,
    pub jobs: Vec<Job>,
}

impl Line {
    pub fn of(queue: &Queue, now: Timestamp) -> Result<Self, CalendarError> {
        let wanted = queue.prints.iter().filter(|print| print.times > 0);
        Ok(Line {
            free_from: queue.free_from.max(now).as_second(),
            busy: apart(&queue.busy),
            ready: queue.ready,
            changeover_s: whole("the changeover", queue.changeover_s)?,
            spool_change_s: whole("a spool change", queue.spool_change_s)?,
            clearing_s: whole("clearing a failed print", queue.clearing_s)?,
            jobs: wanted.map(Job::of).collect::<Result<_, _>>()?,
        })
    }
}

impl Job {
    fn of(print: &Print) -> Result<Self, CalendarError> {
        let seconds = whole("the length of a print", print.seconds)?;
        if print.spool_changes > MOST_SPOOL_CHANGES {
            return Err(CalendarError::TooManySpoolChanges {
                given: print.spool_changes,
                most: MOST_SPOOL_CHANGES,
            });
        }
        let chances = &print.chances;
        let what = "the chance that a start fails";
        let start_chance = at_least_0(what, chances.start_chance, " and below 1")?;
        let rate_per_s = at_least_0("the failure rate per hour", chances.rate_per_h, "")? / 3600.0;
        // The expected starts of a print that starts again from nothing (design, section 4 "Risk").
        let starts = (rate_per_s * seconds as f64).exp() / (1.0 - start_chance);
        if start_chance >= 1.0 || starts > MOST_STARTS {
            let hours = seconds as f64 / 3600.0;
            return Err(match start_chance {
                1.0.. => CalendarError::NotAChance {
                    what,
                    value: start_chance,
                    below: " and below 1",
                },
                _ => CalendarError::NeverFinishes { hours, starts },
            });
        }
        Ok(Job {
            seconds,
            times: print.times,
            spool_changes: print.spool_changes,
            start_chance,
            start_lost_s: whole("the time lost by a failed start", chances.start_lost_s)?,
            rate_per_s,
            starts,
        })
    }
}

/// A time in whole seconds.
pub(super) fn whole(what: &'static str, seconds: f64) -> Result<i64, CalendarError> {
    if (0.0..=LONGEST_S as f64).contains(&seconds) {
        return Ok(seconds.round() as i64);
    }
    Err(CalendarError::NotATime {
        what,
        value: seconds,
        most: LONGEST_S,
    })
}

fn at_least_0(what: &'static str, value: f64, below: &'static str) -> Result<f64, CalendarError> {
    if value.is_finite() && value >= 0.0 {
        return Ok(value);
    }
    Err(CalendarError::NotAChance { what, value, below })
}

/// Spans in order; those that touch or overlap are one.
fn apart(spans: &[(Timestamp, Timestamp)]) -> Vec<(i64, i64)> {
    let seconds = |(from, to): &(Timestamp, Timestamp)| (from.as_second(), to.as_second());
    let mut all: Vec<(i64, i64)> = spans.iter().map(seconds).collect();
    all.retain(|(from, to)| from < to);
    all.sort_unstable();
    let mut result: Vec<(i64, i64)> = Vec::with_capacity(all.len());
    for (from, to) in all {
        match result.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(to),
            _ => result.push((from, to)),
        }
    }
    result
}
