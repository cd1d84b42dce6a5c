//! The ten outlines whose counts are kept: the demonstration parts as drawn, and invented ones.

use beadtally::pose::{Down, Pose, outline};
use beadtally::section::Region;

use crate::meshes::demonstration;

/// A ring by polar coordinates, mm.
pub fn ring(corners: usize, radius_mm: impl Fn(f64) -> f64) -> Vec<[f64; 2]> {
    (0..corners)
        .map(|i| {
            let angle = std::f64::consts::TAU * i as f64 / corners as f64;
            let (sine, cosine) = angle.sin_cos();
            [radius_mm(angle) * cosine, radius_mm(angle) * sine]
        })
        .collect()
}

fn polygon(corners: &[[f64; 2]]) -> Region {
    Region::from_rings([corners.to_vec()])
}

/// Names and outlines.
pub fn ten() -> Vec<(&'static str, Region)> {
    let as_drawn = |file: &str| outline(&demonstration(file).mesh, &Pose::new(Down::ZMinus, 0.0));
    let right_triangle = [[0.0, 0.0], [60.0, 0.0], [0.0, 40.0]];
    let angle = [
        [0.0, 0.0],
        [70.0, 0.0],
        [70.0, 12.0],
        [12.0, 12.0],
        [12.0, 50.0],
        [0.0, 50.0],
    ];
    let bow = |angle: f64| {
        if angle < std::f64::consts::PI {
            45.0
        } else {
            45.0 - 20.0 * (angle.sin().abs())
        }
    };
    let horn = [
        [0.0, 10.0],
        [25.0, 4.0],
        [40.0, 0.0],
        [55.0, 4.0],
        [80.0, 10.0],
        [80.0, 16.0],
        [55.0, 14.0],
        [50.0, 22.0],
        [30.0, 22.0],
        [25.0, 14.0],
        [0.0, 16.0],
    ];
    let washer =
        Region::from_rings([ring(300, |_| 24.0)]).minus(&Region::from_rings([ring(200, |_| 14.0)]));
    vec![
        ("cleat_block", as_drawn("cleat_block.stl")),
        ("pump_mount", as_drawn("pump_mount.stl")),
        ("rudder_cheek", as_drawn("rudder_cheek.stl")),
        ("cowl_vent", as_drawn("cowl_vent.stl")),
        ("corner_gusset", polygon(&right_triangle)),
        ("shelf_angle", polygon(&angle)),
        ("horn_cleat", polygon(&horn)),
        ("washer", washer),
        ("bow_eye", Region::from_rings([ring(300, bow)])),
        (
            "wavy_rosette",
            Region::from_rings([ring(300, |a| 20.0 + 3.0 * (5.0 * a).sin())]),
        ),
    ]
}
