//! Failures: the simulation against the formulas of a print that starts again from nothing, and what is told of its runs.

use beadtally::calendar::{Chances, Print, Stream, WorkingTime, delivery, tries};
use beadtally::cost::Restart;
use jiff::Timestamp;

use super::{at, days, prints, queue, weekdays};

/// First numbers of SplitMix64 from 1234567, as published with other implementations (from memory).
#[test]
fn the_stream_gives_the_published_numbers() {
    let mut stream = Stream::new(1_234_567);
    let first: Vec<u64> = (0..5).map(|_| stream.next_u64()).collect();
    assert_eq!(
        first,
        [
            6_457_827_717_110_365_317,
            3_203_168_211_198_807_973,
            9_817_491_932_198_370_423,
            4_593_380_528_125_082_431,
            16_408_922_859_458_223_821,
        ]
    );
}

/// In a shop that never closes nothing waits, and a million prints take what the formulas say: starts e^(lambda T)/(1 - p0), hours
/// (e^(lambda T) - 1)(1/lambda + D) + e^(lambda T) D0 p0/(1 - p0). Written out here, and `Restart::risk` beside it.
#[test]
fn a_million_prints_take_the_starts_and_hours_of_the_formulas() {
    let time = WorkingTime::weekly(&days(7, 0, 24)).unwrap();
    for (hours, start_chance, start_lost_h, rate_per_h, clearing_h) in
        [(21.0, 0.02, 0.5, 0.003, 0.5), (60.0, 0.05, 1.0, 0.01, 2.0)]
    {
        let restart = Restart {
            hours,
            heating_h: 0.0,
            start_chance,
            start_lost_h,
            rate_per_h,
            stop_h: clearing_h,
        };
        let mut queue = queue(
            Timestamp::UNIX_EPOCH,
            &[Print {
                chances: Chances::of(&restart),
                ..prints(hours, 1)
            }],
        );
        queue.clearing_s = clearing_h * 3600.0;
        let told = tries(&time, &queue, 1_000_000, Stream::new(7)).unwrap();
        let grown = f64::exp(rate_per_h * hours);
        let starts = grown / (1.0 - start_chance);
        let machine_h = (grown - 1.0) * (1.0 / rate_per_h + clearing_h)
            + grown * start_lost_h * start_chance / (1.0 - start_chance);
        assert!(
            (told.starts / starts - 1.0).abs() < 0.01,
            "{told:?} {starts}"
        );
        let hours = told.machine_s / 3600.0;
        assert!(
            (hours / machine_h - 1.0).abs() < 0.01,
            "{hours} {machine_h}"
        );
        let risk = restart.risk().unwrap();
        assert!((told.starts / risk.starts - 1.0).abs() < 0.01);
        assert!((hours / risk.machine_h - 1.0).abs() < 0.01);
    }
}

/// Starts that fail half of the time, each found and begun again after 10 min: the failures of a print are geometrically distributed.
#[test]
fn a_failure_in_attended_hours_waits_for_nobody() {
    let from = at(3, 2, 8, 0);
    let time = weekdays(from);
    let failing = Print {
        chances: Chances {
            start_chance: 0.5,
            start_lost_s: 600.0,
            rate_per_h: 0.0,
        },
        ..prints(1.0, 1)
    };
    let told = delivery(&time, &[queue(from, &[failing])], 0.0, from, 400).unwrap();
    // No failure in half of the runs, at most three in 15 of 16, so nine in ten are done after 9:15 and three times 10 min.
    assert_eq!(told.printed.undisturbed.timestamp(), at(3, 2, 9, 15));
    assert!(told.printed.likely.timestamp() <= at(3, 2, 9, 25));
    assert!(told.printed.safe.timestamp() >= at(3, 2, 9, 35));
    assert!(told.printed.safe.timestamp() <= at(3, 2, 9, 55));
    // The mean of starts that fail is one (geometric distribution).
    let late = told
        .printed
        .mean
        .timestamp()
        .duration_since(at(3, 2, 9, 25));
    assert!(late.as_secs().abs() < 120, "{late:?}");
}

/// A 21 h print at 5 % per hour fails in 1 - e^(-1.05) = 65 % of its runs, and each failure in the night costs a day: so the safe
/// date comes days after the undisturbed one, and the same order gives the same dates.
#[test]
fn long_prints_that_fail_make_safe_dates_late_and_always_the_same() {
    let from = at(3, 2, 8, 0);
    let time = weekdays(from);
    let failing = Print {
        chances: Chances {
            start_chance: 0.0,
            start_lost_s: 0.0,
            rate_per_h: 0.05,
        },
        ..prints(21.0, 3)
    };
    let follow = || delivery(&time, &[queue(from, &[failing])], 3600.0, from, 400).unwrap();
    let told = follow();
    assert_eq!(told, follow());
    assert!(told.dispatch.undisturbed < told.dispatch.likely);
    assert!(told.dispatch.likely < told.dispatch.safe);
    assert_eq!(told.runs, 400);
}

/// Of a long order the mean is that of the formula and the spread that of a sum.
#[test]
fn what_is_carried_on_has_the_mean_of_the_formula() {
    let restart = Restart {
        hours: 10.0,
        heating_h: 0.0,
        start_chance: 0.02,
        start_lost_h: 0.5,
        rate_per_h: 0.01,
        stop_h: 0.5,
    };
    let print = Print {
        chances: Chances::of(&restart),
        ..prints(10.0, 20_000)
    };
    let from = at(3, 2, 0, 0);
    let never_closed = WorkingTime::weekly(&days(7, 0, 24)).unwrap();
    let mut queue = queue(from, &[print]);
    queue.changeover_s = 0.0;
    let told = delivery(&never_closed, &[queue], 0.0, from, 100).unwrap();
    let hours = |end: &jiff::Zoned| end.timestamp().duration_since(from).as_secs_f64() / 3600.0;
    let expected = restart.risk().unwrap().machine_h * 20_000.0;
    let mean = hours(&told.printed.mean);
    assert!((mean / expected - 1.0).abs() < 0.005, "{mean} {expected}");
    // By the central limit theorem a sum of so many is within a percent of its mean, nine times in ten.
    assert!(hours(&told.printed.safe) / mean < 1.01);
}
