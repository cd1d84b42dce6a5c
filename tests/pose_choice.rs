//! The choice of a pose and its guess of support, against bodies whose support is known in closed form.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use beadtally::mesh::Mesh;
use beadtally::pose::{Bed, BuildSpace, ChosenPose, Down, Footprints, SupportGuess, choose_down};
use nalgebra::{Point3, Vector3};

/// A box of its own vertices from corner to corner.
fn add_block(mesh: &mut Mesh, low: [f64; 3], high: [f64; 3]) {
    let first = mesh.vertices_mm.len() as u32;
    for corner in 0..8_usize {
        let pick = |axis: usize| {
            if corner >> axis & 1 == 0 {
                low[axis]
            } else {
                high[axis]
            }
        };
        mesh.vertices_mm
            .push(Point3::new(pick(0), pick(1), pick(2)));
    }
    let quads = [
        [0, 2, 3, 1],
        [4, 5, 7, 6],
        [0, 1, 5, 4],
        [2, 6, 7, 3],
        [0, 4, 6, 2],
        [1, 3, 7, 5],
    ];
    for [a, b, c, d] in quads.map(|quad| quad.map(|corner: u32| first + corner)) {
        mesh.triangles.push([a, b, c]);
        mesh.triangles.push([a, c, d]);
    }
}

fn blocks(blocks: &[([f64; 3], [f64; 3])]) -> Mesh {
    let mut mesh = Mesh {
        vertices_mm: Vec::new(),
        triangles: Vec::new(),
    };
    for (low, high) in blocks {
        add_block(&mut mesh, *low, *high);
    }
    mesh
}

/// A top of 100 x 80 x 6 on four legs of 11 x 9, 40 high, which reach 2 into the top.
fn table() -> Mesh {
    let leg = |x: f64, y: f64| ([x, y, 0.0], [x + 11.0, y + 9.0, 42.0]);
    blocks(&[
        ([0.0, 0.0, 40.0], [100.0, 80.0, 46.0]),
        leg(3.0, 4.0),
        leg(86.0, 4.0),
        leg(3.0, 67.0),
        leg(86.0, 67.0),
    ])
}

fn sphere(radius: f64, steps: u32) -> Mesh {
    let point = |row: u32, column: u32| {
        let (polar, around) = (
            std::f64::consts::PI * f64::from(row) / f64::from(steps),
            std::f64::consts::TAU * f64::from(column % (2 * steps)) / f64::from(2 * steps),
        );
        Point3::new(
            polar.sin() * around.cos(),
            polar.sin() * around.sin(),
            -polar.cos(),
        ) * radius
    };
    let mut mesh = Mesh {
        vertices_mm: Vec::new(),
        triangles: Vec::new(),
    };
    for row in 0..=steps {
        mesh.vertices_mm
            .extend((0..2 * steps).map(|column| point(row, column)));
    }
    let at = |row: u32, column: u32| row * 2 * steps + column % (2 * steps);
    for row in 0..steps {
        for column in 0..2 * steps {
            let [a, b, c, d] = [
                at(row, column),
                at(row, column + 1),
                at(row + 1, column + 1),
                at(row + 1, column),
            ];
            mesh.triangles.push([a, b, c]);
            mesh.triangles.push([a, c, d]);
        }
    }
    mesh
}

fn roomy() -> BuildSpace {
    BuildSpace::rectangle(500.0, 500.0, 500.0)
}

fn choose(mesh: &Mesh, spaces: &[BuildSpace], volume_mm3: f64) -> ChosenPose {
    let guess = SupportGuess {
        overhang_deg: 45.0,
        support_fraction: 1.0,
    };
    choose_down(mesh, &Footprints::of(mesh), spaces, volume_mm3, &guess, &[])
}

fn support(mesh: &Mesh, down: Down) -> f64 {
    let chosen = choose(mesh, &[roomy()], 1000.0);
    chosen
        .candidates
        .iter()
        .find(|candidate| candidate.down == down)
        .unwrap()
        .support_mm3
}

fn assert_near(got: f64, expected: f64, share: f64) {
    assert!(
        (got / expected - 1.0).abs() < share,
        "{got} against {expected}"
    );
}

#[test]
fn a_table_is_supported_under_its_top_and_not_where_its_legs_are() {
    let under = (100.0 * 80.0 - 4.0 * 11.0 * 9.0) * 40.0;
    assert_near(support(&table(), Down::ZMinus), under, 0.03);
    assert_eq!(support(&table(), Down::ZPlus), 0.0);
    // On its side: two legs in the air, seen from above 38 long, over the gap down to the lower two.
    let gap = 2.0 * 40.0 * (86.0 - 14.0) * 9.0 + 2.0 * 40.0 * 9.0 * 3.0;
    assert_near(support(&table(), Down::XMinus), gap, 0.03);
}

#[test]
fn support_that_stands_on_the_part_reaches_down_to_the_part_only() {
    // A C lying open to the side: floor 5, roof from 25 to 30, back wall 10 thick.
    let c = blocks(&[
        ([0.0, 0.0, 0.0], [60.0, 40.0, 5.0]),
        ([0.0, 0.0, 25.0], [60.0, 40.0, 30.0]),
        ([0.0, 0.0, 0.0], [10.0, 40.0, 30.0]),
    ]);
    assert_near(support(&c, Down::ZMinus), 50.0 * 40.0 * 20.0, 0.02);
    assert_near(support(&c, Down::ZPlus), 50.0 * 40.0 * 20.0, 0.02);
    assert_eq!(support(&c, Down::XMinus), 0.0);
    assert_near(support(&c, Down::XPlus), 20.0 * 40.0 * 50.0, 0.02);
}

/// Under the cap that leans past 45 degrees, r = R/sqrt(2) wide: pi r^2 R less the cap's own part of the ball,
/// V = pi R^3 (1/2 - 2/3 (1 - 2^(-3/2))) by integrating R - sqrt(R^2 - r^2).
#[test]
fn a_ball_is_supported_under_its_cap() {
    let radius = 20.0_f64;
    let expected =
        std::f64::consts::PI * radius.powi(3) * (0.5 - 2.0 / 3.0 * (1.0 - 0.5_f64.powf(1.5)));
    for candidate in choose(&sphere(radius, 88), &[roomy()], 33_510.0).candidates {
        assert_near(candidate.support_mm3, expected, 0.03);
    }
}

#[test]
fn a_ball_far_away_needs_the_same_support() {
    let near = sphere(20.0, 40);
    let mut far = near.clone();
    far.vertices_mm
        .iter_mut()
        .for_each(|v| *v += Vector3::new(1e7, -1e7, 1e7));
    assert_near(
        support(&far, Down::ZMinus),
        support(&near, Down::ZMinus),
        1e-3,
    );
}

#[test]
fn a_slope_of_exactly_the_angle_is_not_held_up_and_a_flatter_one_is() {
    let wedge = |rise: f64| Mesh {
        vertices_mm: [
            [0.0, 0.0, 0.0],
            [10.0, 0.0, 0.0],
            [10.0, 30.0, 0.0],
            [0.0, 30.0, 0.0],
            [10.0 + 40.0, 0.0, rise],
            [10.0 + 40.0, 30.0, rise],
            [0.0, 0.0, rise],
            [0.0, 30.0, rise],
        ]
        .map(Point3::from)
        .to_vec(),
        triangles: vec![
            [0, 2, 1],
            [0, 3, 2],
            [1, 2, 5],
            [1, 5, 4],
            [6, 4, 5],
            [6, 5, 7],
            [0, 1, 4],
            [0, 4, 6],
            [3, 5, 2],
            [3, 7, 5],
            [0, 6, 7],
            [0, 7, 3],
        ],
    };
    assert_eq!(support(&wedge(40.0), Down::ZMinus), 0.0);
    assert_near(
        support(&wedge(39.0), Down::ZMinus),
        0.5 * 40.0 * 39.0 * 30.0,
        0.02,
    );
}

#[test]
fn overlapping_bodies_do_not_hold_up_each_others_insides() {
    let stacked = blocks(&[
        ([0.0; 3], [30.0, 30.0, 20.0]),
        ([0.0, 0.0, 15.0], [30.0, 30.0, 40.0]),
    ]);
    let touching = blocks(&[
        ([0.0; 3], [30.0, 30.0, 20.0]),
        ([0.0, 0.0, 20.0], [30.0, 30.0, 40.0]),
    ]);
    for part in [stacked, touching] {
        for candidate in choose(&part, &[roomy()], 36_000.0).candidates {
            assert_eq!(candidate.support_mm3, 0.0, "{}", candidate.down);
        }
    }
}

#[test]
fn a_table_is_printed_upside_down() {
    let chosen = choose(&table(), &[roomy()], 64_000.0);
    assert_eq!(chosen.down, Down::ZPlus);
    assert_eq!(
        chosen.why,
        "upside down: the lowest of the poses that need little support, 46.0 mm high, no support"
    );
}

#[test]
fn a_block_lies_flat_and_stays_as_drawn_where_that_is_as_low() {
    let flat = blocks(&[([0.0; 3], [50.0, 80.0, 10.0])]);
    let chosen = choose(&flat, &[roomy()], 40_000.0);
    assert_eq!(chosen.down, Down::ZMinus);
    assert_eq!(
        chosen.why,
        "as drawn: no pose is lower, 10.0 mm high, no support"
    );
    let standing = blocks(&[([0.0; 3], [50.0, 10.0, 80.0])]);
    assert_eq!(choose(&standing, &[roomy()], 40_000.0).down, Down::YMinus);
    let cube = blocks(&[([0.1; 3], [10.1; 3])]);
    assert_eq!(choose(&cube, &[roomy()], 1000.0).down, Down::ZMinus);
}

#[test]
fn a_pose_that_fits_nowhere_is_not_chosen_while_another_fits() {
    let flat = blocks(&[([0.0; 3], [50.0, 80.0, 10.0])]);
    let shaft = BuildSpace {
        bed: Bed::Rectangle {
            x_mm: 52.0,
            y_mm: 20.0,
        },
        ..roomy()
    };
    let chosen = choose(&flat, &[shaft], 40_000.0);
    assert_eq!(chosen.down, Down::YMinus);
    let fitting: Vec<_> = chosen
        .candidates
        .iter()
        .filter(|c| c.fits_somewhere)
        .map(|c| c.down)
        .collect();
    assert_eq!(fitting, [Down::YMinus, Down::YPlus]);
}

#[test]
fn where_nothing_fits_all_six_are_weighed_and_the_reason_says_so() {
    let flat = blocks(&[([0.0; 3], [50.0, 80.0, 10.0])]);
    let tiny = BuildSpace::circle(5.0, 5.0);
    let chosen = choose(&flat, &[tiny], 40_000.0);
    assert_eq!(chosen.down, Down::ZMinus);
    assert!(
        chosen
            .why
            .ends_with("; no pose fits any machine, so all six were weighed")
    );
    assert!(
        choose(&flat, &[], 40_000.0)
            .why
            .contains("no pose fits any machine")
    );
}

#[test]
fn a_stack_of_many_leaves_is_weighed_in_bounded_memory() {
    let leaves: Vec<_> = (0..80)
        .map(|i| {
            (
                [0.0, 0.0, 0.01 * f64::from(i)],
                [50.0, 50.0, 0.01 * f64::from(i) + 0.005],
            )
        })
        .collect();
    let mesh = blocks(&leaves);
    assert_near(
        support(&mesh, Down::ZMinus),
        50.0 * 50.0 * 0.005 * 79.0,
        1e-6,
    );
}

#[test]
fn the_same_part_gives_the_same_figures_every_time() {
    let ball = sphere(13.0, 30);
    assert_eq!(
        choose(&ball, &[roomy()], 9000.0),
        choose(&ball, &[roomy()], 9000.0)
    );
}
