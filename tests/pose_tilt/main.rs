//! Tilted and resting poses, against theorems, closed forms, plain trial of random rotations and general-purpose
//! geometry libraries.
#![allow(clippy::unwrap_used, clippy::expect_used)]

#[path = "../meshes/mod.rs"]
mod meshes;

mod degenerate;
mod reference;
mod rests;
mod search;

use beadtally::mesh::Mesh;
use beadtally::pose::{BuildSpace, Footprints, SearchBudget, TiltSearch, search_tilted};
use nalgebra::Point3;

/// A mesh of points alone: the poses of a part depend on its corners only.
pub fn points(vertices_mm: Vec<Point3<f64>>) -> Mesh {
    let triangles = if vertices_mm.len() < 3 {
        Vec::new()
    } else {
        vec![[0, 1, 2]]
    };
    Mesh {
        vertices_mm,
        triangles,
    }
}

/// A closed box with a corner at the origin.
pub fn block(size_mm: [f64; 3]) -> Mesh {
    meshes::solids::block([0.0; 3], size_mm)
}

/// A rectangular space without margins, mm.
pub fn room(x_mm: f64, y_mm: f64, height_mm: f64) -> BuildSpace {
    BuildSpace::rectangle(x_mm, y_mm, height_mm)
}

/// A round space without margins, mm.
pub fn round(diameter_mm: f64, height_mm: f64) -> BuildSpace {
    BuildSpace::circle(diameter_mm, height_mm)
}

/// What the search with its usual budget says.
pub fn searched(mesh: &Mesh, space: &BuildSpace) -> TiltSearch {
    search_tilted(&Footprints::of(mesh), space, &SearchBudget::default())
}

/// Numbers from 0 to 1, the same every time.
pub fn random(seed: u64) -> impl FnMut() -> f64 {
    let mut state = seed;
    move || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as f64 / f64::from(1_u32 << 31)
    }
}
