//! Whether a flat polygon is simple, as cutting ears off it needs: on one that crosses itself that takes time with the
//! square of its corners and more, and a stranger's file may hold many.

use std::f64::consts::TAU;

/// Pairs of sides that are compared for each side of a polygon at most; more come up only where very many sides lie
/// beside one another in both directions.
const PAIRS_PER_SIDE: usize = 200;

/// Whether a counter-clockwise polygon goes round once and crosses itself nowhere. It may touch itself, as it does where a
/// side is walked there and back to reach a hole. A polygon that takes too long to judge is not.
pub(super) fn is_simple(flat: &[[f64; 2]]) -> bool {
    goes_round_once(flat) && !crosses_itself(flat)
}

/// The exterior angles of a simple polygon add up to one turn.
fn goes_round_once(flat: &[[f64; 2]]) -> bool {
    let count = flat.len();
    let side = |i: usize| difference(flat[(i + 1) % count], flat[i % count]);
    let turn: f64 = (0..count)
        .map(|i| {
            let (u, v) = (side(i), side(i + 1));
            cross(u, v).atan2(u[0] * v[0] + u[1] * v[1])
        })
        .sum();
    (turn - TAU).abs() < 0.01
}

fn crosses_itself(flat: &[[f64; 2]]) -> bool {
    let count = flat.len();
    let extent = |axis: usize| {
        let along = || flat.iter().map(|p| p[axis]);
        along().fold(f64::MIN, f64::max) - along().fold(f64::MAX, f64::min)
    };
    let (along, across) = if extent(0) >= extent(1) {
        (0, 1)
    } else {
        (1, 0)
    };
    let mut sides: Vec<[[f64; 2]; 2]> = (0..count)
        .map(|i| [flat[i], flat[(i + 1) % count]])
        .collect();
    let low = |side: &[[f64; 2]; 2], axis: usize| side[0][axis].min(side[1][axis]);
    let high = |side: &[[f64; 2]; 2], axis: usize| side[0][axis].max(side[1][axis]);
    sides.sort_by(|a, b| low(a, along).total_cmp(&low(b, along)));
    let mut pairs_left = PAIRS_PER_SIDE * count;
    for (at, side) in sides.iter().enumerate() {
        let end = high(side, along);
        for other in sides[at + 1..].iter().take_while(|o| low(o, along) <= end) {
            let Some(left) = pairs_left.checked_sub(1) else {
                return true;
            };
            pairs_left = left;
            let beside =
                low(other, across) > high(side, across) || high(other, across) < low(side, across);
            if !beside && cross_each_other(side, other) {
                return true;
            }
        }
    }
    false
}

/// Whether each of two sides has one end on either hand of the other; touching is not crossing.
fn cross_each_other([a, b]: &[[f64; 2]; 2], [c, d]: &[[f64; 2]; 2]) -> bool {
    let hand =
        |p: &[f64; 2], q: &[f64; 2], r: &[f64; 2]| cross(difference(*q, *p), difference(*r, *p));
    hand(a, b, c) * hand(a, b, d) < 0.0 && hand(c, d, a) * hand(c, d, b) < 0.0
}

fn difference(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0] - b[0], a[1] - b[1]]
}

fn cross(u: [f64; 2], v: [f64; 2]) -> f64 {
    u[0] * v[1] - u[1] * v[0]
}
