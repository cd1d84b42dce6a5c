//! Partings and undercut areas that are known in closed form.

use std::f64::consts::PI;

use beadtally::mould::{Kind, MouldError, Opening, Parting, best_parting, minus, parting_along};
use nalgebra::Vector3;

use crate::meshes::solids::{block, cone, polygon_area, prism, regular_polygon, sphere};
use crate::meshes::{mapped, moved};

const DRAFT_DEG: f64 = 1.0;

fn along(
    mesh: &beadtally::mesh::Mesh,
    kind: Kind,
    direction: Vector3<f64>,
    height: Option<f64>,
) -> Parting {
    parting_along(
        mesh,
        kind,
        Opening::along(direction).unwrap(),
        height,
        DRAFT_DEG,
    )
    .unwrap()
}

#[test]
fn a_sphere_parts_through_its_centre_without_undercut_whichever_way_it_opens() {
    let centre = [3.0, -4.0, 25.0];
    let ball = moved(&sphere(20.0, 32, 48), centre);
    let parting = best_parting(&ball, Kind::Closed, DRAFT_DEG).unwrap();
    assert_eq!(parting.opening.name(), "z");
    assert!(
        (parting.height_mm - 25.0).abs() < 1e-9,
        "{}",
        parting.height_mm
    );
    assert!(
        parting.undercut_mm2 < 1e-9 && !parting.holds(),
        "{parting:?}"
    );
    // Across the poles the mesh has corners in the plane too.
    let sideways = along(&ball, Kind::Closed, Vector3::x(), None);
    assert!((sideways.height_mm - 3.0).abs() < 1e-9 && !sideways.holds());
}

#[test]
fn a_sphere_parted_off_its_centre_is_undercut_by_the_zone_between() {
    // Archimedes: the zone between two parallel planes h apart has the area 2 pi R h.
    let ball = sphere(20.0, 180, 180);
    let parting = along(&ball, Kind::Closed, Vector3::z(), Some(5.0));
    let zone = 2.0 * PI * 20.0 * 5.0;
    assert!(
        (parting.undercut_mm2 / zone - 1.0).abs() < 0.01,
        "{} {zone}",
        parting.undercut_mm2
    );
    assert!(parting.holds());
}

#[test]
fn a_cone_parts_at_its_base_without_undercut() {
    let parting = best_parting(
        &moved(&cone(15.0, 30.0, 64), [0.0, 0.0, 7.0]),
        Kind::Closed,
        DRAFT_DEG,
    )
    .unwrap();
    assert_eq!(parting.opening.name(), "z");
    assert!(
        (parting.height_mm - 7.0).abs() < 1e-9 && parting.undercut_mm2 < 1e-9,
        "{parting:?}"
    );
    let upside_down = mapped(&cone(15.0, 30.0, 64), |v| {
        nalgebra::Point3::new(v.x, -v.y, -v.z)
    });
    let parting = best_parting(&upside_down, Kind::Closed, DRAFT_DEG).unwrap();
    assert!(
        parting.height_mm.abs() < 1e-9 && parting.undercut_mm2 < 1e-9,
        "{parting:?}"
    );
}

/// A block 40 x 30 x 20 with a hole of 32 sides right through along y, its middle at 10 mm.
fn drilled() -> beadtally::mesh::Mesh {
    let drill = prism(&regular_polygon(5.0, 32), -50.0, 50.0);
    let drill = mapped(&drill, |v| nalgebra::Point3::new(v.x, -v.z, v.y));
    minus(&block([-20.0, -15.0, -10.0], [20.0, 15.0, 10.0]), &drill).unwrap()
}

#[test]
fn a_side_hole_is_undercut_by_its_whole_wall() {
    // 32 flats 2 r sin(pi/32) wide and 30 mm long; no flat is seen from above or below.
    let wall = 32.0 * 2.0 * 5.0 * (PI / 32.0).sin() * 30.0;
    let parting = along(&drilled(), Kind::Closed, Vector3::z(), None);
    assert!(
        (parting.undercut_mm2 / wall - 1.0).abs() < 0.005,
        "{} {wall}",
        parting.undercut_mm2
    );
    assert!(parting.holds());
    let place = parting.places[0];
    assert!(place.at_mm.iter().all(|x| x.abs() < 0.2), "{place:?}");
    // Along the hole nothing is undercut, so the best opening is found there.
    let best = best_parting(&drilled(), Kind::Closed, DRAFT_DEG).unwrap();
    assert_eq!(best.opening.name(), "y");
    assert!(best.undercut_mm2 < 1e-6);
}

#[test]
fn a_side_hole_holds_a_laminate_by_the_half_that_looks_up() {
    let wall = 32.0 * 2.0 * 5.0 * (PI / 32.0).sin() * 30.0;
    let parting = along(&drilled(), Kind::LayUp, Vector3::z(), None);
    assert!(
        (parting.undercut_mm2 / (wall / 2.0) - 1.0).abs() < 0.05,
        "{} {wall}",
        parting.undercut_mm2
    );
    // The face is the top and the four sides.
    let face = 40.0 * 30.0 + 2.0 * 70.0 * 20.0 - 2.0 * polygon_area(32) * 25.0;
    assert!(
        (parting.face_mm2 / face - 1.0).abs() < 0.01,
        "{} {face}",
        parting.face_mm2
    );
}

#[test]
fn a_slot_that_widens_below_its_mouth_is_undercut_on_a_known_area() {
    // A T-slot along y in a block: mouth 6 wide and 5 deep, below it 16 wide and 4 high.
    let whole = block([-20.0, 0.0, 0.0], [20.0, 30.0, 20.0]);
    let mouth = minus(&whole, &block([-3.0, -5.0, 13.0], [3.0, 35.0, 25.0])).unwrap();
    let slot = minus(&mouth, &block([-8.0, -5.0, 11.0], [8.0, 35.0, 15.0])).unwrap();
    // Hidden from above and below: both ceilings 5 wide, the floor under them, both sides 4 high.
    let hidden = 30.0 * (2.0 * 5.0 + 2.0 * 5.0 + 2.0 * 4.0);
    let parting = along(&slot, Kind::Closed, Vector3::z(), None);
    assert!(
        (parting.undercut_mm2 / hidden - 1.0).abs() < 0.03,
        "{} {hidden}",
        parting.undercut_mm2
    );
    let best = best_parting(&slot, Kind::Closed, DRAFT_DEG).unwrap();
    assert_eq!(best.opening.name(), "y");
}

#[test]
fn faces_steeper_than_the_draft_are_the_upright_ones_of_a_block() {
    let parting = along(
        &block([0.0; 3], [40.0, 30.0, 20.0]),
        Kind::Closed,
        Vector3::z(),
        None,
    );
    assert!((parting.steep_mm2 - 2.0 * 70.0 * 20.0).abs() < 1e-6);
    assert!((parting.surface_mm2 - 5200.0).abs() < 1e-6);
}

#[test]
fn a_parting_outside_the_part_and_no_direction_are_refused_in_a_sentence() {
    let part = block([0.0; 3], [10.0, 10.0, 10.0]);
    let opening = Opening::along(Vector3::z()).unwrap();
    let error = parting_along(&part, Kind::Closed, opening, Some(11.0), 1.0).unwrap_err();
    assert!(
        error.to_string().contains("from 0.00 to 10.00 mm"),
        "{error}"
    );
    assert_eq!(
        Opening::along(Vector3::zeros()).unwrap_err(),
        MouldError::NoDirection
    );
}
