//! The calendar: weeks worked by hand, changes of the clock, holidays, failures against the formulas, and laws.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod bad_input;
mod clock;
mod failures;
mod laws;
mod weeks;

use beadtally::calendar::{Chances, Delivery, Print, Queue, WorkingTime, delivery};
use beadtally::shop::{AttendedWeek, ShopCalendar};
use jiff::Timestamp;
use jiff::civil::{Date, DateTime, date};
use jiff::tz::TimeZoneDatabase;

/// Attended from one hour to another on the first so many days of a week.
pub(crate) fn days(count: usize, from_h: u32, to_h: u32) -> AttendedWeek {
    let hours = |day| match day < count {
        true => vec![(from_h * 60, to_h * 60)],
        false => Vec::new(),
    };
    AttendedWeek {
        days: std::array::from_fn(hours),
    }
}

/// In Lisbon, with holidays.
pub(crate) fn lisbon(closed: &[(Date, Date)]) -> ShopCalendar {
    ShopCalendar {
        zone: TimeZoneDatabase::bundled().get("Europe/Lisbon").unwrap(),
        zone_by_default: false,
        closed: closed.to_vec(),
    }
}

/// What a clock in Lisbon shows on a day of 2026, as a moment.
pub(crate) fn at(month: i8, day: i8, hour: i8, minute: i8) -> Timestamp {
    lisbon(&[]).moment(date(2026, month, day).at(hour, minute, 0, 0))
}

/// A shop in Lisbon, attended 8 to 18 on weekdays.
pub(crate) fn weekdays(from: Timestamp) -> WorkingTime {
    WorkingTime::on(&days(5, 8, 18), &lisbon(&[]), from).unwrap()
}

/// So many prints of so many hours that never fail.
pub(crate) fn prints(hours: f64, times: u32) -> Print {
    Print {
        seconds: hours * 3600.0,
        times,
        spool_changes: 0,
        chances: Chances::NONE,
    }
}

/// A machine that is free, with a changeover of 15 min, 10 min to change a spool and half an hour to clear a failure.
pub(crate) fn queue(from: Timestamp, all: &[Print]) -> Queue {
    Queue {
        free_from: from,
        busy: Vec::new(),
        ready: false,
        changeover_s: 900.0,
        spool_change_s: 600.0,
        clearing_s: 1800.0,
        prints: all.to_vec(),
    }
}

pub(crate) fn follow(time: &WorkingTime, queue: Queue, from: Timestamp) -> Delivery {
    delivery(time, &[queue], 0.0, from, 400).unwrap()
}

/// Starts of a machine's prints on the shop's clock.
pub(crate) fn starts(delivery: &Delivery) -> Vec<DateTime> {
    let prints = &delivery.queues[0].prints;
    prints.iter().map(|(start, _)| start.datetime()).collect()
}

/// Ends of a machine's prints on the shop's clock.
pub(crate) fn ends(delivery: &Delivery) -> Vec<DateTime> {
    let prints = &delivery.queues[0].prints;
    prints.iter().map(|(_, end)| end.datetime()).collect()
}
