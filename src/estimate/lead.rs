//! How long an order takes on one machine in a shop that is not always attended.

use crate::shop::AttendedWeek;

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

const WEEK_MIN: f64 = 7.0 * 24.0 * 60.0;

/// Runs `prints` equal prints one after the other: each starts while somebody is there, runs on through the night, and
/// is cleared in attended time before the next. Counted from `from_week_min`, minutes after Monday's midnight. Failures are
/// not in it.
pub fn lead_time(
    week: &AttendedWeek,
    from_week_min: f64,
    print_h: f64,
    clearing_h: f64,
    prints: u32,
) -> LeadTime {
    let spans = spans(week);
    if spans.is_empty() {
        return LeadTime {
            hours: f64::INFINITY,
            prints,
            prints_per_week: 0.0,
        };
    }
    // A long order repeats itself week by week; past this many prints the pace is carried on.
    const FOLLOWED: u32 = 2000;
    let followed = prints.min(FOLLOWED);
    let first = next_attended(&spans, from_week_min);
    let mut now = first;
    let mut end = now;
    // The pace is that of many prints: a few fit into one day and say nothing of the nights.
    const PACED: u32 = 200;
    let paced = followed.max(PACED);
    for print in 0..paced {
        now = next_attended(&spans, now);
        if print < followed {
            end = now + print_h * 60.0;
        }
        now = work(&spans, now + print_h * 60.0, clearing_h * 60.0);
    }
    let cycle_min = (now - first) / f64::from(paced);
    let rest_min = f64::from(prints - followed) * cycle_min;
    LeadTime {
        hours: (end - from_week_min + rest_min) / 60.0,
        prints,
        prints_per_week: if cycle_min > 0.0 {
            WEEK_MIN / cycle_min
        } else {
            0.0
        },
    }
}

/// The first opening of a week, minutes from Monday's midnight.
pub fn first_opening_min(week: &AttendedWeek) -> f64 {
    spans(week).first().map_or(0.0, |(from, _)| *from)
}

/// Attended spans of a week in minutes from Monday's midnight.
pub(crate) fn spans(week: &AttendedWeek) -> Vec<(f64, f64)> {
    let intervals = week.intervals_min().into_iter();
    intervals
        .map(|(from, to)| (f64::from(from), f64::from(to)))
        .collect()
}

/// The next attended minute at or after `now`. At least one span.
pub(crate) fn next_attended(spans: &[(f64, f64)], now: f64) -> f64 {
    let week = (now / WEEK_MIN).floor() * WEEK_MIN;
    let within = now - week;
    let today = spans
        .iter()
        .find(|(_, to)| *to > within)
        .map(|(from, _)| from.max(within));
    week + today.unwrap_or(WEEK_MIN + spans[0].0)
}

/// When `minutes` of attended work that may begin at `from` are done. At least one span.
pub(crate) fn work(spans: &[(f64, f64)], from: f64, mut minutes: f64) -> f64 {
    let mut now = from;
    while minutes > 0.0 {
        now = next_attended(spans, now);
        let week = (now / WEEK_MIN).floor() * WEEK_MIN;
        let closes = spans
            .iter()
            .find(|(_, to)| *to > now - week)
            .map_or(now, |(_, to)| week + to);
        let done = minutes.min(closes - now);
        if done <= 0.0 {
            break;
        }
        minutes -= done;
        now += done;
    }
    now
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
