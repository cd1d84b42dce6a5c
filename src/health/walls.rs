//! How thick walls are: from points all over the surface straight inward to where the part ends.

use nalgebra::{Point3, Vector3};
use rayon::prelude::*;

use super::boxes::Boxes;
use crate::mesh::Mesh;

/// Points of the surface that are asked. Each stands for an equal share of it.
const POINTS: usize = 4000;

/// The two sides of a wall lean at most 30 degrees apart; beyond that they are a sharp edge. A judgement without source.
const WALL_COS: f64 = 0.866;

/// The walls that are thinner than asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ThinWalls {
    /// Share of the surface that belongs to them, 0 to 1.
    pub share: f64,
    /// The thinnest wall met, mm.
    pub thinnest_mm: f64,
    /// The middle of that wall, mm.
    pub at_mm: Point3<f64>,
    /// Points of the surface that met one.
    pub points: usize,
}

/// The walls thinner than `thin_mm`; none where no point of the surface met one.
pub(super) fn thin_walls(mesh: &Mesh, boxes: &Boxes<'_>, thin_mm: f64) -> Option<ThinWalls> {
    let start_mm = 1e-7 * mesh.size_mm().norm();
    let points = points(mesh);
    let met: Vec<(f64, Point3<f64>)> = points
        .par_iter()
        .filter_map(|(facet, at)| {
            let inward = -normal(mesh, *facet)?;
            let thickness = thickness(mesh, boxes, *at, inward, start_mm, thin_mm)?;
            Some((thickness, at + inward * (thickness / 2.0)))
        })
        .collect();
    let (thinnest_mm, at_mm) = met.iter().copied().min_by(|a, b| a.0.total_cmp(&b.0))?;
    Some(ThinWalls {
        share: met.len() as f64 / points.len() as f64,
        thinnest_mm,
        at_mm,
        points: met.len(),
    })
}

fn normal(mesh: &Mesh, facet: usize) -> Option<Vector3<f64>> {
    let [a, b, c] = mesh.corners(facet);
    (b - a).cross(&(c - a)).try_normalize(0.0)
}

/// Points spread evenly over the surface: the next lies always the same area farther along the facets, at a place inside its
/// facet that repeats in no pattern (two-dimensional golden ratio).
fn points(mesh: &Mesh) -> Vec<(usize, Point3<f64>)> {
    let area = |facet: usize| {
        let [a, b, c] = mesh.corners(facet);
        (b - a).cross(&(c - a)).norm() / 2.0
    };
    let total: f64 = (0..mesh.triangles.len()).map(area).sum();
    let step = total / POINTS as f64;
    let mut points = Vec::with_capacity(POINTS);
    let (mut passed, mut next) = (0.0, step / 2.0);
    for facet in 0..mesh.triangles.len() {
        passed += area(facet);
        while next < passed && points.len() < POINTS {
            let k = points.len() as f64;
            let (mut u, mut v) = (
                (0.5 + k * 0.754_877_666_246_692_8).fract(),
                (0.5 + k * 0.569_840_290_998_053_3).fract(),
            );
            if u + v > 1.0 {
                (u, v) = (1.0 - u, 1.0 - v);
            }
            let [a, b, c] = mesh.corners(facet);
            points.push((facet, a + (b - a) * u + (c - a) * v));
            next += step;
        }
    }
    points
}

/// Thickness of the part under a point, mm, if it is below `thin_mm`: the way to the first facet that is left through. A facet
/// that is entered through belongs to another body and hides the wall; one that leans away belongs to a sharp edge.
fn thickness(
    mesh: &Mesh,
    boxes: &Boxes<'_>,
    at: Point3<f64>,
    inward: Vector3<f64>,
    start_mm: f64,
    thin_mm: f64,
) -> Option<f64> {
    let (facet, way) = boxes.first_hit(at + inward * start_mm, inward, thin_mm)?;
    let out = normal(mesh, facet)?.dot(&inward) > WALL_COS;
    (out && way < thin_mm).then_some(way + start_mm)
}
