//! Walls thinner than a bead.

use beadtally::health::examine;
use beadtally::mesh::FindingKind;

use super::meshes::inspected;
use super::meshes::solids::{block, square_tube};
use super::the;

#[test]
fn a_plate_thinner_than_a_bead_is_told_with_its_thickness() {
    let plate = block([0.0; 3], [50.0, 40.0, 0.25]);
    let part = examine(inspected(plate), 0.34);
    let finding = the(&part, FindingKind::ThinWalls);
    assert!(finding.detail.contains("0.250 mm"), "{}", finding.detail);
    // Both faces of 2000 mm2; the rim of 45 mm2 is thick.
    let share = 100.0 * 4000.0 / 4045.0;
    assert!(
        finding.detail.contains(&format!("about {share:.1} %")),
        "{}",
        finding.detail
    );
    let at = finding.at_mm.unwrap();
    assert!((at.z - 0.125).abs() < 0.01, "{at}");
}

#[test]
fn a_wall_as_thick_as_a_bead_is_no_finding() {
    let part = examine(inspected(square_tube(30.0, 29.0, 20.0)), 0.34);
    assert!(part.findings.is_empty(), "{:?}", part.findings);
}

#[test]
fn a_thin_tube_is_told_of_its_walls_only() {
    let part = examine(inspected(square_tube(30.0, 29.4, 20.0)), 0.34);
    let finding = the(&part, FindingKind::ThinWalls);
    assert!(finding.detail.contains("0.300 mm"), "{}", finding.detail);
}
