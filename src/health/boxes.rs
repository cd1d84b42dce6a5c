//! The facets of a mesh in a tree of boxes.

use nalgebra::Point3;
use parry3d_f64::bounding_volume::Aabb;
use parry3d_f64::math::Vector;
use parry3d_f64::partitioning::{Bvh, BvhBuildStrategy};

use crate::mesh::Mesh;

/// A point as parry3d takes it.
pub(super) fn vector(p: Point3<f64>) -> Vector {
    Vector::new(p.x, p.y, p.z)
}

/// The box of a facet.
pub(super) fn facet_box(mesh: &Mesh, facet: usize) -> Aabb {
    let [a, b, c] = mesh.corners(facet);
    Aabb::new(vector(a.inf(&b).inf(&c)), vector(a.sup(&b).sup(&c)))
}

/// A tree over the boxes of all facets; a leaf's number is its facet's.
pub(super) fn tree(mesh: &Mesh) -> Bvh {
    let boxes: Vec<Aabb> = (0..mesh.triangles.len())
        .map(|facet| facet_box(mesh, facet))
        .collect();
    Bvh::from_leaves(BvhBuildStrategy::Binned, &boxes)
}
