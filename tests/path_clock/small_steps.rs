//! The second clock: small steps along the points of a path, and nothing of the program's own timing.

use beadtally::bead::{Course, Role, Stroke};
use beadtally::motion::{Limits, Speeds};

/// Longest step, mm.
const STEP_MM: f64 = 0.002;
/// Least number of steps in a straight, so that short ones get finer steps.
const LEAST_STEPS: usize = 16;
/// A travel longer than this costs a retraction, mm (design text, Motion).
const RETRACTION_OVER_MM: f64 = 2.0;

/// Seconds from rest to rest along corners, with the squared speed at each corner between held to `holds`.
///
/// `v^2 = v0^2 + 2 a ds` forward, the same backward, the lower of both and of the top speed at every step; a step at
/// constant acceleration takes `2 ds/(v0 + v1)` (textbook kinematics).
pub fn stepped_s(straights_mm: &[f64], holds: &[f64], top_mm_s: f64, a: f64) -> f64 {
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
pub fn layer_s(course: &Course, limits: &Limits, first: bool, nozzle_mm: &mut [f64; 2]) -> f64 {
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
