//! Where parts are cut.

use beadtally::cut::{Axis, CutError, plan};
use beadtally::mesh::InspectedMesh;
use beadtally::pose::{BuildSpace, Down, Footprints};

use super::meshes::solids::{block, regular_polygon, turned};
use super::meshes::{DEMONSTRATION, demonstration, inspected, scaled, together};
use super::{is_closed, volume};

/// A build space without edge margin.
pub fn space(x_mm: f64, y_mm: f64, height_mm: f64) -> BuildSpace {
    BuildSpace::rectangle(x_mm, y_mm, height_mm).with_margin(0.0)
}

/// Plans and holds the pieces to what is promised: closed, fitting, nothing lost.
pub fn planned(part: &InspectedMesh, space: &BuildSpace, name: &str) -> beadtally::cut::CutPlan {
    let plan = plan(part, space).unwrap_or_else(|error| panic!("{name}: {error}"));
    let mut sum = 0.0;
    for piece in &plan.pieces {
        let mesh = &piece.part.mesh;
        assert!(is_closed(mesh), "{name}");
        let fits = |down: &Down| Footprints::of(mesh).fits(*down, space);
        assert!(Down::ALL.iter().any(fits), "{name}");
        assert!((piece.volume_mm3 - volume(mesh)).abs() <= 1e-9 * volume(mesh).abs());
        sum += piece.volume_mm3;
    }
    let whole = part.mass.volume_mm3;
    assert!(
        (sum - whole).abs() <= 1e-6 * whole,
        "{name}: {sum} of {whole}"
    );
    plan
}

#[test]
fn a_part_that_fits_is_not_cut() {
    let part = inspected(block([0.0; 3], [90.0, 40.0, 20.0]));
    let plan = planned(&part, &space(100.0, 100.0, 100.0), "box");
    assert_eq!((plan.cuts.len(), plan.pieces.len()), (0, 1));
}

#[test]
fn a_bar_is_cut_as_often_as_its_length_asks_for() {
    for (length, cuts) in [(150.0, 1), (250.0, 2), (260.0, 2), (390.0, 4)] {
        let part = inspected(block([0.0; 3], [length, 30.0, 20.0]));
        let plan = planned(&part, &space(90.0, 20.0, 90.0), "bar");
        // Slanted in the upright plane nothing fits: only axis-down rests are taken. Lying down the bar is turned no way on a bed as
        // deep as it is high, so a slab is at most as long as the bed.
        let expected = (length / 90.0_f64).ceil() as usize - 1;
        assert_eq!(plan.cuts.len(), expected, "{length}");
        assert_eq!(plan.pieces.len(), expected + 1);
        assert!(expected == cuts, "{length}");
        assert!(plan.cuts.iter().all(|cut| cut.axis == Axis::X));
        assert!(
            plan.cuts
                .iter()
                .all(|cut| (cut.joint_mm2 - 600.0).abs() < 0.1)
        );
        assert!(
            plan.cuts
                .iter()
                .all(|cut| (cut.least_width_mm - 20.0).abs() < 0.1)
        );
    }
}

#[test]
fn a_bar_just_as_long_as_two_beds_takes_one_cut_in_the_middle() {
    let part = inspected(block([7.0, 0.0, 0.0], [207.0, 80.0, 80.0]));
    let plan = planned(&part, &space(100.0, 80.0, 80.0), "two beds");
    assert_eq!(plan.cuts.len(), 1);
    assert_eq!(plan.cuts[0].at_mm, 107.0);
    assert!(plan.fewest);
}

#[test]
fn a_cut_goes_through_the_waist_and_not_through_the_thick_ends() {
    // Two flanges and a shaft between them, 200 mm long; either end alone fits.
    let profile = [
        [0.0, 0.0],
        [40.0, 0.0],
        [40.0, 60.0],
        [12.0, 60.0],
        [12.0, 140.0],
        [40.0, 140.0],
        [40.0, 200.0],
        [0.0, 200.0],
    ];
    let part = inspected(turned(&profile, 48, false));
    let plan = planned(&part, &space(140.0, 140.0, 140.0), "spool");
    assert_eq!(plan.cuts.len(), 1);
    let cut = &plan.cuts[0];
    assert_eq!(cut.axis, Axis::Z);
    assert!(cut.at_mm > 62.0 && cut.at_mm < 138.0, "{}", cut.at_mm);
    assert!(cut.joint_mm2 < 460.0 && cut.joints == 1);
}

#[test]
fn a_cut_keeps_off_a_neck_too_thin_to_glue() {
    // A neck of 2 mm in a bar of 10 mm: the smallest section, and the worst joint.
    let profile = [
        [0.0, 0.0],
        [10.0, 0.0],
        [10.0, 70.0],
        [1.0, 72.0],
        [1.0, 78.0],
        [10.0, 80.0],
        [10.0, 150.0],
        [0.0, 150.0],
    ];
    let part = inspected(turned(&profile, 32, false));
    let plan = planned(&part, &space(100.0, 20.0, 100.0), "neck");
    assert_eq!(plan.cuts.len(), 1);
    let at = plan.cuts[0].at_mm;
    assert!(!(70.0..=80.0).contains(&at), "{at}");
    assert!(plan.cuts[0].least_width_mm > 15.0);
}

#[test]
fn bodies_aside_of_each_other_need_no_cut_and_long_ones_one_for_all() {
    let small = |x: f64| block([x, 0.0, 0.0], [x + 50.0, 50.0, 50.0]);
    let part = inspected(together(&small(0.0), &small(500.0)));
    let plan = planned(&part, &space(60.0, 60.0, 60.0), "two boxes");
    assert_eq!((plan.cuts.len(), plan.pieces.len()), (0, 2));
    let bar = |y: f64| block([0.0, y, 0.0], [150.0, y + 20.0, 20.0]);
    let part = inspected(together(&bar(0.0), &bar(300.0)));
    let plan = super::plans::planned(&part, &space(100.0, 30.0, 30.0), "two bars");
    assert_eq!((plan.cuts.len(), plan.pieces.len()), (1, 4));
    assert_eq!(plan.cuts[0].joints, 2);
}

#[test]
fn a_fork_is_parted_at_its_root_into_three_pieces() {
    let ring = [
        [0.0, 0.0],
        [150.0, 0.0],
        [150.0, 150.0],
        [130.0, 150.0],
        [130.0, 20.0],
        [20.0, 20.0],
        [20.0, 150.0],
        [0.0, 150.0],
    ];
    let part = inspected(beadtally::bench::prism(&ring, 20.0));
    // A leg or the root fits on its own, the pair of legs does not.
    let plan = planned(&part, &space(155.0, 40.0, 40.0), "fork");
    assert_eq!(plan.cuts.len(), 1);
    assert_eq!(plan.pieces.len(), 3);
    assert_eq!(plan.cuts[0].joints, 2);
}

#[test]
fn a_block_too_large_every_way_is_cut_across_all_axes() {
    let part = inspected(block([0.0; 3], [150.0, 150.0, 150.0]));
    let plan = planned(&part, &space(100.0, 100.0, 100.0), "cube");
    assert_eq!((plan.cuts.len(), plan.pieces.len()), (3, 8));
    // Every plane's joint is crossed by the two others: four faces each.
    assert!(plan.cuts.iter().all(|cut| cut.joints == 4));
}

#[test]
fn a_round_bed_is_cut_for_too() {
    let part = inspected(beadtally::bench::prism(&regular_polygon(90.0, 60), 12.0));
    let round = BuildSpace::circle(150.0, 60.0).with_margin(2.0);
    let plan = planned(&part, &round, "disc");
    assert!(!plan.cuts.is_empty() && plan.cuts.len() <= 2);
}

#[test]
fn a_machine_without_room_is_refused_and_one_far_too_small_gives_up() {
    let part = inspected(block([0.0; 3], [100.0; 3]));
    let none = BuildSpace {
        edge_margin_mm: 60.0,
        ..space(100.0, 100.0, 100.0)
    };
    assert_eq!(plan(&part, &none).unwrap_err(), CutError::NoRoom);
    assert!(matches!(
        plan(&part, &space(2.0, 2.0, 2.0)),
        Err(CutError::NoneFound { .. })
    ));
}

#[test]
fn every_demonstration_part_enlarged_is_cut_into_pieces_that_fit() {
    for file in DEMONSTRATION {
        let part = demonstration(file);
        let size = part.mesh.size_mm();
        for enlarged in [1.3, 2.5] {
            let large = inspected(scaled(&part.mesh, enlarged));
            let room = space(size.x * 1.05, size.y * 1.05, size.z.max(20.0) * 1.05);
            let plan = planned(&large, &room, file);
            println!("{file} x {enlarged}: {}", plan.words);
            for cut in &plan.cuts {
                println!(
                    "  {} at {:.1}: {:.1} cm2, {} joints, {:.1} mm wide, {}",
                    cut.axis,
                    cut.at_mm,
                    cut.joint_mm2 / 100.0,
                    cut.joints,
                    cut.least_width_mm,
                    cut.why
                );
            }
        }
    }
}
