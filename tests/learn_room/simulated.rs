//! Shops whose truth is known.

use beadtally::learn::Pair;
use rayon::prelude::*;

/// Every test makes so many shops of a kind.
pub const RUNS: u64 = 1000;

/// A seeded generator (splitmix64, Steele, Lea & Flood 2014, from memory).
pub struct Random(u64);

impl Random {
    pub fn seeded(seed: u64) -> Random {
        Random(seed.wrapping_mul(0xD6E8_FEB8_6659_FD93))
    }

    /// Even between 0 and 1.
    pub fn even(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Normal with mean 0 and deviation 1 (Box & Muller).
    pub fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.even()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.even()).cos()
    }
}

/// A machine in a shop that does a job every other day.
#[derive(Clone, Copy)]
pub struct Shop {
    pub bias: f64,
    /// Standard deviation of the logarithm of a job's own error.
    pub spread: f64,
    /// Share of jobs that are off by a factor of up to ten either way, besides.
    pub wild: f64,
    /// The bias is multiplied by it from the middle of the jobs on.
    pub change: f64,
}

impl Shop {
    pub fn steady(bias: f64, spread: f64) -> Shop {
        Shop {
            bias,
            spread,
            wild: 0.03,
            change: 1.0,
        }
    }

    /// A new belt half way makes it 8 % faster.
    pub fn with_belt(self) -> Shop {
        Shop {
            change: 0.92,
            ..self
        }
    }

    /// The bias today.
    pub fn truth(&self) -> f64 {
        self.bias * self.change
    }

    /// Actual over estimated of a job at this bias.
    pub fn ratio(&self, bias: f64, random: &mut Random) -> f64 {
        let ratio = bias * (self.spread * random.normal()).exp();
        if random.even() >= self.wild {
            return ratio;
        }
        let off = 10_f64.powf(random.even());
        if random.even() < 0.5 {
            ratio * off
        } else {
            ratio / off
        }
    }

    pub fn jobs(&self, n: usize, random: &mut Random) -> Vec<Pair> {
        let job = |i: usize| {
            let bias = if i < n / 2 { self.bias } else { self.truth() };
            let estimated = 1.0 + 30.0 * random.even();
            Pair {
                estimated,
                actual: estimated * self.ratio(bias, random),
                age_days: 2.0 * (n - 1 - i) as f64,
            }
        };
        (0..n).map(job).collect()
    }
}

/// What `one` finds in each of the runs, in their order.
pub fn runs<T: Send>(seed: u64, one: impl Fn(u64, &mut Random) -> T + Sync) -> Vec<T> {
    let seeds = (0..RUNS).into_par_iter();
    seeds
        .map(|run| one(run, &mut Random::seeded(1 + seed * RUNS + run)))
        .collect()
}

/// The value below which a share of the values lies.
pub fn share_below(mut values: Vec<f64>, share: f64) -> f64 {
    values.sort_by(f64::total_cmp);
    values[(share * (values.len() - 1) as f64).round() as usize]
}
