//! Other people's meshes on the demonstration beds and odd ones, against plain placing at fine steps of the turn.
//!
//! The meshes lie in `../shared/meshes`, which a stranger's clone does not have: the test then says so and passes. Every mesh of at
//! most 30 000 corners is taken, in three axis-down poses (the others are mirror images), 48 turns, scaled to 300 mm so that
//! beds are near to being too small.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod plain_search;

use std::fs;
use std::path::Path;

use beadtally::mesh::{Mending, Mesh, Source, UNPACKED_LIMIT_BYTES, Unit, inspect_part, open};
use beadtally::pose::{Bed, BuildSpace, Down, Footprints, Pose, place};
use beadtally::shop::{DEMONSTRATION_TOML, read_shop};
use plain_search::Search;
use plain_search::meshes::shared;
use rayon::prelude::*;

const STEP_DEG: f64 = 7.5;

fn corpus() -> Option<Vec<Mesh>> {
    let listing = fs::read_dir(shared()?).ok()?;
    let mut paths: Vec<_> = listing.flatten().map(|entry| entry.path()).collect();
    paths.sort();
    Some(paths.par_iter().filter_map(|path| read(path)).collect())
}

/// The first part of a file, about 300 mm long.
fn read(path: &Path) -> Option<Mesh> {
    let opened = open(fs::read(path).ok()?, UNPACKED_LIMIT_BYTES).ok()?;
    let drawing = opened.into_iter().next()?.drawing.ok()?;
    let part = drawing.parts.into_iter().next()?;
    let source = Source {
        format: drawing.format,
        unit: Unit::Millimetre,
        unit_stated: true,
        copies: 1,
    };
    let mut mesh = inspect_part(part, source, Mending::Safe).ok()?.mesh;
    let longest = mesh.size_mm().amax();
    let small = mesh.vertices_mm.len() <= 30_000 && longest > 0.0;
    mesh.vertices_mm
        .iter_mut()
        .for_each(|v| *v *= 300.0 / longest);
    small.then_some(mesh)
}

/// Whether a placed part surely fits a bed at its turn, surely does not, or neither can be told plainly.
fn plainly(points: &[[f64; 2]], space: &BuildSpace) -> Option<bool> {
    let extent = |axis: usize| {
        let along = points.iter().map(|p| p[axis]);
        along.clone().fold(f64::NEG_INFINITY, f64::max) - along.fold(f64::INFINITY, f64::min)
    };
    let (width, depth) = (extent(0), extent(1));
    let margin = space.edge_margin_mm;
    match &space.bed {
        Bed::Rectangle { x_mm, y_mm } => {
            let (x, y) = (x_mm - 2.0 * margin, y_mm - 2.0 * margin);
            // The only keep-out is a corner at the back right: a box in front of it or left of it is clear of it.
            let corner = space.keep_out_mm.first().map(|ring| ring[0]);
            let clear = corner
                .is_none_or(|[cx, cy]| width <= cx - margin - 1e-6 || depth <= cy - margin - 1e-6);
            let slack = (x - width).min(y - depth);
            if slack < -1e-6 {
                Some(false)
            } else {
                (slack > 1e-6 && clear).then_some(true)
            }
        }
        Bed::Polygon { corners_mm } => {
            let room = Search::of_convex(points, points, corners_mm, space).room_at(0.0);
            (room.abs() > 1e-6).then_some(room > 0.0)
        }
        // The smallest circle has tests of its own.
        Bed::Circle { .. } => None,
    }
}

#[test]
fn every_mesh_on_every_bed_agrees_with_plain_placing() {
    let Some(meshes) = corpus() else { return };
    assert!(meshes.len() > 60, "{}", meshes.len());
    let shop = read_shop(DEMONSTRATION_TOML, "shop.toml").unwrap();
    let mut spaces: Vec<BuildSpace> = shop.machines.iter().map(|m| m.space.clone()).collect();
    let hexagon = [
        [0.0, 90.0],
        [60.0, 0.0],
        [290.0, 10.0],
        [330.0, 160.0],
        [200.0, 280.0],
        [40.0, 260.0],
    ];
    let corners_mm = hexagon.to_vec();
    spaces.push(BuildSpace::new(Bed::Polygon { corners_mm }, 320.0).with_margin(2.0));
    let told: Vec<[usize; 2]> = meshes
        .par_iter()
        .map(|mesh| {
            let footprints = Footprints::of(mesh);
            let mut told = [0, 0];
            for down in [Down::ZMinus, Down::XPlus, Down::YMinus] {
                let fits: Vec<_> = spaces
                    .iter()
                    .map(|space| footprints.pose_fit(down, space).ok())
                    .collect();
                for step in 0..48 {
                    let turn_deg = STEP_DEG * f64::from(step);
                    let placed = place(mesh, &Pose::new(down, turn_deg));
                    let points: Vec<_> = placed.vertices_mm.iter().map(|v| [v.x, v.y]).collect();
                    for (space, fit) in spaces.iter().zip(&fits) {
                        let tall = placed.box_mm().1.z > space.height_mm;
                        let Some(plain) = plainly(&points, space) else {
                            continue;
                        };
                        let within = |turns: &[(f64, f64)]| {
                            let mut turns = turns.iter();
                            turns.any(|(from, to)| from - 1e-7 <= turn_deg && turn_deg <= to + 1e-7)
                        };
                        let ours = fit.as_ref().is_some_and(|pose| within(&pose.turns_deg));
                        assert_eq!(ours, plain && !tall, "{down} {turn_deg} {space:?} {fit:?}");
                        told[usize::from(plain)] += 1;
                    }
                }
            }
            told
        })
        .collect();
    let all = told
        .iter()
        .fold([0, 0], |all, one| [all[0] + one[0], all[1] + one[1]]);
    assert!(all[0] > 1000 && all[1] > 1000, "{all:?}");
}
