//! How far off estimates were, and would be with what is learnt.

use super::LearnError;
use super::pair::{Pair, log_factors_left_out};

/// Errors of estimates before and after the correction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Errors {
    /// Of the estimates as they were.
    pub before: Off,
    /// Of the estimates corrected, each by what all other jobs say, so that no job vouches for itself.
    pub after: Off,
    /// Pairs that it rests on.
    pub pairs: usize,
}

/// How far actual figures are from estimates: shares, 0.1 is 10 % off either way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Off {
    /// Half of the jobs are off by at most this: the median of `|actual/estimated - 1|`.
    pub median: f64,
    /// Nine in ten are off by at most this.
    pub ninth_decile: f64,
}

/// Errors before and after of jobs left out one at a time: each is corrected by what the others, earlier and later, tell of the machine at
/// its date (leave-one-out cross-validation, Stone 1974, from memory). `None` where there are fewer than two pairs, since
/// then there are no others.
///
/// # Errors
/// Those of [`correction`](super::correction).
pub fn errors_left_out(pairs: &[Pair]) -> Result<Option<Errors>, LearnError> {
    let factors = log_factors_left_out(pairs)?;
    if pairs.len() < 2 {
        return Ok(None);
    }
    let off = |factor: &dyn Fn(usize) -> f64| {
        let each = pairs.iter().enumerate();
        Off::of(
            each.map(|(i, pair)| (pair.actual / (factor(i) * pair.estimated) - 1.0).abs())
                .collect(),
        )
    };
    Ok(Some(Errors {
        before: off(&|_| 1.0),
        after: off(&|i| factors[i].exp()),
        pairs: pairs.len(),
    }))
}

impl Off {
    fn of(mut shares: Vec<f64>) -> Off {
        shares.sort_by(f64::total_cmp);
        Off {
            median: between(&shares, 0.5),
            ninth_decile: between(&shares, 0.9),
        }
    }
}

/// The value below which a share of sorted ones lies, on a straight line between neighbours (the usual definition 7 of Hyndman & Fan
/// 1996, from memory). At least one value.
fn between(sorted: &[f64], share: f64) -> f64 {
    let place = share * (sorted.len() - 1) as f64;
    let (below, above) = (place.floor() as usize, place.ceil() as usize);
    sorted[below] + place.fract() * (sorted[above] - sorted[below])
}
