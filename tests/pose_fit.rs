//! Fitting parts into build spaces, against published facts about rectangles and against plain search.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use beadtally::mesh::Mesh;
use beadtally::pose::{
    Bed, BuildSpace, Down, Footprints, MachineFit, Pose, PoseFit, fit_machine, place,
};
use nalgebra::Point3;
use proptest::prelude::*;

/// An upright prism over a plan, counter-clockwise.
fn prism(plan: &[[f64; 2]], height: f64) -> Mesh {
    let count = plan.len() as u32;
    let level = |z: f64| plan.iter().map(move |p| Point3::new(p[0], p[1], z));
    let mut triangles = Vec::new();
    for i in 0..count {
        let next = (i + 1) % count;
        triangles.push([i, next, count + next]);
        triangles.push([i, count + next, count + i]);
        if i > 0 && next > 0 {
            triangles.push([0, next, i]);
            triangles.push([count, count + i, count + next]);
        }
    }
    Mesh {
        vertices_mm: level(0.0).chain(level(height)).collect(),
        triangles,
    }
}

fn block(x: f64, y: f64, z: f64) -> Mesh {
    prism(&[[0.0, 0.0], [x, 0.0], [x, y], [0.0, y]], z)
}

fn rectangle(x_mm: f64, y_mm: f64, height_mm: f64) -> BuildSpace {
    BuildSpace::rectangle(x_mm, y_mm, height_mm)
}

fn circle(diameter_mm: f64, height_mm: f64) -> BuildSpace {
    BuildSpace::circle(diameter_mm, height_mm)
}

fn fit(mesh: &Mesh, space: &BuildSpace) -> MachineFit {
    fit_machine(&Footprints::of(mesh), space)
}

fn as_drawn(mesh: &Mesh, space: &BuildSpace) -> PoseFit {
    fit(mesh, space)
        .pose(Down::ZMinus)
        .expect("fits as drawn")
        .clone()
}

/// A plate so low, under a ceiling just as low, that it fits flat or not at all.
fn plate_fits(p: f64, q: f64, a: f64, b: f64) -> bool {
    let thickness = 0.5 * q.min(p);
    fit(&block(p, q, thickness), &rectangle(a, b, thickness)).fits
}

/// Room that the theorem asks for: at least 0 where p x q (p >= q) fits in a x b (a >= b).
fn carver(p: f64, q: f64, a: f64, b: f64) -> f64 {
    let diagonal2 = p * p + q * q;
    if p <= a {
        return b - q;
    }
    if diagonal2 < a * a {
        return b - q;
    }
    let needed = (2.0 * p * q * a + (p * p - q * q) * (diagonal2 - a * a).sqrt()) / diagonal2;
    (b - needed).min(b - q)
}

fn random(seed: u64) -> impl FnMut() -> f64 {
    let mut state = seed;
    move || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as f64 / f64::from(1_u32 << 31)
    }
}

fn within(turn_deg: f64, turns_deg: &[(f64, f64)]) -> bool {
    turns_deg
        .iter()
        .any(|&(from, to)| from - 1e-7 <= turn_deg && turn_deg <= to + 1e-7)
}

fn far_from_ends(turn_deg: f64, turns_deg: &[(f64, f64)]) -> bool {
    turns_deg
        .iter()
        .all(|&(from, to)| (turn_deg - from).abs() > 2e-4 && (turn_deg - to).abs() > 2e-4)
}

/// An uneven, slanting plan.
fn kite() -> Vec<[f64; 2]> {
    vec![
        [0.0, 0.0],
        [70.0, -10.0],
        [100.0, 20.0],
        [60.0, 45.0],
        [5.0, 30.0],
    ]
}

/// The yes/no table of references.md 4.1: the 9 x 4 row and the 10 x 10 warning SEEN (Wetzel, "Rectangles in
/// Rectangles", Mathematics Magazine 73(3), 2000; public answer), the others DERIVED there from Carver's form.
#[test]
fn rectangles_fit_in_rectangles_as_the_theorem_says() {
    let rows = [
        (9.0, 4.0, 8.0, 6.0, false),
        (10.0, 10.0, 8.0, 8.0, false),
        (10.0, 1.3, 8.0, 8.0, true),
        (10.0, 1.4, 8.0, 8.0, false),
        (11.0, 1.0, 10.0, 6.0, false),
        (270.0, 20.0, 220.0, 220.0, true),
        (300.0, 11.1, 220.0, 220.0, true),
        (300.0, 11.2, 220.0, 220.0, false),
    ];
    for (p, q, a, b, fits) in rows {
        assert_eq!(plate_fits(p, q, a, b), fits, "{p} x {q} in {a} x {b}");
        assert_eq!(plate_fits(q, p, a, b), fits, "{q} x {p} in {a} x {b}");
        assert_eq!(plate_fits(p, q, b, a), fits, "{p} x {q} in {b} x {a}");
    }
}

/// The needed depths of the same table (DERIVED there).
#[test]
fn the_least_depth_that_takes_a_turned_rectangle_is_the_published_one() {
    for (p, q, a, needed) in [(10.0, 1.3, 8.0, 7.980_593), (11.0, 1.0, 10.0, 6.416_802)] {
        assert!(plate_fits(p, q, a, needed + 1e-6));
        assert!(!plate_fits(p, q, a, needed - 1e-6));
    }
    let side = 311.126_984 / 2.0_f64.sqrt();
    assert!(plate_fits(300.0, 11.126_98, side, side));
    assert!(!plate_fits(300.0, 11.126_99, side, side));
}

/// W. B. Carver, Amer. Math. Monthly 64 (1957) 114-116, from memory, as restated in references.md 4.1.
#[test]
fn ten_thousand_random_rectangles_agree_with_carver() {
    let mut next = random(1957);
    let (mut turned, mut refused) = (0, 0);
    for _ in 0..10_000 {
        let (a, b) = (5.0 + 5.0 * next(), 3.0 + 7.0 * next());
        let (a, b) = (f64::max(a, b), f64::min(a, b));
        let (p, q) = (a * (0.8 + 0.5 * next()), 0.05 + 0.6 * b * next() * next());
        let (p, q) = (f64::max(p, q), f64::min(p, q));
        let room = carver(p, q, a, b);
        if room.abs() < 1e-6 || (p - a).abs() < 1e-6 {
            continue;
        }
        assert_eq!(plate_fits(p, q, a, b), room > 0.0, "{p} x {q} in {a} x {b}");
        turned += usize::from(p > a && room > 0.0);
        refused += usize::from(room < 0.0);
    }
    assert!(
        turned > 300 && refused > 300,
        "{turned} turned, {refused} refused"
    );
}

/// A minimum-area rectangle has a side along an edge of the polygon (references.md 4.3, SEEN: McGill, Eberly); the
/// diamond's input SEEN in a public unit test, results DERIVED.
#[test]
fn a_diamond_fits_its_smallest_rectangle_turned_by_45_degrees_and_nothing_smaller() {
    let diamond = prism(&[[4.0, 0.0], [0.0, 4.0], [-4.0, 0.0], [0.0, -4.0]], 1.0);
    let side = 4.0 * 2.0_f64.sqrt();
    let pose = as_drawn(&diamond, &rectangle(side, side, 1.0));
    assert!((pose.turn_deg - 45.0).abs() < 1e-6 && (pose.best_turn_deg - 45.0).abs() < 1e-9);
    assert!(pose.turns_deg.iter().all(|(from, to)| to - from < 1e-4));
    assert!(
        fit(&diamond, &rectangle(side * (1.0 - 1e-6), side, 1.0))
            .pose(Down::ZMinus)
            .is_none()
    );
    assert_eq!(as_drawn(&diamond, &rectangle(8.0, 8.0, 1.0)).turn_deg, 0.0);
}

/// Areas 2 sqrt(3) and 2.489898 of references.md 4.3 (DERIVED).
#[test]
fn a_hexagon_and_a_pentagon_fit_their_smallest_rectangles() {
    let polygon = |count: u32| {
        let radius = 0.5 / (std::f64::consts::PI / f64::from(count)).sin();
        let angle = |i| 0.3 + std::f64::consts::TAU * f64::from(i) / f64::from(count);
        let plan: Vec<_> = (0..count)
            .map(|i| [radius * angle(i).cos(), radius * angle(i).sin()])
            .collect();
        prism(&plan, 0.1)
    };
    let height = |count: u32| {
        let half = std::f64::consts::PI / f64::from(count);
        if count.is_multiple_of(2) {
            1.0 / half.tan()
        } else {
            0.5 / half.tan() + 0.5 / half.sin()
        }
    };
    for (count, area) in [(6, 2.0 * 3.0_f64.sqrt()), (5, 2.489_898)] {
        let depth = height(count);
        assert!(
            fit(
                &polygon(count),
                &rectangle(area / depth + 1e-6, depth + 1e-6, 0.1)
            )
            .fits
        );
        assert!(
            !fit(
                &polygon(count),
                &rectangle(area / depth - 2e-6, depth + 1e-7, 0.1)
            )
            .fits
        );
    }
}

#[test]
fn a_part_exactly_as_large_as_the_space_fits_square() {
    for at in [0.0, 0.1, 1e7] {
        let mut part = block(310.1, 290.3, 330.7);
        part.vertices_mm
            .iter_mut()
            .for_each(|v| *v += nalgebra::Vector3::repeat(at));
        let space = rectangle(310.1 + 2.0 * 5.3, 290.3 + 2.0 * 5.3, 330.7).with_margin(5.3);
        let pose = as_drawn(&part, &space);
        assert_eq!((pose.turn_deg, pose.best_turn_deg), (0.0, 0.0));
        assert_eq!(pose.turns_deg, [(0.0, 0.0), (180.0, 180.0)]);
        assert!(pose.margin_mm >= 0.0 && pose.margin_mm < 1e-7);
    }
}

#[test]
fn a_part_one_part_in_a_million_too_large_does_not_fit() {
    let answer = fit(
        &block(100.000_1, 100.000_1, 100.000_1),
        &rectangle(100.0, 100.0, 100.0),
    );
    assert!(!answer.fits && answer.poses.is_empty());
    assert_eq!(answer.pieces_if_cut, Some(8));
}

#[test]
fn a_part_is_left_square_where_it_fits_square() {
    let pose = as_drawn(&block(100.0, 60.0, 10.0), &rectangle(120.0, 100.0, 50.0));
    assert_eq!(pose.turn_deg, 0.0);
    assert_eq!(pose.size_mm, [100.0, 60.0, 10.0]);
    assert_eq!(pose.sides_mm, [10.0, 10.0, 20.0, 20.0]);
    assert_eq!((pose.margin_mm, pose.above_mm), (10.0, 40.0));
    assert_eq!(pose.turns_deg[0].0, 0.0);
    assert!(pose.best_margin_mm >= 10.0);
}

#[test]
fn a_part_that_fits_square_only_the_other_way_is_turned_by_90_degrees() {
    let pose = as_drawn(&block(60.0, 100.0, 10.0), &rectangle(110.0, 80.0, 10.0));
    assert_eq!((pose.turn_deg, pose.size_mm), (90.0, [100.0, 60.0, 10.0]));
    assert!(within(90.0, &pose.turns_deg) && !within(0.0, &pose.turns_deg));
    assert_eq!(pose.margin_mm, 5.0);
}

#[test]
fn a_part_is_turned_by_the_least_angle_that_keeps_the_margin() {
    // 270 x 20 on 220 x 220: the width 270 cos t + 20 sin t falls to 220 at this turn.
    let expected = (220.0 / 270.0_f64.hypot(20.0)).acos() + (20.0_f64 / 270.0).atan();
    let pose = as_drawn(&block(270.0, 20.0, 10.0), &rectangle(220.0, 220.0, 10.0));
    assert!(
        (pose.turn_deg - expected.to_degrees()).abs() < 1e-6,
        "{}",
        pose.turn_deg
    );
    assert!((pose.size_mm[0] - 220.0).abs() < 1e-9);
    assert!((pose.best_turn_deg - 45.0).abs() < 1e-9);
    let room = 220.0 - 290.0 / 2.0_f64.sqrt();
    assert!((pose.best_margin_mm - room / 2.0).abs() < 1e-9);
    assert_eq!(pose.turns_deg.len(), 4);
}

#[test]
fn a_turn_may_be_clockwise_and_is_then_written_below_360() {
    // The rectangle above, drawn turned by 20 degrees: 20 less is nearer to one way than the other.
    let (c, s) = (20.0_f64.to_radians().cos(), 20.0_f64.to_radians().sin());
    let plan = [[0.0, 0.0], [270.0, 0.0], [270.0, 20.0], [0.0, 20.0]]
        .map(|[x, y]| [c * x - s * y, s * x + c * y]);
    let turned = as_drawn(&prism(&plan, 10.0), &rectangle(220.0, 220.0, 10.0));
    let square = as_drawn(&block(270.0, 20.0, 10.0), &rectangle(220.0, 220.0, 10.0));
    assert!((turned.turn_deg - (square.turn_deg - 20.0)).abs() < 1e-6);
    let mirrored = plan.map(|[x, y]| [x, -y]);
    let mirrored: Vec<_> = mirrored.into_iter().rev().collect();
    let clockwise = as_drawn(&prism(&mirrored, 10.0), &rectangle(220.0, 220.0, 10.0));
    assert!(
        (clockwise.turn_deg - (360.0 - turned.turn_deg)).abs() < 1e-6,
        "{}",
        clockwise.turn_deg
    );
    assert!(within(clockwise.turn_deg, &clockwise.turns_deg));
}

#[test]
fn stepping_through_the_angles_never_contradicts_the_ranges() {
    let mut next = random(42);
    for case in 0..30 {
        let plan: Vec<_> = if case == 0 {
            kite()
        } else {
            (0..3 + case % 9)
                .map(|_| [100.0 * next(), 60.0 * next()])
                .collect()
        };
        let mesh = Mesh {
            vertices_mm: plan
                .iter()
                .flat_map(|p| [Point3::new(p[0], p[1], 0.0), Point3::new(p[0], p[1], 5.0)])
                .collect(),
            triangles: vec![[0, 2, 4]],
        };
        let space = rectangle(55.0 + 40.0 * next(), 40.0 + 40.0 * next(), 5.0);
        let fit = fit(&mesh, &space);
        let Bed::Rectangle { x_mm, y_mm } = space.bed else {
            unreachable!()
        };
        let turns = fit
            .pose(Down::ZMinus)
            .map(|pose| pose.turns_deg.clone())
            .unwrap_or_default();
        let mut most = f64::NEG_INFINITY;
        for step in 0..1440 {
            let turn_deg = 0.25 * f64::from(step);
            let size = place(&mesh, &Pose::new(Down::ZMinus, turn_deg)).box_mm().1;
            let slack = (x_mm - size.x).min(y_mm - size.y);
            most = most.max(slack);
            if far_from_ends(turn_deg, &turns) {
                assert_eq!(
                    slack >= 0.0,
                    within(turn_deg, &turns),
                    "case {case}, {turn_deg}: {slack}"
                );
            }
        }
        match fit.pose(Down::ZMinus) {
            Some(pose) => {
                assert!(2.0 * pose.best_margin_mm >= most - 1e-9, "case {case}");
                // Slack changes by at most the diagonal per radian, and steps are an eighth of a degree apart at most.
                assert!(
                    2.0 * pose.best_margin_mm
                        <= most.max(0.0) + 120.0 * 0.125_f64.to_radians() + 1e-9
                );
            }
            None => {
                let miss = Footprints::of(&mesh)
                    .pose_fit(Down::ZMinus, &space)
                    .unwrap_err();
                assert!(
                    miss.excess_mm <= 1e-9 - most,
                    "case {case}: {miss:?}, {most}"
                );
                assert!(miss.excess_mm >= -most - 120.0 * 0.125_f64.to_radians());
            }
        }
    }
}

#[test]
fn the_placed_part_has_the_size_that_the_fit_told() {
    let mesh = prism(&kite(), 12.0);
    for space in [
        rectangle(85.0, 90.0, 60.0),
        rectangle(60.0, 110.0, 130.0),
        circle(140.0, 120.0),
    ] {
        for pose in fit(&mesh, &space).poses {
            let (low, high) = place(&mesh, &pose.pose()).box_mm();
            assert_eq!(low, Point3::origin());
            assert!((high - Point3::from(pose.size_mm)).norm() < 1e-12);
            assert!((pose.rotation.matrix().determinant() - 1.0).abs() < 1e-14);
            assert_eq!(pose.rotation, pose.pose().rotation);
            assert!(
                within(pose.turn_deg, &pose.turns_deg)
                    && within(pose.best_turn_deg, &pose.turns_deg)
            );
            assert_eq!(
                pose.margin_mm,
                pose.sides_mm.into_iter().fold(f64::INFINITY, f64::min)
            );
            assert!(pose.best_margin_mm >= pose.margin_mm);
        }
    }
}

#[test]
fn on_a_round_bed_any_turn_fits_and_the_diagonal_decides() {
    let pose = as_drawn(&block(30.0, 40.0, 5.0), &circle(50.0, 5.0));
    assert_eq!(
        (pose.turn_deg, pose.turns_deg.clone()),
        (0.0, vec![(0.0, 360.0)])
    );
    assert!(pose.margin_mm < 1e-9);
    let spaced = BuildSpace {
        edge_margin_mm: 3.0,
        ..circle(60.0, 5.0)
    };
    assert!((as_drawn(&block(30.0, 40.0, 5.0), &spaced).margin_mm - 2.0).abs() < 1e-12);
    let miss = fit(&block(30.0, 40.0, 36.0), &circle(45.0, 34.0))
        .nearest_miss
        .unwrap();
    assert_eq!(
        miss.words,
        "as drawn it is 2.0 mm too tall and 5.0 mm too wide for the round bed"
    );
    let miss = fit(&block(30.0, 40.0, 60.0), &circle(45.0, 34.0))
        .nearest_miss
        .unwrap();
    assert_eq!(miss.down, Down::YMinus.into());
    assert!((miss.excess_mm - (30.0_f64.hypot(60.0) - 45.0)).abs() < 1e-9);
}

/// Smallest enclosing circles by shapely (`reference/circles.py`).
#[test]
fn a_round_bed_is_just_wide_enough_where_shapely_says_so() {
    let known: serde_json::Value =
        serde_json::from_str(include_str!("reference/circles.json")).unwrap();
    let sets = known["sets"].as_array().unwrap();
    for set in sets {
        let radius = set["radius_mm"].as_f64().unwrap();
        let points: Vec<[f64; 2]> = serde_json::from_value(set["points_mm"].clone()).unwrap();
        let corners = points.iter().map(|p| Point3::new(p[0], p[1], 0.0));
        let part = Mesh {
            vertices_mm: corners
                .chain([Point3::new(points[0][0], points[0][1], 4.0)])
                .collect(),
            triangles: vec![[0, 1, points.len() as u32]],
        };
        let pose = |across: f64| fit(&part, &circle(across, 4.0)).pose(Down::ZMinus).cloned();
        let margin_mm = pose(2.0 * radius + 6.0).expect("fits").margin_mm;
        assert!(
            (margin_mm - 3.0).abs() < 1e-9 * radius,
            "{radius}: {margin_mm}"
        );
        assert!(pose(2.0 * radius * (1.0 - 1e-6)).is_none(), "{radius}");
    }
    assert!(sets.len() > 50);
}

#[test]
fn the_nearest_miss_names_pose_turn_and_excess() {
    let miss = fit(&block(300.0, 28.7, 400.0), &rectangle(220.0, 220.0, 390.0))
        .nearest_miss
        .unwrap();
    assert_eq!(miss.down, Down::ZMinus.into());
    assert_eq!(
        miss.words,
        "as drawn and turned 45 degrees it is 10.0 mm too tall and 12.4 mm too long"
    );
    assert!((miss.excess_mm - (328.7 / 2.0_f64.sqrt() - 220.0)).abs() < 1e-9);
    let miss = fit(&block(50.0, 40.0, 130.2), &rectangle(60.0, 60.0, 100.0))
        .nearest_miss
        .unwrap();
    assert_eq!(miss.words, "as drawn it is 30.2 mm too tall");
}

#[test]
fn a_margin_wider_than_the_bed_leaves_no_room_and_no_pieces() {
    let space = BuildSpace {
        edge_margin_mm: 60.0,
        ..rectangle(100.0, 200.0, 100.0)
    };
    let answer = fit(&block(1.0, 1.0, 1.0), &space);
    assert!(!answer.fits && answer.pieces_if_cut.is_none() && answer.nearest_miss.is_some());
}

#[test]
fn a_long_bar_is_counted_in_pieces_where_no_pose_takes_it() {
    let answer = fit(&block(20.0, 1000.0, 30.0), &rectangle(310.0, 290.0, 330.0));
    assert!(!answer.fits);
    assert_eq!(answer.pieces_if_cut, Some(4));
    assert_eq!(
        fit(&block(20.0, 300.0, 30.0), &rectangle(310.0, 290.0, 330.0)).pieces_if_cut,
        None
    );
}

fn plans() -> impl Strategy<Value = Vec<[f64; 2]>> {
    prop::collection::vec((0.0..100.0_f64, 0.0..100.0_f64), 1..12)
        .prop_map(|points| points.into_iter().map(|(x, y)| [x, y]).collect())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn a_larger_space_never_loses_a_fit(
        plan in plans(), x in 1.0..150.0_f64, y in 1.0..150.0_f64, z in 1.0..150.0_f64,
        more in prop::array::uniform3(prop_oneof![Just(0.0), 0.0..1e-6_f64, 0.0..20.0_f64]), round: bool,
    ) {
        let part = prism(&plan, 40.0);
        let footprints = Footprints::of(&part);
        let space = |x, y, z| if round { circle(x, z) } else { rectangle(x, y, z) };
        let small = fit_machine(&footprints, &space(x, y, z));
        let large = fit_machine(&footprints, &space(x + more[0], y + more[1], z + more[2]));
        for pose in &small.poses {
            let kept = large.pose(pose.down);
            prop_assert!(kept.is_some(), "{} was lost", pose.down);
            prop_assert!(kept.unwrap().best_margin_mm >= pose.best_margin_mm - 1e-7);
        }
        prop_assert!(small.fits || large.fits || large.nearest_miss.unwrap().excess_mm <= small.nearest_miss.unwrap().excess_mm + 1e-7);
    }

    #[test]
    fn a_bed_turned_or_a_part_turned_by_a_quarter_gives_the_same_verdict(plan in plans(), x in 20.0..150.0_f64, y in 20.0..150.0_f64) {
        let quarter: Vec<_> = plan.iter().map(|p| [-p[1], p[0]]).collect();
        let here = fit(&prism(&plan, 3.0), &rectangle(x, y, 3.0));
        let other_bed = fit(&prism(&plan, 3.0), &rectangle(y, x, 3.0));
        let other_part = fit(&prism(&quarter, 3.0), &rectangle(x, y, 3.0));
        prop_assert_eq!(here.fits, other_bed.fits);
        prop_assert_eq!(here.fits, other_part.fits);
    }

    #[test]
    fn what_does_not_fit_fits_a_space_larger_by_the_miss(plan in plans(), x in 10.0..90.0_f64, y in 10.0..90.0_f64) {
        let part = prism(&plan, 30.0);
        let footprints = Footprints::of(&part);
        if let Some(miss) = fit_machine(&footprints, &rectangle(x, y, 25.0)).nearest_miss {
            let [dx, dy, dz] = miss.over_mm;
            prop_assert!(footprints.fits(miss.down, &rectangle(x + dx, y + dy, 25.0 + dz)));
            prop_assert!(miss.excess_mm > 0.0);
        }
    }
}
