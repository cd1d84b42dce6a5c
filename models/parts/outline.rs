//! Flat outlines: circles, polygons with rounded corners, and both moved in or lifted to a height.

use std::f64::consts::TAU;

use super::solid::{Point, Ring};

/// A closed outline in a plane, counter-clockwise, mm.
pub type Outline = Vec<[f64; 2]>;

/// The widest angle that one straight piece of a rounded corner stands for, radians (5 degrees).
const ARC_STEP: f64 = TAU / 72.0;

/// A corner of a polygon to be rounded: x, y and the radius, mm (0 leaves it sharp).
pub type Corner = (f64, f64, f64);

/// A circle of `segments` equal chords, its points on the circle.
pub fn circle(centre: [f64; 2], radius_mm: f64, segments: usize) -> Outline {
    (0..segments)
        .map(|i| {
            let angle = TAU * i as f64 / segments as f64;
            [
                centre[0] + radius_mm * angle.cos(),
                centre[1] + radius_mm * angle.sin(),
            ]
        })
        .collect()
}

/// A polygon given counter-clockwise whose corners are rounded by arcs that touch both sides. Corners may turn either
/// way; the arcs of neighbouring corners must not meet.
pub fn rounded_polygon(corners: &[Corner]) -> Outline {
    let n = corners.len();
    (0..n)
        .flat_map(|i| rounded_corner(corners[(i + n - 1) % n], corners[i], corners[(i + 1) % n]))
        .collect()
}

/// A rectangle from `low` to `high`, all corners rounded alike.
pub fn rounded_rectangle(low: [f64; 2], high: [f64; 2], radius_mm: f64) -> Outline {
    rounded_polygon(&[
        (low[0], low[1], radius_mm),
        (high[0], low[1], radius_mm),
        (high[0], high[1], radius_mm),
        (low[0], high[1], radius_mm),
    ])
}

/// The outline moved inward by `by_mm` at every corner, point for point. Right for outlines whose rounded corners have
/// radii above `by_mm`.
pub fn moved_in(outline: &[[f64; 2]], by_mm: f64) -> Outline {
    let n = outline.len();
    (0..n)
        .map(|i| {
            let before = direction(outline[(i + n - 1) % n], outline[i]);
            let after = direction(outline[i], outline[(i + 1) % n]);
            // The left normals of both sides; their sum over (1 + cos) is the mitre of a unit offset.
            let scale = by_mm / (1.0 + before[0] * after[0] + before[1] * after[1]);
            [
                outline[i][0] - scale * (before[1] + after[1]),
                outline[i][1] + scale * (before[0] + after[0]),
            ]
        })
        .collect()
}

/// The outline as a level ring at height `z_mm`.
pub fn at_height(outline: &[[f64; 2]], z_mm: f64) -> Ring {
    outline
        .iter()
        .map(|&[x, y]| -> Point { [x, y, z_mm] })
        .collect()
}

/// The outline, drawn in x and z, as an upright ring at `y_mm`.
pub fn at_depth(outline: &[[f64; 2]], y_mm: f64) -> Ring {
    outline
        .iter()
        .map(|&[x, z]| -> Point { [x, y_mm, z] })
        .collect()
}

/// Rises smoothly from 0 at `from` to 1 at `to`, level at both ends.
pub fn smooth_step(value: f64, from: f64, to: f64) -> f64 {
    let t = ((value - from) / (to - from)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

fn rounded_corner(before: Corner, corner: Corner, after: Corner) -> Outline {
    let (x, y, radius) = corner;
    if radius <= 0.0 {
        return vec![[x, y]];
    }
    let incoming = direction([before.0, before.1], [x, y]);
    let outgoing = direction([x, y], [after.0, after.1]);
    let turn = (incoming[0] * outgoing[1] - incoming[1] * outgoing[0])
        .atan2(incoming[0] * outgoing[0] + incoming[1] * outgoing[1]);
    let set_back = radius * (turn.abs() / 2.0).tan();
    let side = turn.signum();
    let start = [x - set_back * incoming[0], y - set_back * incoming[1]];
    let centre = [
        start[0] - side * radius * incoming[1],
        start[1] + side * radius * incoming[0],
    ];
    let first = (start[1] - centre[1]).atan2(start[0] - centre[0]);
    // Less a hair, so that equal corners always get equally many pieces whatever the rounding of their angles.
    let pieces = (turn.abs() / ARC_STEP - 1e-6).ceil().max(1.0) as usize;
    (0..=pieces)
        .map(|k| {
            let angle = first + turn * k as f64 / pieces as f64;
            [
                centre[0] + radius * angle.cos(),
                centre[1] + radius * angle.sin(),
            ]
        })
        .collect()
}

fn direction(from: [f64; 2], to: [f64; 2]) -> [f64; 2] {
    let (x, y) = (to[0] - from[0], to[1] - from[1]);
    let length = x.hypot(y);
    [x / length, y / length]
}
