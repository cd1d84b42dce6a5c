//! How long a failed print waits, against closed forms and a simulation by the minute.

use beadtally::cost::Absence;
use beadtally::shop::AttendedWeek;
use proptest::prelude::*;

use crate::fixture::office_week;

const WEEK_MIN: usize = 7 * 24 * 60;

fn close(got: f64, expected: f64) {
    assert!(
        (got - expected).abs() < 1e-9 * expected.max(1.0),
        "got {got}, expected {expected}"
    );
}

#[test]
fn a_print_that_ends_while_somebody_is_there_waits_for_nobody() {
    let absence = Absence::of(&office_week()).unwrap();
    assert_eq!(absence.mean_wait_h(9.0, 8.0, 0.003).unwrap(), 0.0);
    assert_eq!(absence.mean_wait_h(9.0, 0.0, 0.003).unwrap(), 0.0);
}

/// DERIVED: Monday 9:00, 24 h: 8 h attended, then a gap of 16 h, whose mean wait is 8 h: 8 x 16/24.
#[test]
fn a_print_over_one_night_waits_half_the_night_for_its_share_of_the_run() {
    let absence = Absence::of(&office_week()).unwrap();
    close(absence.mean_wait_h(9.0, 24.0, 0.0).unwrap(), 16.0 / 3.0);
    // 12 h: 4 h of the gap, waits from 16 h down to 12 h
    close(
        absence.mean_wait_h(9.0, 12.0, 0.0).unwrap(),
        4.0 * 14.0 / 12.0,
    );
}

/// DERIVED: a uniform failure over whole weeks waits sum(gap^2)/2 over 168 h, from wherever it was started.
#[test]
fn over_whole_weeks_the_start_does_not_matter() {
    let absence = Absence::of(&office_week()).unwrap();
    let expected = (4.0 * 16.0 * 16.0 + 64.0 * 64.0) / 2.0 / 168.0;
    for start in [0.0, 9.0, 40.3, 120.0, 167.9] {
        close(
            absence.mean_wait_h(start, 168.0 * 5.0, 0.0).unwrap(),
            expected,
        );
    }
    close(
        absence.mean_wait_from_openings_h(168.0 * 1e6, 0.0).unwrap(),
        expected,
    );
}

#[test]
fn openings_are_where_a_gap_ends() {
    assert_eq!(
        Absence::of(&office_week()).unwrap().openings_h(),
        [9.0, 33.0, 57.0, 81.0, 105.0]
    );
    let mut split = office_week();
    split.days[0] = vec![(540, 720), (720, 800), (840, 1020)];
    assert_eq!(
        Absence::of(&split).unwrap().openings_h(),
        [9.0, 14.0, 33.0, 57.0, 81.0, 105.0]
    );
}

#[test]
fn a_shop_that_never_closes_never_waits() {
    let always = AttendedWeek {
        days: std::array::from_fn(|_| vec![(0, 1440)]),
    };
    let absence = Absence::of(&always).unwrap();
    assert_eq!(absence.openings_h(), [0.0]);
    assert_eq!(
        absence.mean_wait_from_openings_h(500.0, 0.003).unwrap(),
        0.0
    );
}

/// A night shift over midnight and over Sunday night is one attended interval.
#[test]
fn midnight_is_no_gap() {
    let nights = AttendedWeek {
        days: std::array::from_fn(|_| vec![(0, 360), (1320, 1440)]),
    };
    let absence = Absence::of(&nights).unwrap();
    assert_eq!(
        absence.openings_h(),
        [22.0, 46.0, 70.0, 94.0, 118.0, 142.0, 166.0]
    );
    close(
        absence.mean_wait_from_openings_h(24.0, 0.0).unwrap(),
        16.0 * 16.0 / 2.0 / 24.0,
    );
}

#[test]
fn a_week_that_nobody_attends_or_that_runs_backwards_is_refused() {
    let nobody = AttendedWeek {
        days: Default::default(),
    };
    assert!(
        Absence::of(&nobody)
            .unwrap_err()
            .to_string()
            .contains("no attended hours")
    );
    for bad in [(600, 600), (700, 600), (0, 1441)] {
        let mut week = office_week();
        week.days[2] = vec![bad];
        assert!(
            Absence::of(&week)
                .unwrap_err()
                .to_string()
                .starts_with("weekday 3 "),
            "{bad:?}"
        );
    }
}

fn attended_minutes(week: &AttendedWeek) -> Vec<bool> {
    let mut attended = vec![false; WEEK_MIN];
    for (day, hours) in week.days.iter().enumerate() {
        for &(from, to) in hours {
            attended[day * 1440 + from as usize..day * 1440 + to as usize].fill(true);
        }
    }
    attended
}

/// Walks the print minute by minute; a failure falls in the middle of its minute.
fn wait_by_the_minute_h(
    week: &AttendedWeek,
    start_min: usize,
    minutes: usize,
    rate_per_h: f64,
) -> f64 {
    let attended = attended_minutes(week);
    let (mut waited, mut weights) = (0.0, 0.0);
    let mut back = start_min + minutes;
    for passed in (0..minutes).rev() {
        let now = start_min + passed;
        if attended[now % WEEK_MIN] {
            back = now;
        } else if back == start_min + minutes {
            while !attended[back % WEEK_MIN] {
                back += 1;
            }
        }
        let weight = (-rate_per_h * (passed as f64 + 0.5) / 60.0).exp();
        let wait = if back == now {
            0.0
        } else {
            (back - now) as f64 - 0.5
        };
        waited += weight * wait / 60.0;
        weights += weight;
    }
    waited / weights
}

fn any_week() -> impl Strategy<Value = AttendedWeek> {
    let interval =
        (0_u32..1440, 1_u32..1000).prop_map(|(from, length)| (from, (from + length).min(1440)));
    proptest::collection::vec(proptest::collection::vec(interval, 0..3), 7)
        .prop_filter("somebody comes in", |days| {
            days.iter().any(|day| !day.is_empty())
        })
        .prop_map(|days| AttendedWeek {
            days: days.try_into().unwrap(),
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn the_exact_wait_is_the_wait_by_the_minute(
        week in any_week(), start in 0..WEEK_MIN, minutes in 1_usize..30_000, rate in 0.0..0.05_f64,
    ) {
        let exact = Absence::of(&week).unwrap().mean_wait_h(start as f64 / 60.0, minutes as f64 / 60.0, rate).unwrap();
        let walked = wait_by_the_minute_h(&week, start, minutes, rate);
        prop_assert!((exact - walked).abs() < 1e-5 + 1e-5 * walked, "exact {exact}, walked {walked}");
    }
}
