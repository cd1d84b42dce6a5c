//! Halves of solids whose parts have closed forms.

use std::f64::consts::{PI, TAU};

use beadtally::cut::{Axis, CutError, Plane, connected_pieces, split as cut};
use beadtally::mesh::{Mending, inspect_with};

use super::meshes::solids::{
    block, polygon_area, prism, regular_polygon, sphere, sphere_profile, torus, turned,
};
use super::meshes::{inside_out, inspected, moved, together};
use super::{is_closed, split, volume};

fn at(axis: Axis, at_mm: f64) -> Plane {
    Plane { axis, at_mm }
}

#[test]
fn a_box_is_cut_into_boxes_across_every_axis() {
    let part = inspected(block([-10.0, 5.0, 2.0], [30.0, 25.0, 12.0]));
    for (axis, at_mm, below) in [
        (Axis::X, 3.0, 13.0 * 20.0 * 10.0),
        (Axis::Y, 21.0, 40.0 * 16.0 * 10.0),
        (Axis::Z, 2.5, 40.0 * 20.0 * 0.5),
    ] {
        let halves = split(&part, at(axis, at_mm));
        assert!((volume(&halves.below) - below).abs() < 1e-9);
        assert_eq!(halves.folded, 0);
        // Eight corners, and where the plane crosses the facets' diagonals of four sides.
        assert_eq!(halves.below.vertices_mm.len(), 4 + 8);
    }
    let halves = split(&part, at(Axis::X, 3.0));
    assert!((halves.area_mm2 - 20.0 * 10.0).abs() < 1e-12);
}

/// The cap of a sphere of radius R, h high: `pi h^2 (3 R - h) / 3`.
#[test]
fn a_sphere_cut_off_its_middle_leaves_the_cap_of_the_formula() {
    let radius: f64 = 40.0;
    let part = inspected(sphere(radius, 400, 400));
    for z in [-25.0, 0.003, 11.0, 37.0] {
        let height = radius + z;
        let formula = PI * height * height * (3.0 * radius - height) / 3.0;
        let halves = split(&part, at(Axis::Z, z));
        // A solid of 400 flat steps lacks about 4 (pi / 400)^2 / 6 of its volume, from below.
        let got = volume(&halves.below);
        assert!(
            (got - formula).abs() < 3e-4 * formula,
            "{z}: {got} {formula}"
        );
    }
}

#[test]
fn a_cut_through_a_row_of_corners_uses_them_and_adds_none() {
    // The bands of the sphere have corners just at its equator.
    let profile = sphere_profile(30.0, 16);
    let part = inspected(turned(&profile, 24, false));
    let halves = split(&part, at(Axis::Z, 0.0));
    assert!((volume(&halves.below) - volume(&halves.above)).abs() < 1e-9);
    let below = 1 + 24 * 8;
    assert_eq!(halves.below.vertices_mm.len(), below);
    assert_eq!(halves.above.vertices_mm.len(), below);
}

/// Pappus for the volume, which a plane through the axis halves; it cuts the tube twice.
#[test]
fn a_torus_cut_through_its_hole_has_two_round_joints() {
    let (ring, tube) = (50.0, 12.0);
    let (m, n) = (64, 90);
    let part = inspected(torus(ring, tube, m, n));
    let halves = split(&part, at(Axis::X, 0.0));
    let round = tube * tube * polygon_area(m);
    assert!((halves.area_mm2 - 2.0 * round).abs() < 1e-2 * round);
    assert!(
        (volume(&halves.below) - part.mass.volume_mm3 / 2.0).abs() < 1e-9 * part.mass.volume_mm3
    );
    assert!(
        (volume(&halves.below) - PI * ring * PI * tube * tube).abs() < 5e-3 * volume(&halves.below)
    );
    // Flat through the middle of the tube it leaves two rings.
    let flat = split(&part, at(Axis::Z, 0.0));
    let ring_mm2 = ((ring + tube).powi(2) - (ring - tube).powi(2)) * polygon_area(n);
    assert!((flat.area_mm2 - ring_mm2).abs() < 1e-9 * ring_mm2);
    assert_eq!(flat.folded, 0);
}

#[test]
fn a_pipe_is_cut_across_into_rings_and_along_into_gutters() {
    let (outer, inner, length) = (20.0, 15.0, 100.0);
    let profile = [[inner, 0.0], [outer, 0.0], [outer, length], [inner, length]];
    let n = 72;
    let part = inspected(turned(&profile, n, true));
    let ring = (outer * outer - inner * inner) * polygon_area(n);
    let across = split(&part, at(Axis::Z, 30.0));
    assert!((across.area_mm2 - ring).abs() < 1e-9 * ring);
    assert!((volume(&across.below) - 30.0 * ring).abs() < 1e-9 * 30.0 * ring);
    assert_eq!(across.folded, 0);
    let along = split(&part, at(Axis::Y, 0.0));
    assert!((along.area_mm2 - 2.0 * (outer - inner) * length).abs() < 1e-9 * along.area_mm2);
    assert_eq!(connected_pieces(&along.below).len(), 1);
    let grazing = split(&part, at(Axis::Y, 17.0));
    assert_eq!(connected_pieces(&grazing.above).len(), 1);
}

#[test]
fn a_cavity_is_cut_open_and_a_cavity_aside_stays_with_its_piece() {
    let hollow = together(
        &block([0.0; 3], [100.0, 40.0, 40.0]),
        &inside_out(&block([20.0, 10.0, 10.0], [60.0, 30.0, 30.0])),
    );
    let part = inspected(hollow);
    let through = split(&part, at(Axis::X, 40.0));
    assert!((through.area_mm2 - (1600.0 - 400.0)).abs() < 1e-9);
    assert!((volume(&through.below) - (40.0 * 1600.0 - 20.0 * 400.0)).abs() < 1e-7);
    assert_eq!(through.folded, 0);
    let beside = split(&part, at(Axis::X, 80.0));
    let pieces = connected_pieces(&beside.below);
    assert_eq!(pieces.len(), 1);
    assert!((volume(&pieces[0]) - (80.0 * 1600.0 - 40.0 * 400.0)).abs() < 1e-7);
}

#[test]
fn overlapping_bodies_are_cut_each_for_itself_and_stay_one_piece() {
    let crossed = together(
        &block([0.0; 3], [60.0, 20.0, 20.0]),
        &block([20.0, -20.0, 5.0], [40.0, 40.0, 15.0]),
    );
    let part = inspect_with(crossed, Mending::AsIs).unwrap();
    let halves = split(&part, at(Axis::Z, 10.0));
    assert!((halves.area_mm2 - (1200.0 + 1200.0)).abs() < 1e-9);
    assert_eq!(connected_pieces(&halves.below).len(), 1);
    assert_eq!(connected_pieces(&halves.above).len(), 1);
    let apart = together(
        &block([0.0; 3], [10.0; 3]),
        &block([0.0, 0.0, 20.0], [10.0, 10.0, 30.0]),
    );
    assert_eq!(connected_pieces(&apart).len(), 2);
}

/// A step: the plane lies in its tread.
#[test]
fn a_cut_in_a_face_gives_the_face_to_the_solid_under_it() {
    let ring = [
        [0.0, 0.0],
        [30.0, 0.0],
        [30.0, 10.0],
        [10.0, 10.0],
        [10.0, 25.0],
        [0.0, 25.0],
    ];
    // An upright prism over the L, laid on its side so that the tread is level.
    let l = two_blocks_as_one(&ring);
    let halves = split(&l, at(Axis::Y, 10.0));
    assert!((volume(&halves.below) - 30.0 * 10.0 * 8.0).abs() < 1e-9);
    assert!((volume(&halves.above) - 10.0 * 15.0 * 8.0).abs() < 1e-9);
    assert!((halves.area_mm2 - 10.0 * 8.0).abs() < 1e-9);
    assert!(is_closed(&halves.above));
    // In the outer faces there is nothing to cut.
    for at_mm in [0.0, 25.0, -3.0, 26.0] {
        let halves = split(&l, at(Axis::Y, at_mm));
        assert!(halves.below.triangles.is_empty() != halves.above.triangles.is_empty());
        assert_eq!(halves.area_mm2, 0.0);
    }
}

fn two_blocks_as_one(ring: &[[f64; 2]]) -> beadtally::mesh::InspectedMesh {
    inspected(beadtally::bench::prism(ring, 8.0))
}

#[test]
fn bodies_that_touch_in_an_edge_come_out_closed() {
    let pair = together(
        &block([0.0; 3], [10.0; 3]),
        &block([10.0, 10.0, 0.0], [20.0, 20.0, 10.0]),
    );
    // The two share an edge; welded, that edge has four facets.
    let welded = weld(&pair);
    let part = inspect_with(welded, Mending::AsIs).unwrap();
    let halves = split(&part, at(Axis::Z, 4.0));
    assert!((halves.area_mm2 - 200.0).abs() < 1e-9);
    assert_eq!(halves.folded, 0);
    let through = split(&part, at(Axis::X, 10.0));
    assert!((volume(&through.below) - 1000.0).abs() < 1e-9);
}

fn weld(mesh: &beadtally::mesh::Mesh) -> beadtally::mesh::Mesh {
    let mut vertices_mm: Vec<nalgebra::Point3<f64>> = Vec::new();
    let mut number = |p: nalgebra::Point3<f64>| {
        if let Some(known) = vertices_mm.iter().position(|v| *v == p) {
            return known as u32;
        }
        vertices_mm.push(p);
        vertices_mm.len() as u32 - 1
    };
    let triangles = mesh
        .triangles
        .iter()
        .map(|t| t.map(|v| number(mesh.vertices_mm[v as usize])))
        .collect();
    beadtally::mesh::Mesh {
        vertices_mm,
        triangles,
    }
}

#[test]
fn a_plate_with_many_holes_is_cut_through_all_of_them() {
    // 25 square holes; the section is what is left of the plate.
    let mut plate = inside_out(&block([2.0, 2.0, -1.0], [3.0, 3.0, 2.0]));
    plate = {
        let mut all = None;
        for i in 0..5 {
            for j in 0..5 {
                let hole = moved(&plate, [f64::from(i) * 5.0, f64::from(j) * 5.0, 0.0]);
                all = Some(match all {
                    None => hole,
                    Some(others) => together(&others, &hole),
                });
            }
        }
        all.unwrap()
    };
    // Shafts wholly inside a thicker block: cavities, 25 of them in one plane.
    let part = inspect_with(
        together(&block([0.0, 0.0, -5.0], [30.0, 30.0, 6.0]), &plate),
        Mending::AsIs,
    )
    .unwrap();
    let halves = split(&part, at(Axis::Z, 0.5));
    assert!((halves.area_mm2 - (900.0 - 25.0)).abs() < 1e-9);
    assert_eq!(halves.folded, 0);
    let edge_on = split(&part, at(Axis::X, 2.5));
    assert!((edge_on.area_mm2 - (30.0 * 11.0 - 5.0 * 3.0)).abs() < 1e-9);
}

#[test]
fn a_cut_far_from_the_origin_is_the_same_cut() {
    let near = sphere(10.0, 24, 24);
    let far = inspected(moved(&near, [1e6, -1e6, 5e5]));
    let halves = cut(&far, at(Axis::X, 1e6 + 3.0)).unwrap();
    let here = split(&inspected(near), at(Axis::X, 3.0));
    assert!((volume(&halves.above) - volume(&here.above)).abs() < 1e-5);
    assert!(is_closed(&halves.above) && is_closed(&halves.below));
}

#[test]
fn an_open_mesh_and_a_place_that_is_none_are_refused_in_one_sentence() {
    let mut open = block([0.0; 3], [10.0; 3]);
    open.triangles.pop();
    let part = inspect_with(open, Mending::AsIs).unwrap();
    let refused = cut(&part, at(Axis::X, 5.0)).unwrap_err();
    assert_eq!(refused, CutError::NotClosed);
    assert!(!refused.to_string().contains('\n'));
    let whole = inspected(prism(&regular_polygon(10.0, 7), 0.0, 10.0));
    for nowhere in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        assert!(matches!(
            cut(&whole, at(Axis::Z, nowhere)),
            Err(CutError::NoPlace { .. })
        ));
    }
}

/// Pappus once more, in a plane that touches the torus from above in a ring of edges.
#[test]
fn a_plane_that_only_touches_cuts_nothing() {
    let part = inspected(torus(50.0, 12.0, 64, 90));
    let halves = split(&part, at(Axis::Z, 12.0));
    assert!(halves.above.triangles.is_empty());
    let volume_of_all = TAU * 50.0 * 12.0 * 12.0 * PI;
    assert!((volume(&halves.below) - volume_of_all).abs() < 5e-3 * volume_of_all);
}
