//! How long reading and inspecting a million facets takes against a general-purpose reader that does less.
//!
//! The reference is `numpy-stl` (a Python package), which loads the same file into an array without finding which corners
//! are shared. `python3` must have it; `PYTHON` names another interpreter. Both figures are the least of some runs, in one run
//! of this program on one machine, so that only their ratio means something.

use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use beadtally::mesh;

#[path = "ball/mod.rs"]
mod ball;

const RUNS: usize = 7;

fn main() -> std::io::Result<()> {
    let path = std::env::temp_dir().join(format!("beadtally-reading-{}.stl", std::process::id()));
    std::fs::write(&path, ball::binary_stl())?;
    let ours = (0..RUNS)
        .map(|_| {
            let start = Instant::now();
            let part = std::fs::read(&path).map(mesh::read);
            let taken = start.elapsed();
            match part {
                Ok(Ok(part)) => println!("{} facets in {taken:.1?}", part.facets_read),
                other => println!("not read: {:?}", other.map(|r| r.err())),
            }
            taken
        })
        .min();
    let theirs = numpy_stl(&path);
    std::fs::remove_file(&path)?;
    match (ours, theirs) {
        (Some(ours), Some(theirs)) => println!(
            "read, indexed, inspected {ours:.1?}; numpy-stl, loaded unindexed {theirs:.1?}; ratio {:.2}",
            ours.as_secs_f64() / theirs.as_secs_f64()
        ),
        _ => println!("no python3 with numpy-stl here: nothing to compare with"),
    }
    Ok(())
}

fn numpy_stl(path: &Path) -> Option<Duration> {
    const PROGRAM: &str = "import sys, time\nfrom stl import mesh\ntaken = []\nfor _ in range(7):\n    t = time.perf_counter(); \
        m = mesh.Mesh.from_file(sys.argv[1], calculate_normals=False); taken.append(time.perf_counter() - t)\nprint(min(taken))";
    let python = std::env::var("PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let output = Command::new(python)
        .args(["-c", PROGRAM])
        .arg(path)
        .output()
        .ok()?;
    let seconds: f64 = String::from_utf8(output.stdout).ok()?.trim().parse().ok()?;
    Some(Duration::from_secs_f64(seconds))
}
