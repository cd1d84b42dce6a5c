//! How long reading and inspecting a million facets takes against a general-purpose reader that does less.
//!
//! The reference is `numpy-stl` (a Python package), which loads the same file into an array without finding which corners
//! are shared. `python3` must have it; `PYTHON` names another interpreter. Both figures are the least of some runs, in one run
//! of this program on one machine, so that only their ratio means something.

use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use beadtally::mesh;

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

#[path = "ball/mod.rs"]
mod ball;

const RUNS: usize = 7;

fn main() -> std::io::Result<()> {
    let path = std::env::temp_dir().join(format!("beadtally-reading-{}.stl", std::process::id()));
    std::fs::write(&path, ball::binary_stl())?;
    let mut stages: [Vec<Duration>; 5] = Default::default();
    for _ in 0..RUNS {
        let taken = read_once(&path)?;
        for (stage, taken) in stages.iter_mut().zip(taken) {
            stage.push(taken);
        }
    }
    let theirs = numpy_stl(&path);
    std::fs::remove_file(&path)?;
    let names = ["bytes", "facets joined", "welded", "inspected", "in all"];
    let least: Vec<Duration> = stages
        .iter()
        .filter_map(|s| s.iter().min().copied())
        .collect();
    for (name, least) in names.iter().zip(&least) {
        println!("{name:<14} {least:>8.1?}");
    }
    match theirs {
        Some(theirs) => println!(
            "numpy-stl, loaded unindexed {theirs:.1?}; ratio {:.2}",
            least[4].as_secs_f64() / theirs.as_secs_f64()
        ),
        None => println!("no python3 with numpy-stl here: nothing to compare with"),
    }
    Ok(())
}

/// How long each stage took, and all of them.
fn read_once(path: &Path) -> std::io::Result<[Duration; 5]> {
    let start = Instant::now();
    let bytes = std::fs::read(path)?;
    let read = start.elapsed();
    let mut surfaces = mesh::open(bytes, mesh::UNPACKED_LIMIT_BYTES)
        .into_iter()
        .flatten()
        .filter_map(|file| file.drawing.ok())
        .flat_map(|drawing| drawing.parts)
        .map(|part| part.surface);
    let surface = surfaces.next().unwrap_or_default();
    let joined = start.elapsed();
    let welded_mesh = mesh::weld(surface, mesh::Unit::Millimetre);
    let welded = start.elapsed();
    let part = mesh::inspect(welded_mesh);
    let all = start.elapsed();
    if let Err(error) = part {
        println!("not measured: {error}");
    }
    Ok([read, joined - read, welded - joined, all - welded, all])
}

fn numpy_stl(path: &Path) -> Option<Duration> {
    const PROGRAM: &str = "import sys, time\nfrom stl import mesh\ntaken = []\nfor _ in range(7):\n    t = time.perf_counter(); \
        m = mesh.Mesh.from_file(sys.argv[1]); taken.append(time.perf_counter() - t)\nprint(min(taken))";
    let python = std::env::var("PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let output = Command::new(python)
        .args(["-c", PROGRAM])
        .arg(path)
        .output()
        .ok()?;
    let seconds: f64 = String::from_utf8(output.stdout).ok()?.trim().parse().ok()?;
    Some(Duration::from_secs_f64(seconds))
}
