//! How long an order takes on one machine in a shop that is not always attended.

use crate::calendar::{CalendarError, Chances, Print, WorkingTime, end_s, pace};
use crate::shop::AttendedWeek;

const WEEK_S: f64 = 7.0 * 24.0 * 3600.0;

/// How long an order takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeadTime {
    /// From the time given to the end of the last print, h.
    pub hours: f64,
    /// Prints run one after the other.
    pub prints: u32,
    /// Prints a week, once running.
    pub prints_per_week: f64,
}

/// Runs `prints` equal prints one after the other: each starts while somebody is there, runs on through the night, and
/// is cleared in attended time before the next. Counted from `from_week_min`, minutes after Monday's midnight, in a week without
/// holidays. Failures are not in it. Endless where nobody is ever there or a print never ends.
pub fn lead_time(
    week: &AttendedWeek,
    from_week_min: f64,
    print_h: f64,
    clearing_h: f64,
    prints: u32,
) -> LeadTime {
    let print = Print {
        seconds: print_h * 3600.0,
        times: prints,
        spool_changes: 0,
        chances: Chances::NONE,
    };
    let course = followed(week, from_week_min, &print, clearing_h * 3600.0);
    let (hours, prints_per_week) = course.unwrap_or((f64::INFINITY, 0.0));
    LeadTime {
        hours,
        prints,
        prints_per_week,
    }
}

/// Hours to the end of the last print, and prints a week.
fn followed(
    week: &AttendedWeek,
    from_week_min: f64,
    print: &Print,
    clearing_s: f64,
) -> Result<(f64, f64), CalendarError> {
    // A long order repeats itself week by week; past this many prints the pace is carried on.
    const FOLLOWED: u32 = 2000;
    let per_week = pace(week, print, clearing_s, 0.0)?.per_week;
    let times = print.times.min(FOLLOWED);
    let time = WorkingTime::weekly(week)?;
    let from_s = from_week_min * 60.0;
    let end_s = match times {
        0 => time.attended_after_s(from_s.round() as i64),
        _ => end_s(
            &time,
            from_s.round() as i64,
            &Print { times, ..*print },
            clearing_s,
        )?,
    };
    let rest = f64::from(print.times - times);
    let rest_s = if rest > 0.0 {
        rest * WEEK_S / per_week
    } else {
        0.0
    };
    Ok(((end_s as f64 - from_s + rest_s) / 3600.0, per_week))
}

/// The first opening of a week, minutes from Monday's midnight.
pub fn first_opening_min(week: &AttendedWeek) -> f64 {
    let first = week.intervals_min().into_iter().next();
    first.map_or(0.0, |(from, _)| f64::from(from))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn weekdays(from_h: u32, to_h: u32) -> AttendedWeek {
        let day = vec![(from_h * 60, to_h * 60)];
        let mut days: [Vec<(u32, u32)>; 7] = std::array::from_fn(|_| day.clone());
        days[5].clear();
        days[6].clear();
        AttendedWeek { days }
    }

    /// Worked by hand: attended 8 to 18 with a changeover of 15 min, a 21 h print makes one a day.
    #[test]
    fn a_21_hour_print_makes_one_a_day() {
        let lead = lead_time(&weekdays(8, 18), 8.0 * 60.0, 21.0, 0.25, 3);
        // Mon 8:00 to Tue 5:00; cleared 8:00 to 8:15; Wed 5:15; cleared from 8:00; Wed 8:15 + 21 h = Thu 5:15.
        assert!(
            (lead.hours - (3.0 * 24.0 - 8.0 + 5.25)).abs() < 1e-9,
            "{}",
            lead.hours
        );
    }

    /// Worked by hand: a 4.5 h print makes three a day (starts at 8:00, 12:45, 17:30).
    #[test]
    fn a_4_and_a_half_hour_print_makes_three_a_day() {
        let lead = lead_time(&weekdays(8, 18), 8.0 * 60.0, 4.5, 0.25, 4);
        // The fourth starts Tue 8:15 (the third ends at 22:00 and is cleared from 8:00) and ends 12:45.
        assert!((lead.hours - (24.0 + 4.75)).abs() < 1e-9, "{}", lead.hours);
    }

    #[test]
    fn a_print_that_ends_on_friday_night_waits_for_monday() {
        let lead = lead_time(&weekdays(8, 18), 8.0 * 60.0, 100.0, 0.0, 2);
        // Mon 8:00 + 100 h = Fri 12:00, attended: starts again at once.
        assert!((lead.hours - 200.0).abs() < 1e-9);
        let lead = lead_time(&weekdays(8, 18), 8.0 * 60.0, 108.0, 0.0, 2);
        // Mon 8:00 + 108 h = Fri 20:00, after hours: the next starts Mon 8:00.
        assert!((lead.hours - (168.0 + 108.0)).abs() < 1e-9);
    }

    /// Worked by hand: nobody clears a bed at night, so a 2 h print with 15 min of clearing is begun five times a day, attended 8
    /// to 18 (8:00, 10:15, 12:30, 14:45, 17:00), whether one is wanted or a hundred.
    #[test]
    fn the_pace_of_one_print_is_that_of_a_hundred() {
        let pace =
            |prints| lead_time(&weekdays(8, 18), 8.0 * 60.0, 2.0, 0.25, prints).prints_per_week;
        assert!(
            (pace(1) - pace(100)).abs() < 1e-9,
            "{} {}",
            pace(1),
            pace(100)
        );
        // The last of a day is cleared the next morning, which costs 15 min of it: still five a day, 25 a week.
        assert!((pace(1) - 25.0).abs() < 1.0, "{}", pace(1));
    }
}
