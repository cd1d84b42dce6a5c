//! The correction in simulated shops.

use beadtally::learn::{Correction, LEVEL, Pair, correction};

use crate::simulated::{RUNS, Random, Shop, runs, share_below};

const BIASES: [f64; 5] = [0.8, 0.9, 1.0, 1.15, 1.35];
/// 95 % less two standard deviations of a count of 1000: sqrt(0.95 0.05/1000) = 0.7 %.
const LEAST_COVERAGE: f64 = 0.935;

struct Told {
    coverage: f64,
    /// Median of to/from - 1.
    width: f64,
    /// Median and 95th percentile of |factor/truth - 1|.
    off: [f64; 2],
}

fn told(seed: u64, n: usize, shop: impl Fn(u64) -> Shop + Sync) -> Told {
    let all = runs(seed, |run, random| {
        let shop = shop(run);
        let got = correction(&shop.jobs(n, random)).unwrap();
        let holds = got.from <= shop.truth() && shop.truth() <= got.to;
        (
            holds,
            got.to / got.from - 1.0,
            (got.factor / shop.truth() - 1.0).abs(),
        )
    });
    let offs: Vec<f64> = all.iter().map(|one| one.2).collect();
    Told {
        coverage: all.iter().filter(|one| one.0).count() as f64 / RUNS as f64,
        width: share_below(all.iter().map(|one| one.1).collect(), 0.5),
        off: [share_below(offs.clone(), 0.5), share_below(offs, 0.95)],
    }
}

fn say(what: &str, n: usize, told: &Told) {
    println!(
        "{what}, {n} jobs: holds {:.1} %, wide {:.1} %, off {:.2} %, 95th {:.2} %",
        100.0 * told.coverage,
        100.0 * told.width,
        100.0 * told.off[0],
        100.0 * told.off[1]
    );
}

/// DERIVED: 1.96 deviations of the mean of the jobs since the change, either way. Nothing that has to find spread and change out
/// for itself can be as narrow.
fn best_width(spread: f64, jobs: usize) -> f64 {
    (2.0 * 1.96 * spread / (jobs as f64).sqrt()).exp_m1()
}

fn holds_the_truth(
    seed: u64,
    what: &str,
    change: impl Fn(Shop) -> Shop + Sync,
    since: fn(usize) -> usize,
) {
    for (i, &n) in [3, 6, 12, 30, 60].iter().enumerate() {
        for (k, &spread) in [0.03, 0.10].iter().enumerate() {
            let told = told(seed + (2 * i + k) as u64, n, |run| {
                change(Shop::steady(BIASES[run as usize % BIASES.len()], spread))
            });
            say(&format!("{what}, {:.0} %", 100.0 * spread), n, &told);
            assert!(told.coverage >= LEAST_COVERAGE, "{}", told.coverage);
            let most = 4.0 * best_width(spread, since(n));
            assert!(told.width <= most, "{} of {most}", told.width);
        }
    }
}

/// The shop's own bias, put in. Stated level 95 %; no wider than four times the best.
#[test]
fn the_interval_holds_the_bias_of_a_steady_machine() {
    holds_the_truth(100, "steady", |shop| shop, |n| n);
}

/// The bias after the change, put in.
#[test]
fn the_interval_holds_the_bias_since_a_change_half_way() {
    holds_the_truth(200, "new belt", Shop::with_belt, |n| n - n / 2);
}

/// The same for each bias by itself.
#[test]
fn the_interval_holds_every_bias() {
    for (i, bias) in BIASES.into_iter().enumerate() {
        for (k, n) in [4, 12].into_iter().enumerate() {
            let seed = 300 + (2 * i + k) as u64;
            let told = told(seed, n, |_| Shop::steady(bias, 0.06).with_belt());
            say(&format!("bias {bias}, new belt"), n, &told);
            assert!(told.coverage >= LEAST_COVERAGE, "{}", told.coverage);
        }
    }
}

/// Changes of other sizes, the truth put in.
#[test]
fn the_interval_holds_the_bias_since_changes_small_and_large() {
    for (i, change) in [0.75, 0.85, 0.96, 1.05, 1.3].into_iter().enumerate() {
        let told = told(400 + i as u64, 16, |_| Shop {
            change,
            ..Shop::steady(1.1, 0.05)
        });
        say(&format!("changed by {change}"), 16, &told);
        assert!(told.coverage >= LEAST_COVERAGE, "{}", told.coverage);
    }
}

/// DERIVED: the mean of 30 jobs of 5 % is off by 0.6 % at the median and 1.8 % at the 95th percentile at the very best.
#[test]
fn thirty_jobs_without_bias_leave_estimates_within_one_per_cent() {
    let told = told(500, 30, |_| Shop::steady(1.0, 0.05));
    say("no bias, 5 %", 30, &told);
    assert!(told.off[0] <= 0.01 && told.off[1] <= 0.03, "{:?}", told.off);
}

/// The truth put in: within 2 % at the median, thirty jobs after a change of 8 %.
#[test]
fn a_new_belt_is_followed() {
    let told = told(510, 60, |_| Shop::steady(1.15, 0.05).with_belt());
    say("new belt, 5 %", 60, &told);
    assert!(told.off[0] <= 0.01 && told.off[1] <= 0.03, "{:?}", told.off);
}

/// The same shop without the wild job: it moves the factor by less than 2 %, wherever it stands among at least eight others. In the
/// noisiest shop, where an ordinary job moves it by as much, by less than that in 99 of 100 runs and less than 3 % in all.
#[test]
fn one_wild_job_moves_the_factor_by_less_than_two_per_cent() {
    for (i, (n, spread)) in [(8, 0.03), (8, 0.05), (12, 0.08), (20, 0.10)]
        .into_iter()
        .enumerate()
    {
        let moved = runs(600 + i as u64, |run, random| {
            let shop = Shop {
                wild: 0.0,
                ..Shop::steady(BIASES[run as usize % BIASES.len()], spread)
            };
            let others = shop.jobs(n, random);
            let before = correction(&others).unwrap().factor;
            let place = (random.even() * (n + 1) as f64).min(n as f64).floor() - 0.5;
            let wild = if run % 2 == 0 { 10.0 } else { 0.1 };
            let pair = Pair {
                estimated: 5.0,
                actual: 5.0 * wild,
                age_days: (2.0 * place).max(0.0),
            };
            let all: Vec<Pair> = others.into_iter().chain([pair]).collect();
            (correction(&all).unwrap().factor / before - 1.0).abs()
        });
        let most = share_below(moved.clone(), 1.0);
        let usual = share_below(moved.clone(), 0.5);
        println!("{n} jobs of {spread} and a wild one: moved by {usual:.4}, at most {most:.4}");
        assert!(most < if spread < 0.1 { 0.02 } else { 0.03 }, "{most}");
        assert!(share_below(moved, 0.99) < 0.02);
    }
}

fn same(n: usize, ratio: f64, age_days: f64) -> Vec<Pair> {
    let pair = |i: usize| Pair {
        estimated: 10.0,
        actual: 10.0 * ratio,
        age_days: age_days + i as f64,
    };
    (0..n).map(pair).collect()
}

fn learnt(pairs: &[Pair]) -> Correction {
    correction(pairs).unwrap()
}

/// The definition: nothing known is a factor of 1; few jobs are taken with reserve, more with less.
#[test]
fn the_factor_goes_from_one_to_what_the_jobs_say() {
    let none = learnt(&[]);
    assert!((none.factor - 1.0).abs() < 1e-9 && none.weight == 0.0 && none.pairs == 0);
    assert!(none.from < 0.65 && none.to > 1.5 && none.level == LEVEL);
    let factors: Vec<f64> = [1, 2, 4, 8, 16]
        .map(|n| learnt(&same(n, 1.25, 0.0)).factor)
        .to_vec();
    assert!(factors[0] > 1.1 && factors[0] < 1.24, "{factors:?}");
    assert!(factors.windows(2).all(|two| two[0] < two[1]), "{factors:?}");
    assert!((factors[4] - 1.25).abs() < 0.005, "{factors:?}");
}

/// The definition: a job's weight is half after a half-life at the most, and interval and factor go back to nothing known.
#[test]
fn old_jobs_fade() {
    let ages = [0.0, 365.0, 730.0, 3650.0, 36500.0];
    let all: Vec<Correction> = ages.map(|age| learnt(&same(10, 1.25, age))).to_vec();
    assert!(
        all.windows(2).all(|two| two[0].weight > two[1].weight),
        "{all:?}"
    );
    assert!(
        all.windows(2)
            .all(|two| two[0].to / two[0].from < two[1].to / two[1].from)
    );
    assert!(all[1].weight < 0.5 * all[0].weight, "{all:?}");
    assert!(all[0].weight > 3.0 && all[0].weight <= 10.0, "{all:?}");
}

/// The definition: pairs carry their own age.
#[test]
fn the_order_in_which_pairs_are_given_is_without_effect() {
    let mut pairs = Shop::steady(1.2, 0.07).jobs(25, &mut Random::seeded(7));
    pairs[3].age_days = pairs[4].age_days;
    let forward = learnt(&pairs);
    pairs.reverse();
    assert_eq!(learnt(&pairs), forward);
    pairs.swap(2, 20);
    assert_eq!(learnt(&pairs), forward);
}

/// A law: whoever swaps estimated and actual asks for the factor's inverse.
#[test]
fn swapped_pairs_give_the_inverse() {
    let pairs = Shop::steady(1.2, 0.07)
        .with_belt()
        .jobs(25, &mut Random::seeded(8));
    let swapped = pairs.iter().map(|pair| Pair {
        estimated: pair.actual,
        actual: pair.estimated,
        ..*pair
    });
    let (there, back) = (learnt(&pairs), learnt(&swapped.collect::<Vec<_>>()));
    for (a, b) in [
        (there.factor, back.factor),
        (there.from, back.to),
        (there.to, back.from),
    ] {
        assert!((a * b - 1.0).abs() < 1e-6, "{a} {b}");
    }
}

/// The definition: outside of 0.5 to 2.
#[test]
fn a_factor_of_over_two_or_below_a_half_asks() {
    for (ratio, asks) in [
        (0.4, true),
        (0.7, false),
        (1.8, false),
        (2.4, true),
        (10.0, true),
    ] {
        let got = learnt(&same(12, ratio, 0.0));
        assert!((got.factor / ratio - 1.0).abs() < 0.02, "{got:?}");
        assert_eq!(got.is_extreme(), asks, "{got:?}");
    }
}
