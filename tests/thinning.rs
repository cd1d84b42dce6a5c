//! What contours are thinned to hardly moves an answer.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod meshes;

use beadtally::bead::Bead;
use beadtally::mesh::InspectedMesh;
use beadtally::motion::Limits;
use beadtally::pose::{Down, Pose, place};
use beadtally::section::{Layers, sections_thinned};
use meshes::job::{Cut, bare_limits, one_speed, walked};
use meshes::{demonstration, scaled};

/// Layers of a coarse nozzle.
const NOZZLE_MM: f64 = 1.0;

fn cut_thinned(part: &InspectedMesh, scale: f64, thin_mm: f64) -> Cut {
    let posed = place(&scaled(&part.mesh, scale), &Pose::new(Down::ZMinus, 0.0));
    let h = Bead::of_nozzle(NOZZLE_MM).unwrap().height_mm();
    let layers = Layers::of(posed.box_mm().1.z, h, h);
    let planes: Vec<f64> = (0..layers.count).map(|k| layers.middle_mm(k)).collect();
    let regions = sections_thinned(&posed, &part.topology, &planes, thin_mm).regions;
    Cut { layers, regions }
}

fn limits() -> [(&'static str, Limits); 3] {
    let fast = bare_limits(one_speed(200.0, 400.0), 8000.0, Some(40.0));
    let sharp = Limits {
        corner_deviation_mm: 0.01,
        melt_cap_mm3_s: None,
        ..fast
    };
    [
        ("motion", bare_limits(one_speed(27.5, 60.0), 500.0, None)),
        ("melt", fast),
        ("corners", sharp),
    ]
}

fn hold(file: &str, scale: f64) {
    let part = demonstration(file);
    let limits = limits();
    let all: Vec<Limits> = limits.iter().map(|l| l.1).collect();
    let seen: Vec<(f64, Vec<f64>)> = [0.01, 0.003]
        .into_iter()
        .map(|thin_mm| {
            let cut = cut_thinned(&part, scale, thin_mm);
            let area = cut.regions.iter().map(|r| r.area_mm2()).sum();
            let (_, clocks) = walked(&cut, Bead::of_nozzle(NOZZLE_MM).unwrap(), 2, &all);
            (area, clocks.iter().map(|c| c.seconds()).collect())
        })
        .collect();
    let area_off = seen[0].0 / seen[1].0 - 1.0;
    println!("{file}: area {:+.5} %", 100.0 * area_off);
    let mut worst = 0.0f64;
    for (m, (name, _)) in limits.iter().enumerate() {
        let off = seen[0].1[m] / seen[1].1[m] - 1.0;
        println!(
            "{file}: {name} {:.1} s and {:.1} s, {:+.3} %",
            seen[0].1[m],
            seen[1].1[m],
            100.0 * off
        );
        worst = worst.max(off.abs());
    }
    assert!(area_off.abs() < 0.001, "{file}: area {area_off}");
    assert!(worst < 0.01, "{file}: seconds {worst}");
}

/// Expected: derived. 0.01 mm on an outline is a hundredth of a bead.
#[test]
fn finer_contours_leave_a_housing_its_time() {
    hold("binnacle.stl", 0.6);
}

/// Expected: derived. 0.01 mm on an outline is a hundredth of a bead.
#[test]
fn finer_contours_leave_a_vent_its_time() {
    hold("cowl_vent.stl", 0.6);
}

/// Expected: derived. 0.01 mm on an outline is a hundredth of a bead.
#[test]
fn finer_contours_leave_a_block_its_time() {
    hold("cleat_block.stl", 1.0);
}

/// Expected: derived. 0.01 mm on an outline is a hundredth of a bead.
#[test]
fn finer_contours_leave_a_mount_its_time() {
    hold("pump_mount.stl", 0.6);
}
