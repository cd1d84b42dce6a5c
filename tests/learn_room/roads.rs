//! The correction by other roads: integrals written out for one and two jobs, with the constants of `docs/learning.md`.

use beadtally::learn::{Correction, Pair, correction};

const SCALES: [f64; 8] = [0.02, 0.029, 0.041, 0.059, 0.084, 0.12, 0.175, 0.25];
const FINE: f64 = 0.001;
const CELLS: usize = 4001;

fn log_bias(cell: usize) -> f64 {
    (cell as f64 - 2000.0) * FINE
}

/// Textbook density of Student's t with four degrees of freedom.
fn student(off: f64, scale: f64) -> f64 {
    0.375 / scale * (1.0 + (off / scale).powi(2) / 4.0).powf(-2.5)
}

/// Three jobs in a hundred are wild, even between 1/500 and 500.
fn job(off: f64, scale: f64) -> f64 {
    0.97 * student(off, scale) + 0.03 / (2.0 * 500_f64.ln())
}

fn scale_weight(scale: f64) -> f64 {
    (-0.5 * ((scale / 0.1).ln() / 2_f64.ln()).powi(2)).exp()
}

fn quantile(density: &[f64], chance: f64) -> f64 {
    let all: f64 = density.iter().sum();
    let mut below = 0.0;
    for (cell, one) in density.iter().enumerate() {
        below += one;
        if below >= chance * all {
            return log_bias(cell).exp();
        }
    }
    unreachable!("the chance is below 1")
}

fn agree(got: Correction, density: &[f64]) {
    for (got, chance) in [(got.from, 0.025), (got.factor, 0.5), (got.to, 0.975)] {
        let expected = quantile(density, chance);
        assert!(
            (got / expected - 1.0).abs() < 0.003,
            "{got} {expected} at {chance}"
        );
    }
}

fn pair(ratio: f64, age_days: f64) -> Pair {
    Pair {
        estimated: 2.0,
        actual: 2.0 * ratio,
        age_days,
    }
}

/// DERIVED: Bayes' rule, summed over scales and a grid four times finer, for jobs of one day, between which nothing changes.
#[test]
fn jobs_of_one_day_give_the_integral_of_bayes_rule() {
    for ratios in [
        vec![1.2],
        vec![1.2, 1.3, 0.9],
        vec![0.7, 0.72, 0.69, 3.0, 0.71],
    ] {
        let density: Vec<f64> = (0..CELLS)
            .map(|cell| {
                let at = log_bias(cell);
                let over_scales = SCALES.iter().map(|&scale| {
                    let each = ratios.iter().map(|ratio| job(f64::ln(*ratio) - at, scale));
                    scale_weight(scale) * each.product::<f64>()
                });
                student(at, 0.2) * over_scales.sum::<f64>()
            })
            .collect();
        let pairs: Vec<Pair> = ratios.iter().map(|&ratio| pair(ratio, 0.0)).collect();
        agree(correction(&pairs).unwrap(), &density);
    }
}

/// DERIVED: for two jobs 100 days apart the change between them is a second integral: it stands still with a chance of
/// `(1 - 1/4) 2^(-100/365)`, else it moves by Laplace's law of mean 0.1.
#[test]
fn two_jobs_apart_give_the_double_integral_over_the_change() {
    let (old, new) = (1.3_f64, 1.05_f64);
    let stays = (1.0 - 1.0 / 4.0) * (-100.0_f64 / 365.0).exp2();
    let coarse = 4;
    let mut density = vec![0.0; CELLS];
    for scale in SCALES {
        let before: Vec<f64> = (0..CELLS)
            .map(|cell| {
                let at = log_bias(cell);
                student(at, 0.2) * job(old.ln() - at, scale)
            })
            .collect();
        for (cell, sum) in density.iter_mut().enumerate() {
            let at = log_bias(cell);
            let moved: f64 = (0..CELLS)
                .step_by(coarse)
                .map(|k| before[k] * (-(at - log_bias(k)).abs() / 0.1).exp() / 0.2)
                .sum();
            let moved = moved * FINE * coarse as f64;
            let both = stays * before[cell] + (1.0 - stays) * moved;
            *sum += scale_weight(scale) * both * job(new.ln() - at, scale);
        }
    }
    agree(
        correction(&[pair(new, 0.0), pair(old, 100.0)]).unwrap(),
        &density,
    );
}
