//! Drops the points of a closed contour that lie within a tolerance of the line through those kept (Douglas & Peucker
//! 1973). The polygon library's own version calls itself once per kept point and could run out of stack on a hostile
//! contour; this one keeps its own stack.

use clipper2_rust::{Path64, Point64};

/// Thins a closed ring. The result does not depend on where the ring's list starts, so two layers with the same contour
/// give the same points. Rings that would keep fewer than three points come back empty.
pub(crate) fn thin_ring(ring: &[Point64], tolerance: f64) -> Path64 {
    let Some(first) = (0..ring.len()).min_by_key(|i| (ring[*i].x, ring[*i].y)) else {
        return Vec::new();
    };
    let count = ring.len();
    let at = |i: usize| ring[(first + i) % count];
    let far = (1..count)
        .max_by_key(|i| squared_distance(at(*i), at(0)))
        .unwrap_or(0);
    if far == 0 || squared_distance(at(far), at(0)) == 0 {
        return Vec::new();
    }
    let mut keep = vec![false; count + 1];
    keep[0] = true;
    keep[far] = true;
    let mut open = vec![(0, far), (far, count)];
    while let Some((from, to)) = open.pop() {
        let farthest = (from + 1..to)
            .map(|i| (squared_distance_to_segment(at(i), at(from), at(to)), i))
            .fold(
                (0.0, from),
                |best, next| if next.0 > best.0 { next } else { best },
            );
        if farthest.0 > tolerance * tolerance {
            keep[farthest.1] = true;
            open.push((from, farthest.1));
            open.push((farthest.1, to));
        }
    }
    let thinned: Path64 = (0..count).filter(|i| keep[*i]).map(at).collect();
    if thinned.len() < 3 {
        Vec::new()
    } else {
        thinned
    }
}

fn squared_distance(a: Point64, b: Point64) -> i128 {
    let (x, y) = (i128::from(a.x - b.x), i128::from(a.y - b.y));
    x * x + y * y
}

fn squared_distance_to_segment(p: Point64, a: Point64, b: Point64) -> f64 {
    let (ux, uy) = ((b.x - a.x) as f64, (b.y - a.y) as f64);
    let (vx, vy) = ((p.x - a.x) as f64, (p.y - a.y) as f64);
    let along = ux * ux + uy * uy;
    let t = if along == 0.0 {
        0.0
    } else {
        ((ux * vx + uy * vy) / along).clamp(0.0, 1.0)
    };
    let (x, y) = (vx - t * ux, vy - t * uy);
    x * x + y * y
}
