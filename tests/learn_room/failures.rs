//! Failures against the textbook's examples, closed forms, and integrals taken numerically.

use beadtally::learn::{ChanceOf, Exposure, Learnt, RateOf, failures, failures_from};

use crate::simulated::{RUNS, runs};

fn near(got: f64, expected: f64, tolerance: f64) {
    assert!(
        (got - expected).abs() <= tolerance * expected.abs(),
        "got {got}, expected {expected}"
    );
}

/// Gelman et al., *Bayesian Data Analysis*, the births with placenta previa, from memory: 437 girls of 980 on an even prior give
/// beta(438, 544), mean 0.446, deviation 0.016. The interval by the normal law, 1.645 deviations.
#[test]
fn the_textbook_births_come_out() {
    let even = ChanceOf {
        failed: 1.0,
        held: 1.0,
    };
    let got = even.after(980, 437).unwrap();
    assert_eq!((got.failed, got.held), (438.0, 544.0));
    let learnt = got.learnt().unwrap();
    near(learnt.mean, 0.446, 1e-4);
    near(learnt.from, 0.446 - 1.645 * 0.0159, 1e-3);
    near(learnt.to, 0.446 + 1.645 * 0.0159, 1e-3);
}

/// The same book, deaths from asthma, from memory: gamma(3, 5), then 3 deaths in 2 units of exposure give gamma(6, 7), mean
/// 0.86; ten such years, 30 in 20, give gamma(33, 25), mean 1.32.
#[test]
fn the_textbook_deaths_from_asthma_come_out() {
    let before = RateOf {
        failures: 3.0,
        hours: 5.0,
    };
    for (hours, failures, mean) in [(2.0, 3, "0.86"), (20.0, 30, "1.32")] {
        let learnt = before.after(hours, failures).unwrap().learnt().unwrap();
        assert_eq!(format!("{:.2}", learnt.mean), mean);
    }
}

/// DERIVED: beta(1, b) has `1 - (1 - p)^(1/b)` below it with chance p, gamma(1, h) is the exponential law, `-ln(1 - p)/h`.
#[test]
fn a_machine_without_failures_follows_the_closed_forms() {
    for (starts, hours) in [(0_u64, 0.0), (10, 80.0), (400, 5000.0), (20_000, 300_000.0)] {
        let clean = Exposure {
            starts,
            hours,
            ..Exposure::default()
        };
        let got = failures(&[clean]).unwrap();
        let held = 49.0 + starts as f64;
        let all_h = 1.0 / 0.003 + hours;
        near(got.start_chance.mean, 1.0 / (1.0 + held), 1e-12);
        near(got.rate_per_h.mean, 1.0 / all_h, 1e-12);
        for (chance, p0, rate) in [
            (0.05, got.start_chance.from, got.rate_per_h.from),
            (0.95, got.start_chance.to, got.rate_per_h.to),
        ] {
            let above = f64::ln_1p(-chance);
            near(p0, -f64::exp_m1(above / held), 1e-7);
            near(rate, -above / all_h, 1e-7);
        }
    }
}

/// The definition: without a record the defaults of the shop file stand, 2 % and 0.3 %/h; one failure weighs as much.
#[test]
fn without_a_record_the_defaults_stand() {
    let none = failures(&[]).unwrap();
    near(none.start_chance.mean, 0.02, 1e-12);
    near(none.rate_per_h.mean, 0.003, 1e-12);
    let own = failures_from(0.05, 0.01, &[]).unwrap();
    near(own.start_chance.mean, 0.05, 1e-12);
    near(own.rate_per_h.mean, 0.01, 1e-12);
    let one = Exposure {
        starts: 50,
        early_failures: 1,
        hours: 1.0 / 0.003,
        failures: 1,
    };
    let same = failures(&[one]).unwrap();
    near(same.start_chance.mean, 0.02, 1e-12);
    near(same.rate_per_h.mean, 0.003, 1e-12);
}

/// Share of a density, given by its logarithm, below each end of an interval, by Simpson's rule over `reach`, where its mass is.
fn shares(log_density: impl Fn(f64) -> f64, reach: [f64; 2], learnt: &Learnt) -> [f64; 2] {
    const STEPS: usize = 20_000;
    let peak = (1..STEPS)
        .map(|i| log_density(reach[0] + (reach[1] - reach[0]) * i as f64 / STEPS as f64))
        .fold(f64::NEG_INFINITY, f64::max);
    let simpson = |from: f64, to: f64| {
        let step = (to - from) / STEPS as f64;
        let each = (0..=STEPS).map(|i| {
            let weight = match i {
                0 | STEPS => 1.0,
                _ if i % 2 == 1 => 4.0,
                _ => 2.0,
            };
            weight * (log_density(from + step * i as f64) - peak).exp()
        });
        each.sum::<f64>() * step / 3.0
    };
    let all = simpson(reach[0], reach[1]);
    [learnt.from, learnt.to].map(|end| simpson(reach[0], end) / all)
}

/// Numerical integration of the textbook's densities, without the library.
#[test]
fn intervals_leave_five_per_cent_to_each_side_by_numerical_integration() {
    for (starts, early, hours, late) in [
        (30, 1, 200.0, 2),
        (30, 12, 200.0, 40),
        (500, 3, 6000.0, 9),
        (5000, 2600, 40_000.0, 2500),
        (200_000, 4000, 3.0e6, 9000),
    ] {
        let exposure = Exposure {
            starts,
            early_failures: early,
            hours,
            failures: late,
        };
        let got = failures(&[exposure]).unwrap();
        let (a, b) = (1.0 + early as f64, 49.0 + (starts - early) as f64);
        let (shape, all_h) = (1.0 + late as f64, 1.0 / 0.003 + hours);
        let deviation = (a * b / (a + b + 1.0)).sqrt() / (a + b);
        let reach = |mean: f64, deviation: f64| {
            [
                (mean - 12.0 * deviation).max(1e-12),
                mean + 14.0 * deviation,
            ]
        };
        let of_chance = |x: f64| (a - 1.0) * x.ln() + (b - 1.0) * f64::ln_1p(-x);
        let [low, high] = reach(a / (a + b), deviation);
        let chances = shares(of_chance, [low, high.min(1.0 - 1e-12)], &got.start_chance);
        let of_rate = |x: f64| (shape - 1.0) * x.ln() - all_h * x;
        let span = reach(shape / all_h, shape.sqrt() / all_h);
        let rates = shares(of_rate, span, &got.rate_per_h);
        for [below, up_to] in [chances, rates] {
            assert!(
                (below - 0.05).abs() < 1e-5 && (up_to - 0.95).abs() < 1e-5,
                "{below} {up_to}"
            );
        }
    }
}

/// DERIVED: of so many the laws are normal, 1.645 deviations `sqrt(p (1 - p)/n)` and `sqrt(failures)/hours` to each side.
#[test]
fn very_long_records_end_and_follow_the_normal_law() {
    let endless = Exposure {
        starts: 500_000_000,
        early_failures: 500_000,
        hours: 1e12,
        failures: 400_000_000,
    };
    let got = failures(&[endless]).unwrap();
    let to = |learnt: Learnt| learnt.to - learnt.mean;
    near(
        to(got.start_chance),
        1.645 * (1e-3 * 0.999 / 5e8_f64).sqrt(),
        0.01,
    );
    near(to(got.rate_per_h), 1.645 * 4e8_f64.sqrt() / 1e12, 0.01);
    let clean = Exposure {
        starts: 10_000_000,
        ..Exposure::default()
    };
    let got = failures(&[clean]).unwrap();
    near(got.start_chance.to, -(0.05_f64.ln()) / 1e7, 1e-4);
}

/// A law: records of two months are the record of both.
#[test]
fn records_add_up() {
    let month = |starts, early_failures, hours, failures| Exposure {
        starts,
        early_failures,
        hours,
        failures,
    };
    let apart = failures(&[month(20, 1, 130.0, 0), month(35, 0, 410.0, 2)]).unwrap();
    let together = failures(&[month(55, 1, 540.0, 2)]).unwrap();
    assert_eq!(apart, together);
}

/// DERIVED: where truths are drawn as the prior says, 90 % intervals hold 90 % of them; two deviations of a count of 1000 are
/// 1.9 %. Both laws of the prior are drawn by their inverses.
#[test]
fn intervals_hold_nine_in_ten_machines() {
    let held = runs(800, |_, random| {
        let p0 = 1.0 - (1.0 - random.even()).powf(1.0 / 49.0);
        let rate = -0.003 * (1.0 - random.even()).ln();
        let early_failures = (0..120).filter(|_| random.even() < p0).count() as u64;
        let mut failures_met = 0;
        let mut clock_h = -(1.0 - random.even()).ln() / rate;
        while clock_h < 900.0 {
            failures_met += 1;
            clock_h -= (1.0 - random.even()).ln() / rate;
        }
        let exposure = Exposure {
            starts: 120,
            early_failures,
            hours: 900.0,
            failures: failures_met,
        };
        let got = failures(&[exposure]).unwrap();
        let holds = |learnt: Learnt, truth: f64| learnt.from <= truth && truth <= learnt.to;
        [holds(got.start_chance, p0), holds(got.rate_per_h, rate)]
    });
    for which in [0, 1] {
        let share = held.iter().filter(|one| one[which]).count() as f64 / RUNS as f64;
        println!("held {share}");
        assert!((share - 0.9).abs() < 0.019, "{share}");
    }
}
