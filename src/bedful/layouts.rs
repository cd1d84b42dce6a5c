//! Grids as places: of one part, of pairs, and on beds that are no rectangle.

use nalgebra::{Point2, Vector2};

use super::fill::{Bed, SLACK_MM};
use super::greedy::Spot;
use super::grid::{Grid, best_grid};
use super::shape::{Shape, hull, turned};
use super::{MOST_COPIES, Turns};
use crate::plane::convex_hull;

/// Pairs of a part and itself turned half around that are tried in a grid.
const PAIRS: usize = 16;

/// Shapes and where they stand.
pub(super) struct Layout {
    pub shapes: Vec<Shape>,
    pub spots: Vec<Spot>,
}

impl Bed<'_> {
    /// The plain grid, and the grid of pairs.
    pub fn grids(&self, item: usize) -> Vec<Layout> {
        let of = &self.items[item];
        let only = match &of.turns {
            Turns::Any => None,
            Turns::Only(turns) => Some(turns.as_slice()),
        };
        if !self.room.is_rectangle() {
            let turns = self.base_turns(item);
            return turns
                .iter()
                .flat_map(|turn| self.lattices(item, *turn))
                .collect();
        }
        let best = best_grid(
            &hull(&of.outline),
            self.room.size(),
            self.clearance_mm,
            only,
        );
        let mut layouts = Vec::new();
        if let Some(grid) = &best {
            layouts.push(self.laid_out(vec![self.shape(item, grid.turn_deg)], &[[0.0; 2]], grid));
        }
        if only.is_none() {
            layouts.extend(self.pair_grid(item));
        }
        layouts
    }

    /// A unit of shapes, each moved against the first, in rows and columns from the room's lower corner.
    fn laid_out(&self, shapes: Vec<Shape>, moves: &[[f64; 2]], grid: &Grid) -> Layout {
        let corner = |pick: fn(f64, f64) -> f64, of: fn(&Shape) -> [f64; 2]| {
            let ends = shapes
                .iter()
                .zip(moves)
                .map(|(shape, by)| [0, 1].map(|a| of(shape)[a] + by[a]));
            ends.reduce(|a, b| [pick(a[0], b[0]), pick(a[1], b[1])])
                .unwrap_or_default()
        };
        let low = corner(f64::min, |shape| shape.low);
        let high = corner(f64::max, |shape| shape.high);
        let pitch = |axis: usize, count: u32| {
            let size = high[axis] - low[axis];
            // Where the room is just enough rounding must not push the last one out of it.
            let spread = (self.room.size()[axis] - size) / f64::from(count.max(2) - 1);
            (size + self.clearance_mm + SLACK_MM).min(spread)
        };
        let pitches = [pitch(0, grid.columns), pitch(1, grid.rows)];
        let mut spots = Vec::new();
        for row in 0..grid.rows {
            for column in 0..grid.columns {
                let cell = [0, 1].map(|axis| {
                    let index = if axis == 0 { column } else { row };
                    self.room.low[axis] - low[axis] + f64::from(index) * pitches[axis]
                });
                spots.extend(moves.iter().enumerate().map(|(shape, by)| Spot {
                    shape,
                    at: [cell[0] + by[0], cell[1] + by[1]],
                }));
            }
        }
        spots.truncate(MOST_COPIES as usize);
        Layout { shapes, spots }
    }

    /// The best grid of two copies, one turned half around, over all turns of the two together.
    fn pair_grid(&self, item: usize) -> Option<Layout> {
        let one = self.shape(item, 0.0);
        let other = self.shape(item, 180.0);
        let around = other.kept_off(&one);
        let hull_one = hull(&self.slims[item]);
        let hull_other = hull(&turned(&self.slims[item], 180.0));
        // Where sides of the two lie along each other, they face each other fully at the middle of the side's sum.
        let candidates = around.rings().flat_map(|ring| {
            let next = ring.iter().cycle().skip(1).copied();
            let middles = ring
                .iter()
                .zip(next)
                .map(|(a, b)| [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0]);
            ring.iter().copied().chain(middles).collect::<Vec<_>>()
        });
        let around_both = |by: [f64; 2]| {
            let by = Vector2::from(by);
            let moved = hull_other.iter().map(|corner| corner + by);
            convex_hull(hull_one.iter().copied().chain(moved))
        };
        let mut pairs: Vec<(f64, [f64; 2])> =
            candidates.map(|by| (area(&around_both(by)), by)).collect();
        pairs.sort_by(|a, b| {
            a.0.total_cmp(&b.0)
                .then(a.1[0].total_cmp(&b.1[0]))
                .then(a.1[1].total_cmp(&b.1[1]))
        });
        pairs.dedup_by(|a, b| (a.0 - b.0).abs() < 1e-6);
        let grids = pairs.iter().take(PAIRS).filter_map(|(_, by)| {
            let hull = around_both(*by);
            Some((
                best_grid(&hull, self.room.size(), self.clearance_mm, None)?,
                *by,
            ))
        });
        let (grid, by) = grids.max_by_key(|(grid, _)| grid.copies())?;
        let (cosine, sine) = super::shape::unit(grid.turn_deg);
        let by = [by[0] * cosine - by[1] * sine, by[0] * sine + by[1] * cosine];
        let shapes = vec![
            self.shape(item, grid.turn_deg),
            self.shape(item, grid.turn_deg + 180.0),
        ];
        Some(self.laid_out(shapes, &[[0.0; 2], by], &grid))
    }

    /// Plain grids on a bed that is no rectangle: a copy or a gap in its middle, either way.
    fn lattices(&self, item: usize, turn_deg: f64) -> Vec<Layout> {
        let shape = self.shape(item, turn_deg);
        let places = self.room.places_for(&shape);
        let (low, high) = self.room.span_of(&shape);
        let pitch = shape.size().map(|size| size + self.clearance_mm + SLACK_MM);
        let phases = [[0.0, 0.0], [0.5, 0.0], [0.0, 0.5], [0.5, 0.5]];
        let along = |axis: usize, phase: f64| -> Vec<f64> {
            let middle = (low[axis] + high[axis]) / 2.0 + phase * pitch[axis];
            let reach = ((high[axis] - low[axis]) / pitch[axis]).clamp(0.0, f64::from(MOST_COPIES));
            let reach = reach as i64 / 2 + 1;
            (-reach..=reach)
                .map(|i| middle + i as f64 * pitch[axis])
                .collect()
        };
        let layout = |[x, y]: [f64; 2]| {
            let rows = along(1, y).into_iter();
            let columns = along(0, x);
            let spots = rows.flat_map(|y| columns.iter().map(move |x| [*x, y]));
            let free = spots.filter(|at| places.holds_point(*at));
            Layout {
                shapes: vec![shape.clone()],
                spots: free
                    .take(MOST_COPIES as usize)
                    .map(|at| Spot { shape: 0, at })
                    .collect(),
            }
        };
        phases.into_iter().map(layout).collect()
    }
}

fn area(ring: &[Point2<f64>]) -> f64 {
    let sides = (0..ring.len()).map(|i| (ring[i], ring[(i + 1) % ring.len()]));
    sides.map(|(a, b)| (a.x * b.y - a.y * b.x) / 2.0).sum()
}
