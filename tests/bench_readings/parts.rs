//! The parts, measured by the program.

use beadtally::bench::{BondingPlan, CourseKind, StopwatchPlan, stl_bytes};
use beadtally::mesh::{InspectedMesh, Mesh, read};
use beadtally::shop::demonstration;

use crate::setup;

/// The part as its file is read: closed, one body, nothing found.
fn sound(mesh: &Mesh) -> InspectedMesh {
    let part = read(stl_bytes(mesh)).unwrap();
    assert!(part.watertight);
    assert_eq!(part.topology.bodies, 1);
    assert!(part.findings.is_empty(), "{:?}", part.findings);
    part
}

fn measures(part: &InspectedMesh, size_mm: [f64; 3], volume_mm3: f64) {
    for (got, expected) in part.mesh.size_mm().iter().zip(size_mm) {
        assert!((got - expected).abs() < 1e-4, "{got} {expected}");
    }
    let off = part.mass.volume_mm3 / volume_mm3 - 1.0;
    assert!(off.abs() < 1e-6, "{} {volume_mm3}", part.mass.volume_mm3);
}

/// Expected: by hand. Long: a bar of 100 x 8 with 2 x 13 teeth of 4 x 4 mm. Short: 104 x 16 with 2 x 7 teeth of 8 x 8 mm, each of
/// 28 corners outward less and 24 inward more by half a square of 2 mm. 103 layers of 0.3 mm.
#[test]
fn the_courses_are_closed_and_have_the_stated_size() {
    let shop = demonstration();
    let plan = StopwatchPlan::of(&setup(&shop, "fast", None), None, 100, None, false).unwrap();
    let height = 103.0 * 0.3;
    let long = sound(&plan.mesh(CourseKind::Long));
    measures(&long, [100.0, 16.0, height], (800.0 + 26.0 * 16.0) * height);
    let short = sound(&plan.mesh(CourseKind::Short));
    let area = 104.0 * 16.0 + 14.0 * 64.0 - (28.0 - 24.0) * 2.0;
    measures(&short, [104.0, 32.0, height], area * height);
}

/// Expected: by hand. Length of the lap of the long course: 2 x 13 tips of 4 - w, 2 x 12 roots of 4 + w, 2 x 24 flanks of 4, two
/// ends of 16 - w.
#[test]
fn the_lap_runs_half_a_bead_inside_of_the_outline() {
    let shop = demonstration();
    let plan = StopwatchPlan::of(&setup(&shop, "fast", None), None, 100, None, false).unwrap();
    let w = 0.65;
    let by_hand = 26.0 * (4.0 - w) + 24.0 * (4.0 + w) + 48.0 * 4.0 + 2.0 * (16.0 - w);
    assert!(
        (plan.long.lap_mm() / by_hand - 1.0).abs() < 1e-5,
        "{} {by_hand}",
        plan.long.lap_mm()
    );
    assert_eq!((plan.long.corners(), plan.short.corners()), (100, 104));
}

/// Expected: by hand. Five storeys of 24 x 14 less two notches of (2 + 10)/2 x 4, 4 mm deep.
#[test]
fn the_strip_is_closed_and_has_the_stated_size() {
    let shop = demonstration();
    let plan = BondingPlan::of(&setup(&shop, "fast", None)).unwrap();
    let strip = sound(&plan.mesh());
    measures(&strip, [24.0, 4.0, 70.0], 5.0 * (336.0 - 48.0) * 4.0);
}

/// Expected: the courses of every machine and nozzle of the demonstration shop that lays its default plastic.
#[test]
fn every_machine_of_the_demonstration_shop_has_its_courses() {
    let shop = demonstration();
    for (machine, nozzle) in [
        ("slow", "0.4-hardened"),
        ("fast", "0.8-hardened"),
        ("gantry", "0.8-hardened"),
        ("round", "0.6-hardened"),
    ] {
        let plan = StopwatchPlan::of(&setup(&shop, machine, Some(nozzle)), None, 50, None, true);
        let plan = plan.unwrap();
        sound(&plan.mesh(CourseKind::Long));
        sound(&plan.mesh(CourseKind::Short));
    }
}
