//! What is too narrow for whole beads: one bead along its length.

use nalgebra::Point2;

use super::perimeter::StepBead;
use super::{Path, Role};
use crate::plane::convex_hull;
use crate::section::Region;

/// A piece whose mean width is below this share of the narrowest bead is a film left by rounding.
const FILM_SHARE: f64 = 0.1;

/// Rectangles whose areas differ by less than this share are equally small.
const EQUAL_SHARE: f64 = 1e-3;

/// Length of a strip of area `A` and outline `U`: `L = (U/2 + sqrt(U^2/4 - 4A))/2`, exact for a rectangle; `A/s` where the
/// root is not real. mm, mm2.
pub fn strip_length_mm(area_mm2: f64, outline_mm: f64, spacing_mm: f64) -> f64 {
    let under_root = outline_mm * outline_mm / 4.0 - 4.0 * area_mm2;
    if under_root >= 0.0 {
        (outline_mm / 2.0 + under_root.sqrt()) / 2.0
    } else {
        area_mm2 / spacing_mm
    }
}

/// A piece of less area gets no bead, mm2.
pub(super) fn least_sliver_mm2(bead: &StepBead) -> f64 {
    FILM_SHARE * bead.least_mm * bead.shortest_sliver_mm
}

/// The bead along a sliver; `None` where the piece is too short to be visited.
pub(super) fn sliver_path(piece: &Region, bead: &StepBead) -> Option<Path> {
    let area_mm2 = piece.area_mm2();
    let length_mm = strip_length_mm(area_mm2, piece.outline_mm(), bead.spacing_mm);
    if length_mm < bead.shortest_sliver_mm || area_mm2 < FILM_SHARE * bead.least_mm * length_mm {
        return None;
    }
    let points: Vec<[f64; 2]> = piece.rings().flatten().collect();
    let (from, to) = SmallestRectangle::around(&points)?.long_axis();
    Some(Path {
        role: Role::Sliver,
        points_mm: vec![from, to],
        closed: false,
        straight_mm: Some(length_mm),
        bead_mm2: area_mm2 * bead.thickness_mm / length_mm,
    })
}

/// The rectangle of least area around points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SmallestRectangle {
    /// Its middle, mm.
    pub centre_mm: [f64; 2],
    /// Unit vector along its long side.
    pub along: [f64; 2],
    /// Its long side, mm.
    pub length_mm: f64,
    /// Its short side, mm.
    pub width_mm: f64,
}

impl SmallestRectangle {
    /// Found over the sides of the convex hull, one of which lies on a side of the rectangle (Freeman & Shapira 1975, from
    /// memory). `None` for fewer than two different points.
    pub fn around(points_mm: &[[f64; 2]]) -> Option<SmallestRectangle> {
        let hull: Vec<[f64; 2]> = convex_hull(points_mm.iter().map(|p| Point2::from(*p)))
            .into_iter()
            .map(|p| [p.x, p.y])
            .collect();
        let upright = (hull.len() > 1).then(|| Self::along(&hull, [1.0, 0.0]));
        let sides = hull
            .iter()
            .zip(hull.iter().cycle().skip(1))
            .filter_map(|(a, b)| {
                let (x, y) = (b[0] - a[0], b[1] - a[1]);
                let norm = x.hypot(y);
                (norm > 0.0).then(|| Self::along(&hull, [x / norm, y / norm]))
            });
        // A later rectangle must be smaller by more than rounding: round pieces have many that are equally small, and
        // the same one is wanted in every layer.
        upright.into_iter().chain(sides).reduce(|best, next| {
            let smaller = next.length_mm * next.width_mm
                < (1.0 - EQUAL_SHARE) * best.length_mm * best.width_mm;
            if smaller { next } else { best }
        })
    }

    fn along(hull: &[[f64; 2]], [ux, uy]: [f64; 2]) -> SmallestRectangle {
        let extent = |x: f64, y: f64| {
            hull.iter()
                .map(|p| x * p[0] + y * p[1])
                .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), c| {
                    (low.min(c), high.max(c))
                })
        };
        let ((u0, u1), (v0, v1)) = (extent(ux, uy), extent(-uy, ux));
        let (u, v) = ((u0 + u1) / 2.0, (v0 + v1) / 2.0);
        let centre_mm = [u * ux - v * uy, u * uy + v * ux];
        let (length_mm, width_mm, along) = if u1 - u0 >= v1 - v0 {
            (u1 - u0, v1 - v0, [ux, uy])
        } else {
            (v1 - v0, u1 - u0, [-uy, ux])
        };
        SmallestRectangle {
            centre_mm,
            along,
            length_mm,
            width_mm,
        }
    }

    /// The two ends of the long axis, mm.
    pub fn long_axis(&self) -> ([f64; 2], [f64; 2]) {
        let (c, half) = (self.centre_mm, self.length_mm / 2.0);
        let end = |sign: f64| {
            [
                c[0] + sign * half * self.along[0],
                c[1] + sign * half * self.along[1],
            ]
        };
        (end(-1.0), end(1.0))
    }
}
