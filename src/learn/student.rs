//! The law of a job's own error: Student's t with four degrees of freedom, and now and then anything at all.
//!
//! Its tails are what makes the room robust. A job that is `z` scales off pulls with `5 z/(4 + z^2)`, which grows up to two scales
//! and then falls back to nothing (Gelman et al., *Bayesian Data Analysis*, on robust inference with the t; Huber, *Robust
//! Statistics*, on redescending estimates; both from memory). Four is the degree those texts take as the usual choice, and for it
//! density and distribution are closed forms.
//!
//! A slip of a decimal point is further off than any scale of honest work would bring it, and alone would make a few steady jobs look
//! unsteady. So a few jobs are taken to be *wild*: as likely at one ratio that is taken at all as at another (the
//! contaminated model of Tukey 1960 and Huber, from memory).

use super::pair::GREATEST_RATIO;

/// Share of jobs that are taken to be wild: what practitioners' records are told to hold, 1 to 10 % (Hampel et al., *Robust
/// Statistics*, from memory), at its lower end.
pub(super) const WILD: f64 = 0.03;

/// Density of a wild job's logarithmic ratio: even from `1/GREATEST_RATIO` to `GREATEST_RATIO`.
pub(super) fn wild_density() -> f64 {
    0.5 / GREATEST_RATIO.ln()
}

/// Density at `z` scales off the middle, per scale: `3/8 (1 + z^2/4)^(-5/2)`.
pub(super) fn density(z: f64) -> f64 {
    let a = 1.0 + 0.25 * z * z;
    0.375 / (a * a * a.sqrt())
}

/// Chance of a value below `z` scales: `1/2 + 3/8 s (1 - s^2/12)` with `s = z / sqrt(1 + z^2/4)` (derived by integration).
#[cfg(test)]
pub(super) fn below(z: f64) -> f64 {
    let s = z / (1.0 + 0.25 * z * z).sqrt();
    0.5 + 0.375 * s * (1.0 - s * s / 12.0)
}

#[cfg(test)]
mod tests {
    use super::{below, density};

    /// Tables of Student's t, four degrees of freedom, from memory: 1.533, 2.132, 2.776, 4.604 leave 10, 5, 2.5 and 0.5 % above.
    /// Half a unit of their last place, times the density, is 6e-5 at the most.
    #[test]
    fn the_distribution_is_that_of_the_tables() {
        for (z, above) in [(1.533, 0.1), (2.132, 0.05), (2.776, 0.025), (4.604, 0.005)] {
            assert!((1.0 - below(z) - above).abs() < 6e-5, "{z}");
            assert!((below(-z) - above).abs() < 6e-5, "{z}");
        }
    }

    /// Elementary: a density is the slope of its distribution.
    #[test]
    fn the_density_is_the_slope_of_the_distribution() {
        for z in [-30.0, -2.0, -0.3, 0.0, 1.0, 5.0] {
            let slope = (below(z + 1e-5) - below(z - 1e-5)) / 2e-5;
            assert!((slope - density(z)).abs() < 1e-8, "{z}");
        }
    }
}
