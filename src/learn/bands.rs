//! How wide bands should have been.

use super::LearnError;
use super::error::positive;
use super::pair::{Pair, log_factors_left_out};
use super::student::{self, WILD};
use super::track::HALF_LIFE_DAYS;

/// Share of jobs that a band is stated to hold.
pub const BAND_LEVEL: f64 = 0.9;
/// Bands are made neither narrower nor wider than by these, whatever the jobs say.
pub const BAND_FACTORS: [f64; 2] = [0.3, 3.0];
/// Scales of Student's t with four degrees of freedom within which 90 % lie (tables, from memory; a test holds it).
const SCALES_TO_END: f64 = 2.131_846_8;
/// Standard deviation of the logarithm of the factor before the first job: bands are thought right within a factor of two.
const SPREAD: f64 = std::f64::consts::LN_2;
/// The factor is looked for on an even grid of its logarithm, of this step and so many of them to each side: 0.05 to 20.
const STEP: f64 = 0.05;
const STEPS: i32 = 60;
/// A side of a band is taken to be at least this wide, as a logarithm: no job is told to half a per cent.
const LEAST_HALF_WIDTH: f64 = 0.005;

/// A job with the band that was stated for it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BandedPair {
    /// What was estimated and what it took.
    pub pair: Pair,
    /// The band's lower end, h or g, above 0 and at most the estimate.
    pub from: f64,
    /// Its upper end, h or g, at least the estimate.
    pub to: f64,
}

/// What half-widths of new bands are to be multiplied by, and how old ones did.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BandFactor {
    /// Logarithmic half-widths of new bands are multiplied by it. Within [`BAND_FACTORS`].
    pub factor: f64,
    /// Share of jobs that a band so made is meant to hold: [`BAND_LEVEL`].
    pub level: f64,
    /// Jobs whose actual figure fell inside the band as it was stated.
    pub inside: usize,
    /// The same with bands moved by what the other jobs say and made wider or narrower by `factor`.
    pub inside_after: usize,
    /// All jobs.
    pub pairs: usize,
}

/// A figure with its band.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LearntBand {
    /// What is estimated, corrected, h or g.
    pub estimated: f64,
    /// The lower end, h or g.
    pub from: f64,
    /// The upper end, h or g.
    pub to: f64,
}

/// The factor that makes bands hold nine jobs in ten once the [`correction`](super::correction) is applied.
///
/// Each job, corrected by what the others say, is so many half-widths off its estimate. Those are taken as Student's t of an unknown
/// scale; the scale's logarithm starts from no change, and older jobs count less, by half in a half-life (a likelihood
/// raised to a power, the power prior of Ibrahim & Chen 2000, from memory). The factor is its mean.
///
/// # Errors
/// Those of [`correction`](super::correction); bands that are not finite and above 0 or don't hold their estimate.
pub fn band_factor(banded: &[BandedPair]) -> Result<BandFactor, LearnError> {
    let pairs: Vec<Pair> = banded.iter().map(|one| one.pair).collect();
    let factors = log_factors_left_out(&pairs)?;
    let mut misses = Vec::with_capacity(banded.len());
    for (one, log_factor) in banded.iter().zip(factors) {
        let sides = Sides::of(one.pair.estimated, one.from, one.to)?;
        let off = one.pair.actual.ln() - one.pair.estimated.ln();
        misses.push(Miss {
            stated: sides.half_widths_off(off),
            learnt: sides.half_widths_off(off - log_factor),
            side: sides.side(off - log_factor),
            weight: (-one.pair.age_days / HALF_LIFE_DAYS).exp2(),
        });
    }
    let [least, most] = BAND_FACTORS;
    let factor = mean_log_factor(&misses).exp().clamp(least, most);
    Ok(BandFactor {
        factor,
        level: BAND_LEVEL,
        inside: misses.iter().filter(|m| m.stated <= 1.0).count(),
        inside_after: misses.iter().filter(|m| m.learnt <= factor).count(),
        pairs: banded.len(),
    })
}

impl BandFactor {
    /// A new estimate with its band, corrected by a factor and made as wide as this says.
    ///
    /// # Errors
    /// A band that does not hold its estimate; figures and a correction that are not finite and above 0.
    pub fn applied(
        &self,
        correction: f64,
        estimated: f64,
        from: f64,
        to: f64,
    ) -> Result<LearntBand, LearnError> {
        let corrected = estimated * positive("the correction", correction)?;
        let sides = Sides::of(estimated, from, to)?;
        Ok(LearntBand {
            estimated: corrected,
            from: corrected * (-self.factor * sides.down).exp(),
            to: corrected * (self.factor * sides.up).exp(),
        })
    }
}

/// Logarithmic half-widths of a band.
struct Sides {
    down: f64,
    up: f64,
}

impl Sides {
    fn of(estimated: f64, from: f64, to: f64) -> Result<Sides, LearnError> {
        positive("the estimated figure", estimated)?;
        positive("the band's lower end", from)?;
        positive("the band's upper end", to)?;
        if from <= estimated && estimated <= to {
            Ok(Sides {
                down: estimated.ln() - from.ln(),
                up: to.ln() - estimated.ln(),
            })
        } else {
            Err(LearnError::BandWithoutEstimate {
                from,
                estimated,
                to,
            })
        }
    }

    /// How many half-widths, of the side it is on, a logarithm is off.
    fn half_widths_off(&self, off: f64) -> f64 {
        off.abs() / self.side(off)
    }

    fn side(&self, off: f64) -> f64 {
        let side = if off < 0.0 { self.down } else { self.up };
        side.max(LEAST_HALF_WIDTH)
    }
}

/// One job against its band.
struct Miss {
    /// Half-widths off the estimate as it was stated.
    stated: f64,
    /// Half-widths off the corrected one.
    learnt: f64,
    /// Half-width of the side that the corrected one is on.
    side: f64,
    /// What the job counts for, 1 for one of today.
    weight: f64,
}

fn mean_log_factor(misses: &[Miss]) -> f64 {
    let logs: Vec<f64> = (-STEPS..=STEPS).map(|k| STEP * f64::from(k)).collect();
    let likelihoods: Vec<f64> = logs
        .iter()
        .map(|&log| log_likelihood(log, misses))
        .collect();
    let most = likelihoods
        .iter()
        .copied()
        .fold(f64::NEG_INFINITY, f64::max);
    let (mut sum, mut weights) = (0.0, 0.0);
    for (log, likelihood) in logs.iter().zip(&likelihoods) {
        let weight = (likelihood - most).exp();
        sum += weight * log;
        weights += weight;
    }
    sum / weights
}

fn log_likelihood(log_factor: f64, misses: &[Miss]) -> f64 {
    let off = log_factor / SPREAD;
    let each = misses.iter().map(|miss| {
        let per_scale = SCALES_TO_END * (-log_factor).exp();
        let ordinary = student::density(per_scale * miss.learnt) * per_scale / miss.side;
        let density = (1.0 - WILD) * ordinary + WILD * student::wild_density();
        miss.weight * density.ln()
    });
    each.sum::<f64>() - 0.5 * off * off
}

#[cfg(test)]
mod tests {
    use super::{BAND_LEVEL, SCALES_TO_END, student};

    /// The table's figure, held by the distribution's closed form.
    #[test]
    fn nine_in_ten_lie_within_the_scales_of_the_table() {
        let within = 2.0 * student::below(SCALES_TO_END) - 1.0;
        assert!((within - BAND_LEVEL).abs() < 1e-8, "{within}");
    }
}
