//! The few vertices of a part that can be corners of its convex hull.

use std::borrow::Cow;

use nalgebra::{Point3, Vector3};
use rayon::prelude::*;
use rustc_hash::FxHashSet;

use super::hull3::{Hull, Plane, largest};
use crate::mesh::Mesh;
use crate::pose::tolerance::CORNER_SHARE;

/// Points handled by one thread at a time. Fixed, so that threads change nothing.
const BLOCK: usize = 16_384;

/// With fewer points than this another pass costs more than it saves.
const FEW: usize = 400;

/// With more points than this the last pass costs more than it saves: their hull is round.
const MANY: usize = 50_000;

/// So many points tell whether a pass is worth it.
const SOME: usize = 2000;

/// So many corners stand for very many.
const THINNED: usize = 20_000;

/// Directions, each taken both ways, of the second pass and the last.
const SECOND_PASS: usize = 64;
const LAST_PASS: usize = 400;

/// A superset of the corners of a part's convex hull, each once or twice.
#[derive(Debug, Clone)]
pub(in crate::pose) struct Corners {
    /// Relative to the least corner of the part's box, so that distance from the origin costs no digits, mm.
    pub points: Vec<Point3<f64>>,
}

impl Corners {
    /// Drops the vertices inside the solid spanned by the extreme points in 26 directions, then by those in many more:
    /// the idea of Akl & Toussaint 1978 for the plane (from memory), in space.
    pub fn of(mesh: &Mesh) -> Self {
        let (low, _) = mesh.box_mm();
        let mut points: Vec<Point3<f64>> = mesh
            .vertices_mm
            .iter()
            .map(|vertex| Point3::from(vertex - low))
            .collect();
        let size_mm = largest(&points);
        for (axes, most) in [
            (cube_axes(), usize::MAX),
            (spread_axes(SECOND_PASS), usize::MAX),
            (spread_axes(LAST_PASS), MANY),
        ] {
            if points.len() <= FEW || points.len() > most {
                break;
            }
            let mut furthest = extremes(&points, &axes);
            if let Some(hull) =
                Hull::of(&furthest).filter(|hull| is_worth_it(&points, &hull.planes))
            {
                furthest.extend(outside(&points, &hull.planes, CORNER_SHARE * size_mm));
                points = furthest;
            }
        }
        Self { points }
    }
}

/// Of a round part no pass drops much, and it is long: whether of some of the points it drops a third or more.
fn is_worth_it(points: &[Point3<f64>], planes: &[Plane]) -> bool {
    let some: Vec<_> = points
        .iter()
        .step_by(points.len() / SOME + 1)
        .copied()
        .collect();
    3 * outside(&some, planes, 0.0).len() <= 2 * some.len()
}

/// A few of very many corners: those found furthest, which come first, and every so many of the others. They lie inside
/// the part's hull as all do.
pub(in crate::pose) fn thinned(corners: &[Point3<f64>]) -> Cow<'_, [Point3<f64>]> {
    if corners.len() <= MANY {
        return Cow::Borrowed(corners);
    }
    let (first, others) = corners.split_at(FEW);
    let step = others.len() / THINNED + 1;
    Cow::Owned(
        first
            .iter()
            .chain(others.iter().step_by(step))
            .copied()
            .collect(),
    )
}

/// The points that are not inside, nor on the surface within a tolerance, of the solid that the planes bound. Its corners
/// are on its surface.
fn outside(points: &[Point3<f64>], planes: &[Plane], tolerance_mm: f64) -> Vec<Point3<f64>> {
    let limits: Vec<_> = planes
        .iter()
        .map(|plane| {
            (
                plane.normal,
                plane.offset_mm + tolerance_mm - plane.doubt_mm,
            )
        })
        .collect();
    let is_outside = |point: &&Point3<f64>| {
        limits
            .iter()
            .any(|(normal, most)| normal.dot(&point.coords) > *most)
    };
    points.par_iter().filter(is_outside).copied().collect()
}

/// The points that reach furthest along each axis, both ways, without repeats, in the order of the axes. Of points that
/// reach as far, the first.
pub(in crate::pose) fn extremes(points: &[Point3<f64>], axes: &[Vector3<f64>]) -> Vec<Point3<f64>> {
    type Reach = (f64, usize);
    let blocks: Vec<Vec<[Reach; 2]>> = points
        .par_chunks(BLOCK)
        .enumerate()
        .map(|(block, chunk)| {
            let reach = |axis: &Vector3<f64>| {
                let mut ends = [(f64::INFINITY, 0), (f64::NEG_INFINITY, 0)];
                for (index, point) in (block * BLOCK..).zip(chunk) {
                    let at = axis.dot(&point.coords);
                    if at < ends[0].0 {
                        ends[0] = (at, index);
                    }
                    if at > ends[1].0 {
                        ends[1] = (at, index);
                    }
                }
                ends
            };
            axes.iter().map(reach).collect()
        })
        .collect();
    let mut seen = FxHashSet::default();
    let mut found = Vec::new();
    for axis in 0..axes.len() {
        let lowest = blocks
            .iter()
            .map(|block| block[axis][0])
            .reduce(|a, b| if b.0 < a.0 { b } else { a });
        let highest = blocks
            .iter()
            .map(|block| block[axis][1])
            .reduce(|a, b| if b.0 > a.0 { b } else { a });
        for (_, index) in [lowest, highest].into_iter().flatten() {
            if seen.insert(points[index].coords.data.0[0].map(f64::to_bits)) {
                found.push(points[index]);
            }
        }
    }
    found
}

/// The 13 axes of a cube: through its faces, its edges and its corners.
pub(in crate::pose) fn cube_axes() -> Vec<Vector3<f64>> {
    let mut axes = Vec::new();
    for code in 14..27 {
        let part = |weight: i32| f64::from(code / weight % 3 - 1);
        axes.push(Vector3::new(part(9), part(3), part(1)).normalize());
    }
    axes
}

/// Axes spread evenly over the half sphere: a Fibonacci spiral (common practice).
pub(in crate::pose) fn spread_axes(count: usize) -> Vec<Vector3<f64>> {
    let golden = std::f64::consts::PI * (3.0 - 5.0_f64.sqrt());
    let axis = |i: usize| {
        let z = 1.0 - (i as f64 + 0.5) / count as f64;
        let (sine, cosine) = (golden * i as f64).sin_cos();
        let radius = (1.0 - z * z).sqrt();
        Vector3::new(radius * cosine, radius * sine, z)
    };
    (0..count).map(axis).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn scattered(count: usize) -> Mesh {
        let mut state = 7_u64;
        let mut next = move || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            (state >> 33) as f64 / f64::from(1_u32 << 31)
        };
        Mesh {
            vertices_mm: (0..count)
                .map(|_| Point3::new(90.0 * next() + 1e4, 50.0 * next(), 20.0 * next()))
                .collect(),
            triangles: Vec::new(),
        }
    }

    #[test]
    fn the_corners_reach_as_far_as_the_part_in_every_direction() {
        let mesh = scattered(20_000);
        let (low, _) = mesh.box_mm();
        let corners = Corners::of(&mesh).points;
        assert!(corners.len() < 2000, "{}", corners.len());
        for axis in spread_axes(300) {
            let most = |points: &mut dyn Iterator<Item = Vector3<f64>>| {
                points
                    .map(|p| axis.dot(&p))
                    .fold(f64::NEG_INFINITY, f64::max)
            };
            let whole = most(&mut mesh.vertices_mm.iter().map(|v| v - low));
            let kept = most(&mut corners.iter().map(|p| p.coords));
            assert!((whole - kept).abs() < 1e-10, "{whole} {kept}");
        }
    }

    #[test]
    fn the_axes_of_a_cube_are_thirteen_and_none_is_another_s_opposite() {
        let axes = cube_axes();
        assert_eq!(axes.len(), 13);
        for (i, a) in axes.iter().enumerate() {
            assert!(axes[..i].iter().all(|b| a.dot(b).abs() < 0.99));
        }
    }
}
