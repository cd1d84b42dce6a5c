//! Acceleration and corner deviation from times whose acceleration and deviation are known.

use beadtally::bead::{
    Course as Layer, Exposed, LayerInput, LayerPlan, Laying, Role, Stroke, plan_layer, route_layer,
};
use beadtally::bench::{CourseKind, Setup, StopwatchPlan, stl_bytes};
use beadtally::mesh::read;
use beadtally::motion::{Limits, time_layer};
use beadtally::pose::{Down, Pose, place};
use beadtally::section::{Layers, Region, sections};
use beadtally::shop::demonstration;

use crate::meshes::job::{bare_limits, one_speed};
use crate::setup;
use crate::small_steps::layer_s;

/// Recovered within this share.
const BOUND: f64 = 0.03;
const LAPS: u32 = 60;
/// Faster than the melt allows: run empty.
const EMPTY_MM_S: Option<f64> = Some(120.0);
/// Machine, nozzle, speed where not the usual, and the acceleration (mm/s2) and deviation (mm) to find again: what the demonstration shop says, and others
/// within what machines do.
const TRUTHS: [(&str, &str, Option<f64>, f64, f64); 9] = [
    ("slow", "0.6-hardened", None, 500.0, 0.02),
    ("slow", "0.4-hardened", None, 300.0, 0.05),
    ("fast", "0.6-hardened", None, 8000.0, 0.02),
    ("fast", "0.4-hardened", None, 20_000.0, 0.005),
    ("fast", "0.8-hardened", EMPTY_MM_S, 5000.0, 0.1),
    ("gantry", "0.8-hardened", None, 1500.0, 0.05),
    ("gantry", "0.6-hardened", None, 900.0, 0.15),
    ("round", "0.4-hardened", None, 3000.0, 0.02),
    ("round", "0.6-hardened", None, 2000.0, 0.01),
];
const KINDS: [CourseKind; 2] = [CourseKind::Long, CourseKind::Short];

fn limits(plan: &StopwatchPlan, a: f64, deviation_mm: f64) -> Limits {
    let speeds = one_speed(plan.speed_mm_s, 100.0);
    Limits {
        corner_deviation_mm: deviation_mm,
        ..bare_limits(speeds, a, None)
    }
}

/// Seconds of the timed laps by the planner: the part's file read, cut and laid layer by layer, of each layer the outermost bead.
fn planner_s(setup: &Setup<'_>, plan: &StopwatchPlan, kind: CourseKind, limits: &Limits) -> f64 {
    let part = read(stl_bytes(&plan.mesh(kind))).unwrap();
    let posed = place(&part.mesh, &Pose::new(Down::ZMinus, 0.0));
    let layers = Layers::of(posed.box_mm().1.z, plan.layer_mm, plan.layer_mm);
    let regions = sections(&posed, &part.topology, &layers).regions;
    let laying = Laying {
        bead: setup.bead,
        perimeters: 1,
        fill: 1.0,
        support_fraction: 0.2,
    };
    let nothing = Region::default();
    let mut nozzle_mm = [0.0; 2];
    // The first two layers are laid before the watch is started.
    (0..2 + plan.laps as usize)
        .map(|k| {
            let whole = plan_layer(
                &LayerInput {
                    section: &regions[k],
                    support: &nothing,
                    exposed: Exposed::Everything,
                    thickness_mm: layers.thickness_mm(k),
                    layer: k,
                },
                &laying,
            );
            let outer = whole.islands.into_iter().map(|paths| {
                let outer = paths.into_iter().filter(|path| path.role == Role::Outer);
                outer.collect()
            });
            let bare = LayerPlan {
                islands: outer.collect(),
                ..LayerPlan::default()
            };
            let course = route_layer(&bare, &mut nozzle_mm);
            let seconds = time_layer(&course, limits, false).seconds() + plan.pause_s;
            if k < 2 { 0.0 } else { seconds }
        })
        .sum()
}

/// The outline moved inwards by half a bead, by hand: every side by itself, then met with the next (elementary).
fn inset(outline: &[[f64; 2]], by: f64) -> Vec<[f64; 2]> {
    let n = outline.len();
    let side = |i: usize| {
        let (p, q) = (outline[i % n], outline[(i + 1) % n]);
        let length = (q[0] - p[0]).hypot(q[1] - p[1]);
        let along = [(q[0] - p[0]) / length, (q[1] - p[1]) / length];
        // Counter-clockwise: the inside lies to the left.
        ([p[0] - by * along[1], p[1] + by * along[0]], along)
    };
    (0..n)
        .map(|i| {
            let ((p, u), (q, v)) = (side(i + n - 1), side(i));
            let t = ((q[0] - p[0]) * v[1] - (q[1] - p[1]) * v[0]) / (u[0] * v[1] - u[1] * v[0]);
            [p[0] + t * u[0], p[1] + t * u[1]]
        })
        .collect()
}

/// Seconds of so many laps run without rest, by small steps along points that are worked out here.
fn steps_s(
    setup: &Setup<'_>,
    plan: &StopwatchPlan,
    kind: CourseKind,
    limits: &Limits,
    laps: usize,
) -> f64 {
    let ring = inset(&plan.course(kind).outline_mm, setup.bead.width_mm() / 2.0);
    let mut points_mm = ring.repeat(laps);
    points_mm.push(ring[0]);
    let mut start = ring[0];
    let stroke = Stroke {
        role: Role::Outer,
        bead_mm2: setup.bead.area_mm2(),
        travel_mm: 0.0,
        points_mm,
        segments_mm: Vec::new(),
        corners: Vec::new(),
    };
    layer_s(
        &Layer {
            strokes: vec![stroke],
        },
        limits,
        false,
        &mut start,
    )
}

/// Reads the times as a watch shows them, to a tenth of a second, and holds what comes out to the truth.
fn recovered(
    plan: &StopwatchPlan,
    [long_s, short_s]: [f64; 2],
    a: f64,
    deviation_mm: f64,
    who: &str,
) {
    let found = plan
        .read(&format!("{long_s:.1},{short_s:.1}"))
        .unwrap()
        .motion;
    println!(
        "{who}: {a} -> {:.1} {:?}; {deviation_mm} -> {:.5} {:?}",
        found.acceleration_mm_s2,
        found.acceleration_within_mm_s2,
        found.corner_deviation_mm,
        found.corner_deviation_within_mm
    );
    assert!(
        (found.acceleration_mm_s2 / a - 1.0).abs() < BOUND,
        "{who}: {found:?}"
    );
    assert!(
        (found.corner_deviation_mm / deviation_mm - 1.0).abs() < BOUND,
        "{who}: {found:?}"
    );
    let holds = |[low, high]: [Option<f64>; 2], truth: f64| {
        low.is_none_or(|low| low <= truth) && high.is_none_or(|high| truth <= high)
    };
    assert!(
        holds(found.acceleration_within_mm_s2, a),
        "{who}: {found:?}"
    );
    assert!(
        holds(found.corner_deviation_within_mm, deviation_mm),
        "{who}: {found:?}"
    );
}

/// Expected: the acceleration and deviation put into the planner, which laid the parts' files.
#[test]
fn times_of_the_planner_give_its_acceleration_and_deviation_back() {
    let shop = demonstration();
    for (machine, nozzle, speed_mm_s, a, deviation_mm) in TRUTHS {
        let setup = setup(&shop, machine, Some(nozzle));
        let plan = StopwatchPlan::of(&setup, speed_mm_s, LAPS, None, false).unwrap();
        let limits = limits(&plan, a, deviation_mm);
        let times = KINDS.map(|kind| planner_s(&setup, &plan, kind, &limits));
        recovered(
            &plan,
            times,
            a,
            deviation_mm,
            &format!("planner, {machine} {nozzle}"),
        );
    }
}

/// Expected: the acceleration and deviation put into small steps along points worked out in this file.
#[test]
fn times_of_small_steps_give_their_acceleration_and_deviation_back() {
    let shop = demonstration();
    for (machine, nozzle, speed_mm_s, a, deviation_mm) in TRUTHS {
        let setup = setup(&shop, machine, Some(nozzle));
        let plan = StopwatchPlan::of(&setup, speed_mm_s, LAPS, None, false).unwrap();
        let limits = limits(&plan, a, deviation_mm);
        let times = KINDS.map(|kind| {
            f64::from(LAPS) * (steps_s(&setup, &plan, kind, &limits, 1) + plan.pause_s)
        });
        recovered(
            &plan,
            times,
            a,
            deviation_mm,
            &format!("steps, {machine} {nozzle}"),
        );
    }
}

/// Expected: as above, for laps that follow each other without rest; two laps less one, away from both ends.
#[test]
fn an_unbroken_line_gives_its_acceleration_and_deviation_back() {
    let shop = demonstration();
    for (machine, nozzle, speed_mm_s, a, deviation_mm) in TRUTHS {
        let setup = setup(&shop, machine, Some(nozzle));
        let plan = StopwatchPlan::of(&setup, speed_mm_s, LAPS, None, true).unwrap();
        let limits = limits(&plan, a, deviation_mm);
        let times = KINDS.map(|kind| {
            let [three, two] = [3, 2].map(|laps| steps_s(&setup, &plan, kind, &limits, laps));
            f64::from(LAPS) * (three - two)
        });
        recovered(
            &plan,
            times,
            a,
            deviation_mm,
            &format!("unbroken, {machine} {nozzle}"),
        );
    }
}

/// Expected: derived; a machine that stops at every corner has no deviation, and a watch can't tell it from a very small one.
#[test]
fn a_machine_that_stops_at_every_corner_reads_as_no_deviation() {
    let shop = demonstration();
    let setup = setup(&shop, "fast", None);
    let plan = StopwatchPlan::of(&setup, None, 100, None, false).unwrap();
    let [long_s, short_s] = KINDS.map(|kind| plan.seconds(kind, 4000.0, 0.0));
    // The watch ran a tenth of a second long on the short course, past what any deviation explains.
    let found = plan.motion(long_s, short_s + 0.1).unwrap();
    assert_eq!(found.corner_deviation_mm, 0.0);
    assert!(
        (found.acceleration_mm_s2 / 4000.0 - 1.0).abs() < BOUND,
        "{found:?}"
    );
    assert_eq!(found.corner_deviation_within_mm[0], Some(0.0));
    assert!(
        found.corner_deviation_within_mm[1].unwrap() < 1e-3,
        "{found:?}"
    );
}

/// Expected: derived. At 50 mm/s, 5000 mm/s2 and 0.1 mm blunt corners may be passed at sqrt(5000 0.1 12.1) = 78 mm/s, so they hold
/// nothing up; a sharper motion of more acceleration takes the same times.
#[test]
fn times_that_two_motions_take_are_refused_with_both_of_them() {
    let shop = demonstration();
    let setup = setup(&shop, "fast", Some("0.8-hardened"));
    let plan = StopwatchPlan::of(&setup, Some(50.0), 100, None, false).unwrap();
    let [long_s, short_s] = KINDS.map(|kind| plan.seconds(kind, 5000.0, 0.1));
    let error = plan.motion(long_s, short_s).unwrap_err().to_string();
    for words in ["5000 mm/s2 with 0.1 mm", "as well as", "higher --speed"] {
        assert!(error.contains(words), "{error} lacks {words}");
    }
}

/// Expected: derived; what is faster or slower than any motion is told with the time at that end.
#[test]
fn times_that_no_motion_takes_are_refused_with_what_they_should_be() {
    let shop = demonstration();
    let setup = setup(&shop, "fast", None);
    let plan = StopwatchPlan::of(&setup, None, 100, None, false).unwrap();
    let [long_s, short_s] = KINDS.map(|kind| plan.seconds(kind, 8000.0, 0.02));
    let least_s = 100.0 * (plan.long.lap_mm() / plan.speed_mm_s + plan.pause_s);
    let refused = |long_s: f64, short_s: f64, says: &[&str]| {
        let error = plan.motion(long_s, short_s).unwrap_err().to_string();
        for words in says {
            assert!(error.contains(words), "{error} lacks {words}");
        }
        assert!(
            !error.contains('\n') && error.contains("time both again"),
            "{error}"
        );
    };
    let fast = format!("less than the {least_s:.1} s");
    refused(
        least_s - 1.0,
        short_s,
        &["the long course took", "100 laps", &fast],
    );
    refused(
        1e7,
        short_s,
        &[
            "the long course took",
            "more than the",
            "acceleration of only 1 mm/s2",
        ],
    );
    refused(
        long_s,
        1.2 * short_s,
        &["the short course took", "a stop at every corner"],
    );
    refused(
        long_s,
        0.8 * short_s,
        &["the short course took", "at any corner deviation"],
    );
}
