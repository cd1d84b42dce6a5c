use beadtally::mesh::Mesh;
use beadtally::pose::{Footprints, Rest, TiltOutcome, first_contact, resting_poses};
use nalgebra::{Point3, Vector3};

use super::{points, room, round, searched};

fn hostile() -> Vec<(&'static str, Mesh)> {
    let grid = |f: &dyn Fn(f64, f64) -> Point3<f64>| {
        points(
            (0..900)
                .map(|i| f(f64::from(i % 30), f64::from(i / 30)))
                .collect(),
        )
    };
    vec![
        ("empty", points(Vec::new())),
        ("a point", points(vec![Point3::new(1.0, 2.0, 3.0)])),
        (
            "a point many times",
            points(vec![Point3::new(1.0, 2.0, 3.0); 1000]),
        ),
        (
            "a line",
            points(
                (0..700)
                    .map(|i| Point3::new(f64::from(i) * 0.1, f64::from(i) * 0.2, 0.0))
                    .collect(),
            ),
        ),
        ("level plane", grid(&|x, y| Point3::new(x, y, 5.0))),
        (
            "slanting plane",
            grid(&|x, y| Point3::new(x, y, 0.3 * x - 0.7 * y)),
        ),
        (
            "nearly a plane",
            grid(&|x, y| Point3::new(x, y, 1e-13 * (x * y).sin())),
        ),
        (
            "thin as a film",
            grid(&|x, y| Point3::new(x, y, 1e-7 * (x * y).sin())),
        ),
        (
            "tiny",
            grid(&|x, y| Point3::new(1e-200 * x, 1e-200 * y, 1e-200 * x * y)),
        ),
        (
            "huge",
            grid(&|x, y| Point3::new(1e120 * x, 1e120 * y, 1e120 * x * y)),
        ),
        (
            "far away",
            grid(&|x, y| Point3::new(1e9 + x, 1e9 + y, 1e9 + x * y)),
        ),
    ]
}

#[test]
fn parts_without_thickness_and_of_absurd_sizes_get_an_answer() {
    for (what, mesh) in hostile() {
        let footprints = Footprints::of(&mesh);
        let rests = resting_poses(&footprints);
        assert!(
            rests
                .poses
                .iter()
                .all(|pose| pose.to_edge_mm > 0.0 && pose.height_mm >= 0.0),
            "{what}"
        );
        for space in [
            room(20.0, 30.0, 10.0),
            round(25.0, 5.0),
            room(-1.0, 5.0, 5.0),
            room(f64::NAN, 5.0, 5.0),
        ] {
            let answer = searched(&mesh, &space);
            assert_eq!(
                answer.found.is_empty(),
                answer.outcome != TiltOutcome::Fits,
                "{what}"
            );
            assert!(!answer.in_words().is_empty());
        }
        let contact = first_contact(&footprints, Rest::on(Vector3::new(1.0, 2.0, 3.0)).unwrap());
        assert!(
            contact.stand_mm2 >= 0.0 && contact.facets_mm2 >= 0.0,
            "{what} {contact:?}"
        );
    }
}

#[test]
fn a_point_and_a_short_line_fit_and_a_long_line_is_told_to_be_too_long() {
    assert_eq!(
        searched(
            &points(vec![Point3::new(1.0, 2.0, 3.0)]),
            &room(1.0, 1.0, 1.0)
        )
        .outcome,
        TiltOutcome::Fits
    );
    let line = |length: f64| points(vec![Point3::origin(), Point3::new(0.0, 0.0, length)]);
    assert_eq!(
        searched(&line(17.0), &room(10.0, 10.0, 10.0)).outcome,
        TiltOutcome::Fits
    );
    assert_eq!(
        searched(&line(17.5), &room(10.0, 10.0, 10.0)).in_words(),
        "no pose of this part fits: it is 17.5 mm long and the space is 17.3 mm from corner to corner"
    );
}

#[test]
fn a_machine_without_room_holds_nothing() {
    for space in [room(0.0, 5.0, 5.0), room(-3.0, 5.0, 5.0), round(5.0, 0.0)] {
        assert_eq!(
            searched(&super::block([1.0, 1.0, 1.0]), &space).in_words(),
            "no pose of this part fits: the machine has no room within its margins"
        );
    }
}
