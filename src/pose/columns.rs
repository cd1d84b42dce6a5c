//! How much room there is under a part's overhangs, guessed from upright columns.
//!
//! A grid of columns over the part's box is followed along one axis. Every facet marks the columns whose middle it
//! covers with the height at which it is crossed; under each crossing that needs holding up, the gap down to the next
//! surface or the bed is counted. Both poses on the axis are read from the same columns, from either end.

use nalgebra::Vector3;

use super::tolerance::{LEAN_SINE, ON_BED_SHARE};
use crate::mesh::Mesh;

/// Columns along either side of the box. The error is the border's share of the columns, about 1 % for a few
/// rectangular feet, which is enough to tell poses apart at 5 % of the part's volume.
const COLUMNS_ALONG: u16 = 200;

/// Crossings kept at most; a part with more surfaces above each other is followed in fewer columns, so that memory and
/// time are bounded whatever the mesh.
const MOST_CROSSINGS: usize = 500_000;

/// A surface met by a column.
#[derive(Debug, Clone, Copy)]
struct Crossing {
    column: u32,
    /// Whether the part's inside lies above, seen along the positive axis.
    enters: bool,
    /// Whether the facet leans more from the vertical than may stay unsupported.
    leans: bool,
    /// Height above the box's low end, mm.
    height_mm: f64,
}

/// The columns along one axis.
pub(super) struct Columns {
    column_area_mm2: f64,
    height_mm: f64,
    on_bed_mm: f64,
    /// By column, then upward.
    crossings: Vec<Crossing>,
}

impl Columns {
    /// Follows the columns along an axis (0 for x, 1 for y, 2 for z). `overhang_deg` is the angle from the vertical past
    /// which a downward facet is held up.
    pub fn of(mesh: &Mesh, axis: usize, overhang_deg: f64) -> Self {
        let (low, high) = mesh.box_mm();
        let size_mm = high - low;
        let plan_axes = [(axis + 1) % 3, (axis + 2) % 3];
        let [width_mm, depth_mm] = plan_axes.map(|along| size_mm[along]);
        let mut columns = Self {
            column_area_mm2: 0.0,
            height_mm: size_mm[axis],
            on_bed_mm: ON_BED_SHARE * size_mm.max(),
            crossings: Vec::new(),
        };
        if !(width_mm > 0.0 && depth_mm > 0.0) {
            return columns;
        }
        let leaning_sine = overhang_deg.to_radians().sin() + LEAN_SINE;
        let mut along = COLUMNS_ALONG;
        loop {
            let grid = Grid {
                mesh,
                low: low.coords,
                size_mm,
                axis,
                plan_axes,
                along,
                leaning_sine,
            };
            let most = if along == 1 {
                usize::MAX
            } else {
                MOST_CROSSINGS
            };
            if let Some(crossings) = grid.crossings(most) {
                columns.column_area_mm2 = width_mm * depth_mm / f64::from(along).powi(2);
                columns.crossings = crossings;
                return columns;
            }
            along /= 2;
        }
    }

    /// Volume under the overhangs, down to the part or the bed, with the axis' negative end down, or its positive end.
    pub fn under_overhangs_mm3(&self, plus_end_down: bool) -> f64 {
        let by_column = self.crossings.chunk_by(|a, b| a.column == b.column);
        let gaps_mm: f64 = by_column
            .map(|column| {
                if plus_end_down {
                    self.gaps_mm(
                        column
                            .iter()
                            .rev()
                            .map(|c| (self.height_mm - c.height_mm, !c.enters, c.leans)),
                    )
                } else {
                    self.gaps_mm(column.iter().map(|c| (c.height_mm, c.enters, c.leans)))
                }
            })
            .sum();
        gaps_mm * self.column_area_mm2
    }

    /// The gaps under overhangs in one column, from its crossings upward. Where bodies overlap, what lies inside another
    /// body is neither overhang nor floor.
    fn gaps_mm(&self, upward: impl Iterator<Item = (f64, bool, bool)>) -> f64 {
        let (mut gaps_mm, mut floor_mm, mut depth) = (0.0, 0.0, 0_i64);
        for (height_mm, enters, leans) in upward {
            let outside_below = depth <= 0;
            depth += if enters { 1 } else { -1 };
            if enters && outside_below && leans && height_mm - floor_mm > self.on_bed_mm {
                gaps_mm += height_mm - floor_mm;
            }
            if depth <= 0 {
                floor_mm = height_mm;
            }
        }
        gaps_mm
    }
}

/// The columns' middles: column i lies at i, in units of the column width, on either plan axis.
struct Grid<'a> {
    mesh: &'a Mesh,
    low: Vector3<f64>,
    size_mm: Vector3<f64>,
    axis: usize,
    plan_axes: [usize; 2],
    along: u16,
    leaning_sine: f64,
}

impl Grid<'_> {
    /// Every crossing by column and height; none if there are more than `most`.
    fn crossings(&self, most: usize) -> Option<Vec<Crossing>> {
        let mut found = Vec::new();
        // The first column not before each vertex: most facets of a fine mesh lie between columns, and whole numbers
        // side by side in memory tell so at once.
        let not_before: Vec<[u16; 2]> = (0..self.mesh.vertices_mm.len())
            .map(|vertex| [0, 1].map(|side| self.plan(vertex as u32)[side].ceil() as u16))
            .collect();
        for (index, triangle) in self.mesh.triangles.iter().enumerate() {
            let [a, b, c] = triangle.map(|vertex| not_before[vertex as usize]);
            let low = [0, 1].map(|side| a[side].min(b[side]).min(c[side]));
            let high = [0, 1].map(|side| a[side].max(b[side]).max(c[side]).min(self.along));
            if low[0] < high[0] && low[1] < high[1] {
                self.cross(index, low[1]..high[1], &mut found);
                if found.len() > most {
                    return None;
                }
            }
        }
        found.sort_unstable_by(|a, b| {
            a.column
                .cmp(&b.column)
                .then(a.height_mm.total_cmp(&b.height_mm))
                .then(a.enters.cmp(&b.enters))
                .then(a.leans.cmp(&b.leans))
        });
        Some(found)
    }

    /// Marks the columns that a facet covers in the given rows. An edge's place in a row is reckoned from its lower
    /// vertex number to its higher one, so that two facets agree on it, and a column on it falls to one of them.
    fn cross(&self, index: usize, rows: std::ops::Range<u16>, found: &mut Vec<Crossing>) {
        let triangle = self.mesh.triangles[index];
        let [a, b, c] = self.mesh.corners(index);
        let normal = (b - a).cross(&(c - a));
        let rise = normal[self.axis];
        if rise == 0.0 {
            return;
        }
        let leans = rise.abs() > self.leaning_sine * normal.norm();
        let heights = [a, b, c].map(|corner| corner[self.axis] - self.low[self.axis]);
        let (lowest, highest) = heights
            .iter()
            .fold((heights[0], heights[0]), |(low, high), &height| {
                (low.min(height), high.max(height))
            });
        let [width, depth] = self.plan_axes.map(|axis| self.column_size_mm(axis));
        let slope = self.plan_axes.map(|axis| -normal[axis] / rise);
        let at_a = self.plan(triangle[0]);
        for row in rows {
            let Some((from, to)) = self.span(triangle, f64::from(row)) else {
                continue;
            };
            let (first, end) = (
                from.ceil() as u16,
                to.ceil().min(f64::from(self.along)) as u16,
            );
            for column in first..end {
                let over = slope[0] * (f64::from(column) - at_a[0]) * width
                    + slope[1] * (f64::from(row) - at_a[1]) * depth;
                found.push(Crossing {
                    column: u32::from(row) * u32::from(self.along) + u32::from(column),
                    enters: rise < 0.0,
                    leans,
                    height_mm: (heights[0] + over).clamp(lowest, highest),
                });
            }
        }
    }

    /// Where a row enters and leaves a facet.
    fn span(&self, triangle: [u32; 3], row: f64) -> Option<(f64, f64)> {
        let mut span: Option<(f64, f64)> = None;
        for corner in 0..3 {
            let (a, b) = (triangle[corner], triangle[(corner + 1) % 3]);
            let (from, to) = (self.plan(a.min(b)), self.plan(a.max(b)));
            if (from[1] <= row) != (to[1] <= row) {
                let at = from[0] + (to[0] - from[0]) * ((row - from[1]) / (to[1] - from[1]));
                span = Some(span.map_or((at, at), |(low, high)| (low.min(at), high.max(at))));
            }
        }
        span
    }

    /// A vertex's place in units of columns.
    fn plan(&self, vertex: u32) -> [f64; 2] {
        let vertex = &self.mesh.vertices_mm[vertex as usize];
        self.plan_axes
            .map(|axis| (vertex[axis] - self.low[axis]) / self.column_size_mm(axis) - 0.5)
    }

    fn column_size_mm(&self, axis: usize) -> f64 {
        self.size_mm[axis] / f64::from(self.along)
    }
}
