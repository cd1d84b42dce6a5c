//! Whether a build space makes sense.

use robust::{Coord, orient2d};

use super::usable::{outline_of, region_left, ring_region};
use crate::plane::Region;
use crate::pose::{Bed, BuildSpace};

/// What is wrong with a polygon.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum PolygonFault {
    /// Fewer than three corners.
    #[error("has {0} corners; give at least 3")]
    FewCorners(usize),
    /// Two edges cross or touch, counted from 1: edge 1 leads from the first corner to the second.
    #[error(
        "crosses or touches itself at its edges {0} and {1}; give the corners in order around it, each once"
    )]
    Crossing(usize, usize),
    /// All corners in line.
    #[error("encloses nothing; give corners that are not all in line")]
    NoArea,
    /// A corner that is not finite or further than 100 m away.
    #[error("has a corner that is no place on a bed; give finite numbers of millimetres")]
    NoPlace,
}

/// What is wrong with a build space, and where.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum SpaceFault {
    /// The bed's outline.
    #[error("the bed {0}")]
    Bed(PolygonFault),
    /// A keep-out, counted from 1.
    #[error("keep-out {0} {1}")]
    KeepOut(usize, PolygonFault),
    /// A keep-out, counted from 1, that lies beside the bed.
    #[error(
        "keep-out {0} lies wholly outside the bed; give its corners in the bed's own coordinates"
    )]
    KeepOutOutside(usize),
    /// Keep-outs that leave nothing.
    #[error("the keep-outs cover all that is left of the bed; make them smaller")]
    KeepOutAll,
    /// A reach that misses the bed.
    #[error(
        "what the nozzle reaches misses the bed less its margin; give two opposite corners in the bed's own coordinates"
    )]
    Reach,
    /// A margin that leaves nothing of the bed.
    #[error("the edge margin leaves nothing of the bed; give a smaller one")]
    Margin,
    /// A step, counted from 1, not above the one before or not below the usable height.
    #[error(
        "step {0} is not above the one before it and below the usable height; list the steps upward"
    )]
    StepHeight(usize),
    /// A step, counted from 1, that is no narrower than the one before.
    #[error("step {0} is no narrower than what is below it; give a greater inset, or leave it out")]
    StepWider(usize),
    /// A step, counted from 1, that leaves nothing.
    #[error("step {0} leaves nothing of the bed; give a smaller inset")]
    StepAll(usize),
}

impl BuildSpace {
    /// The first thing that is wrong with the bed's outline, margin, reach, keep-outs and steps, where anything is. A space that
    /// is not checked is never a danger to a fit: nothing fits where nothing is left.
    pub fn fault(&self) -> Option<SpaceFault> {
        self.check().err()
    }

    fn check(&self) -> Result<(), SpaceFault> {
        if let Bed::Polygon { corners_mm } = &self.bed {
            check_polygon(corners_mm).map_err(SpaceFault::Bed)?;
        }
        let bare = BuildSpace {
            edge_margin_mm: self.edge_margin_mm,
            ..BuildSpace::new(self.bed.clone(), self.height_mm)
        };
        if region_left(&bare).is_empty() {
            return Err(SpaceFault::Margin);
        }
        let reached = BuildSpace {
            reach: self.reach,
            ..bare
        };
        if region_left(&reached).is_empty() {
            return Err(SpaceFault::Reach);
        }
        let bed = ring_region(&outline_of(&self.bed));
        for (i, corners) in self.keep_out_mm.iter().enumerate() {
            check_polygon(corners).map_err(|fault| SpaceFault::KeepOut(i + 1, fault))?;
            if bed.and(&ring_region(corners)).is_empty() {
                return Err(SpaceFault::KeepOutOutside(i + 1));
            }
        }
        if region_left(self).is_empty() {
            return Err(SpaceFault::KeepOutAll);
        }
        self.check_steps(&bed)
    }

    fn check_steps(&self, bed: &Region) -> Result<(), SpaceFault> {
        let (mut below_mm, mut inset_mm) = (0.0, 0.0);
        for (i, step) in self.narrower_above.iter().enumerate() {
            if !(step.from_mm > below_mm && step.from_mm < self.height_mm) {
                return Err(SpaceFault::StepHeight(i + 1));
            }
            if step.inset_mm.is_nan() || step.inset_mm <= inset_mm {
                return Err(SpaceFault::StepWider(i + 1));
            }
            if bed.offset_round(-step.inset_mm.min(1e6)).is_empty() {
                return Err(SpaceFault::StepAll(i + 1));
            }
            (below_mm, inset_mm) = (step.from_mm, step.inset_mm);
        }
        Ok(())
    }
}

fn check_polygon(corners: &[[f64; 2]]) -> Result<(), PolygonFault> {
    let count = corners.len();
    if count < 3 {
        return Err(PolygonFault::FewCorners(count));
    }
    if !corners.iter().flatten().all(|v| v.abs() <= 1e5) {
        return Err(PolygonFault::NoPlace);
    }
    if all_in_line(corners) {
        return Err(PolygonFault::NoArea);
    }
    let edge = |i: usize| (corners[i], corners[(i + 1) % count]);
    for i in 0..count {
        for j in i + 1..count {
            let wrong = if j == i + 1 {
                folds_back(edge(i), edge(j))
            } else if i == 0 && j + 1 == count {
                folds_back(edge(j), edge(i))
            } else {
                meet(edge(i), edge(j))
            };
            if wrong {
                return Err(PolygonFault::Crossing(i + 1, j + 1));
            }
        }
    }
    if ring_region(corners).is_empty() {
        return Err(PolygonFault::NoArea);
    }
    Ok(())
}

type Edge = ([f64; 2], [f64; 2]);

fn side(a: [f64; 2], b: [f64; 2], p: [f64; 2]) -> f64 {
    let [a, b, p] = [a, b, p].map(|[x, y]| Coord { x, y });
    orient2d(a, b, p)
}

fn all_in_line(corners: &[[f64; 2]]) -> bool {
    let first = corners[0];
    let other = corners.iter().find(|p| **p != first);
    other.is_none_or(|other| corners.iter().all(|p| side(first, *other, *p) == 0.0))
}

/// Whether an edge goes back along the one before it, or has no length.
fn folds_back(before: Edge, after: Edge) -> bool {
    let step = |edge: Edge| [edge.1[0] - edge.0[0], edge.1[1] - edge.0[1]];
    let (a, b) = (step(before), step(after));
    let along = a[0] * b[0] + a[1] * b[1];
    a == [0.0; 2] || b == [0.0; 2] || (side(before.0, before.1, after.1) == 0.0 && along < 0.0)
}

/// Whether two edges have a point in common.
fn meet((a, b): Edge, (c, d): Edge) -> bool {
    let between = |a: f64, b: f64, p: f64| a.min(b) <= p && p <= a.max(b);
    let on = |(a, b): Edge, p: [f64; 2]| {
        side(a, b, p) == 0.0 && (0..2).all(|axis| between(a[axis], b[axis], p[axis]))
    };
    let apart = |(a, b): Edge, c, d| side(a, b, c) * side(a, b, d) < 0.0;
    (apart((a, b), c, d) && apart((c, d), a, b))
        || on((a, b), c)
        || on((a, b), d)
        || on((c, d), a)
        || on((c, d), b)
}
