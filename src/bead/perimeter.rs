//! Beads along an outline: perimeters, and the lengthwise fill of what is too narrow for raster.

use super::sliver::{least_sliver_mm2, sliver_path};
use super::{Bead, Path, Role};
use crate::section::Region;

/// One step inwards from an outline (design, Perimeters).
pub(super) struct Step {
    /// The closed loops, and a bead along each sliver.
    pub paths: Vec<Path>,
    /// What is left for the next step.
    pub rest: Region,
    /// What is too narrow to be laid, mm2; 0 where that is not told.
    pub lost_mm2: f64,
}

/// Which beads a step lays.
#[derive(Debug, Clone, Copy)]
pub(super) struct StepBead {
    /// What is at least this wide gets a bead, mm.
    pub least_mm: f64,
    /// What is at least this wide gets a loop, mm.
    pub loop_from_mm: f64,
    /// Distance between the outline and the loop is half of this, mm.
    pub width_mm: f64,
    /// Role of the loops.
    pub role: Role,
    /// Bead spacing, mm.
    pub spacing_mm: f64,
    /// Thickness of the layer, mm.
    pub thickness_mm: f64,
    /// Slivers shorter than this are not visited, mm.
    pub shortest_sliver_mm: f64,
    /// Whether what can't be laid is told; behind the outermost step nobody asks.
    pub tells_lost: bool,
}

impl StepBead {
    /// The step along the part's own outline: `lo, hi = min(0.85 d, 0.7 w), w + s/2`, `b = w`.
    pub fn outermost(bead: &Bead, thickness_mm: f64) -> StepBead {
        let (d, w, s) = (bead.nozzle_mm(), bead.width_mm(), bead.spacing_mm());
        StepBead {
            least_mm: (0.85 * d).min(0.7 * w),
            loop_from_mm: w + s / 2.0,
            width_mm: w,
            role: Role::Outer,
            spacing_mm: s,
            thickness_mm,
            shortest_sliver_mm: w,
            tells_lost: true,
        }
    }

    /// A step behind another: `lo, hi = 0.5 s, 1.5 s`, `b = s`.
    pub fn behind(bead: &Bead, thickness_mm: f64, role: Role) -> StepBead {
        let s = bead.spacing_mm();
        StepBead {
            least_mm: 0.5 * s,
            loop_from_mm: 1.5 * s,
            width_mm: s,
            role,
            spacing_mm: s,
            thickness_mm,
            shortest_sliver_mm: bead.width_mm(),
            tells_lost: false,
        }
    }
}

/// Lays one step inside `outline`.
///
/// With `W = open(R, hi/2)` the design puts the loop at inset `b/2` of W and the rest at inset `w/2 + s/2` (outermost) or
/// `s`. Both lie a quarter of the spacing outside and inside of `R inset by hi/2`, whichever the step, so they are taken
/// from there directly: one offset each, and no film between W and its own opening.
pub(super) fn step(outline: &Region, bead: &StepBead) -> Step {
    if outline.is_surely_narrower(bead.least_mm) {
        return Step {
            paths: Vec::new(),
            rest: Region::default(),
            lost_mm2: if bead.tells_lost {
                outline.area_mm2()
            } else {
                0.0
            },
        };
    }
    let core = outline.offset_unthinned(-bead.loop_from_mm / 2.0);
    let quarter = bead.spacing_mm / 4.0;
    let rest = core.inset(quarter);
    if core.has_the_sides_of(outline) {
        // Every side survived the way in, so the way out leads back to the outline: W is the outline itself.
        let paths = loop_paths(&outline.inset(bead.width_mm / 2.0), &rest, bead);
        return Step {
            paths,
            rest,
            lost_mm2: 0.0,
        };
    }
    let loops = core.offset_unthinned(quarter).thinned();
    let mut paths = loop_paths(&loops, &rest, bead);
    let mut lost_mm2 = 0.0;
    let wide = core.offset_unthinned(bead.loop_from_mm / 2.0);
    let narrow = outline.minus(&wide);
    if wide.is_empty() || is_worth_a_look(&narrow, bead) {
        let slivers = outline
            .offset_unthinned(-bead.least_mm / 2.0)
            .offset_unthinned(bead.least_mm / 2.0)
            .minus(&wide);
        if bead.tells_lost {
            lost_mm2 = (narrow.area_mm2() - slivers.and(&narrow).area_mm2()).max(0.0);
        }
        paths.extend(
            slivers
                .pieces()
                .iter()
                .filter_map(|piece| sliver_path(piece, bead)),
        );
    }
    Step {
        paths,
        rest,
        lost_mm2,
    }
}

/// What remains beside the wide part is mostly grid rounding and blunted corners; only a set with some body can hold a
/// bead or be missed as detail. A sliver may reach beyond what is narrow at a rounded corner, but not by as much again.
fn is_worth_a_look(narrow: &Region, bead: &StepBead) -> bool {
    if !bead.tells_lost && narrow.greatest_outer_mm2() < 0.5 * least_sliver_mm2(bead) {
        return false;
    }
    narrow.area_mm2() > 0.05 * bead.least_mm * bead.least_mm
        && !narrow.is_surely_narrower(0.02 * bead.least_mm)
        && !narrow.inset(0.01 * bead.least_mm).is_empty()
}

/// The loops as paths. Where a loop's two sides leave nothing between them, its bead carries the area they share.
fn loop_paths(loops: &Region, rest: &Region, bead: &StepBead) -> Vec<Path> {
    let bead_mm2 = bead.spacing_mm * bead.thickness_mm;
    let path = |points_mm: Vec<[f64; 2]>, bead_mm2: f64| Path {
        role: bead.role,
        points_mm,
        closed: true,
        straight_mm: None,
        bead_mm2,
    };
    let mut paths = Vec::new();
    for piece in loops.pieces() {
        let shares = !holds_some(&piece, rest);
        let area_mm2 = if shares {
            piece.offset_unthinned(bead.width_mm / 2.0).area_mm2() * bead.thickness_mm
                / piece.outline_mm()
        } else {
            bead_mm2
        };
        paths.extend(piece.rings().map(|ring| path(ring, area_mm2)));
    }
    paths
}

fn holds_some(piece: &Region, rest: &Region) -> bool {
    rest.outer_points_mm().any(|point| piece.holds_point(point))
}

/// Fills a region lengthwise with loops and slivers until it is used up.
pub(super) fn lengthwise(region: &Region, bead: &StepBead) -> Vec<Path> {
    let mut paths = Vec::new();
    let mut rest = region.clone();
    while !rest.is_empty() {
        let done = step(&rest, bead);
        paths.extend(done.paths);
        rest = done.rest;
    }
    paths
}
