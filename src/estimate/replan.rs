//! One input of an option changed, and the option timed again: what bands and advice are made of.

use crate::motion::{Clock, Limits};
use crate::shop::{Doubt, RowUsed};

/// An input that is changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Change {
    /// The melt limit as low as it may be.
    MeltLow,
    /// The melt limit as high as it may be.
    MeltHigh,
    /// Speeds and acceleration as low as they may be.
    MotionLow,
    /// Speeds and acceleration as high as they may be.
    MotionHigh,
    /// A machine of twice the speeds and acceleration.
    MotionDoubled,
    /// A nozzle of twice the melt rate.
    MeltDoubled,
    /// A nozzle so hot that it melts a fifth more.
    MeltFifthMore,
    /// A plastic whose layers need no least time.
    NoLeastLayer,
}

impl Change {
    /// Its name in JSON.
    pub fn name(self) -> &'static str {
        match self {
            Change::MeltLow => "melt_low",
            Change::MeltHigh => "melt_high",
            Change::MotionLow => "motion_low",
            Change::MotionHigh => "motion_high",
            Change::MotionDoubled => "motion_doubled",
            Change::MeltDoubled => "melt_doubled",
            Change::MeltFifthMore => "melt_fifth_more",
            Change::NoLeastLayer => "no_least_layer",
        }
    }
}

/// How long an option takes with one input changed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Replanned {
    /// What is changed.
    pub change: Change,
    /// The whole job, with the machine's correction, s.
    pub seconds: f64,
}

/// What a clock says to each of its changes, and without the wait for the least layer time, which needs no other clock.
pub(super) fn replanned(
    clock: &Clock,
    changed: &[(Change, Clock)],
    limits: &Limits,
    correction: f64,
) -> Vec<Replanned> {
    let of = |change: Change, seconds: f64| Replanned {
        change,
        seconds: seconds * correction,
    };
    let mut all: Vec<Replanned> = changed
        .iter()
        .map(|(change, clock)| of(*change, clock.seconds()))
        .collect();
    if limits.least_layer_s > 0.0 {
        let without_s = clock.seconds() - clock.layers.stretch_s;
        all.push(of(Change::NoLeastLayer, without_s));
    }
    all
}

/// How far the melt limit of a row may be off, as a fraction; `None` where nothing is known of it.
pub(super) fn melt_doubt(row: Option<&RowUsed>, doubt: &Doubt) -> Option<f64> {
    row.map(|used| match used.borrowed {
        Some(_) => doubt.borrowed_melt,
        None => used.row.melt_doubt.unwrap_or(doubt.melt),
    })
}

/// The limits of an option under each change that needs a clock of its own and can make a difference.
pub(super) fn changes(
    limits: &Limits,
    row: Option<&RowUsed>,
    doubt: &Doubt,
) -> Vec<(Change, Limits)> {
    let mut all = vec![
        (Change::MotionLow, with_motion(limits, 1.0 - doubt.motion)),
        (Change::MotionHigh, with_motion(limits, 1.0 + doubt.motion)),
        (Change::MotionDoubled, with_motion(limits, 2.0)),
    ];
    if let Some(share) = melt_doubt(row, doubt) {
        all.push((Change::MeltLow, with_melt(limits, 1.0 - share)));
        all.push((Change::MeltHigh, with_melt(limits, 1.0 + share)));
        all.push((Change::MeltDoubled, with_melt(limits, 2.0)));
        all.push((Change::MeltFifthMore, with_melt(limits, 1.2)));
    }
    all
}

fn with_melt(limits: &Limits, factor: f64) -> Limits {
    Limits {
        melt_cap_mm3_s: limits.melt_cap_mm3_s.map(|cap| cap * factor),
        ..*limits
    }
}

/// Speeds and acceleration of a machine so many times as fast. What a corner may deviate stays.
fn with_motion(limits: &Limits, factor: f64) -> Limits {
    Limits {
        speeds: limits.speeds.times(factor),
        acceleration_mm_s2: limits.acceleration_mm_s2 * factor,
        ..*limits
    }
}
