//! Chooses which of the part's axes points down where nobody said.

use rayon::prelude::*;

use super::columns::Columns;
use super::tolerance::LENGTH_SHARE;
use super::{BuildSpace, Down, Footprints};
use crate::mesh::Mesh;

/// Poses within this share of the part's volume of the least support count as needing as little (design rule).
const AS_LITTLE_SUPPORT_SHARE: f64 = 0.05;

/// How support is guessed for the choice of a pose.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SupportGuess {
    /// Downward faces that lean more than this from the vertical are held up, degrees, 0 to 90.
    pub overhang_deg: f64,
    /// Plastic in a support column as a share of its volume, 0 to 1.
    pub support_fraction: f64,
}

/// A pose that was weighed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DownCandidate {
    /// The part's axis that points down.
    pub down: Down,
    /// Height of the part in this pose, mm.
    pub height_mm: f64,
    /// Plastic laid as support, mm3, guessed from columns; short spans and small holes are held up too.
    pub support_mm3: f64,
    /// Whether the pose fits any of the machines.
    pub fits_somewhere: bool,
}

/// The pose chosen, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct ChosenPose {
    /// The part's axis that points down.
    pub down: Down,
    /// The reason in plain words.
    pub why: String,
    /// The six poses in the order of [`Down::ALL`].
    pub candidates: Vec<DownCandidate>,
}

/// Chooses the pose: of the six that fit somewhere, the lowest among those within 5 % of the part's volume of the least
/// support; of poses as low, the first in the order of [`Down::ALL`], as drawn before any other. Where none fits
/// anywhere, all are weighed in the same way, and the reason says so. `allowed` are the poses in question: all six, or those
/// that serve a direction the part is loaded along; where it names none, all six are.
pub fn choose_down(
    mesh: &Mesh,
    footprints: &Footprints,
    spaces: &[BuildSpace],
    part_volume_mm3: f64,
    guess: &SupportGuess,
    allowed: &[Down],
) -> ChosenPose {
    let candidates = weigh(mesh, footprints, spaces, guess);
    let allowed = if allowed.is_empty() {
        &Down::ALL
    } else {
        allowed
    };
    let is_allowed = |candidate: &&DownCandidate| allowed.contains(&candidate.down);
    let in_question = || candidates.iter().filter(is_allowed);
    let some_fit = in_question().any(|candidate| candidate.fits_somewhere);
    let eligible: Vec<_> = in_question()
        .filter(|candidate| candidate.fits_somewhere || !some_fit)
        .collect();
    let least_mm3 = eligible
        .iter()
        .fold(f64::INFINITY, |least, at| least.min(at.support_mm3));
    let enough_mm3 = least_mm3 + AS_LITTLE_SUPPORT_SHARE * part_volume_mm3.abs();
    let lowest = eligible
        .iter()
        .filter(|candidate| candidate.support_mm3 <= enough_mm3)
        .copied()
        .reduce(|best, next| if is_lower(next, best) { next } else { best });
    let Some(chosen) = lowest else {
        return ChosenPose {
            down: Down::ZMinus,
            why: "as drawn".to_owned(),
            candidates,
        };
    };
    let why = why(chosen, &eligible, enough_mm3, some_fit);
    ChosenPose {
        down: chosen.down,
        why,
        candidates,
    }
}

fn is_lower(next: &DownCandidate, best: &DownCandidate) -> bool {
    next.height_mm < best.height_mm * (1.0 - LENGTH_SHARE)
}

fn weigh(
    mesh: &Mesh,
    footprints: &Footprints,
    spaces: &[BuildSpace],
    guess: &SupportGuess,
) -> Vec<DownCandidate> {
    let axes: Vec<_> = (0..3)
        .into_par_iter()
        .map(|axis| {
            let columns = Columns::of(mesh, axis, guess.overhang_deg);
            [false, true].map(|plus_end_down| columns.under_overhangs_mm3(plus_end_down))
        })
        .collect();
    let candidate = |down: Down| DownCandidate {
        down,
        height_mm: footprints.height_mm(down),
        support_mm3: axes[down.axis()][usize::from(down.is_plus())] * guess.support_fraction,
        fits_somewhere: spaces.iter().any(|space| footprints.fits(down, space)),
    };
    Down::ALL.map(candidate).to_vec()
}

fn why(
    chosen: &DownCandidate,
    eligible: &[&DownCandidate],
    enough_mm3: f64,
    some_fit: bool,
) -> String {
    let support = match chosen.support_mm3 / 1000.0 {
        0.0 => "no support".to_owned(),
        cm3 if cm3 < 0.1 => "under 0.1 cm3 of support".to_owned(),
        cm3 => format!("about {cm3:.1} cm3 of support"),
    };
    let barred = eligible
        .iter()
        .any(|at| at.support_mm3 > enough_mm3 && !is_lower(chosen, at));
    let as_low = eligible
        .iter()
        .any(|at| at.down != chosen.down && at.support_mm3 <= enough_mm3 && !is_lower(chosen, at));
    let reason = match (barred, as_low) {
        (false, false) => "the lowest pose",
        (false, true) => "no pose is lower",
        (true, false) => "the lowest of the poses that need little support",
        (true, true) => "no pose that needs as little support is lower",
    };
    let nowhere = if some_fit {
        ""
    } else {
        "; no pose fits any machine, so all six were weighed"
    };
    format!(
        "{}: {reason}, {:.1} mm high, {support}{nowhere}",
        chosen.down.in_words(),
        chosen.height_mm
    )
}
