//! The halves of moulds as solids: volumes, closed surfaces, the second way by layers.

use std::f64::consts::PI;

use beadtally::mesh::{InspectedMesh, Mesh, inspect};
use beadtally::mould::{
    Kind, MouldAsk, MouldError, Opening, Parting, Shape, block_minus_part, closed_mould,
    lay_up_tool, parting_along, shell_around,
};
use beadtally::section::Layers;
use nalgebra::{Point3, Vector3};

use crate::meshes::solids::{block, sphere};
use crate::meshes::{DEMONSTRATION, demonstration, inspected};

const BARE: MouldAsk = MouldAsk {
    wall_mm: 8.0,
    flange_mm: 0.0,
    shape: Shape::Block,
    keys: false,
    pouring: false,
};

fn parted(part: &InspectedMesh, kind: Kind) -> Parting {
    parting_along(
        &part.mesh,
        kind,
        Opening::along(Vector3::z()).unwrap(),
        None,
        1.0,
    )
    .unwrap()
}

/// The volume of the box around a part grown by a wall.
fn box_mm3(part: &Mesh, wall_mm: f64) -> f64 {
    let size = part.size_mm();
    (0..3).map(|i| size[i] + 2.0 * wall_mm).product()
}

#[test]
fn the_halves_of_a_block_have_its_volume_less_the_parts() {
    let ball = inspected(sphere(20.0, 32, 48));
    let parts = DEMONSTRATION
        .iter()
        .map(|file| demonstration(file))
        .chain([ball]);
    for part in parts {
        let mould = closed_mould(&part, &parted(&part, Kind::Closed), &BARE).unwrap();
        let halves: f64 = mould.halves.iter().map(|half| half.volume_mm3).sum();
        let expected = box_mm3(&part.mesh, 8.0) - part.mass.volume_mm3;
        assert_eq!(mould.left_out, 0);
        assert!(
            (halves / expected - 1.0).abs() < 1e-6,
            "{halves} {expected}"
        );
        for half in &mould.halves {
            assert!(inspect(half.mesh.clone()).unwrap().watertight);
        }
    }
}

#[test]
fn the_parts_section_out_of_the_blocks_adds_up_to_the_same_volume() {
    for part in [
        demonstration("cleat_block.stl"),
        inspected(sphere(20.0, 32, 48)),
    ] {
        let (low, high) = part.mesh.box_mm();
        let (low, high) = (low.map(|x| x - 8.0), high.map(|x| x + 8.0));
        let layers = Layers::of(high.z - low.z, 0.1, 0.1);
        let sections = block_minus_part(&part.mesh, low.into(), high.into(), &layers);
        let by_layers: f64 = sections.iter().map(|s| 0.1 * s.area_mm2()).sum();
        let expected = box_mm3(&part.mesh, 8.0) - part.mass.volume_mm3;
        assert!(
            (by_layers / expected - 1.0).abs() < 0.003,
            "{by_layers} {expected}"
        );
    }
}

#[test]
fn pins_and_sockets_differ_by_their_gap_and_the_pouring_opening_takes_away() {
    let part = inspected(block([0.0; 3], [40.0, 30.0, 20.0]));
    let mut parting = parted(&part, Kind::Closed);
    parting.height_mm = 10.0;
    let bare = closed_mould(&part, &parting, &BARE).unwrap();
    let keyed = closed_mould(
        &part,
        &parting,
        &MouldAsk {
            keys: true,
            pouring: true,
            ..BARE
        },
    )
    .unwrap();
    let by_name = |mould: &beadtally::mould::Mould, name: &str| {
        mould
            .halves
            .iter()
            .find(|half| half.name == name)
            .unwrap()
            .volume_mm3
    };
    assert!((by_name(&bare, "lower") - by_name(&bare, "upper")).abs() < 1e-6);
    // A pin is a truncated cone: pi h (R2 + R r + r2) / 3, here above the parting; 32 sides take off 0.6 %.
    let (radius, height): (f64, f64) = ((0.28 * 8.0_f64).min(3.2), 3.2);
    let whole = height + 2.0;
    let at_parting = radius * (1.0 - 0.3 * 2.0 / whole);
    let tip = 0.7 * radius;
    let pin = PI * height * (at_parting.powi(2) + at_parting * tip + tip.powi(2)) / 3.0;
    let pins = by_name(&keyed, "lower") - by_name(&bare, "lower");
    assert!((pins / (3.0 * pin) - 1.0).abs() < 0.02, "{pins} {pin}");
    let taken = by_name(&bare, "upper") - by_name(&keyed, "upper");
    assert!(taken > pins + PI * 9.0 * 8.0, "{taken}");
    assert!(
        keyed
            .halves
            .iter()
            .all(|half| inspect(half.mesh.clone()).unwrap().watertight)
    );
}

/// The volume within a wall of a box part, by counting points of a grid: the distance to a box is a closed form.
fn voxels_around_box(size: [f64; 3], wall: f64, step: f64) -> f64 {
    let counts = size.map(|s| ((s + 2.0 * wall) / step).round() as usize);
    let mut within = 0_u64;
    for i in 0..counts[0] {
        for j in 0..counts[1] {
            for k in 0..counts[2] {
                let out = |axis: usize| {
                    let x = ([i, j, k][axis] as f64 + 0.5) * step - wall;
                    (x - size[axis]).max(-x).max(0.0)
                };
                if (0..3).map(|axis| out(axis).powi(2)).sum::<f64>() <= wall * wall {
                    within += 1;
                }
            }
        }
    }
    within as f64 * step.powi(3)
}

#[test]
fn a_shell_encloses_what_a_count_of_voxels_finds_within_two_percent() {
    let size = [40.0, 30.0, 20.0];
    let shell = inspect(shell_around(&block([0.0; 3], size), 6.0).unwrap()).unwrap();
    let voxels = voxels_around_box(size, 6.0, 0.4);
    assert!(shell.watertight && shell.topology.bodies == 1);
    assert!(
        (shell.mass.volume_mm3 / voxels - 1.0).abs() < 0.02,
        "{} {voxels}",
        shell.mass.volume_mm3
    );
    let around = inspect(shell_around(&sphere(20.0, 48, 64), 6.0).unwrap()).unwrap();
    let ball = 4.0 / 3.0 * PI * 26.0_f64.powi(3);
    assert!(
        (around.mass.volume_mm3 / ball - 1.0).abs() < 0.02,
        "{} {ball}",
        around.mass.volume_mm3
    );
}

#[test]
fn a_shell_mould_is_closed_and_needs_less_than_a_block() {
    for part in [
        demonstration("cleat_block.stl"),
        inspected(sphere(20.0, 32, 48)),
    ] {
        let parting = parted(&part, Kind::Closed);
        let ask = MouldAsk {
            shape: Shape::Shell,
            flange_mm: 12.0,
            keys: true,
            pouring: true,
            ..BARE
        };
        let shell = closed_mould(&part, &parting, &ask).unwrap();
        assert!(
            shell
                .halves
                .iter()
                .all(|half| inspect(half.mesh.clone()).unwrap().watertight)
        );
        let flanged = closed_mould(
            &part,
            &parting,
            &MouldAsk {
                shape: Shape::Block,
                ..ask
            },
        )
        .unwrap();
        let sum = |mould: &beadtally::mould::Mould| {
            mould.halves.iter().map(|h| h.volume_mm3).sum::<f64>()
        };
        assert!(sum(&shell) < sum(&flanged));
    }
}

#[test]
fn a_tool_over_a_tray_leaves_out_what_would_lie_in_the_trays_hollow() {
    // A tray open downward: 60 x 40 x 15 with walls and floor of 3 mm.
    let tray = beadtally::mould::minus(
        &block([0.0; 3], [60.0, 40.0, 15.0]),
        &block([3.0, 3.0, -5.0], [57.0, 37.0, 12.0]),
    );
    let tray = inspected(tray.unwrap());
    let parting = parted(&tray, Kind::LayUp);
    assert!(
        parting.height_mm.abs() < 1e-9 && !parting.holds(),
        "{parting:?}"
    );
    let tool = lay_up_tool(
        &tray,
        &parting,
        &MouldAsk {
            flange_mm: 20.0,
            ..BARE
        },
    )
    .unwrap();
    assert_eq!(tool.left_out, 1);
    // Box over the whole tray, its flange 8 mm thick, less the tray with its hollow filled.
    let over = (76.0 * 56.0) * 23.0 - 60.0 * 40.0 * 15.0;
    let flange = (116.0 * 96.0 - 76.0 * 56.0) * 8.0;
    let volume = tool.halves[0].volume_mm3;
    assert!(
        (volume / (over + flange) - 1.0).abs() < 1e-9,
        "{volume} {}",
        over + flange
    );
}

#[test]
fn an_open_mesh_and_a_wall_of_nothing_are_refused_in_a_sentence() {
    let part = inspected(block([0.0; 3], [40.0, 30.0, 20.0]));
    let parting = parted(&part, Kind::Closed);
    let thin = closed_mould(
        &part,
        &parting,
        &MouldAsk {
            wall_mm: 0.0,
            ..BARE
        },
    )
    .unwrap_err();
    assert!(thin.to_string().contains("2 to 200 mm"), "{thin}");
    let mut open = part.clone();
    open.mesh.triangles.pop();
    open.watertight = false;
    assert_eq!(
        closed_mould(&open, &parting, &BARE).unwrap_err(),
        MouldError::NotClosed
    );
}

#[test]
fn a_turned_opening_brings_points_back_to_the_part() {
    let opening = Opening::along(Vector3::new(1.0, 2.0, 2.0)).unwrap();
    let part = block([0.0; 3], [4.0, 5.0, 6.0]);
    let framed = opening.in_frame(&part);
    for (there, here) in framed.vertices_mm.iter().zip(&part.vertices_mm) {
        assert!((opening.in_part(there) - here).norm() < 1e-12);
    }
    let up = opening.in_frame(&Mesh {
        vertices_mm: vec![Point3::from(opening.direction())],
        triangles: vec![],
    });
    assert!((up.vertices_mm[0] - Point3::new(0.0, 0.0, 1.0)).norm() < 1e-12);
}
