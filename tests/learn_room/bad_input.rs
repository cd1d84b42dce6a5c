//! What is refused, with the sentence that says so.

use beadtally::learn::{
    BandedPair, Exposure, LearnError, Pair, band_factor, correction, errors_left_out, failures,
    failures_from,
};

const GOOD: Pair = Pair {
    estimated: 10.0,
    actual: 11.0,
    age_days: 3.0,
};

const NO_NUMBERS: [f64; 5] = [0.0, -1.0, f64::NAN, f64::INFINITY, f64::NEG_INFINITY];

/// The definition: figures are finite and above 0, ages finite and at least 0.
#[test]
fn figures_that_are_no_hours_are_refused_wherever_pairs_are_taken() {
    let bad = NO_NUMBERS.iter().flat_map(|&value| {
        [
            Pair {
                estimated: value,
                ..GOOD
            },
            Pair {
                actual: value,
                ..GOOD
            },
            Pair {
                age_days: if value == 0.0 { -0.5 } else { value },
                ..GOOD
            },
        ]
    });
    for pair in bad {
        assert!(correction(&[GOOD, pair]).is_err(), "{pair:?}");
        assert!(errors_left_out(&[GOOD, pair]).is_err(), "{pair:?}");
        let banded = BandedPair {
            pair,
            from: 9.0,
            to: 12.0,
        };
        assert!(band_factor(&[banded]).is_err(), "{pair:?}");
    }
    let said = correction(&[Pair {
        actual: 0.0,
        ..GOOD
    }])
    .unwrap_err()
    .to_string();
    assert_eq!(
        said,
        "the actual figure is 0: it must be a finite number above 0"
    );
    let said = correction(&[Pair {
        age_days: -2.0,
        ..GOOD
    }])
    .unwrap_err()
    .to_string();
    assert_eq!(
        said,
        "the age of a job in days is -2: it must be a finite number of at least 0"
    );
}

/// The definition: beyond a factor of 500 it is not one job in one unit; at it, it is borne, also at the ends of a double.
#[test]
fn figures_of_two_jobs_are_refused_and_wild_ones_are_borne() {
    let pair = |actual: f64| Pair { actual, ..GOOD };
    assert!(matches!(
        correction(&[pair(5001.0)]),
        Err(LearnError::NotTheSameJob { .. })
    ));
    assert!(matches!(
        correction(&[pair(1e300)]),
        Err(LearnError::NotTheSameJob { .. })
    ));
    let wild = correction(&[pair(4999.0), pair(0.021), pair(4999.0)]).unwrap();
    assert!(wild.from < wild.factor && wild.factor < wild.to && wild.factor.is_finite());
    let tiny = Pair {
        estimated: 1e-300,
        actual: 1.1e-300,
        ..GOOD
    };
    assert!(correction(&[tiny]).unwrap().factor > 1.0);
}

/// The definition: from, estimate, to, in this order and above 0.
#[test]
fn bands_that_do_not_hold_their_estimate_are_refused() {
    let banded = |from, to| {
        band_factor(&[BandedPair {
            pair: GOOD,
            from,
            to,
        }])
    };
    assert!(matches!(
        banded(10.5, 12.0),
        Err(LearnError::BandWithoutEstimate { .. })
    ));
    assert!(matches!(
        banded(8.0, 9.0),
        Err(LearnError::BandWithoutEstimate { .. })
    ));
    for value in NO_NUMBERS {
        assert!(banded(value, 12.0).is_err() && banded(9.0, value).is_err());
    }
    let good = banded(10.0, 10.0).unwrap();
    assert!(good.applied(f64::NAN, 10.0, 9.0, 11.0).is_err());
    assert!(good.applied(1.0, f64::NAN, 9.0, 11.0).is_err());
    assert!(good.applied(1.0, 10.0, 10.5, 11.0).is_err());
}

/// The definition of counts: failed starts are starts, failures need hours.
#[test]
fn counts_that_can_not_be_are_refused() {
    let clean = Exposure {
        starts: 4,
        hours: 20.0,
        ..Exposure::default()
    };
    let early = failures(&[Exposure {
        early_failures: 5,
        ..clean
    }])
    .unwrap_err();
    assert_eq!(
        early.to_string(),
        "5 starts failed of 4: there must be at least as many starts"
    );
    let late = failures(&[Exposure {
        hours: 0.0,
        failures: 1,
        ..clean
    }])
    .unwrap_err();
    assert_eq!(late, LearnError::FailuresWithoutHours { failures: 1 });
    for hours in [-1.0, f64::NAN, f64::INFINITY] {
        assert!(failures(&[Exposure { hours, ..clean }]).is_err());
    }
    for chance in [0.0, 1.0, -0.1, f64::NAN] {
        assert!(failures_from(chance, 0.003, &[]).is_err());
    }
    for rate in NO_NUMBERS {
        assert!(failures_from(0.02, rate, &[]).is_err());
    }
    let endless = Exposure {
        starts: u64::MAX,
        early_failures: u64::MAX / 2,
        failures: u64::MAX,
        ..clean
    };
    assert!(matches!(
        failures(&[endless]),
        Err(LearnError::TooMany { .. })
    ));
    assert!(failures_from(1e-300, 0.003, &[]).is_err());
}
