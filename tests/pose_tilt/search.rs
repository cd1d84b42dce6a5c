use beadtally::mesh::Mesh;
use beadtally::pose::{
    BuildSpace, Footprints, Rest, SearchBudget, TiltOutcome, place, search_tilted,
};
use nalgebra::{Point3, Vector3};

use super::{block, points, random, room, round, searched};

fn regular_tetrahedron(edge: f64) -> Mesh {
    let half = edge / 2.0_f64.sqrt() / 2.0;
    let corners = [
        [1.0, 1.0, 1.0],
        [1.0, -1.0, -1.0],
        [-1.0, 1.0, -1.0],
        [-1.0, -1.0, 1.0],
    ];
    // Turned, so that the pose sought is none of the axes.
    let turn = Rest::on(Vector3::new(0.3, -0.5, 0.8)).unwrap().rotation();
    Mesh {
        vertices_mm: corners
            .map(|corner| turn * Point3::from(corner.map(|c: f64| c * half)))
            .to_vec(),
        triangles: vec![[0, 1, 2], [0, 3, 1], [0, 2, 3], [1, 3, 2]],
    }
}

fn proven_not(mesh: &Mesh, space: &BuildSpace) -> String {
    let answer = searched(mesh, space);
    assert!(answer.found.is_empty());
    match &answer.outcome {
        TiltOutcome::ProvenNot { .. } => answer.in_words(),
        other => panic!("{other:?}"),
    }
}

fn found(mesh: &Mesh, space: &BuildSpace) {
    let answer = searched(mesh, space);
    assert_eq!(answer.outcome, TiltOutcome::Fits, "{}", answer.in_words());
    for pose in &answer.found {
        let (low, high) = place(mesh, &pose.pose()).box_mm();
        assert!((high - low - Vector3::from(pose.size_mm)).norm() < 1e-9);
        assert!(high.z - low.z <= space.height_mm * (1.0 + 1e-8));
    }
}

/// The cube around a regular tetrahedron of edge 1 has the side 1/sqrt 2: half the volume of the best box with a face
/// flush (references.md 4.3, DERIVED; O'Rourke 1985, from memory). It stands on an edge there.
#[test]
fn a_regular_tetrahedron_fits_its_cube_on_an_edge_and_no_smaller_one() {
    let side = 100.0 / 2.0_f64.sqrt();
    let part = regular_tetrahedron(100.0);
    found(&part, &room(side, side, side));
    found(&part, &room(1.01 * side, 1.01 * side, 1.01 * side));
    let said = proven_not(&part, &room(0.99 * side, 0.99 * side, 0.99 * side));
    // The least width of the regular tetrahedron is that between opposite edges, 1/sqrt 2 (textbook).
    assert_eq!(
        said,
        "no pose of this part fits: its thinnest box is 70.7 mm across and the space offers at most 70.0 mm"
    );
}

/// A rod of square section in a cube: with its axis along the space diagonal and turned about it the best way, a rod of side
/// a and length c needs, in the direction of each axis of the cube, c/sqrt 3 plus what the section adds. DERIVED: a section
/// axis e and f with e + i f along the cube roots of unity times sqrt(2/3) gives at most a sqrt(2/3) sqrt 2 in each.
#[test]
fn a_long_rod_is_found_along_the_space_diagonal_tilted_both_ways() {
    for (c, a) in [(160.0, 3.0), (150.0, 8.0)] {
        let needed = c / 3.0_f64.sqrt() + a * 2.0 / 3.0_f64.sqrt();
        let cube = room(needed, needed, needed);
        let rod = block([a, a, c]);
        assert!(c > needed * 2.0_f64.sqrt(), "no tilt one way is enough");
        found(&rod, &cube);
        let answer = searched(&rod, &cube);
        // Every axis of the cube is 54.7 degrees off the rod's, so 35.3 or more off its section's.
        assert!(answer.found[0].tilt_deg > 30.0);
    }
    assert!(proven_not(&block([3.0, 3.0, 174.0]), &room(100.0, 100.0, 100.0)).contains("mm long"));
}

#[test]
fn every_quick_proof_speaks_in_plain_words() {
    let cases = [
        (
            block([90.0, 90.0, 90.0]),
            room(80.0, 100.0, 1000.0),
            "thinnest box is 90.0 mm across and the space offers at most 80.0 mm",
        ),
        (
            block([10.0, 10.0, 200.0]),
            room(100.0, 100.0, 100.0),
            "200.5 mm long and the space is 173.2 mm from corner to corner",
        ),
        (
            block([95.0, 90.0, 98.0]),
            room(110.0, 96.0, 80.0),
            "thinnest",
        ),
        (
            block([59.0, 120.0, 121.0]),
            room(60.0, 100.0, 140.0),
            "volume of its convex hull is 856680.0 mm3 and the space's is 840000.0 mm3",
        ),
        (
            block([2.0, 130.0, 130.0]),
            room(60.0, 125.0, 125.0),
            "every direction was ruled out",
        ),
    ];
    for (part, space, words) in cases {
        let said = proven_not(&part, &space);
        assert!(said.contains(words), "{said}");
        assert!(said.starts_with("no pose of this part fits: "));
    }
}

/// If a box fits a box, the sum of its sides, the sum of their squares and its surface are no larger (references.md 4.2, SEEN).
#[test]
fn a_box_found_to_fit_a_box_keeps_the_laws_of_boxes() {
    let mut next = random(42);
    let (mut fits, mut proven, mut open) = (0, 0, 0);
    for _ in 0..150 {
        let sides = [(); 3].map(|()| 20.0 + 100.0 * next() * next());
        let space = [(); 3].map(|()| 30.0 + 80.0 * next());
        let sum = |s: [f64; 3]| s[0] + s[1] + s[2];
        let squares = |s: [f64; 3]| s[0] * s[0] + s[1] * s[1] + s[2] * s[2];
        let surface = |s: [f64; 3]| s[0] * s[1] + s[1] * s[2] + s[2] * s[0];
        let lawful = [sum as fn([f64; 3]) -> f64, squares, surface]
            .iter()
            .all(|law| law(sides) <= law(space));
        let answer = searched(&block(sides), &room(space[0], space[1], space[2]));
        let sorted = |mut s: [f64; 3]| {
            s.sort_by(f64::total_cmp);
            s
        };
        let square = sorted(sides)
            .iter()
            .zip(sorted(space))
            .all(|(side, room)| *side <= room);
        match answer.outcome {
            TiltOutcome::Fits => {
                assert!(lawful, "{sides:?} {space:?}");
                fits += 1;
            }
            TiltOutcome::ProvenNot { .. } => {
                assert!(!square, "{sides:?} {space:?}");
                proven += 1;
            }
            TiltOutcome::NotFound { .. } => {
                assert!(!square, "{sides:?} {space:?}");
                open += 1;
            }
        }
        if !lawful {
            assert!(
                matches!(answer.outcome, TiltOutcome::ProvenNot { .. }),
                "{sides:?} {space:?}"
            );
        }
    }
    assert!(
        fits > 20 && proven > 20 && open < 15,
        "{fits} {proven} {open}"
    );
}

/// A box turned in space: a quaternion of four random numbers.
fn rotation(next: &mut impl FnMut() -> f64) -> Option<nalgebra::UnitQuaternion<f64>> {
    let [w, i, j, k] = [(); 4].map(|()| 2.0 * next() - 1.0);
    let length = (w * w + i * i + j * j + k * k).sqrt();
    (0.1..=1.0)
        .contains(&length)
        .then(|| nalgebra::UnitQuaternion::new_normalize(nalgebra::Quaternion::new(w, i, j, k)))
}

/// Room that is left in the tightest direction, mm, by the corners alone.
fn slack(corners: &[Point3<f64>], turn: &nalgebra::UnitQuaternion<f64>, room: [f64; 3]) -> f64 {
    let mut low = [f64::INFINITY; 3];
    let mut high = [f64::NEG_INFINITY; 3];
    for corner in corners {
        let at = turn * corner;
        for axis in 0..3 {
            low[axis] = low[axis].min(at[axis]);
            high[axis] = high[axis].max(at[axis]);
        }
    }
    (0..3)
        .map(|axis| room[axis] - (high[axis] - low[axis]))
        .fold(f64::INFINITY, f64::min)
}

/// Thousands of random rotations, by no code of the room: none fits what is proven not to fit, and what one fits with
/// room to spare is found.
#[test]
fn random_rotations_never_contradict_the_search() {
    let mut next = random(2026);
    let (mut fits, mut proven) = (0, 0);
    for case in 0..40 {
        let corners: Vec<_> = (0..5 + case % 12)
            .map(|_| Point3::new(120.0 * next(), 60.0 * next(), 40.0 * next()))
            .collect();
        let mesh = points(corners.clone());
        let size = mesh.size_mm();
        let share = 0.72 + 0.22 * next();
        let space = [
            size.x * share,
            (size.y + size.z) / 2.0 * (0.8 + 0.4 * next()),
            size.y * (0.8 + 0.3 * next()),
        ];
        let answer = searched(&mesh, &room(space[0], space[1], space[2]));
        let mut most = f64::NEG_INFINITY;
        for _ in 0..10_000 {
            if let Some(turn) = rotation(&mut next) {
                most = most.max(slack(&corners, &turn, space));
            }
        }
        match answer.outcome {
            TiltOutcome::Fits => fits += 1,
            TiltOutcome::ProvenNot { why } => {
                assert!(most < 0.0, "case {case}: {why}, yet {most}");
                proven += 1;
            }
            TiltOutcome::NotFound { .. } => assert!(most < 0.0, "case {case}: {most}"),
        }
    }
    assert!(fits > 8 && proven > 8, "{fits} {proven}");
}

/// The same on round beds: what fits a cylinder fits the square around it, and what fits the square in it fits it.
#[test]
fn a_round_bed_lies_between_the_square_in_it_and_the_square_around_it() {
    let mut next = random(9);
    let mut told = 0;
    for _ in 0..25 {
        let corners = (0..9)
            .map(|_| Point3::new(100.0 * next(), 50.0 * next(), 30.0 * next()))
            .collect();
        let mesh = points(corners);
        let (across, height) = (60.0 + 40.0 * next(), 30.0 + 50.0 * next());
        let outcome = |space| searched(&mesh, &space).outcome;
        let inner = across / 2.0_f64.sqrt();
        let disc = outcome(round(across, height));
        if matches!(disc, TiltOutcome::ProvenNot { .. }) {
            assert_ne!(outcome(room(inner, inner, height)), TiltOutcome::Fits);
            told += 1;
        }
        if disc == TiltOutcome::Fits {
            assert!(!matches!(
                outcome(room(across, across, height)),
                TiltOutcome::ProvenNot { .. }
            ));
            told += 1;
        }
    }
    assert!(told > 15, "{told}");
}

#[test]
fn a_spent_budget_is_no_proof() {
    let mesh = block([100.0, 99.0, 8.0]);
    let space = room(101.0, 90.0, 50.0);
    let footprints = Footprints::of(&mesh);
    let budget = SearchBudget {
        poses: 60,
        ..SearchBudget::default()
    };
    let answer = search_tilted(&footprints, &space, &budget);
    assert!(answer.outcome != TiltOutcome::Fits);
    if let TiltOutcome::NotFound { to_the_end, .. } = answer.outcome {
        assert!(!to_the_end);
    }
}

#[test]
fn one_thread_and_many_give_the_same_answer() {
    let mut next = random(3);
    let mesh = points(
        (0..4000)
            .map(|_| Point3::new(120.0 * next(), 60.0 * next(), 40.0 * next()))
            .collect(),
    );
    let one = rayon::ThreadPoolBuilder::new()
        .num_threads(1)
        .build()
        .unwrap();
    for space in [
        room(105.0, 60.0, 60.0),
        room(100.0, 58.0, 58.0),
        round(110.0, 70.0),
    ] {
        let many = searched(&mesh, &space);
        assert_eq!(one.install(|| searched(&mesh, &space)), many);
    }
}
