//! How long all sections of a part of a million facets take against general-purpose libraries, in one run.
//!
//! The references are `manifold3d` and `trimesh` (Python packages; `PYTHON` names an interpreter that has them). The first cuts
//! at every height; the second at every fifteenth, its time taken fifteen times, for it is slow. Only the ratios mean anything.

use std::process::Command;
use std::time::{Duration, Instant};

use beadtally::mesh;
use beadtally::section::{Layers, sections};

#[path = "ball/mod.rs"]
mod ball;

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

const LAYER_MM: f64 = 0.36;
const RUNS: usize = 5;

/// Prints the seconds of both libraries; heights as ours, measured from the mesh's lowest corner.
const PROGRAM: &str = r#"
import sys, time
import numpy as np, trimesh, manifold3d
path, step, count = sys.argv[1], float(sys.argv[2]), int(sys.argv[3])
mesh = trimesh.load_mesh(path)
low = mesh.bounds[0][2]
heights = low + (np.arange(count) + 0.5) * step
solid = manifold3d.Manifold(manifold3d.Mesh(vert_properties=np.asarray(mesh.vertices, dtype=np.float32),
                                            tri_verts=np.asarray(mesh.faces, dtype=np.uint32)))
best = []
for _ in range(3):
    t = time.perf_counter()
    areas = [solid.slice(float(h)).area() for h in heights]
    best.append(time.perf_counter() - t)
t = time.perf_counter()
for h in heights[::15]:
    cut = mesh.section(plane_origin=[0, 0, h], plane_normal=[0, 0, 1])
    if cut is not None:
        cut.to_2D()
print(min(best), (time.perf_counter() - t) * len(heights) / len(heights[::15]), sum(areas))
"#;

fn main() -> std::io::Result<()> {
    let path = std::env::temp_dir().join(format!("beadtally-sections-{}.stl", std::process::id()));
    let bytes = ball::binary_stl();
    std::fs::write(&path, &bytes)?;
    let Ok(mut part) = mesh::read(bytes) else {
        println!("the ball could not be read");
        return Ok(());
    };
    let (low, high) = part.mesh.box_mm();
    for vertex in &mut part.mesh.vertices_mm {
        vertex.z -= low.z;
    }
    let layers = Layers::of(high.z - low.z, LAYER_MM, LAYER_MM);
    let mut ours = Duration::MAX;
    let mut area_mm2 = 0.0;
    for _ in 0..RUNS {
        let start = Instant::now();
        let cut = sections(&part.mesh, &part.topology, &layers);
        ours = ours.min(start.elapsed());
        area_mm2 = cut.regions.iter().map(|r| r.area_mm2()).sum();
    }
    println!(
        "{} facets, {} layers: {ours:.1?}",
        part.facets_read, layers.count
    );
    match libraries(&path, layers.count) {
        Some([manifold_s, trimesh_s, theirs_mm2]) => {
            let ours_s = ours.as_secs_f64();
            println!(
                "manifold3d {manifold_s:.3} s, {:.1} times ours",
                manifold_s / ours_s
            );
            println!(
                "trimesh    {trimesh_s:.1} s, {:.0} times ours",
                trimesh_s / ours_s
            );
            println!("areas differ by {:.1e}", area_mm2 / theirs_mm2 - 1.0);
        }
        None => println!("no python3 with manifold3d and trimesh here: nothing to compare with"),
    }
    std::fs::remove_file(&path)
}

fn libraries(path: &std::path::Path, count: usize) -> Option<[f64; 3]> {
    let python = std::env::var("PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let output = Command::new(python)
        .args(["-c", PROGRAM])
        .arg(path)
        .args([LAYER_MM.to_string(), count.to_string()])
        .output()
        .ok()?;
    let text = String::from_utf8(output.stdout).ok()?;
    let numbers: Vec<f64> = text
        .split_whitespace()
        .filter_map(|w| w.parse().ok())
        .collect();
    numbers.try_into().ok()
}
