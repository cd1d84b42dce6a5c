//! Which corners of a convex hull set its width in each direction: rotating calipers (Toussaint 1983).

use std::f64::consts::{FRAC_PI_2, PI};

use nalgebra::{Point2, Vector2};

/// The corners that set the width over a range of directions, as the step from one to the other.
pub(in crate::pose) struct Caliper {
    /// The first direction, radians.
    pub from: f64,
    /// The last direction, radians.
    pub to: f64,
    /// From the back corner to the front one, mm.
    pub step: Vector2<f64>,
}

/// Walks a pair of parallel lines around the hull by half a turn: the directions from 0 to pi, in order and without gaps,
/// cut at pi/2. The hull's corners are counter-clockwise, mm.
pub(in crate::pose) fn calipers(hull: &[Point2<f64>]) -> Vec<Caliper> {
    let count = hull.len();
    let ahead = |a: &Point2<f64>, b: &Point2<f64>| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y));
    let (Some(mut front), Some(mut back)) = (
        (0..count).max_by(|&a, &b| ahead(&hull[a], &hull[b])),
        (0..count).min_by(|&a, &b| ahead(&hull[a], &hull[b])),
    ) else {
        return vec![quarter_at(0.0), quarter_at(FRAC_PI_2)];
    };
    let edge = |corner: usize| hull[(corner + 1) % count] - hull[corner];
    let mut found = Vec::with_capacity(count + 2);
    let mut from = 0.0_f64;
    for _ in 0..=2 * count {
        let (front_turns, back_turns) = (square_on(edge(front)), square_on(-edge(back)));
        let to = front_turns.min(back_turns).clamp(from, PI);
        let step = hull[front] - hull[back];
        // A piece that spans the quarter is cut there, so that the half falls into two equal lists.
        for (from, to) in [(from, to.min(FRAC_PI_2)), (from.max(FRAC_PI_2), to)] {
            if from < to {
                found.push(Caliper { from, to, step });
            }
        }
        if to >= PI {
            break;
        }
        from = to;
        if front_turns <= back_turns {
            front = (front + 1) % count;
        } else {
            back = (back + 1) % count;
        }
    }
    found
}

fn quarter_at(from: f64) -> Caliper {
    Caliper {
        from,
        to: from + FRAC_PI_2,
        step: Vector2::zeros(),
    }
}

/// The direction, radians in 0..=pi, that stands square on an edge and points out of the hull; pi where it lies beyond.
fn square_on(edge: Vector2<f64>) -> f64 {
    if edge.x > 0.0 || edge == Vector2::zeros() {
        return PI;
    }
    // Zero less zero is a plain zero, whose arc tangent is on the right side.
    (0.0 - edge.x).atan2(edge.y)
}
