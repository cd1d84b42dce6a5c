//! Poses side by side, and the pose chosen for a direction that is loaded.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod meshes;

use beadtally::estimate::{Ask, Estimate, PoseFigures, PoseTable, estimate, pose_table};
use beadtally::mesh::InspectedMesh;
use beadtally::pose::{Down, Rest};
use beadtally::shop::{Shop, demonstration as shop};
use meshes::{DEMONSTRATION, demonstration, inspected, solids};
use nalgebra::Vector3;

fn block(x: f64, y: f64, z: f64) -> InspectedMesh {
    inspected(solids::block([0.0; 3], [x, y, z]))
}

fn table(part: &InspectedMesh, shop: &Shop, ask: &Ask) -> (Estimate, PoseTable) {
    let answer = estimate(part, shop, ask).unwrap();
    let (option, made) = answer.picked().unwrap();
    let table = pose_table(part, shop, ask, option, made).unwrap();
    (answer, table)
}

fn of(table: &PoseTable, down: Down) -> &PoseFigures {
    table
        .poses
        .iter()
        .find(|pose| pose.fit.down == Rest::Axis(down))
        .unwrap()
}

#[test]
fn every_pose_is_told_as_an_estimate_in_that_pose_tells_it() {
    let (part, shop) = (demonstration("pump_mount.stl"), shop());
    let (answer, table) = table(&part, &shop, &Ask::default());
    let (picked, _) = answer.picked().unwrap();
    assert!(table.poses.len() >= 4);
    for pose in &table.poses {
        let ask = Ask {
            down: Some(pose.fit.down),
            machine: Some(picked.machine.clone()),
            nozzle: Some(picked.nozzle.clone()),
            ..Ask::default()
        };
        let alone = estimate(&part, &shop, &ask).unwrap();
        let made = alone.options[0].made().unwrap();
        assert_eq!(pose.hours, made.seconds.hours(), "{}", pose.fit.down);
        assert_eq!(pose.unit_price, made.ledger.unit_price);
        assert_eq!(pose.support_g, made.support_g);
        assert_eq!(pose.fit, made.pose);
    }
}

#[test]
fn the_pose_in_use_stands_first_and_the_others_follow_by_price() {
    let (answer, table) = table(&demonstration("cleat_block.stl"), &shop(), &Ask::default());
    assert_eq!(table.poses[0].fit.down, answer.down);
    let prices: Vec<_> = table.poses[1..]
        .iter()
        .map(|pose| pose.unit_price)
        .collect();
    assert!(prices.is_sorted(), "{prices:?}");
}

#[test]
fn a_direction_named_as_loaded_lies_in_the_layers_of_the_pose_chosen() {
    for file in DEMONSTRATION
        .into_iter()
        .filter(|file| *file != "cowl_vent.stl")
    {
        for axis in [Vector3::x(), Vector3::y(), Vector3::z()] {
            let ask = Ask {
                loaded_along: Some(axis),
                machine: Some("slow".to_owned()),
                nozzle: Some("0.6-hardened".to_owned()),
                layer_height_mm: Some(0.45),
                ..Ask::default()
            };
            let answer = estimate(&demonstration(file), &shop(), &ask).unwrap();
            assert!(
                answer.down.direction().dot(&axis).abs() < 1e-12,
                "{file} {axis}"
            );
            assert!(
                answer.down_why.ends_with("its layers along the load"),
                "{}",
                answer.down_why
            );
        }
    }
}

#[test]
fn beads_of_a_bar_of_perimeters_alone_run_along_it_and_raster_crosses_at_45_degrees() {
    // A bar two and a half beads wide holds nothing but perimeters and strips: all but its ends runs lengthwise.
    let ask = |along| Ask {
        loaded_along: Some(along),
        down: Some(Rest::Axis(Down::ZMinus)),
        ..Ask::default()
    };
    let off = |part: &InspectedMesh, along: Vector3<f64>| {
        let (_, table) = table(part, &shop(), &ask(along));
        table.poses[0].loaded.unwrap()
    };
    let bar = block(150.0, 1.8, 6.0);
    let along = off(&bar, Vector3::x());
    assert!(
        along.off_beads_deg < 3.0 && along.off_layers_deg == 0.0,
        "{along:?}"
    );
    assert!(off(&bar, Vector3::y()).off_beads_deg > 87.0);
    // Straight up, every bead lies square to it and so do the layers.
    let up = off(&bar, Vector3::z());
    assert!((up.off_beads_deg - 90.0).abs() < 1e-9 && (up.off_layers_deg - 90.0).abs() < 1e-9);
    // A wide plate is raster at 45 degrees either way, but for its walls, which run along and across in equal shares.
    let plate = off(&block(120.0, 120.0, 3.0), Vector3::x());
    assert!((plate.off_beads_deg - 45.0).abs() < 0.5, "{plate:?}");
}

#[test]
fn a_post_is_as_many_times_as_tall_as_its_foot_is_wide() {
    let (_, table) = table(&block(20.0, 30.0, 90.0), &shop(), &Ask::default());
    for (down, ratio, foot_mm2) in [
        (Down::ZMinus, 4.5, 600.0),
        (Down::XMinus, 20.0 / 30.0, 2700.0),
        (Down::YPlus, 1.5, 1800.0),
    ] {
        if let Some(pose) = table
            .poses
            .iter()
            .find(|pose| pose.fit.down == Rest::Axis(down))
        {
            assert!(
                (pose.height_to_foot - ratio).abs() < 1e-3,
                "{down}: {}",
                pose.height_to_foot
            );
            assert!(
                (pose.foot_mm2 - foot_mm2).abs() < 1e-3,
                "{down}: {}",
                pose.foot_mm2
            );
        }
    }
    assert!((of(&table, Down::ZMinus).height_to_foot - 4.5).abs() < 1e-3);
}

#[test]
fn the_face_named_is_told_in_every_pose() {
    let ask = Ask {
        face: Some(Vector3::z()),
        ..Ask::default()
    };
    let (_, table) = table(&demonstration("rudder_cheek.stl"), &shop(), &ask);
    assert!(table.poses.iter().all(|pose| pose.face.is_some()));
    let area = table.poses[0].face.unwrap().area_mm2;
    assert!(
        table
            .poses
            .iter()
            .all(|pose| (pose.face.unwrap().area_mm2 - area).abs() < 1e-9 * area)
    );
}
