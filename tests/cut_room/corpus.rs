//! Other people's meshes. They lie in `../shared/meshes`, which a stranger's clone does not have: the test then says so and passes.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::Instant;

use beadtally::mesh::{
    Grade, InspectedMesh, Mending, Source, UNPACKED_LIMIT_BYTES, Unit, inspect, inspect_part, open,
};

use super::meshes::{scaled, shared};
use super::plans::{planned, space};

/// What the machine offers: a bed and a height of so many mm.
const ROOM_MM: [f64; 3] = [200.0, 200.0, 180.0];

fn parts(path: &Path) -> Vec<InspectedMesh> {
    let Ok(opened) = open(fs::read(path).unwrap(), UNPACKED_LIMIT_BYTES) else {
        return Vec::new();
    };
    let mut parts = Vec::new();
    for file in opened {
        let Ok(drawing) = file.drawing else { continue };
        for part in drawing.parts {
            let source = Source {
                format: drawing.format,
                unit: Unit::Millimetre,
                unit_stated: drawing.unit.is_some(),
                copies: part.copies,
            };
            parts.extend(inspect_part(part, source, Mending::Safe));
        }
    }
    parts
}

#[test]
fn every_closed_mesh_of_others_too_large_by_a_half_to_two_and_a_half_is_cut_into_pieces_that_fit() {
    let Some(folder) = shared() else { return };
    let mut paths: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    paths.sort();
    let mut cut = 0;
    for path in paths.iter().filter(|path| path.is_file()) {
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        for (number, part) in parts(path).into_iter().enumerate() {
            let closed = part.watertight && part.trust.grade <= Grade::Mended;
            if !closed {
                continue;
            }
            let size = part.mesh.size_mm();
            for times in [1.5, 2.5] {
                // The longest side becomes so many times the bed.
                let large = scaled(&part.mesh, times * ROOM_MM[0] / size.max());
                let Ok(large) = inspect(large) else { continue };
                if !large.watertight {
                    continue;
                }
                let [x, y, z] = ROOM_MM;
                let start = Instant::now();
                let plan = planned(&large, &space(x, y, z), &name);
                println!(
                    "{name} {number} x {times}: {} facets, {} cuts, {} pieces, {:.2} s; {}",
                    large.mesh.triangles.len(),
                    plan.cuts.len(),
                    plan.pieces.len(),
                    start.elapsed().as_secs_f64(),
                    plan.words,
                );
                cut += 1;
            }
        }
    }
    assert!(cut >= 60, "only {cut} were cut");
}
