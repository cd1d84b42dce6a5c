//! Bands in simulated shops.

use beadtally::learn::{BAND_FACTORS, BandFactor, BandedPair, Pair, band_factor, correction};

use crate::simulated::{Random, Shop, runs, share_below};

/// A band of a job, wider upwards than downwards as most are: logarithmic half-widths.
fn half_widths(random: &mut Random) -> [f64; 2] {
    let down = 0.06 + 0.12 * random.even();
    [down, down * (1.0 + 0.4 * random.even())]
}

/// Jobs of a shop whose noise is `times` what its bands state: stated 90 % are 1.645 deviations to the side.
fn banded(shop: &Shop, times: f64, n: usize, random: &mut Random) -> Vec<BandedPair> {
    let job = |i: usize| {
        let [down, up] = half_widths(random);
        let estimated = 2.0 + 20.0 * random.even();
        let noise = random.normal();
        let side = if noise < 0.0 { down } else { up };
        let quiet = Shop {
            spread: 0.0,
            ..*shop
        };
        let ratio = quiet.ratio(shop.bias, random) * (times * side / 1.645 * noise).exp();
        BandedPair {
            pair: Pair {
                estimated,
                actual: estimated * ratio,
                age_days: 2.0 * (n - 1 - i) as f64,
            },
            from: estimated * (-down).exp(),
            to: estimated * up.exp(),
        }
    };
    (0..n).map(job).collect()
}

const NEW: usize = 5;

/// Share of new jobs inside their bands, and the median factor.
fn new_jobs_inside(seed: u64, times: f64, n: usize) -> (f64, f64) {
    let shop = Shop::steady(1.15, 0.0);
    let all = runs(seed, |_, random| {
        let old = banded(&shop, times, n, random);
        let factor = band_factor(&old).unwrap();
        let pairs: Vec<Pair> = old.iter().map(|one| one.pair).collect();
        let correction = correction(&pairs).unwrap().factor;
        let new = banded(&shop, times, NEW, random);
        let inside = new.iter().filter(|one| {
            let band = factor
                .applied(correction, one.pair.estimated, one.from, one.to)
                .unwrap();
            band.from <= one.pair.actual && one.pair.actual <= band.to
        });
        (inside.count(), factor.factor)
    });
    let inside: usize = all.iter().map(|one| one.0).sum();
    let factors = all.iter().map(|one| one.1).collect();
    (
        inside as f64 / (NEW * all.len()) as f64,
        share_below(factors, 0.5),
    )
}

/// The truth put in: noise smaller than, as, and larger than the bands state; 3 % of old and new jobs are wild besides.
#[test]
fn new_bands_hold_nine_jobs_in_ten_whatever_the_noise() {
    for (i, times) in [0.4, 0.7, 1.0, 1.5, 2.2].into_iter().enumerate() {
        let (inside, factor) = new_jobs_inside(900 + i as u64, times, 20);
        println!(
            "noise {times} of the stated, 20 jobs: {:.1} % inside, factor {factor:.2}",
            100.0 * inside
        );
        assert!((0.85..=0.95).contains(&inside), "{inside}");
        // learnt in the right direction; small noise is not told from what the correction itself is off by
        assert!(
            if times < 0.9 {
                factor < 0.9
            } else {
                factor < 1.3 * times
            },
            "{factor}"
        );
        assert!(factor > 0.8 * times, "{factor}");
    }
}

fn factor_of(times_off: &[f64]) -> BandFactor {
    let one = |(i, off): (usize, &f64)| {
        let sign = if i % 2 == 0 { 1.0 } else { -1.0 };
        BandedPair {
            pair: Pair {
                estimated: 10.0,
                actual: 10.0 * f64::exp(sign * off * 0.1),
                age_days: 0.0,
            },
            from: 10.0 * f64::exp(-0.1),
            to: 10.0 * f64::exp(0.1),
        }
    };
    let banded: Vec<BandedPair> = times_off.iter().enumerate().map(one).collect();
    band_factor(&banded).unwrap()
}

/// The definition: nothing known changes nothing, one job little, and no number of jobs goes past the bounds.
#[test]
fn bands_stay_as_stated_while_few_jobs_are_known_and_within_bounds_always() {
    let none = factor_of(&[]);
    assert!((none.factor - 1.0).abs() < 1e-12);
    assert_eq!((none.inside, none.inside_after, none.pairs), (0, 0, 0));
    let one = factor_of(&[0.0]).factor;
    let few = factor_of(&[0.01; 4]).factor;
    assert!(0.6 < one && one < 1.0 && few < one, "{one} {few}");
    assert_eq!(factor_of(&[0.001; 60]).factor, BAND_FACTORS[0]);
    assert_eq!(factor_of(&[9.0; 60]).factor, BAND_FACTORS[1]);
}

/// Counted by hand: of six jobs two are outside of what was stated.
#[test]
fn the_record_counts_the_jobs_inside_their_bands() {
    let got = factor_of(&[0.2, 0.5, 0.99, 1.01, 1.5, 0.1]);
    assert_eq!((got.inside, got.pairs), (4, 6));
}

/// By hand: an estimate of 10 from 8 to 15, corrected by 1.2, with half-widths halved: 12, 12 sqrt(0.8), 12 sqrt(1.5).
#[test]
fn a_new_band_is_moved_and_scaled_in_logarithms() {
    let half = BandFactor {
        factor: 0.5,
        level: 0.9,
        inside: 0,
        inside_after: 0,
        pairs: 0,
    };
    let got = half.applied(1.2, 10.0, 8.0, 15.0).unwrap();
    for (got, expected) in [
        (got.estimated, 12.0),
        (got.from, 12.0 * 0.8_f64.sqrt()),
        (got.to, 12.0 * 1.5_f64.sqrt()),
    ] {
        assert!((got - expected).abs() < 1e-12, "{got} {expected}");
    }
}

/// A biased, steady shop, the truth put in: bands around raw estimates miss, learnt ones hold and are narrower.
#[test]
fn bands_shrink_as_a_biased_shop_learns() {
    let shop = Shop::steady(1.3, 0.0);
    let got = band_factor(&banded(&shop, 0.5, 30, &mut Random::seeded(11))).unwrap();
    println!("{got:?}");
    assert!(
        got.inside < 10 && got.inside_after >= 25 && got.factor < 0.8,
        "{got:?}"
    );
}
