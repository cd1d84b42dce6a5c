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
use beadtally::pose::{Bed, BuildSpace, Footprints, SearchBudget, TiltSearch, search_tilted};
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
pub fn block([x, y, z]: [f64; 3]) -> Mesh {
    let corner = |i: usize| {
        let pick = |bit: usize, side: f64| if i >> bit & 1 == 0 { 0.0 } else { side };
        Point3::new(pick(0, x), pick(1, y), pick(2, z))
    };
    let faces = [
        [0, 2, 3, 1],
        [4, 5, 7, 6],
        [0, 1, 5, 4],
        [2, 6, 7, 3],
        [0, 4, 6, 2],
        [1, 3, 7, 5],
    ];
    Mesh {
        vertices_mm: (0..8).map(corner).collect(),
        triangles: faces
            .iter()
            .flat_map(|&[a, b, c, d]| [[a, b, c], [a, c, d]])
            .collect(),
    }
}

/// A box-shaped space without margins, mm.
pub fn room(x_mm: f64, y_mm: f64, height_mm: f64) -> BuildSpace {
    BuildSpace {
        bed: Bed::Rectangle { x_mm, y_mm },
        height_mm,
        edge_margin_mm: 0.0,
    }
}

/// A space over a round bed without margins, mm.
pub fn round(diameter_mm: f64, height_mm: f64) -> BuildSpace {
    BuildSpace {
        bed: Bed::Circle { diameter_mm },
        height_mm,
        edge_margin_mm: 0.0,
    }
}

/// A search with the usual budget.
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
