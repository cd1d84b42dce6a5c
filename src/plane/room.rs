//! Room in a set: what is left of it moved inwards, the widest place, and the ways out.

use clipper2_rust::{ClipperOffset, EndType, JoinType, Paths64};

use super::region::{GRID_PER_MM, Region, from_grid, middle};

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

    /// Whether a circle of a radius, mm, lies in the set.
    pub(crate) fn holds_circle(&self, radius_mm: f64) -> bool {
        let within =
            |([x0, y0], [x1, y1]): ([f64; 2], [f64; 2])| (x1 - x0).min(y1 - y0) >= 2.0 * radius_mm;
        self.box_mm().is_some_and(within) && !rounded(self.grid_rings(), -radius_mm).is_empty()
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

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::plane::Convexes;

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
        let post = Convexes::of(&Region::rectangle([-5.0, -5.0], [5.0, 5.0]));
        let clear_of_post = |shape: &Region| room.minus(&post.sum(&Convexes::of(shape).mirrored()));
        let free = clear_of_post(&Region::rectangle([-2.0, -1.0], [2.0, 1.0]));
        assert!((free.area_mm2() - (10_000.0 - 14.0 * 12.0)).abs() < 1e-6);
        // A ring may lie around the post.
        let outer = Region::rectangle([-10.0, -10.0], [10.0, 10.0]);
        let ring = outer.minus(&Region::rectangle([-9.0, -9.0], [9.0, 9.0]));
        let free = clear_of_post(&ring);
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
