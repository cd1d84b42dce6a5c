//! Solids with closed forms, files made of them, and parts brought to a clock, for the tests of this folder.
// Every test file takes its own part of this module.
#![allow(dead_code, clippy::unwrap_used, clippy::expect_used)]

pub mod job;
pub mod solids;

use beadtally::mesh::{InspectedMesh, Mesh, inspect, read};
use nalgebra::{Point3, Vector3};

/// The files of the demonstration parts.
pub const DEMONSTRATION: [&str; 6] = [
    "binnacle.stl",
    "cleat_block.stl",
    "cowl_vent.stl",
    "hatch_lid_mould.stl",
    "pump_mount.stl",
    "rudder_cheek.stl",
];

/// The folder of other people's meshes; a stranger's clone does not have it, and the test then says so.
pub fn shared() -> Option<std::path::PathBuf> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/meshes");
    if !folder.is_dir() {
        println!("skipped: ../shared/meshes is not here");
        return None;
    }
    Some(folder)
}

/// Inspects a mesh that a test knows to be sound enough.
pub fn inspected(mesh: Mesh) -> InspectedMesh {
    inspect(mesh).unwrap()
}

/// A demonstration part.
pub fn demonstration(file: &str) -> InspectedMesh {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("models")
        .join(file);
    read(std::fs::read(&path).unwrap()).unwrap()
}

/// Every vertex taken elsewhere.
pub fn mapped(mesh: &Mesh, to: impl Fn(Point3<f64>) -> Point3<f64>) -> Mesh {
    Mesh {
        vertices_mm: mesh.vertices_mm.iter().map(|v| to(*v)).collect(),
        triangles: mesh.triangles.clone(),
    }
}

/// Moved, mm.
pub fn moved(mesh: &Mesh, by: [f64; 3]) -> Mesh {
    mapped(mesh, |v| v + Vector3::from(by))
}

/// Scaled about the origin.
pub fn scaled(mesh: &Mesh, by: f64) -> Mesh {
    mapped(mesh, |v| v * by)
}

/// Every facet the other way round.
pub fn inside_out(mesh: &Mesh) -> Mesh {
    Mesh {
        vertices_mm: mesh.vertices_mm.clone(),
        triangles: mesh
            .triangles
            .iter()
            .map(|[a, b, c]| [*a, *c, *b])
            .collect(),
    }
}

/// Both in one mesh, sharing nothing.
pub fn together(a: &Mesh, b: &Mesh) -> Mesh {
    let mut both = a.clone();
    let first = both.vertices_mm.len() as u32;
    both.vertices_mm.extend_from_slice(&b.vertices_mm);
    both.triangles
        .extend(b.triangles.iter().map(|t| t.map(|v| v + first)));
    both
}

/// The mesh as a binary STL file: single precision, normals left at nought.
pub fn stl(mesh: &Mesh) -> Vec<u8> {
    let mut bytes = vec![0; 80];
    bytes.extend((mesh.triangles.len() as u32).to_le_bytes());
    for facet in 0..mesh.triangles.len() {
        bytes.extend([0; 12]);
        for corner in mesh.corners(facet) {
            bytes.extend(corner.iter().flat_map(|c| (*c as f32).to_le_bytes()));
        }
        bytes.extend([0; 2]);
    }
    bytes
}
