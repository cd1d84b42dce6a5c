//! The correction of estimates that a machine's jobs ask for.

use super::LearnError;
use super::pair::{Pair, jobs};
use super::track::{Known, Track};

/// Stated level of a correction's interval.
pub const LEVEL: f64 = 0.95;
/// Corrections outside of these are asked about before they are taken: by a factor of two an estimate is not biased, but of
/// another machine, unit or setting.
pub const EXTREME: [f64; 2] = [0.5, 2.0];

/// What estimates are to be multiplied by, and how well that is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Correction {
    /// Actual over estimated as it stands today: the middle (median) of what is known.
    pub factor: f64,
    /// The factor is above this,
    pub from: f64,
    /// and below this, with the chance `level`.
    pub to: f64,
    /// Chance that the machine's own factor lies between `from` and `to`: [`LEVEL`].
    pub level: f64,
    /// Jobs of today that would tell as much as all pairs together: old ones, wild ones and those from before a change
    /// count for less than one.
    pub weight: f64,
    /// Pairs that it rests on.
    pub pairs: usize,
}

impl Correction {
    /// Whether the factor is outside [`EXTREME`], so that somebody is to be asked before it is taken.
    #[must_use]
    pub fn is_extreme(&self) -> bool {
        !(EXTREME[0]..=EXTREME[1]).contains(&self.factor)
    }
}

/// The correction that pairs ask for, in any order. None at all give a factor of 1 with the interval thought likely before.
///
/// # Errors
/// Figures that are not finite and above 0, negative ages, figures that can't be of one job.
pub fn correction(pairs: &[Pair]) -> Result<Correction, LearnError> {
    let jobs = jobs(pairs)?;
    let track = Track::of(&jobs);
    let known = track.today();
    let [from, to] = ends(&known);
    Ok(Correction {
        factor: known.quantile(0.5).exp(),
        from: from.exp(),
        to: to.exp(),
        level: LEVEL,
        weight: weight(&track, [from, to]).clamp(0.0, pairs.len() as f64),
        pairs: pairs.len(),
    })
}

fn ends(known: &Known) -> [f64; 2] {
    let tail = 0.5 * (1.0 - LEVEL);
    [known.quantile(tail), known.quantile(1.0 - tail)]
}

/// What was learnt, as an inverse variance, in jobs: that of the interval less that of what was thought before.
fn weight(track: &Track<'_>, now: [f64; 2]) -> f64 {
    // a normal law has 95 % within 1.96 standard deviations
    let certainty = |[from, to]: [f64; 2]| ((to - from) / (2.0 * 1.96)).powi(-2);
    track.variance_of_one_job() * (certainty(now) - certainty(ends(&track.before())))
}
