//! Prices by quantity, the use of a part, and whether a purchase pays: held against the estimator itself, hand sums and closed forms.
#![allow(clippy::unwrap_used, clippy::expect_used)]

#[path = "../meshes/mod.rs"]
mod meshes;
mod bad_input;
mod build_time;
mod payback;
mod quantities;
mod use_of_it;

use beadtally::mesh::InspectedMesh;

/// A block 30 x 20 x 12 mm: quick to estimate, and many go on a bed.
fn block() -> InspectedMesh {
    meshes::inspected(meshes::solids::block([0.0; 3], [30.0, 20.0, 12.0]))
}
