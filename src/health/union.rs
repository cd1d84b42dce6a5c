//! What bodies enclose together, by sections.
//!
//! The sum of tetrahedra counts space as often as bodies share it; a section's contours under the non-zero rule count it once. The
//! difference of the two areas is nothing wherever nothing overlaps, so summing only the difference over the planes leaves the
//! exact volume of a sound part untouched, and the error of the sum is one of the overlap alone.

use nalgebra::Point3;

use crate::mesh::{Mesh, Topology};
use crate::section::areas_at;

/// Planes of the first look, and of the closer look where something overlaps. Where facets cross so often that each section takes
/// long, fewer are cut, and the error told is the larger.
const FIRST_PLANES: usize = 128;
const CLOSER_PLANES: usize = 512;
const LEAST_PLANES: usize = 64;
/// So many crossings are cut at the full number of planes.
const EASY_CROSSINGS: usize = 5000;

/// The part is brought to this diagonal for the polygon grid, mm: its steps are then 1e-7 of the part, whatever the unit.
const WORKING_DIAGONAL_MM: f64 = 1000.0;

/// Differences below this share of a section are the grid's rounding.
const ROUNDING: f64 = 2e-6;

/// What counts more than once in a surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Overlap {
    /// Volume that the sum of tetrahedra has too much (or, negative, too little), mm3.
    pub volume_mm3: f64,
    /// How far that may be off, mm3.
    pub error_mm3: f64,
    /// Height of the section with the greatest difference, mm, where there is any.
    pub worst_z_mm: Option<f64>,
}

/// The overlap in a closed surface of which so many pairs of facets cross; any crossing asks for the closer look.
pub(super) fn overlap(mesh: &Mesh, topology: &Topology, crossings: usize) -> Overlap {
    let affordable = |planes: usize| {
        let fewer = planes * EASY_CROSSINGS / crossings.max(EASY_CROSSINGS);
        fewer.max(LEAST_PLANES)
    };
    let diagonal_mm = mesh.size_mm().norm();
    let (low, high) = mesh.box_mm();
    let scale = WORKING_DIAGONAL_MM / diagonal_mm;
    let scaled = Mesh {
        vertices_mm: mesh
            .vertices_mm
            .iter()
            .map(|v| Point3::from((v - low) * scale))
            .collect(),
        triangles: mesh.triangles.clone(),
    };
    let height = (high.z - low.z) * scale;
    let first = look(&scaled, topology, height, affordable(FIRST_PLANES));
    if first.greatest == 0.0 && crossings == 0 {
        return Overlap {
            volume_mm3: 0.0,
            error_mm3: 0.0,
            worst_z_mm: None,
        };
    }
    let second = look(&scaled, topology, height, affordable(CLOSER_PLANES) + 1);
    let worst = if second.greatest >= first.greatest {
        &second
    } else {
        &first
    };
    let back = scale.powi(3);
    Overlap {
        volume_mm3: second.sum / back,
        error_mm3: (second.sum - first.sum).abs() / back,
        worst_z_mm: (worst.greatest > 0.0).then(|| low.z + worst.at / scale),
    }
}

struct Look {
    sum: f64,
    greatest: f64,
    at: f64,
}

/// Planes lie one in each slice of equal height, at places that repeat in no pattern, so that no pattern of the part falls in
/// step with them.
fn look(scaled: &Mesh, topology: &Topology, height: f64, planes: usize) -> Look {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let slice = height / planes as f64;
    let at: Vec<f64> = (0..planes)
        .map(|k| slice * (k as f64 + 0.05 + 0.9 * (k as f64 * GOLDEN).fract()))
        .collect();
    let mut look = Look {
        sum: 0.0,
        greatest: 0.0,
        at: 0.0,
    };
    for (areas, z) in areas_at(scaled, topology, &at).iter().zip(&at) {
        let difference = areas.wound_mm2 - areas.union_mm2;
        if difference.abs() <= ROUNDING * (areas.wound_mm2.abs() + areas.union_mm2) + 1e-3 {
            continue;
        }
        look.sum += difference * slice;
        if difference.abs() > look.greatest {
            (look.greatest, look.at) = (difference.abs(), *z);
        }
    }
    look
}
