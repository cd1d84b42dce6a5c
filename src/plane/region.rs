//! A polygon set in the plane of a layer, and what is done to one.
//!
//! The polygon library works on integers, so a set lives on a grid of 0.0001 mm: a tenth of what the finest step in the
//! model needs (0.001 mm), and far inside the library's range for a bed of metres. This file is the one place that
//! knows the grid and the tolerances.

use clipper2_rust::{
    ClipType, FillRule, Path64, Paths64, Point64, PointInPolygonResult, area as ring_area,
    boolean_op_64, point_in_polygon,
};

use super::faces::{self, Bounds};
use super::reduce::reduced_to;
use super::thin::thin_ring;

/// Grid points per millimetre.
pub const GRID_PER_MM: f64 = 10_000.0;
/// Contours and offset paths are thinned to this, mm (design, Section).
pub const THIN_MM: f64 = 0.01;
/// Thinning is halved until a set's area changes by less than this share (design, Section).
const THIN_AREA_SHARE: f64 = 0.001;
/// Rings smaller than this are rounding, mm2.
const NO_AREA_MM2: f64 = 1e-6;

/// A set of polygons with holes, outer rings counter-clockwise and holes clockwise.
#[derive(Debug, Clone, PartialEq)]
pub struct Region {
    rings: Paths64,
    /// What its contours, and those of all that is made of it, are thinned to, mm.
    thin_mm: f64,
}

impl Default for Region {
    fn default() -> Self {
        Region::of(Paths64::new(), THIN_MM)
    }
}

impl Region {
    /// Joins rings under the non-zero rule: what any ring winds around belongs to the set, however often.
    pub fn from_rings(rings: impl IntoIterator<Item = Vec<[f64; 2]>>) -> Region {
        let rings: Paths64 = rings
            .into_iter()
            .map(|ring| ring.into_iter().map(to_grid).collect())
            .collect();
        Region::non_zero(&rings, THIN_MM)
    }

    pub(crate) fn non_zero(rings: &Paths64, thin_mm: f64) -> Region {
        let union = boolean_op_64(ClipType::Union, FillRule::NonZero, rings, &Paths64::new());
        Region::of(union, thin_mm)
    }

    fn of(mut rings: Paths64, thin_mm: f64) -> Region {
        rings.retain(|r| ring_area(r).abs() > NO_AREA_MM2 * GRID_PER_MM * GRID_PER_MM);
        Region { rings, thin_mm }
    }

    /// A rectangle between two corners, mm.
    pub fn rectangle(low_mm: [f64; 2], high_mm: [f64; 2]) -> Region {
        let [x0, y0] = low_mm;
        let [x1, y1] = high_mm;
        Region::from_rings([vec![[x0, y0], [x1, y0], [x1, y1], [x0, y1]]])
    }

    /// Whether nothing is in it.
    pub fn is_empty(&self) -> bool {
        self.rings.is_empty()
    }

    /// Its area, mm2.
    pub fn area_mm2(&self) -> f64 {
        // An empty sum is -0, which would be printed so.
        self.rings.iter().map(ring_area).sum::<f64>() / (GRID_PER_MM * GRID_PER_MM) + 0.0
    }

    /// Length of all its rings, mm.
    pub fn outline_mm(&self) -> f64 {
        self.rings().map(|ring| closed_length_mm(&ring)).sum()
    }

    /// Its rings in millimetres.
    pub fn rings(&self) -> impl Iterator<Item = Vec<[f64; 2]>> + '_ {
        self.rings
            .iter()
            .map(|ring| ring.iter().map(|p| from_grid(*p)).collect())
    }

    /// Least and greatest corner, mm; `None` for an empty set.
    pub fn box_mm(&self) -> Option<([f64; 2], [f64; 2])> {
        let mut points = self.rings.iter().flatten();
        let first = points.next()?;
        let (mut low, mut high) = (*first, *first);
        for p in points {
            low = Point64::new(low.x.min(p.x), low.y.min(p.y));
            high = Point64::new(high.x.max(p.x), high.y.max(p.y));
        }
        Some((from_grid(low), from_grid(high)))
    }

    /// Moved by a whole number of grid steps, the nearest to `by_mm`, so that its shape stays exactly what it is.
    pub(crate) fn shifted(&self, by_mm: [f64; 2]) -> Region {
        let by = to_grid(by_mm);
        let shift = |p: &Point64| Point64::new(p.x + by.x, p.y + by.y);
        Region {
            rings: self
                .rings
                .iter()
                .map(|ring| ring.iter().map(shift).collect())
                .collect(),
            thin_mm: self.thin_mm,
        }
    }

    /// Its outer outlines with all holes filled.
    pub fn without_holes(&self) -> Region {
        let rings = self.rings.iter().filter(|ring| ring_area(ring) > 0.0);
        Region::non_zero(&rings.cloned().collect(), self.thin_mm)
    }

    /// Moved inwards by `by_mm` with mitred corners, thinned.
    pub fn inset(&self, by_mm: f64) -> Region {
        self.offset(-by_mm)
    }

    /// Moved outwards by `by_mm` with mitred corners, thinned.
    pub fn grow(&self, by_mm: f64) -> Region {
        self.offset(by_mm)
    }

    fn offset(&self, by_mm: f64) -> Region {
        self.offset_unthinned(by_mm).thinned()
    }

    /// Moved outwards (inwards where negative) with every point kept: for steps whose result is moved back again, where
    /// thinning twice would leave a film between a set and itself.
    pub(crate) fn offset_unthinned(&self, by_mm: f64) -> Region {
        if self.is_empty() || by_mm == 0.0 {
            return self.clone();
        }
        let moved = faces::moved(&self.rings, by_mm * GRID_PER_MM);
        Region::of(moved, self.thin_mm)
    }

    /// Inset by `radius_mm` and grown again: what is at least twice that wide.
    pub fn open(&self, radius_mm: f64) -> Region {
        self.offset_unthinned(-radius_mm).grow(radius_mm)
    }

    /// Grown by `radius_mm` and inset again: gaps narrower than twice that are filled.
    pub fn close(&self, radius_mm: f64) -> Region {
        self.offset_unthinned(radius_mm).inset(radius_mm)
    }

    fn with(&self, other: &Region, how: ClipType) -> Region {
        let rings = boolean_op_64(how, FillRule::NonZero, &self.rings, &other.rings);
        Region::of(rings, self.thin_mm)
    }

    /// What is in this set and not in the other.
    pub fn minus(&self, other: &Region) -> Region {
        let Some(bounds) = Bounds::of_all(&self.rings) else {
            return self.clone();
        };
        let near = reduced_to(&other.rings, &bounds);
        if near.is_empty() {
            return self.clone();
        }
        let left = boolean_op_64(ClipType::Difference, FillRule::NonZero, &self.rings, &near);
        Region::of(left, self.thin_mm)
    }

    /// What is in both sets.
    pub fn and(&self, other: &Region) -> Region {
        let none = Region::of(Paths64::new(), self.thin_mm);
        let of_both = Bounds::of_all(&self.rings).zip(Bounds::of_all(&other.rings));
        let Some(common) = of_both.and_then(|(a, b)| a.common(&b)) else {
            return none;
        };
        let rings = reduced_to(&self.rings, &common);
        let others = reduced_to(&other.rings, &common);
        if rings.is_empty() || others.is_empty() {
            return none;
        }
        let mut both = boolean_op_64(ClipType::Intersection, FillRule::NonZero, &rings, &others);
        // Reduced rings may wind around anything beyond the common box.
        let within = common.grown(1);
        both.retain(|ring| Bounds::of(ring).is_some_and(|b| within.holds(&b)));
        Region::of(both, self.thin_mm)
    }

    /// What is in either set.
    pub fn or(&self, other: &Region) -> Region {
        if self.is_empty() {
            return other.clone();
        }
        if other.is_empty() {
            return self.clone();
        }
        self.with(other, ClipType::Union)
    }

    /// Its connected pieces, each one outer ring with its holes, in a fixed order.
    pub fn pieces(&self) -> Vec<Region> {
        if self.rings.len() <= 1 {
            return if self.is_empty() {
                Vec::new()
            } else {
                vec![self.clone()]
            };
        }
        // The rings are clean, so a hole belongs to the smallest outer ring around it.
        let (outers, holes): (Vec<&Path64>, Vec<&Path64>) =
            self.rings.iter().partition(|ring| ring_area(ring) > 0.0);
        let areas: Vec<f64> = outers.iter().map(|ring| ring_area(ring)).collect();
        let mut pieces: Vec<Region> = outers
            .iter()
            .map(|ring| Region {
                rings: vec![(*ring).clone()],
                thin_mm: self.thin_mm,
            })
            .collect();
        for hole in holes {
            let middle = middle(hole);
            // An island in the hole may lie around its middle, but is smaller.
            let larger = (0..outers.len()).filter(|o| areas[*o] > -ring_area(hole));
            let around = larger.filter(|o| holds_middle(outers[*o], middle));
            if let Some(owner) = around.min_by(|a, b| areas[*a].total_cmp(&areas[*b])) {
                pieces[owner].rings.push(hole.clone());
            }
        }
        pieces.sort_by_key(|piece| piece.rings[0].iter().map(|p| (p.x, p.y)).min());
        pieces
    }

    /// Area within the greatest of its outer rings, mm2; 0 without any.
    pub(crate) fn greatest_outer_mm2(&self) -> f64 {
        let areas = self.rings.iter().map(ring_area);
        areas.fold(0.0, f64::max) / (GRID_PER_MM * GRID_PER_MM)
    }

    /// Whether nothing in it can be as wide as `width_mm`, found without the polygon library; not all that is so is found.
    pub(crate) fn is_surely_narrower(&self, width_mm: f64) -> bool {
        let width = width_mm * GRID_PER_MM;
        let mut outers = self.rings.iter().filter(|ring| ring_area(ring) > 0.0);
        outers.all(|ring| faces::is_narrower(ring, width))
    }

    /// Whether a set has as many rings, and as many corners on each, as another: where one is the other moved inwards, every
    /// side survived the move.
    pub(crate) fn has_the_sides_of(&self, other: &Region) -> bool {
        let sides = |region: &Region| {
            let mut counts: Vec<usize> = region.rings.iter().map(Vec::len).collect();
            counts.sort_unstable();
            counts
        };
        self.rings.len() == other.rings.len() && sides(self) == sides(other)
    }

    /// Contours thinned to the set's own tolerance ([`THIN_MM`] where nothing else was said), halved until the area changes by
    /// less than 0.1 %.
    pub fn thinned(&self) -> Region {
        self.thinned_to(self.thin_mm)
    }

    /// Contours thinned to `tolerance_mm`, halved until the area changes by less than 0.1 %.
    pub(crate) fn thinned_to(&self, tolerance_mm: f64) -> Region {
        let area_mm2 = self.area_mm2();
        let mut tolerance = tolerance_mm * GRID_PER_MM;
        while tolerance >= 1.0 {
            let rings = self.rings.iter().map(|r| thin_ring(r, tolerance)).collect();
            let thinned = Region::of(rings, self.thin_mm);
            if (thinned.area_mm2() - area_mm2).abs() <= THIN_AREA_SHARE * area_mm2.abs() {
                return thinned;
            }
            tolerance /= 2.0;
        }
        self.clone()
    }

    /// Whether a point, mm, lies inside.
    pub(crate) fn holds_point(&self, point_mm: [f64; 2]) -> bool {
        let point = to_grid(point_mm);
        let around = self
            .rings
            .iter()
            .filter(|ring| point_in_polygon(point, ring) != PointInPolygonResult::IsOutside);
        around.count() % 2 == 1
    }

    /// One point on each of its outer rings, mm.
    pub(crate) fn outer_points_mm(&self) -> impl Iterator<Item = [f64; 2]> + '_ {
        self.rings
            .iter()
            .filter(|ring| ring_area(ring) > 0.0)
            .filter_map(|ring| ring.first())
            .map(|p| from_grid(*p))
    }
}

/// Whether a ring lies around another: whether it holds that ring's [`middle`]. Rings touch, and rounding lets their corners
/// cross each other by a grid step, so no corner can decide.
pub(super) fn holds_middle(outer: &Path64, middle: Point64) -> bool {
    point_in_polygon(middle, outer) != PointInPolygonResult::IsOutside
}

/// A point in a ring as far from its line as can be found at a glance: in the middle of the longest chord at half its height.
pub(super) fn middle(ring: &Path64) -> Point64 {
    let heights = ring.iter().map(|p| p.y);
    let (low, high) = heights.fold((i64::MAX, i64::MIN), |(low, high), y| {
        (low.min(y), high.max(y))
    });
    let y = low + (high - low) / 2;
    let sides = ring.last().into_iter().chain(ring).zip(ring);
    let mut crossings: Vec<f64> = sides
        .filter(|(a, b)| (a.y <= y) != (b.y <= y))
        .map(|(a, b)| a.x as f64 + (b.x - a.x) as f64 * (y - a.y) as f64 / (b.y - a.y) as f64)
        .collect();
    crossings.sort_unstable_by(f64::total_cmp);
    let longest = crossings
        .chunks_exact(2)
        .max_by(|a, b| (a[1] - a[0]).total_cmp(&(b[1] - b[0])));
    longest.map_or_else(
        || ring.first().copied().unwrap_or_default(),
        |chord| Point64::new(((chord[0] + chord[1]) / 2.0).round() as i64, y),
    )
}

/// A point of the grid for a point in millimetres.
pub(crate) fn to_grid([x, y]: [f64; 2]) -> Point64 {
    Point64::new(
        (x * GRID_PER_MM).round() as i64,
        (y * GRID_PER_MM).round() as i64,
    )
}

fn from_grid(p: Point64) -> [f64; 2] {
    [p.x as f64 / GRID_PER_MM, p.y as f64 / GRID_PER_MM]
}

/// Length of a closed ring, mm.
pub(crate) fn closed_length_mm(ring: &[[f64; 2]]) -> f64 {
    let closing = ring.last().into_iter().chain(ring).zip(ring);
    closing.map(|(a, b)| (b[0] - a[0]).hypot(b[1] - a[1])).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hole_around_an_island_belongs_to_the_piece_around_both() {
        let frame = Region::rectangle([0.0, 0.0], [10.0, 10.0])
            .minus(&Region::rectangle([2.0, 2.0], [8.0, 8.0]));
        let pieces = frame
            .or(&Region::rectangle([4.0, 4.0], [6.0, 6.0]))
            .pieces();
        let areas: Vec<f64> = pieces.iter().map(Region::area_mm2).collect();
        assert_eq!(areas, [64.0, 4.0]);
    }
}
