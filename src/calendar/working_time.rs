//! When somebody is there.

use jiff::civil::{Date, Time, Weekday};
use jiff::tz::TimeZone;
use jiff::{Timestamp, ToSpan, Zoned};

use super::CalendarError;
use crate::shop::{AttendedWeek, Shop, ShopCalendar};

const WEEK_S: i64 = 7 * 24 * 3600;
const DAY_MIN: u32 = 24 * 60;

/// Days that are looked at one by one, about ten years. What comes after them goes on week by week.
const DAYS: i64 = 3660;
/// How soon somebody must be there, two years.
const SOON_S: i64 = 731 * 24 * 3600;

/// When somebody is there, as moments: the shop's week on the shop's own clock, less its holidays.
///
/// Moments are whole seconds since 1970 (UTC). Ten years are laid out day by day, with every change of the clock and every
/// holiday; after them the week repeats without either. What lies before the first day counts as that day.
#[derive(Debug, Clone)]
pub struct WorkingTime {
    /// Attended spans of the days laid out, in order, apart from each other.
    spans: Vec<(i64, i64)>,
    /// Where the days laid out end.
    laid_out_to: i64,
    /// Attended spans of every week after that, seconds after its Monday 0:00.
    week: Vec<(i64, i64)>,
    /// A Monday 0:00 of the shop's clock, from which those weeks are counted.
    monday: i64,
    /// Attended seconds of such a week.
    week_s: i64,
    zone: TimeZone,
}

impl WorkingTime {
    /// The working time of a shop from the day of a moment on.
    ///
    /// # Errors
    /// [`CalendarError::NeverAttended`] where nobody is there within two years.
    pub fn of(shop: &Shop, from: Timestamp) -> Result<Self, CalendarError> {
        Self::on(&shop.attended, &shop.calendar, from)
    }

    /// The same of a week and a calendar.
    ///
    /// # Errors
    /// As [`WorkingTime::of`].
    pub fn on(
        attended: &AttendedWeek,
        calendar: &ShopCalendar,
        from: Timestamp,
    ) -> Result<Self, CalendarError> {
        let time = Self::laid_out(attended, calendar, from);
        let soon = from.as_second().saturating_add(SOON_S);
        if attended.days.iter().all(Vec::is_empty)
            || time.spans.first().is_none_or(|(opens, _)| *opens > soon)
        {
            let from = calendar.zone.to_datetime(from).date();
            return Err(CalendarError::NeverAttended { from });
        }
        Ok(time)
    }

    /// The same, however long nobody is there. A week without hours, which no shop file gives, counts as always attended.
    pub(crate) fn laid_out(
        attended: &AttendedWeek,
        calendar: &ShopCalendar,
        from: Timestamp,
    ) -> Self {
        let mut spans = Vec::new();
        let mut day = calendar.zone.to_datetime(from).date();
        for _ in 0..DAYS {
            if !calendar.is_closed(day) {
                // A weekday is one of seven.
                let hours = &attended.days[day.weekday().to_monday_zero_offset() as usize];
                for &(opens, closes) in hours {
                    let span = (moment(calendar, day, opens), moment(calendar, day, closes));
                    add(&mut spans, span);
                }
            }
            // Only the last day of the year 9999 has none after it.
            let Ok(next) = day.tomorrow() else { break };
            day = next;
        }
        let back = i64::from(day.weekday().since(Weekday::Monday));
        let monday = day.checked_sub(back.days()).unwrap_or(day);
        let week = seconds_of(attended);
        WorkingTime {
            spans,
            laid_out_to: moment(calendar, day, 0),
            week_s: week.iter().map(|(from, to)| to - from).sum(),
            week,
            monday: moment(calendar, monday, 0),
            zone: calendar.zone.clone(),
        }
    }

    /// A week that repeats for ever, without dates: moments are seconds after a Monday 0:00.
    ///
    /// # Errors
    /// [`CalendarError::NeverAttended`] where the week has no hours.
    pub fn weekly(attended: &AttendedWeek) -> Result<Self, CalendarError> {
        let week = seconds_of(attended);
        if week.is_empty() {
            let from = Timestamp::UNIX_EPOCH.to_zoned(TimeZone::UTC).date();
            return Err(CalendarError::NeverAttended { from });
        }
        Ok(WorkingTime {
            spans: Vec::new(),
            laid_out_to: i64::MIN,
            week_s: week.iter().map(|(from, to)| to - from).sum(),
            week,
            monday: 0,
            zone: TimeZone::UTC,
        })
    }

    /// The next moment at or after `at` at which somebody is there. At the minute of closing nobody is there any more.
    pub fn next_attended(&self, at: Timestamp) -> Timestamp {
        timestamp(self.attended_after_s(at.as_second()))
    }

    /// When `seconds` of attended work that may begin at `from` are done. Work goes on where it was left when somebody is
    /// there again; without work it is `from` itself.
    pub fn work(&self, from: Timestamp, seconds: u32) -> Timestamp {
        timestamp(self.worked_s(from.as_second(), i64::from(seconds)))
    }

    /// A moment as the shop's clock and calendar show it.
    pub fn zoned(&self, at: Timestamp) -> Zoned {
        at.to_zoned(self.zone.clone())
    }

    /// [`WorkingTime::next_attended`] in seconds.
    pub(crate) fn attended_after_s(&self, at: i64) -> i64 {
        self.attended_s(at, &mut self.hint(at))
    }

    /// [`WorkingTime::work`] in seconds.
    pub(crate) fn worked_s(&self, from: i64, seconds: i64) -> i64 {
        self.work_s(from, seconds, &mut self.hint(from))
    }

    fn hint(&self, at: i64) -> usize {
        self.spans.partition_point(|(_, closes)| *closes <= at)
    }

    /// [`WorkingTime::next_attended`] in seconds. `hint` may point to any span that begins before `at`; it moves on.
    pub(crate) fn attended_s(&self, at: i64, hint: &mut usize) -> i64 {
        self.span_s(at, hint).0.max(at)
    }

    /// [`WorkingTime::work`] in seconds, with a hint as [`WorkingTime::attended_s`].
    pub(crate) fn work_s(&self, from: i64, mut seconds: i64, hint: &mut usize) -> i64 {
        let mut now = from;
        while seconds > 0 {
            let (opens, closes) = self.span_s(now, hint);
            now = now.max(opens);
            // Whole weeks of a week that repeats are the same from whichever moment in it.
            if now >= self.laid_out_to && seconds > self.week_s && self.week_s > 0 {
                let weeks = (seconds - 1) / self.week_s;
                seconds -= weeks * self.week_s;
                now += weeks * WEEK_S;
                continue;
            }
            let done = seconds.min(closes - now);
            seconds -= done;
            now += done;
        }
        now
    }

    /// The attended span that `at` lies in, or else the next: it ends after `at`.
    fn span_s(&self, at: i64, hint: &mut usize) -> (i64, i64) {
        while let Some(&span) = self.spans.get(*hint) {
            if span.1 > at {
                return span;
            }
            *hint += 1;
        }
        let at = at.max(self.laid_out_to);
        let monday = at - (at - self.monday).rem_euclid(WEEK_S);
        let later = self.week.iter().find(|(_, to)| monday + to > at);
        match (later, self.week.first()) {
            (Some(&(from, to)), _) => (monday + from, monday + to),
            (None, Some(&(from, to))) => (monday + WEEK_S + from, monday + WEEK_S + to),
            (None, None) => (at, i64::MAX),
        }
    }
}

pub(crate) fn timestamp(seconds: i64) -> Timestamp {
    Timestamp::from_second(seconds).unwrap_or(if seconds < 0 {
        Timestamp::MIN
    } else {
        Timestamp::MAX
    })
}

/// Adds a span; one that touches or overlaps the last one lengthens it. Hours that the clock leaves out are none.
fn add(spans: &mut Vec<(i64, i64)>, (from, to): (i64, i64)) {
    match spans.last_mut() {
        Some(last) if from <= last.1 => last.1 = last.1.max(to),
        _ if from < to => spans.push((from, to)),
        _ => {}
    }
}

/// The moment at which the shop's clock shows so many minutes after midnight of a day.
fn moment(calendar: &ShopCalendar, day: Date, minutes: u32) -> i64 {
    let (day, minutes) = match minutes {
        // Midnight belongs to the next day; the last day there is keeps its own.
        DAY_MIN.. => (day.tomorrow().unwrap_or(day), 0),
        _ => (day, minutes),
    };
    // Below a day, hours and minutes are in range.
    let (hour, minute) = ((minutes / 60) as i8, (minutes % 60) as i8);
    let time = Time::new(hour, minute, 0, 0).unwrap_or(Time::MIN);
    calendar.moment(day.to_datetime(time)).as_second()
}

/// The attended spans of a week in seconds after Monday 0:00; what touches is one.
fn seconds_of(attended: &AttendedWeek) -> Vec<(i64, i64)> {
    let mut week = Vec::new();
    for (from, to) in attended.intervals_min() {
        add(&mut week, (i64::from(from) * 60, i64::from(to) * 60));
    }
    week
}
