//! The parts that are looked at, and even samples of their layers.

use std::path::Path;

use beadtally::bead::Bead;
use beadtally::mesh::{InspectedMesh, read};
use beadtally::pose::{Down, Pose, place};
use beadtally::section::{Layers, Region, sections_at};
use rayon::prelude::*;

use crate::meshes::{DEMONSTRATION, demonstration, scaled};

/// A part and the scale at which it is laid.
pub struct Part {
    pub name: String,
    mesh: InspectedMesh,
    scale: f64,
}

impl Part {
    /// About `wanted` layers, evenly spread over the height, with their numbers.
    pub fn layers(&self, bead: &Bead, wanted: usize) -> Vec<(usize, Region)> {
        let mesh = scaled(&self.mesh.mesh, self.scale);
        let posed = place(&mesh, &Pose::new(Down::ZMinus, 0.0));
        let h = bead.height_mm();
        let layers = Layers::of(posed.box_mm().1.z, h, h);
        // Steps of an odd number take even and odd layers in turn.
        let step = (layers.count / wanted) | 1;
        let chosen: Vec<usize> = (step / 2..layers.count).step_by(step).collect();
        let planes: Vec<f64> = chosen.iter().map(|k| layers.middle_mm(*k)).collect();
        let regions = sections_at(&posed, &self.mesh.topology, &planes).regions;
        chosen.into_iter().zip(regions).collect()
    }
}

/// The demonstration parts as drawn.
pub fn demonstration_parts() -> Vec<Part> {
    let part = |file: &&str| Part {
        name: (*file).to_owned(),
        mesh: demonstration(file),
        scale: 1.0,
    };
    DEMONSTRATION.iter().map(part).collect()
}

/// Largest side of a found part, mm: larger ones are scaled down to it.
const LARGEST_MM: f64 = 200.0;
/// Smaller ones are no work for these beads, mm.
const SMALLEST_MM: f64 = 10.0;
/// A part with a largest side below this is drawn in metres.
const METRES_BELOW: f64 = 2.0;

/// The closed meshes of the folder of shared ones; none where it is absent.
pub fn found_parts() -> Vec<Part> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/meshes");
    let Ok(entries) = std::fs::read_dir(folder) else {
        return Vec::new();
    };
    let mut paths: Vec<_> = entries.map(|entry| entry.unwrap().path()).collect();
    paths.retain(|path| path.is_file());
    paths.sort();
    paths
        .par_iter()
        .filter_map(|path| {
            let mesh = read(std::fs::read(path).unwrap()).ok()?;
            let (low, high) = mesh.mesh.box_mm();
            let side = (high - low).max();
            if !mesh.watertight || side <= 0.0 {
                return None;
            }
            let side_mm = if side < METRES_BELOW {
                1000.0 * side
            } else {
                side
            };
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            (side_mm >= SMALLEST_MM).then(|| Part {
                name,
                mesh,
                scale: side_mm.min(LARGEST_MM) / side,
            })
        })
        .collect()
}
