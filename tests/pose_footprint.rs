//! What parts cover on a bed, against shapely (`reference/footprints.json`, written by `reference/footprints.py`).
//!
//! The shared meshes lie in `../shared/meshes`, which a stranger's clone does not have; the demonstration parts are always there.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use beadtally::mesh::read;
use beadtally::pose::{BuildSpace, Down, Footprints, Pose, outline};
use rayon::prelude::*;
use serde::Deserialize;

#[derive(Deserialize)]
struct Reference {
    parts: BTreeMap<String, [Shadow; 3]>,
}

/// A part seen along one of its axes.
#[derive(Deserialize)]
struct Shadow {
    area_mm2: f64,
    hull_mm2: f64,
    around_mm: f64,
}

const AXES: [Down; 3] = [Down::XPlus, Down::YPlus, Down::ZMinus];

#[test]
fn shadows_have_the_area_and_the_circle_that_shapely_gives_them() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let text = fs::read_to_string(root.join("tests/reference/footprints.json")).unwrap();
    let reference: Reference = serde_json::from_str(&text).unwrap();
    let shared = root.join("../shared/meshes");
    if !shared.is_dir() {
        println!(
            "skipped: ../shared/meshes is not here; the demonstration parts are looked at alone"
        );
    }
    let looked: usize = reference
        .parts
        .par_iter()
        .map(|(name, shadows)| {
            let own = root.join("models").join(name);
            let path = if own.is_file() {
                own
            } else {
                shared.join(name)
            };
            let Ok(bytes) = fs::read(path) else { return 0 };
            // Bytes that trimesh reads and this project refuses are the business of `mesh_ledger`.
            let Ok(part) = read(bytes) else { return 0 };
            let footprints = Footprints::of(&part.mesh);
            let size = part.mesh.size_mm().norm();
            for (down, shadow) in AXES.into_iter().zip(shadows) {
                let covered = outline(&part.mesh, &Pose::new(down, 0.0));
                // The grid of 0.0001 mm along the outline, and the library's own grid.
                let rounding_mm2 = 2e-4 * covered.outline_mm() + 1e-5 * size * size;
                let off = covered.area_mm2() - shadow.area_mm2;
                assert!(
                    off.abs() < 1e-4 * shadow.area_mm2 + rounding_mm2,
                    "{name} {down}: off by {off} mm2"
                );
                assert!(covered.area_mm2() <= shadow.hull_mm2 + rounding_mm2);
                let round = |share: f64| BuildSpace::circle(2.0 * shadow.around_mm * share, 1e6);
                assert!(footprints.fits(down, &round(1.0 + 1e-5)), "{name} {down}");
                assert!(!footprints.fits(down, &round(1.0 - 1e-5)), "{name} {down}");
            }
            1
        })
        .sum();
    let least = if shared.is_dir() {
        reference.parts.len() - 3
    } else {
        6
    };
    assert!(looked >= least, "only {looked} parts were looked at");
}
