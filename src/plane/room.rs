//! Where a shape may lie clear of others: the difference in the sense of Minkowski, and the widest place in a set.

use clipper2_rust::{
    ClipType, ClipperOffset, EndType, FillRule, JoinType, Path64, Paths64, Point64, boolean_op_64,
};

use super::faces::Bounds;
use super::region::{GRID_PER_MM, Region, from_grid, middle, to_grid};

/// Arcs of round corners lie within this of the circle, mm.
const ARC_MM: f64 = 0.001;
/// The widest place is found to this, mm.
const WIDEST_MM: f64 = 0.0005;

impl Region {
    /// Moved outwards (inwards where negative), round about corners: every point of the new border lies as far from the old
    /// one, within a thousandth of a millimetre.
    pub(crate) fn offset_round(&self, by_mm: f64) -> Region {
        if self.is_empty() || by_mm == 0.0 {
            return self.clone();
        }
        self.with_rings(rounded(self.grid_rings(), by_mm))
    }

    /// The steps `t` in this set by which a shape, given by its rings, may be moved without covering anything of the others.
    ///
    /// What may not be used is swept out by the sides of the shape, turned about, along the sides of the others, and by
    /// either as a whole, where one may lie inside the other.
    pub(crate) fn clear_of(&self, others: &Region, shape: &[Vec<[f64; 2]>]) -> Region {
        let Some(bounds) = Bounds::of_all(self.grid_rings()) else {
            return self.clone();
        };
        let bounds = bounds.grown(2);
        let about: Paths64 = shape
            .iter()
            .map(|ring| ring.iter().map(|p| to_grid(p.map(|v| -v))).collect())
            .collect();
        let mut swept = Paths64::new();
        let mut take = |ring: Path64| {
            if Bounds::of(&ring).is_some_and(|b| b.meets(&bounds)) {
                swept.push(ring);
            }
        };
        for other in others.grid_rings() {
            for ring in &about {
                sweep(other, ring, &mut take);
            }
        }
        for (whole, points) in [(&about, others.grid_rings()), (others.grid_rings(), &about)] {
            for step in points.iter().filter_map(|ring| ring.first()) {
                for ring in whole {
                    take(ring.iter().map(|p| *p + *step).collect());
                }
            }
        }
        if swept.is_empty() {
            return self.clone();
        }
        let rings = self.grid_rings();
        let left = boolean_op_64(ClipType::Difference, FillRule::NonZero, rings, &swept);
        self.with_rings(left)
    }

    /// The middle of the largest circle in the set, and its radius, mm; `None` for an empty set. Where there are many as
    /// large, one of them.
    pub(crate) fn widest_place(&self) -> Option<([f64; 2], f64)> {
        let (low, high) = self.box_mm()?;
        let mut held = (0.0, self.grid_rings().clone());
        let mut most = (high[0] - low[0]).min(high[1] - low[1]) / 2.0 + WIDEST_MM;
        while most - held.0 > WIDEST_MM {
            let by_mm = f64::midpoint(held.0, most);
            let left = rounded(self.grid_rings(), -by_mm);
            if left.is_empty() {
                most = by_mm;
            } else {
                held = (by_mm, left);
            }
        }
        let ring = held.1.iter().max_by_key(|ring| ring.len())?;
        Some((from_grid(middle(ring)), held.0))
    }

    /// How far a point of the set may move along x or y before it leaves it, mm, left, right, front and back.
    pub(crate) fn ways_out_mm(&self, from_mm: [f64; 2]) -> [f64; 4] {
        let way = |axis: usize, sign: f64| {
            let across = 1 - axis;
            self.rings()
                .flat_map(|ring| {
                    let ahead: Vec<_> = ring.iter().skip(1).chain(ring.first()).copied().collect();
                    ring.into_iter().zip(ahead).collect::<Vec<_>>()
                })
                .filter(|(a, b)| (a[across] <= from_mm[across]) != (b[across] <= from_mm[across]))
                .map(|(a, b)| {
                    let share = (from_mm[across] - a[across]) / (b[across] - a[across]);
                    sign * (a[axis] + share * (b[axis] - a[axis]) - from_mm[axis])
                })
                .filter(|mm| *mm >= 0.0)
                .fold(f64::INFINITY, f64::min)
        };
        [way(0, -1.0), way(0, 1.0), way(1, -1.0), way(1, 1.0)]
            .map(|mm| if mm.is_finite() { mm } else { 0.0 })
    }
}

fn rounded(rings: &Paths64, by_mm: f64) -> Paths64 {
    let mut offset = ClipperOffset::new(2.0, ARC_MM * GRID_PER_MM, false, false);
    offset.add_paths(rings, JoinType::Round, EndType::Polygon);
    let mut moved = Paths64::new();
    offset.execute(by_mm * GRID_PER_MM, &mut moved);
    moved
}

/// The parallelograms that the sides of one ring sweep out along the sides of another, counter-clockwise.
fn sweep(along: &[Point64], ring: &[Point64], take: &mut impl FnMut(Path64)) {
    let sides = |ring: &[Point64]| -> Vec<(Point64, Point64)> {
        let before = ring.last().into_iter().chain(ring);
        before.copied().zip(ring.iter().copied()).collect()
    };
    let (outer, inner) = (sides(along), sides(ring));
    for (a, b) in outer {
        for (p, q) in &inner {
            let mut quad = vec![a + *p, b + *p, b + *q, a + *q];
            if !clipper2_rust::is_positive(&quad) {
                quad.reverse();
            }
            take(quad);
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn the_widest_place_of_a_right_triangle_is_its_incircle() {
        let triangle = Region::from_rings([vec![[0.0, 0.0], [30.0, 0.0], [0.0, 40.0]]]);
        let (at, radius) = triangle.widest_place().unwrap();
        assert!((radius - 10.0).abs() < 0.002, "{radius}");
        assert!((at[0] - 10.0).abs() < 0.02 && (at[1] - 10.0).abs() < 0.02);
    }

    #[test]
    fn a_square_keeps_clear_of_a_square_by_their_sum() {
        let room = Region::rectangle([-50.0, -50.0], [50.0, 50.0]);
        let post = Region::rectangle([-5.0, -5.0], [5.0, 5.0]);
        let shape = vec![vec![[-2.0, -1.0], [2.0, -1.0], [2.0, 1.0], [-2.0, 1.0]]];
        let free = room.clear_of(&post, &shape);
        assert!((free.area_mm2() - (10_000.0 - 14.0 * 12.0)).abs() < 1e-6);
        // A ring may lie around the post.
        let hole = vec![[-9.0, -9.0], [-9.0, 9.0], [9.0, 9.0], [9.0, -9.0]];
        let outer = vec![[-10.0, -10.0], [10.0, -10.0], [10.0, 10.0], [-10.0, 10.0]];
        let free = room.clear_of(&post, &[outer, hole]);
        assert!((free.area_mm2() - (10_000.0 - 900.0 + 64.0)).abs() < 1e-6);
        assert_eq!(free.ways_out_mm([0.0, 0.0]), [4.0; 4]);
    }

    #[test]
    fn a_corner_moved_outwards_round_is_as_far_everywhere() {
        let square = Region::rectangle([0.0, 0.0], [10.0, 10.0]).offset_round(3.0);
        let area = 100.0 + 120.0 + 9.0 * std::f64::consts::PI;
        assert!((square.area_mm2() - area).abs() < 0.02);
    }
}
