//! Beds as they are: polygons, keep-outs, narrower tops, against a slow search over places and turns written here.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod plain_search;

use beadtally::mesh::Mesh;
use beadtally::pose::{Bed, BuildSpace, Down, Footprints, Narrowing, Place, Pose, PoseFit, place};
use plain_search::{Search, inside, prism, random};
use proptest::prelude::*;

fn as_drawn(mesh: &Mesh, space: &BuildSpace) -> Option<PoseFit> {
    Footprints::of(mesh).pose_fit(Down::ZMinus, space).ok()
}

fn polygon(corners: &[[f64; 2]], height_mm: f64) -> BuildSpace {
    let corners_mm = corners.to_vec();
    BuildSpace::new(Bed::Polygon { corners_mm }, height_mm)
}

fn block(x: f64, y: f64, z: f64) -> Mesh {
    prism(&[[0.0, 0.0], [x, 0.0], [x, y], [0.0, y]], z)
}

fn rectangle_at(low: [f64; 2], high: [f64; 2]) -> Vec<[f64; 2]> {
    vec![low, [high[0], low[1]], high, [low[0], high[1]]]
}

fn within(turn_deg: f64, turns_deg: &[(f64, f64)]) -> bool {
    let holds = |&(from, to): &(f64, f64)| from - 1e-7 <= turn_deg && turn_deg <= to + 1e-7;
    turns_deg.iter().any(holds)
}

/// An uneven convex ring of corners on an ellipse.
fn convex_ring(next: &mut impl FnMut() -> f64, count: usize, across: [f64; 2]) -> Vec<[f64; 2]> {
    let mut turns: Vec<f64> = (0..count).map(|_| std::f64::consts::TAU * next()).collect();
    turns.sort_by(f64::total_cmp);
    let corner = |t: f64| [across[0] / 2.0 * t.cos(), across[1] / 2.0 * t.sin()];
    turns.into_iter().map(corner).collect()
}

#[test]
fn a_rectangle_given_by_its_corners_is_the_same_bed() {
    let mut next = random(7);
    for case in 0..300 {
        let plan = convex_ring(&mut next, 3 + case % 7, [140.0, 60.0]);
        let part = prism(&plan, 5.0);
        let (x, y) = (60.0 + 90.0 * next(), 40.0 + 60.0 * next());
        let plain = BuildSpace::rectangle(x, y, 5.0).with_margin(3.0);
        let mut corners = rectangle_at([0.0, 0.0], [x, y]);
        if case % 2 == 0 {
            corners.reverse();
        }
        let same = polygon(&corners, 5.0).with_margin(3.0);
        match (as_drawn(&part, &plain), as_drawn(&part, &same)) {
            (Some(a), Some(b)) => {
                assert_eq!(a.turn_deg == 0.0, b.turn_deg == 0.0);
                assert!(
                    (a.turn_deg - b.turn_deg).abs() < 1e-6 || a.turn_deg > 90.0,
                    "case {case}: {a:?} {b:?}"
                );
                assert!(
                    (a.best_margin_mm - b.best_margin_mm).abs() < 1e-7,
                    "case {case}"
                );
                assert_eq!(
                    a.turns_deg.len(),
                    b.turns_deg.len(),
                    "case {case}: {a:?} {b:?}"
                );
                for (s, t) in a.turns_deg.iter().zip(&b.turns_deg) {
                    assert!(
                        (s.0 - t.0).abs() < 1e-5 && (s.1 - t.1).abs() < 1e-5,
                        "case {case}: {a:?} {b:?}"
                    );
                }
            }
            (None, None) => {}
            (a, b) => panic!("case {case}: {a:?} but {b:?}"),
        }
    }
}

/// The largest square in a regular hexagon of side 1 has the side 3 - sqrt 3 (Gardner, from memory; derived again: corners at
/// (u, u) on the edge `sqrt3 x + y = sqrt3`, turned by 15 degrees or square alike in the same room).
#[test]
fn the_largest_square_in_a_hexagon_is_the_known_one() {
    let corners: Vec<[f64; 2]> = (0..6)
        .map(|i| f64::from(i) * std::f64::consts::FRAC_PI_3)
        .map(|t| [100.0 * t.cos(), 100.0 * t.sin()])
        .collect();
    let side = 100.0 * (3.0 - 3.0_f64.sqrt());
    let space = polygon(&corners, 10.0);
    let fits = |side: f64| as_drawn(&block(side, side, 5.0), &space);
    let pose = fits(side - 1e-6).expect("fits");
    assert!(pose.margin_mm < 1e-6 && pose.turn_deg == 0.0, "{pose:?}");
    assert!(fits(side + 1e-5).is_none());
    assert_eq!(pose.turns_deg.len(), 12, "{pose:?}");
}

/// Never a contradiction beyond what the part can move within a step, on convex beds with and without steps at the top.
#[test]
fn random_convex_beds_agree_with_a_plain_search_over_places_and_turns() {
    let mut next = random(2026);
    let (mut fitted, mut missed) = (0, 0);
    for case in 0..60 {
        let deep = 70.0 * next() + 10.0;
        let across = [90.0 + 60.0 * next(), 80.0 + 60.0 * next()];
        let plan = convex_ring(&mut next, 3 + case % 6, [100.0, deep]);
        let upper: Vec<[f64; 2]> = plan
            .iter()
            .map(|p| [0.6 * p[0] + 8.0, 0.6 * p[1]])
            .collect();
        let mut part = prism(&plan, 10.0);
        let top = prism(&upper, 30.0);
        let first = part.vertices_mm.len() as u32;
        part.vertices_mm.extend(top.vertices_mm);
        part.triangles
            .extend(top.triangles.iter().map(|t| t.map(|v| v + first)));
        let bed = convex_ring(&mut next, 4 + case % 5, across);
        let mut space = polygon(&bed, 40.0);
        space.edge_margin_mm = 2.0 * next();
        space.brim_mm = if case % 4 == 0 { 1.5 } else { 0.0 };
        if case % 2 == 0 {
            let inset_mm = 10.0 + 20.0 * next();
            space.narrower_above = vec![Narrowing {
                from_mm: 15.0,
                inset_mm,
            }];
        }
        let search = Search::of_convex(&plan, &upper, &bed, &space);
        let found = as_drawn(&part, &space);
        let most = (0..720)
            .map(|step| {
                let turn_deg = 0.5 * f64::from(step);
                let room = search.room_at(turn_deg);
                let fits = found
                    .as_ref()
                    .is_some_and(|pose| within(turn_deg, &pose.turns_deg));
                if room.abs() > 1e-6 {
                    assert_eq!(
                        room > 0.0,
                        fits,
                        "case {case}, {turn_deg}: {room}, {found:?}"
                    );
                }
                room
            })
            .fold(f64::NEG_INFINITY, f64::max);
        let between = search.radius_mm * 0.25_f64.to_radians();
        match &found {
            Some(pose) => {
                fitted += 1;
                assert!(
                    pose.best_margin_mm >= most - 1e-7,
                    "case {case}: {pose:?} {most}"
                );
                assert!(
                    pose.best_margin_mm <= most.max(0.0) + between,
                    "case {case}: {pose:?} {most}"
                );
                assert!((search.room_at(pose.turn_deg).max(0.0) - pose.margin_mm).abs() < 1e-6);
                let best = search.room_at(pose.best_turn_deg);
                assert!((best.max(0.0) - pose.best_margin_mm).abs() < 1e-6);
                assert_eq!(pose.turns_open_deg, 0.0);
            }
            None => {
                missed += 1;
                assert!(most < 1e-7);
                let miss = Footprints::of(&part)
                    .pose_fit(Down::ZMinus, &space)
                    .unwrap_err();
                assert!(
                    miss.excess_mm <= -2.0 * most + 1e-6,
                    "case {case}: {miss:?} {most}"
                );
                assert!(
                    miss.excess_mm >= -2.0 * (most + between),
                    "case {case}: {miss:?} {most}"
                );
            }
        }
    }
    assert!(
        fitted > 10 && missed > 10,
        "{fitted} fitted, {missed} missed"
    );
}

fn l_shape(a: f64, b: f64, w: f64) -> Vec<[f64; 2]> {
    vec![[0.0, 0.0], [a, 0.0], [a, w], [w, w], [w, b], [0.0, b]]
}

#[test]
fn a_part_with_a_bay_goes_around_a_keep_out_that_its_hull_would_cover() {
    let part = prism(&l_shape(90.0, 90.0, 30.0), 10.0);
    let mut space = BuildSpace::rectangle(100.0, 100.0, 20.0);
    space.keep_out_mm = vec![rectangle_at([45.0, 45.0], [100.0, 100.0])];
    let pose = as_drawn(&part, &space).expect("fits around the corner");
    assert_eq!(pose.turn_deg, 0.0);
    // 10 mm over both ways, 15 mm in the bay: 5 mm on the outside, 5 mm and more in the bay.
    assert!((pose.margin_mm - 5.0).abs() < 0.005, "{pose:?}");
    assert!((pose.at_mm[0] - 5.0).abs() < 0.02 && (pose.at_mm[1] - 5.0).abs() < 0.02);
    // Turned half round it would have to lie on the corner.
    assert!(!within(180.0, &pose.turns_deg));
    // A block as large as its hull does not fit at all.
    let whole = Footprints::of(&block(90.0, 90.0, 10.0)).pose_fit(Down::ZMinus, &space);
    let miss = whole.unwrap_err();
    assert!(
        miss.words.contains("beside what is kept clear"),
        "{}",
        miss.words
    );
}

#[test]
fn a_part_exactly_as_large_as_what_is_left_fits_only_without_margins() {
    let part = prism(&l_shape(100.0, 100.0, 45.0), 10.0);
    let mut space = BuildSpace::rectangle(100.0, 100.0, 10.0);
    space.keep_out_mm = vec![rectangle_at([45.0, 45.0], [100.0, 100.0])];
    let pose = as_drawn(&part, &space).expect("fits exactly");
    assert!(pose.margin_mm < 0.001 && pose.turn_deg == 0.0, "{pose:?}");
    assert!(as_drawn(&part, &space.clone().with_margin(0.01)).is_none());
    assert!(as_drawn(&part, &space.with_room_for(0.01)).is_none());
    // Far from the origin just as well.
    let mut far = part.clone();
    far.vertices_mm
        .iter_mut()
        .for_each(|v| *v += nalgebra::Vector3::repeat(1e6));
    let mut space = BuildSpace::rectangle(100.0, 100.0, 10.0);
    space.keep_out_mm = vec![rectangle_at([45.0, 45.0], [100.0, 100.0])];
    assert!(as_drawn(&far, &space).is_some());
}

/// Slow road: places on a grid, clearances by distances between line segments.
#[test]
fn beds_with_keep_outs_agree_with_a_plain_search_over_places_and_turns() {
    let mut next = random(31);
    let (mut fitted, mut missed, mut beyond_the_grid) = (0, 0, 0);
    for case in 0..14 {
        let (a, b) = (55.0 + 60.0 * next(), 45.0 + 55.0 * next());
        let plan = l_shape(a, b, 12.0 + 14.0 * next());
        let part = prism(&plan, 5.0);
        let mut space = BuildSpace::rectangle(85.0 + 25.0 * next(), 80.0 + 20.0 * next(), 10.0);
        let Bed::Rectangle { x_mm, y_mm } = space.bed else {
            unreachable!()
        };
        let post = [20.0 + 50.0 * next(), 20.0 + 40.0 * next()];
        let corner = rectangle_at(
            [x_mm - 10.0 - 25.0 * next(), y_mm - 10.0 - 25.0 * next()],
            [x_mm, y_mm],
        );
        space.keep_out_mm = vec![corner];
        if case % 2 == 0 {
            let ring =
                [[0.0, 0.0], [9.0, 2.0], [4.0, 8.0]].map(|p| [post[0] + p[0], post[1] + p[1]]);
            space.keep_out_mm.push(ring.to_vec());
        }
        let search = Search::of_notched(&plan, x_mm, y_mm, &space.keep_out_mm);
        let found = as_drawn(&part, &space);
        let mut most = f64::NEG_INFINITY;
        for step in 0..72 {
            let turn_deg = 5.0 * f64::from(step);
            let (at, room) = search.best_place(turn_deg);
            most = most.max(room);
            let fits = found
                .as_ref()
                .is_some_and(|pose| within(turn_deg, &pose.turns_deg));
            // What the grid finds is real; what it does not find may be missed by its fineness.
            if room > 0.005 {
                assert!(
                    fits,
                    "case {case}, {turn_deg}: room {room} at {at:?}, {found:?}"
                );
            }
            // What the program finds beyond the grid is held to the place it names: the part drawn so, square on the bed.
            if fits && room <= 0.0 {
                let (sine, cosine) = turn_deg.to_radians().sin_cos();
                let drawn: Vec<_> = plan
                    .iter()
                    .map(|p| [cosine * p[0] - sine * p[1], sine * p[0] + cosine * p[1]])
                    .collect();
                let part = prism(&drawn, 5.0);
                let pose = as_drawn(&part, &space).expect("fits as it is");
                assert_eq!(pose.turn_deg, 0.0, "case {case}, {turn_deg}");
                let placed = place(&part, &Pose::new(Down::ZMinus, 0.0));
                let told = search.clearance(&placed, pose.at_mm);
                assert!(
                    pose.margin_mm < 0.003 || told > pose.margin_mm - 0.004,
                    "case {case}, {turn_deg}: {pose:?} {told}"
                );
                beyond_the_grid += 1;
            }
        }
        match &found {
            Some(pose) => {
                fitted += 1;
                assert!(
                    pose.best_margin_mm >= most - 0.02,
                    "case {case}: {pose:?} {most}"
                );
                // What is told is true: the part placed there is as far from everything as the fit says.
                let placed = place(&part, &Pose::new(Down::ZMinus, pose.turn_deg));
                let told = search.clearance(&placed, pose.at_mm);
                assert!(
                    (told - pose.margin_mm).abs() < 0.004,
                    "case {case}: {pose:?} {told}"
                );
                let (_, room) = search.best_place(pose.turn_deg);
                assert!(
                    pose.margin_mm >= room - 0.004
                        && pose.margin_mm <= room.max(0.0) + search.fine_mm
                );
            }
            None => missed += 1,
        }
    }
    assert!(fitted > 3 && missed > 0, "{fitted} fitted, {missed} missed");
    assert!(beyond_the_grid < 40, "{beyond_the_grid}");
}

#[test]
fn a_round_space_that_narrows_takes_what_its_rims_allow() {
    // A post of 10 beside the middle of a plate of 60: above the plate only 40 across are left.
    let mut part = prism(&rectangle_at([-30.0, -5.0], [30.0, 5.0]), 5.0);
    let post = prism(&rectangle_at([10.0, -5.0], [20.0, 5.0]), 50.0);
    let first = part.vertices_mm.len() as u32;
    part.vertices_mm.extend(post.vertices_mm);
    part.triangles
        .extend(post.triangles.iter().map(|t| t.map(|v| v + first)));
    let mut space = BuildSpace::circle(100.0, 60.0);
    space.narrower_above = vec![Narrowing {
        from_mm: 20.0,
        inset_mm: 30.0,
    }];
    let pose = as_drawn(&part, &space).expect("fits, moved aside");
    // Rims: 50 - |(30 + s, 5)| below, 20 - |(20 - s, 5)| and 20 - |(10 - s, 5)| above, for a part moved by -s.
    let room = |s: f64| {
        let below = 50.0 - (30.0 + s).hypot(5.0);
        let above = 20.0 - (20.0 - s).hypot(5.0).max((10.0 - s).hypot(5.0));
        below.min(above)
    };
    let most = (0..=40_000)
        .map(|i| room(f64::from(i) * 1e-3))
        .fold(f64::NEG_INFINITY, f64::max);
    assert!((pose.margin_mm - most).abs() < 1e-3, "{pose:?} {most}");
    space.narrower_above[0].inset_mm = 44.0;
    let miss = Footprints::of(&part)
        .pose_fit(Down::ZMinus, &space)
        .unwrap_err();
    assert!(
        miss.words.contains("where the space is narrower"),
        "{}",
        miss.words
    );
}

#[test]
fn what_the_nozzle_does_not_reach_is_no_bed() {
    let mut space = BuildSpace::rectangle(300.0, 200.0, 50.0);
    space.reach = Some(Place {
        from_mm: [20.0, 0.0],
        to_mm: [320.0, 150.0],
    });
    let pose = as_drawn(&block(100.0, 50.0, 10.0), &space).unwrap();
    assert_eq!(pose.sides_mm, [90.0, 90.0, 50.0, 50.0]);
    assert_eq!(pose.at_mm, [110.0, 50.0]);
    assert!(as_drawn(&block(281.0, 140.0, 10.0), &space).is_none());
    // On a round bed: 40 mm kept to one side of the middle.
    let mut round = BuildSpace::circle(200.0, 50.0);
    round.reach = Some(Place {
        from_mm: [-100.0, -40.0],
        to_mm: [100.0, 40.0],
    });
    let pose = as_drawn(&block(100.0, 60.0, 10.0), &round).unwrap();
    assert!((pose.margin_mm - 10.0).abs() < 1e-6, "{pose:?}");
    assert!(as_drawn(&block(60.0, 100.0, 10.0), &round).is_some_and(|pose| pose.turn_deg == 90.0));
    assert!(as_drawn(&block(85.0, 85.0, 10.0), &round).is_none());
}

#[test]
fn room_for_a_brim_is_kept_on_every_side() {
    let bar = block(100.0, 40.0, 10.0);
    let space = BuildSpace::rectangle(120.0, 60.0, 50.0).with_margin(3.0);
    assert!((as_drawn(&bar, &space).unwrap().margin_mm - 7.0).abs() < 1e-12);
    assert!((as_drawn(&bar, &space.with_room_for(5.0)).unwrap().margin_mm - 2.0).abs() < 1e-12);
    assert!(as_drawn(&bar, &space.with_room_for(7.1)).is_none());
    let round = BuildSpace::circle(120.0, 50.0);
    let room = 60.0 - 50.0_f64.hypot(20.0);
    assert!(
        (as_drawn(&bar, &round.with_room_for(5.0)).unwrap().margin_mm - room + 5.0).abs() < 1e-9
    );
}

#[test]
fn beds_of_nonsense_hold_nothing_and_never_panic() {
    let part = block(10.0, 20.0, 5.0);
    let odd = [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -5.0, 0.0, 1e300];
    for bad in odd {
        let mut spaces = vec![
            BuildSpace::rectangle(bad, 100.0, 50.0),
            BuildSpace::circle(bad, 50.0),
            polygon(&[[0.0, 0.0], [bad, 0.0], [0.0, 100.0]], 50.0),
            polygon(&[[bad, bad]], 50.0),
            polygon(&[], 50.0),
            BuildSpace::rectangle(100.0, 100.0, 50.0).with_margin(bad),
            BuildSpace::rectangle(100.0, 100.0, 50.0).with_room_for(bad),
        ];
        let mut kept = BuildSpace::rectangle(100.0, 100.0, 50.0);
        kept.keep_out_mm = vec![vec![[bad, 0.0], [10.0, bad], [0.0, 10.0]]];
        kept.reach = Some(Place {
            from_mm: [bad, 0.0],
            to_mm: [100.0, bad],
        });
        kept.narrower_above = vec![Narrowing {
            from_mm: bad,
            inset_mm: bad,
        }];
        spaces.push(kept);
        for space in spaces {
            let answer = beadtally::pose::fit_machine(&Footprints::of(&part), &space);
            assert!(answer.fits || answer.nearest_miss.is_some());
            let _ = (space.holds_box([10.0, 20.0, 5.0]), space.fault());
        }
    }
}

#[test]
fn pieces_and_boxes_are_told_on_odd_beds_too() {
    let mut space = BuildSpace::rectangle(100.0, 100.0, 50.0);
    space.keep_out_mm = vec![rectangle_at([60.0, 60.0], [100.0, 100.0])];
    assert!(space.holds_box([100.0, 59.0, 50.0]) && !space.holds_box([80.0, 70.0, 50.0]));
    let answer = beadtally::pose::fit_machine(&Footprints::of(&block(118.0, 98.0, 50.0)), &space);
    assert!(!answer.fits);
    assert_eq!(answer.pieces_if_cut, Some(2));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn a_larger_bed_or_a_smaller_keep_out_never_loses_a_fit(
        a in 30.0..95.0_f64, b in 30.0..95.0_f64, w in 5.0..25.0_f64, cut in 5.0..60.0_f64,
        more in prop_oneof![Just(0.0), 0.0..0.01_f64, 0.0..10.0_f64], less in prop_oneof![Just(0.0), 0.0..0.01_f64, 0.0..5.0_f64],
    ) {
        let part = prism(&l_shape(a, b, w), 5.0);
        let space = |side: f64, cut: f64| {
            let mut space = BuildSpace::rectangle(side, side, 10.0);
            space.keep_out_mm = vec![rectangle_at([side - cut, side - cut], [side, side])];
            space
        };
        let small = as_drawn(&part, &space(95.0, cut));
        let mut larger = space(95.0 + more, cut);
        // The same keep-out on a larger bed, less some of it.
        larger.keep_out_mm = vec![rectangle_at([95.0 - cut + less, 95.0 - cut + less], [95.0, 95.0])];
        if more > 0.0 {
            larger.keep_out_mm.push(Vec::new());
        }
        if let Some(small) = small {
            let large = as_drawn(&part, &larger);
            prop_assert!(large.is_some());
            prop_assert!(large.unwrap().best_margin_mm >= small.best_margin_mm - 0.02);
        }
    }

    #[test]
    fn a_larger_polygon_never_loses_a_fit(seed in 0..100_000_u64, count in 3..9_usize, more in 1.0..1.2_f64) {
        let mut next = random(seed);
        let bed = convex_ring(&mut next, count, [130.0, 110.0]);
        let part = prism(&convex_ring(&mut next, count, [100.0, 50.0]), 5.0);
        let larger: Vec<[f64; 2]> = bed.iter().map(|p| p.map(|v| v * more)).collect();
        // A polygon holds a larger one of itself only where it holds the point it grows about.
        prop_assume!(inside(&bed, [0.0, 0.0]));
        if let Some(small) = as_drawn(&part, &polygon(&bed, 10.0)) {
            let large = as_drawn(&part, &polygon(&larger, 10.0));
            prop_assert!(large.is_some_and(|large| large.best_margin_mm >= small.best_margin_mm - 1e-6));
        }
    }
}
