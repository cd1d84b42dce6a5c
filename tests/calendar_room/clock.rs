//! Changes of the clock and holidays. In Lisbon summer time begins on 2026-03-29 at 1:00 and ends on 2026-10-25 at 2:00
//! (Directive 2000/84/EC: the last Sundays of March and October, 1:00 UTC).

use beadtally::calendar::{WorkingTime, delivery};
use jiff::civil::date;
use jiff::{SignedDuration, Timestamp};

use super::{at, days, ends, follow, lisbon, prints, queue, starts};

#[test]
fn a_print_over_a_change_of_the_clock_takes_its_hours_and_no_other() {
    // Saturday evenings before each change, in a shop attended every day.
    for (month, day, shown) in [(3, 28, 7), (10, 24, 5)] {
        let from = at(month, day, 19, 45);
        let time = WorkingTime::on(&days(7, 8, 22), &lisbon(&[]), from).unwrap();
        let told = follow(&time, queue(from, &[prints(10.0, 1)]), from);
        let (start, end) = &told.queues[0].prints[0];
        assert_eq!(start.timestamp(), at(month, day, 20, 0));
        assert_eq!(end.duration_since(start), SignedDuration::from_hours(10));
        // On the clock one hour more in spring and one less in autumn.
        let morning = date(2026, month, day + 1).at(shown, 0, 0, 0);
        assert_eq!(ends(&told), [morning]);
    }
}

#[test]
fn attended_hours_follow_the_clock() {
    for (month, day) in [(3, 27), (10, 23)] {
        let friday = at(month, day, 17, 0);
        let time = WorkingTime::on(&days(5, 8, 18), &lisbon(&[]), friday).unwrap();
        let monday = time.next_attended(at(month, day, 18, 0));
        assert_eq!(monday, at(month, day + 3, 8, 0));
        // Two hours of work, one on either side.
        assert_eq!(time.work(friday, 7200), at(month, day + 3, 9, 0));
    }
    // 8:00 in Lisbon is 8:00 UTC in winter and 7:00 in summer.
    let utc = |text: &str| text.parse::<Timestamp>().unwrap();
    assert_eq!(at(3, 27, 8, 0), utc("2026-03-27T08:00:00Z"));
    assert_eq!(at(3, 30, 8, 0), utc("2026-03-30T07:00:00Z"));
}

/// A shop that never closes works 23 h on the Sunday of March and 25 h on that of October.
#[test]
fn a_day_on_which_the_clock_changes_has_an_hour_less_or_more() {
    for (month, day, hours) in [(3, 29, 23), (10, 25, 25)] {
        let midnight = at(month, day, 0, 0);
        let time = WorkingTime::on(&days(7, 0, 24), &lisbon(&[]), midnight).unwrap();
        let next = time.work(midnight, hours * 3600);
        assert_eq!(next, at(month, day + 1, 0, 0));
    }
}

#[test]
fn a_holiday_stops_starts_but_not_running_prints() {
    // Closed on Tuesday the 3rd and Wednesday the 4th of March.
    let closed = [(date(2026, 3, 3), date(2026, 3, 4))];
    let from = at(3, 2, 8, 0);
    let time = WorkingTime::on(&days(5, 8, 18), &lisbon(&closed), from).unwrap();
    let told = follow(&time, queue(from, &[prints(30.0, 2)]), from);
    assert_eq!(ends(&told)[0], date(2026, 3, 3).at(14, 15, 0, 0));
    assert_eq!(starts(&told)[1], date(2026, 3, 5).at(8, 15, 0, 0));
    assert_eq!(told.dispatch.undisturbed, date(2026, 3, 6));
    // The last print done on the eve of a holiday leaves after it.
    let told = follow(&time, queue(from, &[prints(12.0, 1)]), from);
    assert_eq!(told.dispatch.safe, date(2026, 3, 5));
}

#[test]
fn after_the_days_laid_out_the_week_goes_on() {
    let from = at(3, 2, 8, 0);
    let time = WorkingTime::on(&days(5, 8, 18), &lisbon(&[]), from).unwrap();
    // 50 h a week: 52 000 h are 1040 weeks, the last of which ends on its Friday at 18:00; a change of the clock may lie between.
    let done = time.work(from, 52_000 * 3600);
    let hours = done.duration_since(from).as_secs_f64() / 3600.0;
    assert!((hours - (1039.0 * 168.0 + 106.0)).abs() <= 1.0, "{hours}");
    assert!(time.next_attended(done) > done);
}

#[test]
fn holidays_without_end_are_told_as_such() {
    let closed = [(date(2026, 1, 1), date(2029, 12, 31))];
    let from = at(3, 2, 8, 0);
    let error = WorkingTime::on(&days(5, 8, 18), &lisbon(&closed), from).unwrap_err();
    assert!(
        error
            .to_string()
            .contains("within two years from 2026-03-02")
    );
    // Those that end in time do not stop the order.
    let closed = [(date(2026, 1, 1), date(2026, 12, 31))];
    let time = WorkingTime::on(&days(5, 8, 18), &lisbon(&closed), from).unwrap();
    let queue = queue(from, &[prints(1.0, 1)]);
    let told = delivery(&time, &[queue], 0.0, from, 1).unwrap();
    assert_eq!(told.dispatch.safe, date(2027, 1, 1));
}
