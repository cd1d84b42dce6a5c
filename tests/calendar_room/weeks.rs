//! Weeks worked by hand. The shop is attended 8 to 18 on weekdays; the 2nd of March 2026 is a Monday (perpetual calendar, from memory).

use beadtally::calendar::{Print, WorkingTime, delivery, pace};
use jiff::civil::{DateTime, date};

use super::{at, days, ends, follow, lisbon, prints, queue, starts, weekdays};

/// A day of March 2026.
fn march(day: i8, hour: i8, minute: i8) -> DateTime {
    date(2026, 3, day).at(hour, minute, 0, 0)
}

fn followed(all: &[Print]) -> beadtally::calendar::Delivery {
    let from = at(3, 2, 8, 0);
    follow(&weekdays(from), queue(from, all), from)
}

#[test]
fn a_21_hour_print_makes_one_a_day() {
    let told = followed(&[prints(21.0, 6)]);
    // Tue 8:00 the bed is full since 5:15; 15 min later the next starts. The fifth ends on Saturday and waits for Monday.
    let expected: Vec<DateTime> = [2, 3, 4, 5, 6, 9].map(|day| march(day, 8, 15)).into();
    assert_eq!(starts(&told), expected);
    assert_eq!(ends(&told)[0], march(3, 5, 15));
    let pace = pace(&days(5, 8, 18), &prints(21.0, 1), 900.0, 0.0).unwrap();
    assert_eq!(pace.in_words(), "one a day");
}

#[test]
fn a_10_hour_print_makes_one_a_day() {
    let told = followed(&[prints(10.0, 3)]);
    // Mon 8:15 to 18:15, a quarter of an hour after closing.
    let expected = [2, 3, 4].map(|day| march(day, 8, 15));
    assert_eq!(starts(&told), expected);
    let pace = pace(&days(5, 8, 18), &prints(10.0, 1), 900.0, 0.0).unwrap();
    assert_eq!(pace.in_words(), "one a day");
}

#[test]
fn a_4_and_a_half_hour_print_makes_three_a_day() {
    let told = followed(&[prints(4.5, 4)]);
    let expected = [
        march(2, 8, 15),
        march(2, 13, 0),
        march(2, 17, 45),
        march(3, 8, 15),
    ];
    assert_eq!(starts(&told), expected);
    let pace = pace(&days(5, 8, 18), &prints(4.5, 1), 900.0, 0.0).unwrap();
    assert_eq!(pace.in_words(), "three a day");
}

/// 8:15 to 17:15 is followed by a changeover until 17:30 and a start that runs through the night: two a day takes a print of 9 h.
#[test]
fn a_9_hour_print_makes_two_a_day() {
    let told = followed(&[prints(9.0, 4)]);
    let expected = [
        march(2, 8, 15),
        march(2, 17, 30),
        march(3, 8, 15),
        march(3, 17, 30),
    ];
    assert_eq!(starts(&told), expected);
    let pace = pace(&days(5, 8, 18), &prints(9.0, 1), 900.0, 0.0).unwrap();
    assert_eq!(pace.in_words(), "two a day");
}

/// Of 100 h, 24 h of a day, seven days a week: 1.68 a week without changeover.
#[test]
fn a_shop_that_never_closes_prints_without_a_pause() {
    let pace = pace(&days(7, 0, 24), &prints(100.0, 1), 0.0, 0.0).unwrap();
    assert!((pace.per_week - 1.68).abs() < 1e-9);
    assert_eq!(pace.in_words(), "1.7 a week");
}

#[test]
fn a_machine_that_is_ready_starts_without_a_changeover() {
    let from = at(3, 2, 8, 0);
    let mut ready = queue(from, &[prints(1.0, 2)]);
    ready.ready = true;
    let told = follow(&weekdays(from), ready, from);
    assert_eq!(starts(&told), [march(2, 8, 0), march(2, 9, 15)]);
}

#[test]
fn a_changeover_that_is_not_done_by_closing_is_finished_the_next_morning() {
    let from = at(3, 2, 17, 50);
    let told = follow(&weekdays(from), queue(from, &[prints(1.0, 1)]), from);
    // 10 of 15 min on Monday, 5 on Tuesday.
    assert_eq!(starts(&told), [march(3, 8, 5)]);
}

#[test]
fn a_print_that_ends_at_the_weekend_waits_till_monday() {
    let from = at(3, 6, 17, 0);
    let told = follow(&weekdays(from), queue(from, &[prints(20.0, 2)]), from);
    assert_eq!(ends(&told)[0], march(7, 13, 15));
    assert_eq!(starts(&told)[1], march(9, 8, 15));
}

/// 20 h with one spool change: 8:15 to 18:15, then nobody is there until 8:00; 10 min later the other 10 h run.
#[test]
fn a_spool_that_runs_out_after_hours_waits_for_the_morning() {
    let change = Print {
        spool_changes: 1,
        ..prints(20.0, 1)
    };
    assert_eq!(ends(&followed(&[change])), [march(3, 18, 10)]);
    // 3 h with two: at 9:15 and 10:25, 10 min each.
    let change = Print {
        spool_changes: 2,
        ..prints(3.0, 1)
    };
    assert_eq!(ends(&followed(&[change])), [march(2, 11, 35)]);
}

/// Dispatch by hand: a print that ends Tue 5:15 is finished from 8:00 on.
#[test]
fn finishing_is_done_in_attended_hours_and_the_order_leaves_while_somebody_is_there() {
    let from = at(3, 2, 8, 0);
    let time = weekdays(from);
    let leaves = |finishing_h: f64| {
        let queue = queue(from, &[prints(21.0, 1)]);
        let told = delivery(&time, &[queue], finishing_h * 3600.0, from, 1).unwrap();
        (
            told.finished.undisturbed.datetime(),
            told.dispatch.undisturbed,
        )
    };
    assert_eq!(leaves(0.0), (march(3, 5, 15), date(2026, 3, 3)));
    assert_eq!(leaves(2.0), (march(3, 10, 0), date(2026, 3, 3)));
    // Done as the shop closes: it leaves the next day.
    assert_eq!(leaves(10.0), (march(3, 18, 0), date(2026, 3, 4)));
    assert_eq!(leaves(12.0), (march(4, 10, 0), date(2026, 3, 4)));
    // 34 h: Tue, Wed, Thu and 4 h of Friday; 40 h: done on Friday as the shop closes, so on Monday.
    assert_eq!(leaves(34.0), (march(6, 12, 0), date(2026, 3, 6)));
    assert_eq!(leaves(40.0), (march(6, 18, 0), date(2026, 3, 9)));
}

#[test]
fn the_order_waits_for_its_slowest_machine() {
    let from = at(3, 2, 8, 0);
    let two = [
        queue(from, &[prints(21.0, 1)]),
        queue(from, &[prints(4.5, 3)]),
        queue(from, &[]),
    ];
    let told = delivery(&weekdays(from), &two, 0.0, from, 5).unwrap();
    assert_eq!(told.printed.safe.datetime(), march(3, 5, 15));
    assert!(told.queues[2].printed.is_none());
}

#[test]
fn what_others_have_booked_pushes_everything_back() {
    let from = at(3, 2, 8, 0);
    let time = weekdays(from);
    let mut later = queue(at(3, 3, 12, 0), &[prints(4.0, 2)]);
    let told = follow(&time, later.clone(), from);
    assert_eq!(starts(&told), [march(3, 12, 15), march(3, 16, 30)]);
    // Booked Tue 14:00 to 17:00: the first would not be done by then, the second runs from Wednesday on.
    later.busy = vec![(at(3, 3, 14, 0), at(3, 3, 17, 0))];
    let told = follow(&time, later.clone(), from);
    assert_eq!(starts(&told), [march(3, 17, 15), march(4, 8, 15)]);
    // Booked Wed 8:00 to 9:00: nothing of 4 h between 12:00 and that is in the way.
    later.busy = vec![(at(3, 4, 8, 0), at(3, 4, 9, 0))];
    let told = follow(&time, later, from);
    assert_eq!(starts(&told), [march(3, 12, 15), march(3, 16, 30)]);
}

/// Past 1000 prints the pace goes on: one a day on weekdays is 10 000 prints in 2000 weeks, the last on a Friday 8:15 + 21 h.
#[test]
fn a_very_long_order_goes_on_at_its_pace() {
    let from = at(3, 2, 8, 0);
    let told = follow(&weekdays(from), queue(from, &[prints(21.0, 10_000)]), from);
    let weeks = told.printed.undisturbed.timestamp().duration_since(from);
    let weeks = weeks.as_hours() as f64 / 168.0;
    assert!((weeks - 2000.0).abs() < 10.0, "{weeks}");
    let ten_million = [prints(0.1, 10_000_000)];
    let told = follow(&weekdays(from), queue(from, &ten_million), from);
    assert!(told.printed.undisturbed.year() > 3000);
    let time = WorkingTime::on(&days(5, 8, 18), &lisbon(&[]), from).unwrap();
    assert!(
        delivery(
            &time,
            &[queue(from, &[prints(1e5, u32::MAX)])],
            0.0,
            from,
            400
        )
        .is_err()
    );
}
