//! The room that cuts parts: closed forms, the theorem that a split keeps its volume, other people's meshes, and the order of the
//! pieces.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod corpus;
mod forms;
mod halves;
mod order;
mod plans;

#[path = "../meshes/mod.rs"]
mod meshes;

use beadtally::cut::{Halves, Plane};
use beadtally::mesh::{InspectedMesh, Mesh, Topology, mass_properties};

/// The volume a mesh encloses, mm3.
fn volume(mesh: &Mesh) -> f64 {
    let (low, high) = mesh.box_mm();
    let centre = nalgebra::center(&low, &high);
    mass_properties(&mesh.vertices_mm, &mesh.triangles, centre).volume_mm3
}

/// Whether every edge has as many facets one way round as the other, counted anew and not by the project's own topology.
fn is_closed(mesh: &Mesh) -> bool {
    let mut uses = std::collections::HashMap::<(u32, u32), i64>::new();
    for t in &mesh.triangles {
        for i in 0..3 {
            let (a, b) = (t[i], t[(i + 1) % 3]);
            if a == b {
                return false;
            }
            *uses.entry((a.min(b), a.max(b))).or_default() += if a < b { 1 } else { -1 };
        }
    }
    let by_topology = Topology::of(&mesh.triangles).is_closed(&mesh.triangles);
    uses.values().all(|sum| *sum == 0) && by_topology
}

/// Cuts, and holds the halves to what every split promises: closed, on their side of the plane, nothing lost, and the same points in
/// the plane.
fn split(part: &InspectedMesh, plane: Plane) -> Halves {
    let halves = beadtally::cut::split(part, plane).unwrap();
    let whole = part.mass.volume_mm3;
    let axis = plane.axis.index();
    for half in [&halves.below, &halves.above] {
        assert!(half.triangles.is_empty() || is_closed(half), "{plane:?}");
    }
    let sum = volume(&halves.below) + volume(&halves.above);
    assert!(
        (sum - whole).abs() <= 1e-9 * whole.abs(),
        "{plane:?}: {sum} of {whole}"
    );
    let at = halves.plane.at_mm;
    assert!(
        halves
            .below
            .vertices_mm
            .iter()
            .all(|v| v[axis] <= at + 1e-6)
    );
    assert!(
        halves
            .above
            .vertices_mm
            .iter()
            .all(|v| v[axis] >= at - 1e-6)
    );
    halves
}
