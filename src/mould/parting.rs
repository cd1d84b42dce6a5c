//! Where a mould parts, and what keeps its pieces from coming out.
//!
//! A closed mould parts in a plane across its opening: what lies above must be seen from above, what lies below from below. What is
//! not is undercut. A lay-up tool has the face that looks along its opening; what of that is hidden from both sides is undercut.

use nalgebra::Point3;
use rustc_hash::FxHashMap;

use super::sight::{Sample, samples};
use super::{MouldError, Opening};
use crate::mesh::Mesh;

/// An undercut of a smaller share of the surface than this is taken for the mesh's own roughness. A judgement without source.
pub const HIDDEN_SHARE: f64 = 0.001;
/// Parting heights tried in the first pass, and again between the neighbours of the best.
const HEIGHTS: usize = 400;
/// Undercuts of a surface this much alike, as a share of it, are alike.
const ALIKE: f64 = 1e-6;
/// Places named, at most.
const PLACES: usize = 3;
/// Undercut nearer together than this share of the diagonal is one place.
const ONE_PLACE: f64 = 0.05;

/// The kinds of mould.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A one-sided tool on which fibre and resin are laid by hand.
    LayUp,
    /// Two halves with a cavity, filled through a pouring opening.
    Closed,
}

/// A place where the piece would be held.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Its middle in the part's own coordinates, mm.
    pub at_mm: [f64; 3],
    /// Its area, mm2.
    pub area_mm2: f64,
}

/// How a mould opens and what speaks against it.
#[derive(Debug, Clone, PartialEq)]
pub struct Parting {
    /// The direction.
    pub opening: Opening,
    /// The parting plane's height along it, mm in the part's own coordinates (the mould's frame turns, it does not move).
    pub height_mm: f64,
    /// Surface that keeps the pieces from coming out, mm2.
    pub undercut_mm2: f64,
    /// The part's whole surface, mm2.
    pub surface_mm2: f64,
    /// What of it the mould's face makes, mm2: all of it in a closed mould, the face that looks along the opening on a tool.
    pub face_mm2: f64,
    /// The largest undercuts, largest first.
    pub places: Vec<Place>,
    /// Faces on the mould's face that stand steeper than the draft asked for, mm2.
    pub steep_mm2: f64,
    /// The part's height along the opening, mm.
    pub part_mm: f64,
}

impl Parting {
    /// Whether undercuts hold the pieces.
    pub fn holds(&self) -> bool {
        self.undercut_mm2 > HIDDEN_SHARE * self.surface_mm2
    }
}

/// The opening with the least undercut: of those alike the lowest mould, then for a tool the one with most of the surface on its
/// face, then the first of z, y, x.
///
/// # Errors
/// As [`parting_along`].
pub fn best_parting(mesh: &Mesh, kind: Kind, draft_deg: f64) -> Result<Parting, MouldError> {
    let openings = match kind {
        Kind::LayUp => Opening::both_ways(),
        // A plane that opens upward opens downward as well.
        Kind::Closed => Opening::axes(),
    };
    let mut best: Option<Parting> = None;
    for opening in openings {
        let next = parting_along(mesh, kind, opening, None, draft_deg)?;
        let better = best.as_ref().is_none_or(|best| {
            let alike = ALIKE * next.surface_mm2;
            let less = best.undercut_mm2 - next.undercut_mm2;
            let lower = best.part_mm - next.part_mm;
            if less.abs() > alike && (best.holds() || next.holds()) {
                return less > 0.0;
            }
            if lower.abs() > ALIKE * best.part_mm {
                return lower > 0.0;
            }
            next.face_mm2 > best.face_mm2 * (1.0 + ALIKE)
        });
        if better {
            best = Some(next);
        }
    }
    best.ok_or(MouldError::NoDirection)
}

/// The parting of a mould that opens along a direction: at `height_mm` where one is given, else where the least surface is undercut,
/// of heights alike at the lowest.
///
/// # Errors
/// A height outside the part; a mesh of too many facets or that is no surface.
pub fn parting_along(
    mesh: &Mesh,
    kind: Kind,
    opening: Opening,
    height_mm: Option<f64>,
    draft_deg: f64,
) -> Result<Parting, MouldError> {
    let framed = opening.in_frame(mesh);
    let (low, high) = framed.box_mm();
    let flat_mm = 1e-6 * framed.size_mm().norm();
    if let Some(given_mm) = height_mm
        && !(low.z - flat_mm..=high.z + flat_mm).contains(&given_mm)
    {
        return Err(MouldError::PartingOutside {
            given_mm,
            low_mm: low.z,
            high_mm: high.z,
        });
    }
    let seen = samples(&framed)?;
    let surface_mm2: f64 = seen.iter().map(|s| s.area_mm2).sum();
    let height_mm = match (height_mm, kind) {
        (Some(given), _) => given,
        (None, Kind::Closed) => best_height(&framed, &seen, surface_mm2, flat_mm),
        (None, Kind::LayUp) => lowest_of_face(&seen, low.z),
    };
    let hidden = |s: &Sample| match kind {
        Kind::Closed => undercut_of(s, height_mm, flat_mm),
        Kind::LayUp => {
            let held = s.looks_up() && !s.from_above && !s.from_below;
            if held {
                s.above_mm2(height_mm, flat_mm)
            } else {
                0.0
            }
        }
    };
    let on_face = |s: &Sample| kind == Kind::Closed || s.from_above;
    let steep = draft_deg.to_radians().sin();
    let sum = |area: &dyn Fn(&Sample) -> f64| seen.iter().map(area).sum::<f64>();
    Ok(Parting {
        height_mm,
        undercut_mm2: sum(&hidden),
        surface_mm2,
        face_mm2: sum(&|s| if on_face(s) { s.area_mm2 } else { 0.0 }),
        steep_mm2: sum(&|s| {
            let stands = on_face(s) && s.rises.abs() < steep - 1e-9;
            if stands { s.area_mm2 } else { 0.0 }
        }),
        places: places(
            &seen,
            &hidden,
            &opening,
            ONE_PLACE * framed.size_mm().norm(),
        ),
        part_mm: high.z - low.z,
        opening,
    })
}

/// What of a small triangle is on the wrong side of the parting, mm2.
fn undercut_of(s: &Sample, height_mm: f64, flat_mm: f64) -> f64 {
    if s.from_above && s.from_below {
        return 0.0;
    }
    let above_mm2 = s.above_mm2(height_mm, flat_mm);
    let upper = if s.from_above { 0.0 } else { above_mm2 };
    let lower = if s.from_below {
        0.0
    } else {
        s.area_mm2 - above_mm2
    };
    upper + lower
}

/// The height of least undercut. Between two neighbouring corners' heights the undercut changes smoothly and has no jump, so
/// corners' heights are where the least lies but for facets that the plane cuts, which a mesh has small.
fn best_height(mesh: &Mesh, seen: &[Sample], surface_mm2: f64, flat_mm: f64) -> f64 {
    let mut all: Vec<f64> = mesh.vertices_mm.iter().map(|v| v.z).collect();
    all.sort_unstable_by(f64::total_cmp);
    all.dedup_by(|next, kept| *next - *kept <= flat_mm);
    let one_sided: Vec<&Sample> = seen
        .iter()
        .filter(|s| !(s.from_above && s.from_below))
        .collect();
    let least = |places: &[usize]| {
        let mut best = (f64::INFINITY, 0);
        for &place in places {
            let sum: f64 = one_sided
                .iter()
                .map(|s| undercut_of(s, all[place], flat_mm))
                .sum();
            if sum < best.0 - ALIKE * surface_mm2 {
                best = (sum, place);
            }
        }
        best.1
    };
    let step = all.len().div_ceil(HEIGHTS).max(1);
    let coarse: Vec<usize> = (0..all.len()).step_by(step).collect();
    let near = least(&coarse);
    if step == 1 {
        return all.get(near).copied().unwrap_or_default();
    }
    let fine: Vec<usize> = (near.saturating_sub(step)..(near + step + 1).min(all.len())).collect();
    all[least(&fine)]
}

/// The lowest height that is seen from above: there the tool's flange lies.
fn lowest_of_face(seen: &[Sample], low_mm: f64) -> f64 {
    let lowest = seen
        .iter()
        .filter(|s| s.from_above)
        .map(|s| s.heights_mm[0])
        .fold(f64::INFINITY, f64::min);
    if lowest.is_finite() { lowest } else { low_mm }
}

/// Undercut gathered into places, the largest first.
fn places(
    seen: &[Sample],
    hidden: &dyn Fn(&Sample) -> f64,
    opening: &Opening,
    near_mm: f64,
) -> Vec<Place> {
    let cell = |p: &Point3<f64>| [p.x, p.y, p.z].map(|x| (x / near_mm).floor() as i64);
    let mut cells: FxHashMap<[i64; 3], (f64, Point3<f64>)> = FxHashMap::default();
    for sample in seen {
        let area = hidden(sample);
        if area > 0.0 {
            let sum = cells
                .entry(cell(&sample.at_mm))
                .or_insert((0.0, Point3::origin()));
            sum.0 += area;
            sum.1 += sample.at_mm.coords * area;
        }
    }
    let mut left: Vec<[i64; 3]> = cells.keys().copied().collect();
    left.sort_unstable();
    let mut found = Vec::new();
    for start in left {
        let mut todo = vec![start];
        let (mut area_mm2, mut moment) = (0.0, Point3::origin());
        while let Some(at) = todo.pop() {
            let Some((area, sum)) = cells.remove(&at) else {
                continue;
            };
            area_mm2 += area;
            moment += sum.coords;
            for i in 0..27_i64 {
                let by = [i % 3 - 1, i / 3 % 3 - 1, i / 9 - 1];
                todo.push([at[0] + by[0], at[1] + by[1], at[2] + by[2]]);
            }
        }
        if area_mm2 > 0.0 {
            let middle = opening.in_part(&(moment / area_mm2));
            found.push(Place {
                at_mm: middle.into(),
                area_mm2,
            });
        }
    }
    found.sort_by(|a, b| b.area_mm2.total_cmp(&a.area_mm2));
    found.truncate(PLACES);
    found
}
