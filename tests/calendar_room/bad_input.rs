//! What no date can be given for, each in one sentence; and what a shop file may not say.

use beadtally::calendar::{Chances, Print, Queue, WorkingTime, delivery};
use beadtally::shop::{DEMONSTRATION_TOML, demonstration, describe, read_shop};

use super::{at, days, prints, queue, weekdays};

fn refused(change: impl FnOnce(&mut Queue)) -> String {
    let from = at(3, 2, 8, 0);
    let mut queue = queue(from, &[prints(1.0, 1)]);
    change(&mut queue);
    let told = delivery(&weekdays(from), &[queue], 0.0, from, 400);
    told.unwrap_err().to_string()
}

fn with(print: Print) -> String {
    refused(|queue| queue.prints = vec![print])
}

#[test]
fn an_order_without_prints_has_no_date() {
    assert!(refused(|queue| queue.prints.clear()).contains("nothing is to be printed"));
    assert!(with(prints(1.0, 0)).contains("nothing is to be printed"));
}

#[test]
fn times_that_are_none_are_refused() {
    for hours in [f64::NAN, f64::INFINITY, -1.0, 1e9] {
        assert!(with(prints(hours, 1)).contains("the length of a print is"));
    }
    assert!(refused(|queue| queue.changeover_s = -1.0).contains("the changeover is -1 s"));
    assert!(refused(|queue| queue.clearing_s = f64::NAN).contains("clearing a failed print"));
    let from = at(3, 2, 8, 0);
    let queue = queue(from, &[prints(1.0, 1)]);
    assert!(delivery(&weekdays(from), &[queue], f64::NAN, from, 1).is_err());
}

#[test]
fn a_print_that_never_goes_well_is_refused_and_not_followed_for_ever() {
    let failing = |start_chance: f64, rate_per_h: f64| Print {
        chances: Chances {
            start_chance,
            start_lost_s: 0.0,
            rate_per_h,
        },
        ..prints(100.0, 1)
    };
    assert!(with(failing(1.0, 0.0)).contains("below 1"));
    assert!(with(failing(2.0, 0.0)).contains("below 1"));
    assert!(with(failing(f64::NAN, 0.0)).contains("the chance that a start fails"));
    assert!(with(failing(0.0, 0.07)).contains("would need 1097 starts"));
    assert!(with(failing(0.0, -0.1)).contains("the failure rate per hour"));
}

#[test]
fn spools_without_number_are_refused() {
    let spools = Print {
        spool_changes: u32::MAX,
        ..prints(100.0, 1)
    };
    assert!(with(spools).contains("spool changes"));
}

#[test]
fn a_week_without_hours_is_refused() {
    assert!(WorkingTime::weekly(&days(0, 8, 18)).is_err());
}

/// The shop file with other holidays or another zone.
fn shop_with(from: &str, to: &str) -> Result<beadtally::shop::Shop, String> {
    let text = DEMONSTRATION_TOML;
    let line = text.lines().find(|line| line.starts_with(from)).unwrap();
    read_shop(&text.replace(line, to), "shop.toml").map_err(|e| e.to_string())
}

#[test]
fn a_shop_file_with_a_wrong_zone_or_holiday_is_answered_with_what_would_be_right() {
    let zone = shop_with("time_zone", "time_zone = \"Europe/Lisboa\"").unwrap_err();
    assert!(
        zone.contains("[shop] key time_zone") && zone.contains("did you mean \"Europe/Lisbon\"?"),
        "{zone}"
    );
    for (holidays, fault) in [
        ("\"2026-02-30\"", "no day that there is in the calendar"),
        ("\"2026-08-14/2026-08-03\"", "ends before it begins"),
        ("\"Christmas\"", "is no day"),
        ("2026-12-25", "is not text"),
    ] {
        let error = shop_with("holidays", &format!("holidays = [{holidays}]")).unwrap_err();
        assert!(
            error.contains("[shop] key holidays") && error.contains(fault),
            "{error}"
        );
    }
    let many = vec!["\"2026-12-25\""; 4000].join(",");
    let error = shop_with("holidays", &format!("holidays = [{many}]")).unwrap_err();
    assert!(error.contains("at most 3660"), "{error}");
}

#[test]
fn a_shop_is_shown_with_its_zone_and_holidays() {
    let shown = describe(&demonstration());
    assert!(
        shown.contains("Time zone Europe/Lisbon")
            && shown.contains("Holidays: 2026-08-10 to 2026-08-21")
    );
    let plain = shop_with("time_zone", "").unwrap();
    assert!(plain.calendar.zone_by_default);
    assert!(describe(&plain).contains("Time zone UTC (default)"));
    let plain = shop_with("holidays", "").unwrap();
    assert!(describe(&plain).contains("No holidays given"));
}
