//! The restart model against closed forms and a seeded simulation.

use beadtally::cost::{CostError, Restart};

use crate::fixture::office_week;

const BASE: Restart = Restart {
    hours: 21.0,
    heating_h: 0.0,
    start_chance: 0.02,
    start_lost_h: 0.5,
    rate_per_h: 0.003,
    stop_h: 4.0,
};

fn near(got: f64, expected: f64, tolerance: f64) {
    assert!(
        (got - expected).abs() <= tolerance * expected.abs().max(1e-12),
        "got {got}, expected {expected}"
    );
}

/// DERIVED: e^0.063/0.98 and e^0.18/0.98.
#[test]
fn long_prints_need_more_starts() {
    assert_eq!(format!("{:.4}", BASE.risk().unwrap().starts), "1.0868");
    let long = Restart {
        hours: 60.0,
        ..BASE
    };
    assert_eq!(format!("{:.4}", long.risk().unwrap().starts), "1.2217");
}

/// References 2 (DERIVED): expected tries per good part are 1/(1 - p).
#[test]
fn expected_tries_are_one_over_the_chance_of_success() {
    for (chance, tries) in [(0.10, "1.1111"), (0.411, "1.6978")] {
        let early = Restart {
            start_chance: chance,
            rate_per_h: 0.0,
            ..BASE
        }
        .risk()
        .unwrap();
        assert_eq!(format!("{:.4}", early.starts), tries);
        // the same chance met along the run instead of at its start
        let late = Restart {
            start_chance: 0.0,
            rate_per_h: -(1.0 - chance).ln() / BASE.hours,
            ..BASE
        };
        assert_eq!(format!("{:.4}", late.risk().unwrap().starts), tries);
        near(late.risk().unwrap().failure_probability, chance, 1e-12);
    }
    let both = BASE.risk().unwrap();
    near(both.starts, 1.0 / (1.0 - both.failure_probability), 1e-12);
}

/// The formulas of the design, written out, where nothing cancels.
#[test]
fn the_expected_values_are_the_formulas() {
    let long = Restart {
        hours: 300.0,
        ..BASE
    };
    let (lambda, grown, risk) = (0.003_f64, 0.9_f64.exp(), long.risk().unwrap());
    near(risk.runs_past_start, grown, 1e-12);
    near(
        risk.machine_h,
        (grown - 1.0) * (1.0 / lambda + 4.0) + grown * 0.5 * 0.02 / 0.98,
        1e-12,
    );
    near(risk.extra_machine_h, risk.machine_h - 300.0, 1e-12);
    near(risk.lost_share, (grown - 1.0) / 0.9 - 1.0, 1e-12);
    near(risk.failure_probability, 1.0 - 0.98 / grown, 1e-12);
}

#[test]
fn without_failures_a_run_takes_its_own_time() {
    let sure = Restart {
        start_chance: 0.0,
        rate_per_h: 0.0,
        ..BASE
    }
    .risk()
    .unwrap();
    assert_eq!(
        (sure.starts, sure.machine_h, sure.extra_machine_h),
        (1.0, 21.0, 0.0)
    );
    assert_eq!((sure.lost_share, sure.failure_probability), (0.0, 0.0));
    let early = Restart {
        rate_per_h: 0.0,
        ..BASE
    }
    .risk()
    .unwrap();
    near(early.machine_h, 21.0 + 0.5 * 0.02 / 0.98, 1e-14);
}

/// To first order a run of T hours loses lambda T^2/2 + lambda T D hours and lambda T/2 of its plastic.
#[test]
fn rare_failures_do_not_drown_in_rounding() {
    let rare = Restart {
        start_chance: 0.0,
        rate_per_h: 1e-12,
        ..BASE
    }
    .risk()
    .unwrap();
    near(
        rare.extra_machine_h,
        1e-12 * (21.0 * 21.0 / 2.0 + 21.0 * 4.0),
        1e-9,
    );
    near(rare.lost_share, 21e-12 / 2.0, 1e-9);
}

#[test]
fn heating_and_printing_make_up_all_running_hours_that_are_lost() {
    let whole = Restart {
        hours: 100.0,
        stop_h: 0.0,
        ..BASE
    };
    for heating_h in [0.0, 0.2, 3.0, 100.0] {
        let risk = Restart { heating_h, ..whole }.risk().unwrap();
        near(
            risk.lost_heating_h + risk.lost_printing_h,
            risk.extra_machine_h,
            1e-9,
        );
    }
}

#[test]
fn a_print_that_would_never_finish_is_refused() {
    let error = Restart {
        hours: 1000.0,
        rate_per_h: 0.051,
        ..BASE
    }
    .risk()
    .unwrap_err();
    assert!(matches!(error, CostError::NeverFinishes { .. }));
    assert!(
        error
            .to_string()
            .contains("this print would practically never finish")
    );
    assert!(
        Restart {
            hours: 1000.0,
            rate_per_h: 0.05,
            ..BASE
        }
        .risk()
        .unwrap()
        .machine_h
        .is_finite()
    );
    assert!(
        Restart {
            hours: 1e300,
            rate_per_h: 1e300,
            ..BASE
        }
        .risk()
        .is_err()
    );
}

#[test]
fn numbers_that_are_none_are_refused() {
    for bad in [f64::NAN, f64::INFINITY, -1.0] {
        for restart in [
            Restart { hours: bad, ..BASE },
            Restart {
                heating_h: bad,
                ..BASE
            },
            Restart {
                start_chance: bad,
                ..BASE
            },
            Restart {
                start_lost_h: bad,
                ..BASE
            },
            Restart {
                rate_per_h: bad,
                ..BASE
            },
            Restart {
                stop_h: bad,
                ..BASE
            },
        ] {
            assert!(restart.risk().is_err(), "{restart:?}");
        }
    }
    assert!(
        Restart {
            start_chance: 1.0,
            ..BASE
        }
        .risk()
        .is_err()
    );
}

/// A small generator (splitmix64), so that the simulation is the same on every machine.
struct Seeded(u64);

impl Seeded {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }
}

#[derive(Debug, Default)]
struct Told {
    starts: f64,
    machine_h: f64,
    lost_share: f64,
    lost_heating_h: f64,
    first_start_failed: f64,
}

/// Means over many parts, each printed again from nothing until it is good; `stop_h` tells how long a failure at a
/// moment of the run stops the machine.
fn simulated(
    restart: &Restart,
    parts: u32,
    mut stop_h: impl FnMut(f64, &mut Seeded) -> f64,
) -> Told {
    let (mut chance, mut told) = (Seeded(20_030_217), Told::default());
    for _ in 0..parts {
        let mut starts = 0.0;
        loop {
            starts += 1.0;
            if chance.next() < restart.start_chance {
                told.machine_h += restart.start_lost_h;
                told.lost_heating_h += restart.start_lost_h.min(restart.heating_h);
                continue;
            }
            let failed_h = -(1.0 - chance.next()).ln() / restart.rate_per_h;
            if failed_h >= restart.hours {
                told.machine_h += restart.hours;
                break;
            }
            told.machine_h += failed_h + stop_h(failed_h, &mut chance);
            told.lost_share += failed_h / restart.hours;
            told.lost_heating_h += failed_h.min(restart.heating_h);
        }
        told.starts += starts;
        told.first_start_failed += f64::from(starts > 1.0);
    }
    let mean = |sum: f64| sum / f64::from(parts);
    Told {
        starts: mean(told.starts),
        machine_h: mean(told.machine_h),
        lost_share: mean(told.lost_share),
        lost_heating_h: mean(told.lost_heating_h),
        first_start_failed: mean(told.first_start_failed),
    }
}

#[test]
fn the_formulas_are_what_a_simulation_tells() {
    for (hours, rate_per_h, heating_h) in [(60.0, 0.01, 0.4), (200.0, 0.007, 6.0)] {
        let restart = Restart {
            hours,
            rate_per_h,
            heating_h,
            ..BASE
        };
        let told = simulated(&restart, 400_000, |_, _| restart.stop_h);
        let risk = restart.risk().unwrap();
        near(told.starts, risk.starts, 0.01);
        near(told.machine_h, risk.machine_h, 0.01);
        near(told.lost_share, risk.lost_share, 0.01);
        near(told.lost_heating_h, risk.lost_heating_h, 0.01);
        near(told.first_start_failed, risk.failure_probability, 0.01);
    }
}

/// Every run starts at one of the five openings of an office week, and a failed one waits for the next attended hour.
#[test]
fn the_stop_of_a_week_is_what_a_simulation_tells() {
    let failures = beadtally::shop::Failures {
        start_chance: 0.02,
        start_lost_h: 0.5,
        rate_per_h: 0.01,
        clearing_h: 0.25,
        by_default: true,
    };
    let restart = Restart::on(&failures, 50.0, 0.3, &office_week()).unwrap();
    let told = simulated(&restart, 400_000, |failed_h, chance| {
        let now = (9.0 + 24.0 * (chance.next() * 5.0).floor() + failed_h) % 168.0;
        let (day, hour) = ((now / 24.0).floor(), now % 24.0);
        let back = match (day as u32, hour) {
            (0..=4, hour) if hour < 9.0 => day * 24.0 + 9.0,
            (0..=4, hour) if hour < 17.0 => now,
            (0..=3, _) => day * 24.0 + 33.0,
            _ => 168.0 + 9.0,
        };
        0.25 + back - now
    });
    near(told.machine_h, restart.risk().unwrap().machine_h, 0.01);
}
