//! How many prints a machine makes in a week that nothing disturbs.

use jiff::Timestamp;

use super::queue::{Job, Line};
use super::run::undisturbed_s;
use super::{CalendarError, Chances, Print, Queue, WorkingTime};
use crate::shop::AttendedWeek;

const WEEK_S: f64 = 7.0 * 24.0 * 3600.0;

/// How many prints a machine makes, once running.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pace {
    /// Prints a week.
    pub per_week: f64,
    /// Prints a day on which somebody is there.
    pub per_attended_day: f64,
}

impl Pace {
    /// Two words for it, such as "one a day", "three a day" or "2.4 a week".
    pub fn in_words(&self) -> String {
        const WORDS: [&str; 10] = [
            "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
        ];
        // The first and the last day of a run make a whole number miss by a little.
        let (count, span) = match self.per_attended_day {
            day if day >= 0.98 => (day, "day"),
            _ => (self.per_week, "week"),
        };
        let whole = count.round();
        let word = (whole >= 1.0 && (count - whole).abs() <= 0.02 * whole)
            .then(|| WORDS.get(whole as usize - 1))
            .flatten();
        match word {
            Some(word) => format!("{word} a {span}"),
            None if count >= 10.0 => format!("{count:.0} a {span}"),
            None => format!("{count:.1} a {span}"),
        }
    }
}

/// The pace of equal prints in a week without holidays, without failures and with nothing else on the machine.
///
/// # Errors
/// A week without hours, and numbers that are none.
pub fn pace(
    attended: &AttendedWeek,
    print: &Print,
    changeover_s: f64,
    spool_change_s: f64,
) -> Result<Pace, CalendarError> {
    let time = WorkingTime::weekly(attended)?;
    let queue = Queue {
        free_from: Timestamp::UNIX_EPOCH,
        busy: Vec::new(),
        ready: true,
        changeover_s,
        spool_change_s,
        clearing_s: 0.0,
        prints: vec![Print {
            times: 1,
            chances: Chances::NONE,
            ..*print
        }],
    };
    let line = Line::of(&queue, Timestamp::UNIX_EPOCH)?;
    let first = line.jobs.first().ok_or(CalendarError::NoPrints)?;
    Ok(pace_of(attended, &time, &line, first))
}

fn pace_of(attended: &AttendedWeek, time: &WorkingTime, line: &Line, job: &Job) -> Pace {
    // A few prints fit into one day and say nothing of the nights.
    const PACED: u32 = 200;
    let begun = time.attended_after_s(0);
    let end = undisturbed_s(time, line, job, PACED);
    let cleared = time.worked_s(end, line.changeover_s);
    let cycle_s = (cleared - begun) as f64 / f64::from(PACED);
    let per_week = if cycle_s > 0.0 { WEEK_S / cycle_s } else { 0.0 };
    let days = attended.days.iter().filter(|hours| !hours.is_empty());
    Pace {
        per_week,
        per_attended_day: per_week / days.count().max(1) as f64,
    }
}

/// Where `times` prints end that start at `from` or later, all in seconds after a Monday 0:00 of a week that repeats, without
/// changeover before the first.
///
/// # Errors
/// As [`pace`].
pub(crate) fn end_s(
    time: &WorkingTime,
    from: i64,
    print: &Print,
    changeover_s: f64,
) -> Result<i64, CalendarError> {
    let from = super::working_time::timestamp(from);
    let queue = Queue {
        free_from: from,
        busy: Vec::new(),
        ready: true,
        changeover_s,
        spool_change_s: 0.0,
        clearing_s: 0.0,
        prints: vec![*print],
    };
    let line = Line::of(&queue, from)?;
    let job = line.jobs.first().ok_or(CalendarError::NoPrints)?;
    Ok(undisturbed_s(time, &line, job, job.times))
}
