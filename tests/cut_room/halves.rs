//! Halves of the demonstration parts against those of a general-purpose library (`reference/cut_halves.py`).

use std::collections::BTreeMap;

use beadtally::cut::{Axis, Plane};
use serde::Deserialize;

use super::meshes::demonstration;
use super::{split, volume};

#[derive(Deserialize)]
struct Said {
    axis: usize,
    at_mm: f64,
    below_mm3: f64,
}

#[test]
fn halves_of_the_demonstration_parts_have_the_volumes_trimesh_gives_them() {
    let said: BTreeMap<String, Vec<Said>> =
        serde_json::from_str(include_str!("../reference/cut_halves.json")).unwrap();
    assert_eq!(said.len(), 4);
    for (file, rows) in said {
        let part = demonstration(&file);
        for row in rows {
            let plane = Plane {
                axis: Axis::ALL[row.axis],
                at_mm: row.at_mm,
            };
            let below = volume(&split(&part, plane).below);
            let off = (below - row.below_mm3).abs();
            assert!(
                off <= 1e-6 * part.mass.volume_mm3,
                "{file} {plane:?}: {below} where trimesh has {}",
                row.below_mm3
            );
        }
    }
}
