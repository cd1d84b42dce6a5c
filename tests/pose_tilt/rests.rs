use beadtally::mesh::Mesh;
use beadtally::pose::{Down, Footprints, Rest, first_contact, resting_poses};
use nalgebra::Point3;

use super::block;

/// Closed forms of the box (textbook).
#[test]
fn a_box_stands_on_its_six_faces_the_largest_first() {
    let mesh = block([30.0, 20.0, 10.0]);
    let found = resting_poses(&Footprints::of(&mesh));
    assert_eq!(
        (found.poses.len(), found.left_out, found.by_volume),
        (6, 0, true)
    );
    let expected = [
        (Down::ZMinus, 600.0, 10.0, 10.0),
        (Down::ZPlus, 600.0, 10.0, 10.0),
        (Down::YMinus, 300.0, 20.0, 5.0),
        (Down::YPlus, 300.0, 20.0, 5.0),
        (Down::XMinus, 200.0, 30.0, 5.0),
        (Down::XPlus, 200.0, 30.0, 5.0),
    ];
    for (pose, (down, area, height, edge)) in found.poses.iter().zip(expected) {
        assert_eq!(pose.rest, Rest::Axis(down));
        assert!((pose.contact_mm2 - area).abs() < 1e-9);
        assert!((pose.height_mm - height).abs() < 1e-12);
        assert!((pose.centroid_height_mm - height / 2.0).abs() < 1e-12);
        assert!((pose.to_edge_mm - edge).abs() < 1e-12);
        assert!((pose.tipping_deg - (edge / (height / 2.0)).atan().to_degrees()).abs() < 1e-9);
        assert!((pose.height_to_footprint.unwrap() - height / (2.0 * edge)).abs() < 1e-9);
    }
}

/// A prism whose section is a parallelogram leans: its centroid is over the middle of the slant. DERIVED: the base reaches
/// from 0 to b and the centroid is over (b + s)/2, so it stands while the shift s is less than b.
#[test]
fn a_leaning_prism_stands_on_its_base_until_its_centroid_passes_the_edge() {
    for (shift, stands) in [
        (0.0, true),
        (9.0, true),
        (9.99, true),
        (10.01, false),
        (30.0, false),
    ] {
        let mut mesh = block([10.0, 10.0, 40.0]);
        mesh.vertices_mm
            .iter_mut()
            .filter(|v| v.z > 1.0)
            .for_each(|v| v.x += shift);
        let found = resting_poses(&Footprints::of(&mesh));
        let base = found
            .poses
            .iter()
            .find(|pose| pose.rest == Rest::Axis(Down::ZMinus));
        assert_eq!(base.is_some(), stands, "{shift}");
        if let Some(pose) = base {
            assert!((pose.to_edge_mm - (5.0 - shift / 2.0).min(5.0)).abs() < 1e-9);
        }
    }
}

#[test]
fn a_table_stands_between_its_legs_and_touches_with_them_only() {
    let mut table = Mesh {
        vertices_mm: Vec::new(),
        triangles: Vec::new(),
    };
    let mut add = |low: [f64; 3], size: [f64; 3]| {
        let part = block(size);
        let first = table.vertices_mm.len() as u32;
        table.vertices_mm.extend(
            part.vertices_mm
                .iter()
                .map(|v| v + nalgebra::Vector3::from(low)),
        );
        table
            .triangles
            .extend(part.triangles.iter().map(|t| t.map(|v| v + first)));
    };
    add([0.0, 0.0, 40.0], [60.0, 40.0, 4.0]);
    for (x, y) in [(0.0, 0.0), (56.0, 0.0), (0.0, 36.0), (56.0, 36.0)] {
        add([x, y, 0.0], [4.0, 4.0, 40.0]);
    }
    let footprints = Footprints::of(&table);
    let contact = first_contact(&footprints, Down::ZMinus);
    assert!((contact.facets_mm2 - 64.0).abs() < 1e-6);
    assert!((contact.stand_mm2 - 2400.0).abs() < 1e-9);
    assert!((contact.stand_width_mm - 40.0).abs() < 1e-9);
    assert!((contact.height_to_footprint.unwrap() - 1.1).abs() < 1e-9);
    let on_edge = first_contact(
        &footprints,
        Rest::on(nalgebra::Vector3::new(1.0, 0.0, -1.0)).unwrap(),
    );
    assert_eq!(
        (on_edge.facets_mm2, on_edge.height_to_footprint),
        (0.0, None)
    );
}

#[test]
fn an_open_sheet_stands_by_the_centroid_of_its_surface() {
    let mut mesh = block([30.0, 20.0, 10.0]);
    let side = |corner: u32| mesh.vertices_mm[corner as usize].x == 30.0;
    mesh.triangles
        .retain(|corners| !corners.iter().all(|corner| side(*corner)));
    assert_eq!(mesh.triangles.len(), 10);
    let found = resting_poses(&Footprints::of(&mesh));
    assert!(!found.by_volume);
    // Five faces of the box by hand: areas 600, 600, 300, 300, 200 with +x missing.
    let x = (1200.0 * 15.0 + 600.0 * 15.0) / 2000.0;
    assert!((found.centroid_mm - Point3::new(x, 10.0, 5.0)).norm() < 1e-9);
}

#[test]
fn a_finely_divided_ball_gives_no_more_poses_than_stated() {
    let mesh = super::meshes::solids::sphere(50.0, 40, 80);
    let found = resting_poses(&Footprints::of(&mesh));
    assert!(found.poses.len() <= beadtally::pose::MOST_RESTING_POSES);
    for pose in &found.poses {
        assert!((pose.centroid_height_mm - 50.0).abs() < 0.5);
    }
}
