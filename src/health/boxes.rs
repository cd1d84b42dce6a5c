//! The facets of a mesh in a tree of boxes.

use nalgebra::{Point3, Vector3};
use parry3d_f64::bounding_volume::{Aabb, BoundingVolume};
use parry3d_f64::math::Vector;
use parry3d_f64::partitioning::{Bvh, BvhBuildStrategy};
use parry3d_f64::query::{Ray, RayCast};
use parry3d_f64::shape::Triangle;

use crate::mesh::Mesh;

/// Facets under one leaf. Facets that follow each other in a file mostly lie side by side, and a tree of single facets takes 200
/// bytes for each.
const GROUP: usize = 4;

/// A tree over the boxes of a mesh's facets.
pub(super) struct Boxes<'a> {
    mesh: &'a Mesh,
    tree: Bvh,
}

/// A point as parry3d takes it.
fn vector(p: Point3<f64>) -> Vector {
    Vector::new(p.x, p.y, p.z)
}

impl<'a> Boxes<'a> {
    /// The tree of a mesh.
    pub fn of(mesh: &'a Mesh) -> Boxes<'a> {
        let groups = mesh.triangles.len().div_ceil(GROUP);
        let boxes: Vec<Aabb> = (0..groups)
            .map(|group| {
                let around = facets_of(mesh, group).map(|facet| facet_box(mesh, facet));
                around
                    .reduce(|a, b| a.merged(&b))
                    .unwrap_or_else(Aabb::new_invalid)
            })
            .collect();
        Boxes {
            mesh,
            tree: Bvh::from_leaves(BvhBuildStrategy::Binned, &boxes),
        }
    }

    /// Calls `with` for each facet after the given one whose box meets its box, as long as `with` returns true.
    pub fn later_neighbours(&self, facet: usize, mut with: impl FnMut(usize) -> bool) {
        let around = facet_box(self.mesh, facet);
        for group in self.tree.intersect_aabb(&around) {
            for other in facets_of(self.mesh, group as usize) {
                let near = other > facet && facet_box(self.mesh, other).intersects(&around);
                if near && !with(other) {
                    return;
                }
            }
        }
    }

    /// The first facet that a ray meets within `reach_mm`, and how far away.
    pub fn first_hit(
        &self,
        from: Point3<f64>,
        direction: Vector3<f64>,
        reach_mm: f64,
    ) -> Option<(usize, f64)> {
        let ray = Ray::new(
            vector(from),
            Vector::new(direction.x, direction.y, direction.z),
        );
        let nearest = |group: u32, best: f64| {
            facets_of(self.mesh, group as usize)
                .filter_map(|facet| {
                    let [a, b, c] = self.mesh.corners(facet).map(vector);
                    let way = Triangle::new(a, b, c).cast_local_ray(&ray, best, false)?;
                    Some((facet, way))
                })
                .min_by(|a, b| a.1.total_cmp(&b.1))
        };
        let (group, _) = self.tree.cast_ray(&ray, reach_mm, |group, best| {
            nearest(group, best).map(|(_, way)| way)
        })?;
        nearest(group, reach_mm)
    }
}

fn facets_of(mesh: &Mesh, group: usize) -> std::ops::Range<usize> {
    group * GROUP..mesh.triangles.len().min((group + 1) * GROUP)
}

fn facet_box(mesh: &Mesh, facet: usize) -> Aabb {
    let [a, b, c] = mesh.corners(facet);
    Aabb::new(vector(a.inf(&b).inf(&c)), vector(a.sup(&b).sup(&c)))
}
