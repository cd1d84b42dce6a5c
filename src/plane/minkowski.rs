//! Sets as convex pieces, and sums of such sets.
//!
//! Where one set may be moved without meeting another is told by the Minkowski sum of the other and the one mirrored. The
//! sum of two convex pieces is the merging of their sides by direction; the sum of any two sets is the union of the sums
//! of their pieces, which the polygon library makes.

use earcut::Earcut;
use nalgebra::Point2;
use robust::{Coord, orient2d};
use rustc_hash::FxHashMap;

use super::{Region, convex_hull};

/// Sides of the polygon that stands for a circle. Its sides touch the circle from outside, four of them square to the axes,
/// so that what is square on a bed is held off by exactly the radius; elsewhere it reaches up to 0.9 % further.
const CIRCLE_SIDES: u32 = 24;
/// Triangles must make up a set's area to this share, or the set is taken as its hulls.
const SAME_AREA_SHARE: f64 = 1e-6;

/// A set as convex pieces, each counter-clockwise.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Convexes {
    pieces: Vec<Vec<Point2<f64>>>,
}

impl Convexes {
    /// Cuts a set into convex pieces: triangles, joined again wherever the two stay convex (Hertel & Mehlhorn 1983, from
    /// memory: at most four times as many as need be).
    pub fn of(region: &Region) -> Convexes {
        let pieces = region.pieces();
        Convexes {
            pieces: pieces.iter().flat_map(convexes_of_piece).collect(),
        }
    }

    /// The convex hull of a set.
    pub fn hull_of(region: &Region) -> Convexes {
        let points: Vec<Point2<f64>> = region.rings().flatten().map(Point2::from).collect();
        Convexes::from_hull(convex_hull(points.into_iter()))
    }

    fn from_hull(hull: Vec<Point2<f64>>) -> Convexes {
        let solid = hull.len() >= 3;
        Convexes {
            pieces: if solid { vec![hull] } else { Vec::new() },
        }
    }

    /// The set with everything nearer to it than a distance, and at round corners up to 0.9 % of the distance more.
    pub fn grown(&self, by_mm: f64) -> Convexes {
        if by_mm <= 0.0 {
            return self.clone();
        }
        let step = std::f64::consts::TAU / f64::from(CIRCLE_SIDES);
        let radius_mm = by_mm / (step / 2.0).cos();
        let corner = |i: u32| {
            let (sine, cosine) = ((f64::from(i) + 0.5) * step).sin_cos();
            Point2::new(radius_mm * cosine, radius_mm * sine)
        };
        let circle: Vec<Point2<f64>> = (0..CIRCLE_SIDES).map(corner).collect();
        let grown = |piece: &Vec<Point2<f64>>| convex_sum(piece, &circle);
        Convexes {
            pieces: self.pieces.iter().map(grown).collect(),
        }
    }

    /// Every point negated.
    pub fn mirrored(&self) -> Convexes {
        let negated =
            |piece: &Vec<Point2<f64>>| piece.iter().map(|p| Point2::from(-p.coords)).collect();
        Convexes {
            pieces: self.pieces.iter().map(negated).collect(),
        }
    }

    /// Turned about the origin by the angle of a cosine and a sine.
    pub fn turned(&self, (cosine, sine): (f64, f64)) -> Convexes {
        let turned =
            |p: &Point2<f64>| Point2::new(cosine * p.x - sine * p.y, sine * p.x + cosine * p.y);
        Convexes {
            pieces: self
                .pieces
                .iter()
                .map(|piece| piece.iter().map(turned).collect())
                .collect(),
        }
    }

    /// How many pieces.
    pub fn pieces(&self) -> usize {
        self.pieces.len()
    }

    /// Corners of all pieces.
    pub fn corners(&self) -> usize {
        self.pieces.iter().map(Vec::len).sum()
    }

    /// Every sum of a point of this set and one of the other.
    pub fn sum(&self, other: &Convexes) -> Region {
        let pairs = self
            .pieces
            .iter()
            .flat_map(|a| other.pieces.iter().map(move |b| (a, b)));
        let sums = pairs.map(|(a, b)| convex_sum(a, b).iter().map(|p| [p.x, p.y]).collect());
        Region::from_rings(sums)
    }
}

/// The sum of two convex rings, both counter-clockwise: from the lowest corners on, the sides of both in the order of their
/// directions.
fn convex_sum(a: &[Point2<f64>], b: &[Point2<f64>]) -> Vec<Point2<f64>> {
    let (first_a, first_b) = (lowest(a), lowest(b));
    let side = |ring: &[Point2<f64>], i: usize| ring[(i + 1) % ring.len()] - ring[i % ring.len()];
    let (mut i, mut j) = (0, 0);
    let mut sum = Vec::with_capacity(a.len() + b.len());
    while i < a.len() || j < b.len() {
        sum.push(a[(first_a + i) % a.len()] + b[(first_b + j) % b.len()].coords);
        let (of_a, of_b) = (side(a, first_a + i), side(b, first_b + j));
        let cross = of_a.x * of_b.y - of_a.y * of_b.x;
        let takes_a = j >= b.len() || (i < a.len() && cross >= 0.0);
        let takes_b = i >= a.len() || (j < b.len() && cross <= 0.0);
        i += usize::from(takes_a);
        j += usize::from(takes_b);
    }
    sum
}

fn lowest(ring: &[Point2<f64>]) -> usize {
    let order = |a: &Point2<f64>, b: &Point2<f64>| a.y.total_cmp(&b.y).then(a.x.total_cmp(&b.x));
    (0..ring.len())
        .min_by(|i, j| order(&ring[*i], &ring[*j]))
        .unwrap_or(0)
}

fn convexes_of_piece(piece: &Region) -> Vec<Vec<Point2<f64>>> {
    let mut points: Vec<Point2<f64>> = Vec::new();
    let mut hole_starts: Vec<u32> = Vec::new();
    for ring in piece.rings() {
        if !points.is_empty() {
            hole_starts.push(points.len() as u32);
        }
        points.extend(ring.into_iter().map(Point2::from));
    }
    let mut cut: Vec<u32> = Vec::new();
    Earcut::new().earcut(points.iter().map(|p| [p.x, p.y]), &hole_starts, &mut cut);
    let triangles: Vec<[u32; 3]> = cut
        .chunks_exact(3)
        .map(|t| [t[0], t[1], t[2]])
        .filter_map(|t| counter_clockwise(t, &points))
        .collect();
    let area_mm2: f64 = triangles.iter().map(|t| turn(&points, *t) / 2.0).sum();
    if (area_mm2 - piece.area_mm2()).abs() > SAME_AREA_SHARE * area_mm2.abs().max(1e-9) {
        return Convexes::hull_of(piece).pieces;
    }
    let corner = |i: u32| points[i as usize];
    let joined = joined(triangles, &points).into_iter();
    joined
        .map(|ring| ring.into_iter().map(corner).collect())
        .collect()
}

fn turn(points: &[Point2<f64>], [a, b, c]: [u32; 3]) -> f64 {
    let coord = |i: u32| Coord {
        x: points[i as usize].x,
        y: points[i as usize].y,
    };
    orient2d(coord(a), coord(b), coord(c))
}

fn counter_clockwise([a, b, c]: [u32; 3], points: &[Point2<f64>]) -> Option<[u32; 3]> {
    let turn = turn(points, [a, b, c]);
    if turn == 0.0 {
        None
    } else {
        Some(if turn > 0.0 { [a, b, c] } else { [a, c, b] })
    }
}

/// Triangles joined over each shared side where that leaves no corner that turns right. A side that has to stay once has to
/// stay for good, since corners only open as pieces are joined, so one pass is enough.
fn joined(triangles: Vec<[u32; 3]>, points: &[Point2<f64>]) -> Vec<Vec<u32>> {
    let mut rings: Vec<Vec<u32>> = triangles.iter().map(|t| t.to_vec()).collect();
    let mut owner: FxHashMap<(u32, u32), usize> = FxHashMap::default();
    for (index, [a, b, c]) in triangles.iter().enumerate() {
        owner.extend([(*a, *b), (*b, *c), (*c, *a)].map(|side| (side, index)));
    }
    for &[a, b, c] in &triangles {
        for (from, to) in [(a, b), (b, c), (c, a)] {
            let both = owner.get(&(from, to)).zip(owner.get(&(to, from)));
            let Some((one, other)) = both.map(|(one, other)| (*one, *other)) else {
                continue;
            };
            if one == other {
                continue;
            }
            let Some(ring) = joined_over(&rings[one], &rings[other], from, to, points) else {
                continue;
            };
            for i in 0..ring.len() {
                owner.insert((ring[i], ring[(i + 1) % ring.len()]), one);
            }
            owner.remove(&(from, to));
            owner.remove(&(to, from));
            rings[one] = ring;
            rings[other].clear();
        }
    }
    rings.retain(|ring| !ring.is_empty());
    rings
}

/// Two rings joined over the side `from` to `to` of the first, where both its ends stay convex.
fn joined_over(
    one: &[u32],
    other: &[u32],
    from: u32,
    to: u32,
    points: &[Point2<f64>],
) -> Option<Vec<u32>> {
    let start = |ring: &[u32], at: u32| ring.iter().position(|corner| *corner == at);
    let (first, second) = (start(one, to)?, start(other, from)?);
    // From `to` around to `from` on the one, then from behind `from` to before `to` on the other.
    let mut ring: Vec<u32> = (0..one.len())
        .map(|i| one[(first + i) % one.len()])
        .collect();
    ring.extend((1..other.len() - 1).map(|i| other[(second + i) % other.len()]));
    let count = ring.len();
    let opens = |at: usize| {
        let corner = |i: usize| ring[i % count];
        turn(points, [corner(at + count - 1), corner(at), corner(at + 1)]) >= 0.0
    };
    (opens(0) && opens(one.len() - 1)).then_some(ring)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(low: f64, high: f64) -> Region {
        Region::rectangle([low, low], [high, high])
    }

    #[test]
    fn an_angle_falls_into_two_convex_pieces_that_make_it_up() {
        let angle = square(0.0, 10.0).minus(&square(4.0, 20.0));
        let pieces = Convexes::of(&angle);
        assert_eq!(pieces.pieces.len(), 2);
        let ring = |p: &Vec<Point2<f64>>| p.iter().map(|p| [p.x, p.y]).collect();
        let whole = Region::from_rings(pieces.pieces.iter().map(ring));
        assert!((whole.area_mm2() - 64.0).abs() < 1e-9);
    }

    #[test]
    fn the_sum_of_two_squares_is_the_square_of_both_sides_and_of_a_frame_keeps_its_hole() {
        let sum = Convexes::of(&square(0.0, 10.0)).sum(&Convexes::of(&square(0.0, 3.0)));
        assert_eq!(sum.box_mm(), Some(([0.0; 2], [13.0; 2])));
        assert!((sum.area_mm2() - 169.0).abs() < 1e-9);
        let frame = square(0.0, 30.0).minus(&square(10.0, 20.0));
        let sum = Convexes::of(&frame).sum(&Convexes::of(&square(0.0, 3.0)).mirrored());
        assert!((sum.area_mm2() - (33.0 * 33.0 - 7.0 * 7.0)).abs() < 1e-9);
    }

    #[test]
    fn a_grown_square_holds_the_circle_around_its_corners_and_reaches_as_far_as_asked_on_its_sides()
    {
        let grown = Convexes::of(&square(0.0, 10.0)).grown(5.0);
        let grown = grown.sum(&Convexes::of(&square(0.0, 0.01)));
        let ([low, _], [high, _]) = grown.box_mm().unwrap_or_default();
        assert!((low + 5.0).abs() < 1e-9 && (high - 15.01).abs() < 1e-9);
        let exact = 10.01 * 10.01 + 4.0 * 50.05 + std::f64::consts::PI * 25.0;
        assert!(grown.area_mm2() >= exact && grown.area_mm2() < 1.01 * exact);
    }
}
