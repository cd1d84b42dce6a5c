//! What of a part's surface is seen from straight above and straight below, occlusion and all.
//!
//! The surface is divided into small triangles, finer where facets are large. From the middle of each, a hair outside the surface,
//! a ray goes up and one goes down; a triangle counts as seen from where its ray meets nothing. An upright wall with nothing over it
//! is seen from both sides: it slides.

use nalgebra::{Point3, Vector3};
use parry3d_f64::math::Vector;
use parry3d_f64::query::{Ray, RayCast};
use parry3d_f64::shape::TriMesh;
use rayon::prelude::*;

use super::MouldError;
use crate::mesh::Mesh;

/// Small triangles a surface is divided into, about; a facet is at least one.
const SAMPLES: f64 = 16_000.0;
/// How far outside the surface a ray starts, as a share of the part's diagonal: far above the rounding of a mesh in single
/// precision (6e-8), far below what a mould is made to.
const OUTSIDE: f64 = 1e-5;
/// A face whose normal rises or falls by less than this per mm may be upright within the rounding of its corners, so the rays decide.
const NEARLY_UPRIGHT: f64 = 0.02;
/// More facets than this take minutes.
const MOST_FACETS: usize = 3_000_000;

/// A small triangle of the surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// Its middle, mm.
    pub at_mm: Point3<f64>,
    /// The heights of its corners, rising, mm.
    pub heights_mm: [f64; 3],
    /// Its area, mm2.
    pub area_mm2: f64,
    /// How far its normal rises, -1 to 1.
    pub rises: f64,
    /// Whether it is seen from straight above.
    pub from_above: bool,
    /// Whether it is seen from straight below.
    pub from_below: bool,
}

impl Sample {
    /// Whether it is upright or looks up.
    pub fn looks_up(&self) -> bool {
        self.rises > -NEARLY_UPRIGHT
    }

    /// What of its area lies above a height, mm2. What lies flat in the plane belongs to the side it looks to.
    pub fn above_mm2(&self, height_mm: f64, flat_mm: f64) -> f64 {
        let [a, b, c] = self.heights_mm;
        let share = if c - a <= flat_mm {
            let over = a - height_mm;
            let above = if self.rises > 0.0 {
                over >= -flat_mm
            } else {
                over > flat_mm
            };
            f64::from(u8::from(above))
        } else if height_mm <= a {
            1.0
        } else if height_mm >= c {
            0.0
        } else if height_mm < b {
            1.0 - (height_mm - a).powi(2) / ((b - a) * (c - a))
        } else {
            (c - height_mm).powi(2) / ((c - b) * (c - a))
        };
        share * self.area_mm2
    }
}

/// Divides the surface of a part in the mould's frame and looks at it from above and below.
///
/// # Errors
/// [`MouldError::TooMany`] facets; [`MouldError::NotClosed`] where the surface is none to the ray library.
pub fn samples(mesh: &Mesh) -> Result<Vec<Sample>, MouldError> {
    if mesh.triangles.len() > MOST_FACETS {
        return Err(MouldError::TooMany {
            facets: mesh.triangles.len(),
            most: MOST_FACETS,
        });
    }
    let surface = surface(mesh).ok_or(MouldError::NotClosed)?;
    let diagonal_mm = mesh.size_mm().norm();
    let area = |facet: usize| {
        let [a, b, c] = mesh.corners(facet);
        (b - a).cross(&(c - a)).norm() / 2.0
    };
    let whole_mm2: f64 = (0..mesh.triangles.len()).map(area).sum();
    let each_mm2 = whole_mm2 / SAMPLES;
    let samples = (0..mesh.triangles.len())
        .into_par_iter()
        .flat_map_iter(|facet| {
            let steps = (area(facet) / each_mm2).sqrt().ceil().max(1.0) as usize;
            divided(mesh.corners(facet), steps)
                .filter_map(|corners| look(&surface, corners, diagonal_mm))
        })
        .collect();
    Ok(samples)
}

/// The surface for rays.
pub(super) fn surface(mesh: &Mesh) -> Option<TriMesh> {
    let corners = mesh
        .vertices_mm
        .iter()
        .map(|p| Vector::new(p.x, p.y, p.z))
        .collect();
    TriMesh::new(corners, mesh.triangles.clone()).ok()
}

/// A triangle in `steps` squared triangles of its own shape.
fn divided([a, b, c]: [Point3<f64>; 3], steps: usize) -> impl Iterator<Item = [Point3<f64>; 3]> {
    let at = move |i: usize, j: usize| {
        let (u, v) = (i as f64 / steps as f64, j as f64 / steps as f64);
        a + (b - a) * u + (c - a) * v
    };
    (0..steps).flat_map(move |i| {
        (0..steps - i).flat_map(move |j| {
            let one = [at(i, j), at(i + 1, j), at(i, j + 1)];
            let other =
                (i + j + 2 <= steps).then(|| [at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)]);
            std::iter::once(one).chain(other)
        })
    })
}

fn look(surface: &TriMesh, [a, b, c]: [Point3<f64>; 3], diagonal_mm: f64) -> Option<Sample> {
    let across = (b - a).cross(&(c - a));
    let normal = across.try_normalize(0.0)?;
    let at_mm = Point3::from((a.coords + b.coords + c.coords) / 3.0);
    let from = at_mm + normal * (OUTSIDE * diagonal_mm);
    let free = |direction: Vector3<f64>| {
        let ray = Ray::new(
            Vector::new(from.x, from.y, from.z),
            Vector::new(direction.x, direction.y, direction.z),
        );
        surface
            .cast_local_ray(&ray, 2.0 * diagonal_mm, true)
            .is_none()
    };
    let rises = normal.z;
    let mut heights_mm = [a.z, b.z, c.z];
    heights_mm.sort_unstable_by(f64::total_cmp);
    Some(Sample {
        at_mm,
        heights_mm,
        area_mm2: across.norm() / 2.0,
        rises,
        from_above: rises > -NEARLY_UPRIGHT && free(Vector3::z()),
        from_below: rises < NEARLY_UPRIGHT && free(-Vector3::z()),
    })
}
