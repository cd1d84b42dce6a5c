//! The seconds of a layer against a second clock that knows only where the nozzle passes: it walks every path in small
//! steps, with corner speeds worked out anew from the points, and calls none of the program's own timing.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod meshes;

use beadtally::bead::{
    Bead, Course, Exposed, LayerInput, Laying, Overhang, Role, Stroke, exposed, plan_layer,
    route_layer, support_regions,
};
use beadtally::motion::{Limits, Speeds, time_layer};
use meshes::job::{Cut, bare_limits, cut, one_speed};
use meshes::solids::torus;
use meshes::{demonstration, inspected};

/// Longest step, mm.
const STEP_MM: f64 = 0.02;
/// Least number of steps in a straight.
const LEAST_STEPS: usize = 16;
/// A travel longer than this costs a retraction, mm (design text, Motion).
const RETRACTION_OVER_MM: f64 = 2.0;

/// Seconds from rest to rest along corners, with the squared speed at each corner between held to `holds`.
///
/// `v^2 = v0^2 + 2 a ds` forward, the same backward, the lower of both and of the top speed at every step; a step at
/// constant acceleration takes `2 ds/(v0 + v1)` (textbook kinematics).
fn stepped_s(straights_mm: &[f64], holds: &[f64], top_mm_s: f64, a: f64) -> f64 {
    let mut steps = Vec::new();
    let mut squared = vec![0.0];
    for (i, length) in straights_mm.iter().enumerate() {
        let n = ((length / STEP_MM).ceil() as usize).max(LEAST_STEPS);
        steps.extend(std::iter::repeat_n(length / n as f64, n));
        squared.extend(std::iter::repeat_n(top_mm_s * top_mm_s, n));
        let end = squared.len() - 1;
        squared[end] = holds.get(i).map_or(0.0, |hold| hold.min(squared[end]));
    }
    for i in 0..steps.len() {
        squared[i + 1] = squared[i + 1].min(squared[i] + 2.0 * a * steps[i]);
    }
    for i in (0..steps.len()).rev() {
        squared[i] = squared[i].min(squared[i + 1] + 2.0 * a * steps[i]);
    }
    steps
        .iter()
        .zip(squared.windows(2))
        .map(|(ds, v)| 2.0 * ds / (v[0].sqrt() + v[1].sqrt()))
        .sum()
}

/// The squared speed allowed through the middle one of three points (design text, Motion):
/// `min( a delta sin(theta/2)/(1 - sin(theta/2)), a (min(l1, l2)/2) tan(theta/2) )`.
fn corner(points: &[[f64; 2]], a: f64, delta: f64) -> f64 {
    let [p, q, r] = points else { unreachable!() };
    let (back, on) = ([p[0] - q[0], p[1] - q[1]], [r[0] - q[0], r[1] - q[1]]);
    // The interior angle: how far it is to turn from the way back to the way on.
    let theta = (back[0] * on[1] - back[1] * on[0])
        .atan2(back[0] * on[0] + back[1] * on[1])
        .abs();
    let sine = (theta / 2.0).sin();
    let shorter = back[0].hypot(back[1]).min(on[0].hypot(on[1]));
    let passing = a * delta * sine / (1.0 - sine);
    let through = a * shorter / 2.0 * (theta / 2.0).tan();
    passing.min(through)
}

/// Greatest speed of a role, by a list of our own.
fn role_speed(role: Role, speeds: &Speeds) -> f64 {
    match role {
        Role::Outer => speeds.outer_mm_s,
        Role::Inner => speeds.inner_mm_s,
        Role::Fill => speeds.fill_mm_s,
        Role::Open => speeds.open_mm_s,
        Role::Sliver => speeds.sliver_mm_s,
        Role::Support => speeds.support_mm_s,
    }
}

fn stroke_s(stroke: &Stroke, limits: &Limits, first: bool) -> f64 {
    let mut top = role_speed(stroke.role, &limits.speeds);
    if first {
        top = top.min(limits.speeds.first_layer_mm_s);
    }
    if let Some(cap) = limits.melt_cap_mm3_s {
        top = top.min(cap / stroke.bead_mm2);
    }
    let a = limits.acceleration_mm_s2;
    if stroke.role == Role::Sliver {
        return stepped_s(&stroke.segments_mm[..1], &[], top, a);
    }
    let mut points = stroke.points_mm.clone();
    points.dedup();
    let straights: Vec<f64> = points
        .windows(2)
        .map(|p| (p[1][0] - p[0][0]).hypot(p[1][1] - p[0][1]))
        .collect();
    let holds: Vec<f64> = points
        .windows(3)
        .map(|three| corner(three, a, limits.corner_deviation_mm))
        .collect();
    stepped_s(&straights, &holds, top, a)
}

/// Seconds of a layer by small steps. `nozzle_mm` goes from stroke to stroke by the strokes' own points.
fn layer_s(course: &Course, limits: &Limits, first: bool, nozzle_mm: &mut [f64; 2]) -> f64 {
    let mut seconds = 0.0;
    for stroke in &course.strokes {
        let (start, end) = (stroke.points_mm[0], *stroke.points_mm.last().unwrap());
        let travel = (start[0] - nozzle_mm[0]).hypot(start[1] - nozzle_mm[1]);
        *nozzle_mm = end;
        if travel > 0.0 {
            let (v, a) = (limits.speeds.travel_mm_s, limits.acceleration_mm_s2);
            seconds += stepped_s(&[travel], &[], v, a);
        }
        if travel > RETRACTION_OVER_MM {
            seconds += limits.retraction_s;
        }
        seconds += stroke_s(stroke, limits, first);
    }
    seconds.max(limits.least_layer_s)
}

/// A machine that motion holds, one that the melt holds, one with a speed for every role, and that with a least layer time.
fn machines() -> [(&'static str, Limits); 4] {
    let slow = Limits {
        retraction_s: 0.9,
        ..bare_limits(one_speed(27.5, 60.0), 500.0, None)
    };
    let fast = Limits {
        speeds: Speeds {
            outer_mm_s: 120.0,
            inner_mm_s: 160.0,
            fill_mm_s: 200.0,
            open_mm_s: 200.0,
            sliver_mm_s: 120.0,
            support_mm_s: 180.0,
            travel_mm_s: 400.0,
            first_layer_mm_s: 50.0,
        },
        retraction_s: 0.3,
        ..bare_limits(one_speed(1.0, 1.0), 8000.0, Some(15.0))
    };
    let sharp = Limits {
        corner_deviation_mm: 0.005,
        melt_cap_mm3_s: None,
        acceleration_mm_s2: 2000.0,
        ..fast
    };
    let cooled = Limits {
        least_layer_s: 20.0,
        ..fast
    };
    [
        ("motion", slow),
        ("melt", fast),
        ("corners", sharp),
        ("cooling", cooled),
    ]
}

/// Both clocks over every layer of a part; the greatest difference as a share.
fn worst_difference(what: &str, cut: &Cut, fill: f64) -> f64 {
    let laying = Laying {
        bead: Bead::of_nozzle(0.6).unwrap(),
        perimeters: 2,
        fill,
        support_fraction: 0.2,
    };
    let base = Overhang {
        angle_deg: 45.0,
        free_span_mm: 0.0,
        free_hole_mm: 0.0,
    };
    let support = support_regions(&cut.regions, &cut.layers, &base);
    let mut roles = Vec::new();
    let machines = machines();
    let (mut routed, mut stepped) = ([0.0; 2], [[0.0; 2]; 4]);
    let mut worst = [(0.0f64, 0); 4];
    let mut sums = [0.0; 4];
    for k in 0..cut.regions.len() {
        let input = LayerInput {
            section: &cut.regions[k],
            support: &support[k],
            exposed: if fill < 1.0 {
                exposed(&cut.regions, k, 3, 3)
            } else {
                Exposed::Everything
            },
            thickness_mm: cut.layers.thickness_mm(k),
            layer: k,
        };
        let course = route_layer(&plan_layer(&input, &laying), &mut routed);
        roles.extend(course.strokes.iter().map(|s| s.role));
        for (m, (name, limits)) in machines.iter().enumerate() {
            let ours = time_layer(&course, limits, k == 0).seconds();
            let second = layer_s(&course, limits, k == 0, &mut stepped[m]);
            // A layer of nothing but lost detail takes no time.
            let off = if second == ours {
                0.0
            } else {
                (ours / second - 1.0).abs()
            };
            assert!(
                off < 0.005,
                "{what}, {name}, layer {k}: {ours} s, by small steps {second} s"
            );
            sums[m] += second;
            if off > worst[m].0 {
                worst[m] = (off, k);
            }
        }
    }
    roles.sort_unstable();
    roles.dedup();
    for (m, (name, _)) in machines.iter().enumerate() {
        println!(
            "{what:12} {name:8} {} layers, {:9.1} s by small steps, worst layer {} off by {:.4} %; roles {:?}",
            cut.regions.len(),
            sums[m],
            worst[m].1,
            100.0 * worst[m].0,
            roles.iter().map(|r| r.name()).collect::<Vec<_>>()
        );
    }
    worst.iter().fold(0.0, |most, w| most.max(w.0))
}

/// Expected: the textbook's `d/v + v/a` for a long straight, `2 sqrt(d/a)` for a short one. Holds the second clock itself.
#[test]
fn small_steps_take_the_textbook_time_of_a_straight() {
    for (d, v, a) in [(100.0, 50.0, 500.0), (10.0, 200.0, 8000.0)] {
        let seconds = stepped_s(&[d], &[], v, a);
        assert!((seconds / (d / v + v / a) - 1.0).abs() < 1e-4, "{d}");
    }
    let seconds = stepped_s(&[1.0], &[], 1000.0, 400.0);
    assert!((seconds / 0.1 - 1.0).abs() < 1e-4);
}

/// Expected: derived, by small steps from the points of the paths (design text, Motion).
#[test]
fn every_layer_of_a_block_takes_the_time_of_small_steps() {
    let part = demonstration("cleat_block.stl");
    let off = worst_difference("cleat_block", &cut(&part, 0.7, 0.36), 1.0);
    assert!(off < 0.005, "{off}");
}

/// Expected: derived, by small steps from the points of the paths (design text, Motion).
#[test]
fn every_layer_of_a_thin_walled_part_takes_the_time_of_small_steps() {
    let part = demonstration("binnacle.stl");
    let off = worst_difference("binnacle", &cut(&part, 0.4, 0.36), 1.0);
    assert!(off < 0.005, "{off}");
}

/// Expected: derived, by small steps from the points of the paths (design text, Motion). Support and open fill are in it.
#[test]
fn every_layer_of_a_ring_on_support_takes_the_time_of_small_steps() {
    let part = inspected(torus(20.0, 9.0, 48, 96));
    let off = worst_difference("torus", &cut(&part, 1.0, 0.36), 0.25);
    assert!(off < 0.005, "{off}");
}
