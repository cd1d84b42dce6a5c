//! Offsets ring by ring where rings are far enough apart.
//!
//! The polygon library sweeps all rings of a set together, and its time grows with the corners times the sides that lie
//! beside each other. Moving inwards, what happens to one connected piece is no matter of another, and a hole far from
//! all other lines is no matter of its own outline. So each goes to the library alone, and the results are put side by
//! side. Moving outwards is moving inwards seen from the other side: there the connected pieces are those of the empty
//! space, the holes with the islands in them.

use clipper2_rust::{
    EndType, JoinType, Path64, Paths64, Point64, area as ring_area, inflate_paths_64,
};

use super::region::{holds_middle, middle};

/// Mitred corners reach at most this many offsets (design: limit 2, which is an angle of 60 degrees).
const MITRE_LIMIT: f64 = 2.0;
/// Lines stay apart when both move at most [`MITRE_LIMIT`] offsets, to the grid's rounding.
const ROUNDING: f64 = 4.0;

/// Moves the rings of a clean set outwards by `by` grid units, inwards where negative, with mitred corners.
pub(super) fn moved(rings: &Paths64, by: f64) -> Paths64 {
    match rings.as_slice() {
        [] => Paths64::new(),
        [ring] if by < 0.0 && is_narrower(ring, -2.0 * by) => Paths64::new(),
        [_] => library(rings, by),
        _ => by_faces(rings, by),
    }
}

fn library(rings: &Paths64, by: f64) -> Paths64 {
    let (join, end) = (JoinType::Miter, EndType::Polygon);
    inflate_paths_64(rings, by, join, end, MITRE_LIMIT, 0.0)
}

/// Whether nothing in a ring can be as wide as `width`: what is holds a disc of that diameter.
pub(super) fn is_narrower(ring: &Path64, width: f64) -> bool {
    let Some(bounds) = Bounds::of(ring) else {
        return true;
    };
    ring_area(ring).abs() < std::f64::consts::PI / 4.0 * width * width
        || bounds.least_side() < width
        || diagonal_extent(ring, 1) < width
        || diagonal_extent(ring, -1) < width
}

/// How far a ring reaches across a diagonal.
fn diagonal_extent(ring: &Path64, sign: i64) -> f64 {
    let along = ring.iter().map(|p| p.x + sign * p.y);
    let (low, high) = along.fold((i64::MAX, i64::MIN), |(low, high), at| {
        (low.min(at), high.max(at))
    });
    (high - low) as f64 * std::f64::consts::FRAC_1_SQRT_2
}

/// A ring that bounds a connected piece from outside, and those inside it that bound it too.
struct Face {
    /// `None` for the empty space around everything.
    around: Option<usize>,
    inside: Vec<usize>,
}

fn by_faces(rings: &Paths64, by: f64) -> Paths64 {
    let bounds: Vec<Bounds> = rings.iter().filter_map(|r| Bounds::of(r)).collect();
    if bounds.len() != rings.len() {
        return library(rings, by);
    }
    let mut result = Paths64::with_capacity(rings.len());
    for face in faces(rings, &bounds, by < 0.0) {
        move_face(rings, &bounds, &face, by, &mut result);
    }
    result
}

/// Outer rings and holes, each from small to large. Holes in nothing, which rounding leaves of other operations, are left out:
/// the library takes a set for one turned inside out where such a hole lies lowest, and nothing is left of it.
fn outers_and_holes(rings: &Paths64, bounds: &[Bounds], areas: &[f64]) -> (Vec<usize>, Vec<usize>) {
    let (mut outers, mut holes): (Vec<usize>, Vec<usize>) =
        (0..rings.len()).partition(|ring| areas[*ring] > 0.0);
    let by_area = |a: &usize, b: &usize| areas[*a].abs().total_cmp(&areas[*b].abs());
    outers.sort_by(by_area);
    holes.sort_by(by_area);
    holes.retain(|hole| owner(*hole, &outers, rings, bounds).is_some());
    (outers, holes)
}

/// The place in a list, sorted from small to large, of the ring next around another.
fn owner(ring: usize, arounds: &[usize], rings: &Paths64, bounds: &[Bounds]) -> Option<usize> {
    // Corners that touch may cross by a grid step.
    let middle = middle(&rings[ring]);
    arounds.iter().position(|around| {
        bounds[*around].grown(2).holds(&bounds[ring]) && holds_middle(&rings[*around], middle)
    })
}

/// The pieces of a set (`solid`), or those of the space around it.
fn faces(rings: &Paths64, bounds: &[Bounds], solid: bool) -> Vec<Face> {
    let areas: Vec<f64> = rings.iter().map(ring_area).collect();
    let (outers, holes) = outers_and_holes(rings, bounds, &areas);
    let (arounds, others) = if solid {
        (outers, holes)
    } else {
        (holes, outers)
    };
    let mut faces: Vec<Face> = arounds
        .iter()
        .map(|ring| Face {
            around: Some(*ring),
            inside: Vec::new(),
        })
        .collect();
    let mut open = Face {
        around: None,
        inside: Vec::new(),
    };
    for ring in others {
        // The rings are clean, so one belongs to the smallest larger ring around it.
        let first_larger = arounds.partition_point(|a| areas[*a].abs() <= areas[ring].abs());
        let owner = owner(ring, &arounds[first_larger..], rings, bounds);
        owner
            .map_or(&mut open, |owner| &mut faces[first_larger + owner])
            .inside
            .push(ring);
    }
    if !solid {
        faces.push(open);
    }
    faces
}

/// Moves the border of a face into it.
fn move_face(rings: &Paths64, bounds: &[Bounds], face: &Face, by: f64, result: &mut Paths64) {
    let by_abs = by.abs();
    if let Some(around) = face.around
        && is_narrower(&rings[around], 2.0 * by_abs)
    {
        return;
    }
    let reach = (MITRE_LIMIT * by_abs + ROUNDING).ceil() as i64;
    let near = |ring: usize| bounds[ring].grown(reach);
    let mut beside = Vec::new();
    let mut alone = Vec::new();
    for ring in &face.inside {
        let far_from_border = face.around.is_none_or(|around| {
            let wide = bounds[*ring].grown(2 * reach);
            bounds[around].holds(&wide) && !wide.meets_line(&rings[around])
        });
        if far_from_border {
            alone.push(*ring)
        } else {
            beside.push(*ring)
        }
    }
    let clusters = clusters(&alone, &near);
    // A cluster that comes near a ring which stays with the border stays there too.
    let (with_border, apart): (Vec<_>, Vec<_>) = clusters.into_iter().partition(|cluster| {
        beside
            .iter()
            .any(|b| cluster.iter().any(|c| near(*b).meets(&near(*c))))
    });
    beside.extend(with_border.into_iter().flatten());
    let pick =
        |of: &mut dyn Iterator<Item = usize>| -> Paths64 { of.map(|r| rings[r].clone()).collect() };
    if let Some(around) = face.around {
        let border = pick(&mut std::iter::once(around).chain(beside.iter().copied()));
        result.extend(turned_if(by > 0.0, border, |border| {
            library(border, -by_abs)
        }));
    }
    for cluster in apart {
        let ring = pick(&mut cluster.iter().copied());
        result.extend(turned_if(by < 0.0, ring, |ring| library(ring, by_abs)));
    }
}

/// Does something with rings turned round, and turns what comes of it back.
fn turned_if(turn: bool, mut rings: Paths64, work: impl Fn(&Paths64) -> Paths64) -> Paths64 {
    let turned = |rings: &mut Paths64| {
        if turn {
            rings.iter_mut().for_each(|ring| ring.reverse());
        }
    };
    turned(&mut rings);
    let mut done = work(&rings);
    turned(&mut done);
    done
}

/// Rings whose boxes meet, or are joined by others whose boxes do.
fn clusters(rings: &[usize], near: &impl Fn(usize) -> Bounds) -> Vec<Vec<usize>> {
    let mut clusters: Vec<(Bounds, Vec<usize>)> = Vec::with_capacity(rings.len());
    for ring in rings {
        let bounds = near(*ring);
        let mut joined = vec![*ring];
        let mut i = 0;
        while i < clusters.len() {
            let meets = clusters[i].0.meets(&bounds)
                && clusters[i].1.iter().any(|r| near(*r).meets(&bounds));
            if meets {
                joined.extend(clusters.swap_remove(i).1);
            } else {
                i += 1;
            }
        }
        let around = joined.iter().fold(bounds, |all, r| all.with(&near(*r)));
        clusters.push((around, joined));
    }
    clusters.into_iter().map(|(_, rings)| rings).collect()
}

/// A box upright on the grid.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bounds {
    low: Point64,
    high: Point64,
}

impl Bounds {
    /// Around a ring's corners; `None` without any.
    pub(super) fn of(ring: &[Point64]) -> Option<Bounds> {
        let first = ring.first()?;
        let (mut low, mut high) = (*first, *first);
        for p in ring {
            low = Point64::new(low.x.min(p.x), low.y.min(p.y));
            high = Point64::new(high.x.max(p.x), high.y.max(p.y));
        }
        Some(Bounds { low, high })
    }

    pub(super) fn with(&self, other: &Bounds) -> Bounds {
        Bounds {
            low: Point64::new(self.low.x.min(other.low.x), self.low.y.min(other.low.y)),
            high: Point64::new(self.high.x.max(other.high.x), self.high.y.max(other.high.y)),
        }
    }

    /// What two boxes share.
    pub(super) fn common(&self, other: &Bounds) -> Option<Bounds> {
        self.meets(other).then(|| Bounds {
            low: Point64::new(self.low.x.max(other.low.x), self.low.y.max(other.low.y)),
            high: Point64::new(self.high.x.min(other.high.x), self.high.y.min(other.high.y)),
        })
    }

    pub(super) fn grown(&self, by: i64) -> Bounds {
        Bounds {
            low: Point64::new(self.low.x - by, self.low.y - by),
            high: Point64::new(self.high.x + by, self.high.y + by),
        }
    }

    /// Which sides of the box a point lies beyond, a bit for each.
    pub(super) fn beyond(&self, p: &Point64) -> u8 {
        u8::from(p.x < self.low.x)
            | u8::from(p.x > self.high.x) << 1
            | u8::from(p.y < self.low.y) << 2
            | u8::from(p.y > self.high.y) << 3
    }

    /// Around all corners of some rings; `None` without any.
    pub(super) fn of_all(rings: &Paths64) -> Option<Bounds> {
        let bounds = rings.iter().filter_map(|ring| Bounds::of(ring));
        bounds.reduce(|all, next| all.with(&next))
    }

    fn least_side(&self) -> f64 {
        (self.high.x - self.low.x).min(self.high.y - self.low.y) as f64
    }

    pub(super) fn holds(&self, other: &Bounds) -> bool {
        self.low.x <= other.low.x
            && self.low.y <= other.low.y
            && self.high.x >= other.high.x
            && self.high.y >= other.high.y
    }

    pub(super) fn meets(&self, other: &Bounds) -> bool {
        self.low.x <= other.high.x
            && other.low.x <= self.high.x
            && self.low.y <= other.high.y
            && other.low.y <= self.high.y
    }

    /// Whether the box of any side of a ring meets this one.
    fn meets_line(&self, ring: &[Point64]) -> bool {
        let sides = ring.last().into_iter().chain(ring).zip(ring);
        sides.into_iter().any(|(a, b)| {
            a.x.min(b.x) <= self.high.x
                && a.x.max(b.x) >= self.low.x
                && a.y.min(b.y) <= self.high.y
                && a.y.max(b.y) >= self.low.y
                && !self.is_on_one_side_of(*a, *b)
        })
    }

    /// Whether all corners lie strictly on the same side of the line through two points.
    fn is_on_one_side_of(&self, a: Point64, b: Point64) -> bool {
        let (ux, uy) = (i128::from(b.x - a.x), i128::from(b.y - a.y));
        let side = |x: i64, y: i64| (ux * i128::from(y - a.y) - uy * i128::from(x - a.x)).signum();
        let first = side(self.low.x, self.low.y);
        first != 0
            && first == side(self.high.x, self.low.y)
            && first == side(self.low.x, self.high.y)
            && first == side(self.high.x, self.high.y)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(points: &[[i64; 2]]) -> Path64 {
        points.iter().map(|[x, y]| Point64::new(*x, *y)).collect()
    }

    fn square() -> Path64 {
        ring(&[[0, 0], [1000, 0], [1000, 1000], [0, 1000]])
    }

    fn area(rings: &Paths64) -> f64 {
        rings.iter().map(ring_area).sum()
    }

    #[test]
    fn a_hole_in_nothing_takes_no_piece_with_it() {
        let stray = ring(&[[400, 1500], [500, 1520], [600, 1500]]);
        assert!(ring_area(&stray) < 0.0);
        // 960 and 1040 squared by hand.
        assert_eq!(
            area(&moved(&vec![square(), stray.clone()], -20.0)),
            921_600.0
        );
        assert_eq!(area(&moved(&vec![square(), stray], 20.0)), 1_081_600.0);
    }

    #[test]
    fn a_hole_that_crosses_the_outline_by_a_grid_step_is_still_its_hole() {
        let touching = ring(&[[-1, 500], [400, 800], [400, 200]]);
        assert!(ring_area(&touching) < 0.0);
        let inset = area(&moved(&vec![square(), touching], -1.0));
        // The square without the triangle, and a step less along either outline; the grid rounds sides by up to half a step.
        let expected = 1e6 - 120_300.0 - 4000.0 - 1602.0;
        let rounding = 0.5 * 1602.0;
        assert!((inset - expected).abs() < rounding, "{inset} {expected}");
    }
}
