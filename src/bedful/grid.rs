//! The best plain grid: rows and columns of one outline's box, at the best of all turns.
//!
//! Width and depth of a hull at turn `t` are, between the turns at which a side of it lies square to the bed, each the
//! length of one diagonal times the cosine of an angle that grows with `t`. A room of `X` holds `k` columns where the width
//! is at most `(X + c)/k - c`. The turns at which a given grid fits are thus closed ranges whose ends are turns at which
//! a width or depth passes such a limit, or lies square; the greatest count is found at one of those ends.

use nalgebra::{Point2, Vector2};

use super::MOST_COPIES;

/// Lengths closer than this are the same, as a share of the room: rounding of sums in double precision.
const SAME_SHARE: f64 = 1e-9;
/// A hull has no more corners than this when it is turned in every way; one with more is one that rounding made.
const MOST_TURNS: usize = 20_000;

/// A plain grid in a rectangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Grid {
    pub turn_deg: f64,
    pub columns: u32,
    pub rows: u32,
    /// The least room left over of both ways, mm.
    pub spare_mm: f64,
}

impl Grid {
    pub fn copies(&self) -> u32 {
        self.columns.saturating_mul(self.rows)
    }
}

/// The best grid of boxes around a hull over all turns (or over some) in a room, with a clearance between boxes: the most
/// copies, then the most room to spare.
pub(super) fn best_grid(
    hull: &[Point2<f64>],
    room_mm: [f64; 2],
    clearance_mm: f64,
    only: Option<&[f64]>,
) -> Option<Grid> {
    let mut turns = match only {
        Some(turns) => turns.to_vec(),
        None => critical_turns(hull, room_mm, clearance_mm),
    };
    turns.sort_by(f64::total_cmp);
    turns.dedup();
    if only.is_none() {
        // Inside a range there is more room than at its ends.
        let middles: Vec<f64> = turns
            .windows(2)
            .map(|pair| (pair[0] + pair[1]) / 2.0)
            .collect();
        turns.extend(middles);
    }
    let grids = turns
        .iter()
        .map(|turn| grid_at(hull, room_mm, clearance_mm, *turn));
    let roomy = |a: &Grid, b: &Grid| {
        let spare = a.spare_mm.total_cmp(&b.spare_mm);
        // Of equals the least turn, so that a square part stays square.
        a.copies()
            .cmp(&b.copies())
            .then(spare)
            .then(b.turn_deg.total_cmp(&a.turn_deg))
    };
    grids.filter(|grid| grid.copies() > 0).max_by(roomy)
}

fn grid_at(hull: &[Point2<f64>], room_mm: [f64; 2], clearance_mm: f64, turn_deg: f64) -> Grid {
    let size = size_at(hull, turn_deg);
    let count = |axis: usize| {
        let room = room_mm[axis] * (1.0 + SAME_SHARE);
        if size[axis] > room {
            return 0;
        }
        let pitch = (size[axis] + clearance_mm).max(f64::MIN_POSITIVE);
        let counted = ((room + clearance_mm) / pitch).floor();
        counted.clamp(0.0, f64::from(MOST_COPIES)) as u32
    };
    let (columns, rows) = (count(0), count(1));
    let spare = |axis: usize, n: u32| {
        room_mm[axis] + clearance_mm - f64::from(n) * (size[axis] + clearance_mm)
    };
    Grid {
        turn_deg,
        columns,
        rows,
        spare_mm: spare(0, columns).min(spare(1, rows)).max(0.0),
    }
}

/// Width and depth of a hull at a turn, mm.
pub(super) fn size_at(hull: &[Point2<f64>], turn_deg: f64) -> [f64; 2] {
    let (cosine, sine) = super::shape::unit(turn_deg);
    let extent = |way: Vector2<f64>| {
        let along = hull.iter().map(|p| p.coords.dot(&way));
        let (low, high) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), at| {
            (low.min(at), high.max(at))
        });
        (high - low).max(0.0)
    };
    [
        extent(Vector2::new(cosine, -sine)),
        extent(Vector2::new(sine, cosine)),
    ]
}

/// The turns in 0..180 at which the best grid can begin: 0, 90, where a side of the hull lies square to the bed, and where
/// the width or the depth is just what a number of columns or rows leaves each.
fn critical_turns(hull: &[Point2<f64>], room_mm: [f64; 2], clearance_mm: f64) -> Vec<f64> {
    let square = square_turns(hull);
    let mut turns = square.clone();
    let limits: [Vec<f64>; 2] = [0, 1].map(|axis| limits_mm(hull, room_mm[axis], clearance_mm));
    for (i, from) in square.iter().enumerate() {
        let to = square.get(i + 1).copied().unwrap_or(180.0);
        let middle = (from + to) / 2.0;
        for (axis, limits) in limits.iter().enumerate() {
            // The same two corners bound the hull at every turn between two square ones.
            let diagonal = diagonal_at(hull, middle, axis);
            let length = diagonal.norm();
            let lies = diagonal.y.atan2(diagonal.x).to_degrees();
            let way = 90.0 * axis as f64;
            for limit in limits.iter().filter(|limit| **limit <= length) {
                let off = (limit / length).acos().to_degrees();
                // The diagonal turned by `t` lies at `lies + t`; its share along the axis is the cosine of the rest.
                for turn in [way - lies + off, way - lies - off] {
                    let turn = turn.rem_euclid(180.0);
                    if turn >= *from && turn <= to && turns.len() < MOST_TURNS {
                        turns.push(turn);
                    }
                }
            }
        }
    }
    turns
}

fn square_turns(hull: &[Point2<f64>]) -> Vec<f64> {
    let sides = (0..hull.len()).map(|i| hull[(i + 1) % hull.len()] - hull[i]);
    let mut turns: Vec<f64> = sides
        .flat_map(|side| {
            let turn = (-side.y.atan2(side.x).to_degrees()).rem_euclid(90.0);
            [turn, turn + 90.0]
        })
        .chain([0.0, 90.0])
        .collect();
    turns.retain(|turn| *turn < 180.0);
    turns.sort_by(f64::total_cmp);
    turns.dedup();
    turns
}

/// The diagonal that bounds a hull along an axis at a turn, from the lower end to the upper.
fn diagonal_at(hull: &[Point2<f64>], turn_deg: f64, axis: usize) -> Vector2<f64> {
    let (cosine, sine) = super::shape::unit(turn_deg);
    let way = [Vector2::new(cosine, -sine), Vector2::new(sine, cosine)][axis];
    let along = |p: &&Point2<f64>| p.coords.dot(&way);
    let by = |a: &&Point2<f64>, b: &&Point2<f64>| along(a).total_cmp(&along(b));
    let ends = hull.iter().max_by(by).zip(hull.iter().min_by(by));
    ends.map_or(Vector2::zeros(), |(high, low)| high - low)
}

/// The widths at which one more column fits, mm, between the least and the greatest the hull can have.
fn limits_mm(hull: &[Point2<f64>], room_mm: f64, clearance_mm: f64) -> Vec<f64> {
    let widths = square_turns(hull)
        .into_iter()
        .map(|turn| size_at(hull, turn)[0]);
    let least_mm = widths.fold(f64::INFINITY, f64::min);
    let limit = |k: u32| (room_mm + clearance_mm) / f64::from(k) - clearance_mm;
    let limits = (1..=MOST_COPIES).map(limit);
    limits
        .take_while(|limit| *limit > 0.0 && *limit >= least_mm * (1.0 - SAME_SHARE))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rectangle(x: f64, y: f64) -> Vec<Point2<f64>> {
        [[0.0, 0.0], [x, 0.0], [x, y], [0.0, y]]
            .map(Point2::from)
            .to_vec()
    }

    #[test]
    fn rectangles_are_counted_as_the_exact_grid_has_them() {
        let copies = |part: [f64; 2], room, clearance| {
            best_grid(&rectangle(part[0], part[1]), room, clearance, None)
                .map(|g| (g.copies(), g.turn_deg))
        };
        assert_eq!(copies([10.0, 20.0], [100.0, 100.0], 0.0), Some((50, 0.0)));
        // 6 x 3 with gaps of 5: 6 (10 + 5) - 5 = 85, 3 (20 + 5) - 5 = 70.
        assert_eq!(copies([10.0, 20.0], [85.0, 70.0], 5.0), Some((18, 0.0)));
        assert_eq!(copies([20.0, 10.0], [85.0, 70.0], 5.0), Some((18, 90.0)));
        assert_eq!(copies([10.0, 20.0], [9.0, 70.0], 5.0), None);
    }

    #[test]
    fn a_strip_longer_than_the_room_is_laid_across_it() {
        // From memory: a strip w x l fits a square of side (w + l)/sqrt 2 at 45 degrees, and no smaller one at any turn
        // once l exceeds the side.
        let side = (2.0 + 100.0) / 2.0_f64.sqrt();
        let fits = |by: f64| best_grid(&rectangle(100.0, 2.0), [side + by; 2], 5.0, None);
        assert_eq!(fits(1e-6).map(|g| g.copies()), Some(1));
        assert_eq!(fits(-1e-4), None);
    }
}
