//! The convex hull of points in the plan.

use nalgebra::{Point2, Vector2};
use robust::{Coord, orient2d};

/// A point counts as inside the octagon of extreme points only when it is inside by this share of the squared size, so
/// that rounding never drops a corner of the hull.
const OCTAGON_SHARE: f64 = 1e-12;

/// The corners of the convex hull, counter-clockwise, without repeats and without points on straight edges. One point
/// or two where all points are the same or in line; none for no points.
///
/// Most points lie inside the octagon of the extreme points in eight directions and are dropped first (Akl & Toussaint
/// 1978, from memory); the rest go through the monotone chain (Andrew 1979, from memory) with an exact turn test.
pub(crate) fn convex_hull(points: impl Iterator<Item = Point2<f64>> + Clone) -> Vec<Point2<f64>> {
    let octagon = Octagon::around(points.clone());
    let mut kept: Vec<_> = points.filter(|point| !octagon.holds(point)).collect();
    kept.sort_unstable_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    kept.dedup();
    if kept.len() < 3 {
        return kept;
    }
    let mut hull = chain(kept.iter());
    hull.pop();
    hull.extend(chain(kept.iter().rev()));
    hull.pop();
    hull
}

/// One side of the hull, from the first point to the last, turning left.
fn chain<'a>(points: impl Iterator<Item = &'a Point2<f64>>) -> Vec<Point2<f64>> {
    let mut side: Vec<Point2<f64>> = Vec::new();
    for &point in points {
        while let [.., before, last] = side[..] {
            if turns_left(before, last, point) {
                break;
            }
            side.pop();
        }
        side.push(point);
    }
    side
}

fn turns_left(a: Point2<f64>, b: Point2<f64>, c: Point2<f64>) -> bool {
    let coord = |p: Point2<f64>| Coord { x: p.x, y: p.y };
    orient2d(coord(a), coord(b), coord(c)) > 0.0
}

/// The least distance between two parallel lines that hold a convex hull between them, mm; 0 for fewer than three corners.
/// One of the two lies along an edge (Houle & Toussaint 1988, from memory).
pub(crate) fn least_width_mm(hull: &[Point2<f64>]) -> f64 {
    if hull.len() < 3 {
        return 0.0;
    }
    let edges = hull.iter().zip(hull.iter().cycle().skip(1));
    let widths = edges.map(|(from, to)| {
        let along = (to - from).normalize();
        let reaches = hull.iter().map(|corner| along.perp(&(corner - from)));
        reaches.fold(0.0, f64::max)
    });
    widths.fold(f64::INFINITY, f64::min)
}

/// The edges through the extreme points in eight directions, with what a point must pass to be inside.
struct Octagon {
    edges: Vec<(Point2<f64>, Vector2<f64>)>,
    least_cross: f64,
}

impl Octagon {
    /// A way to look, as factors of x and y, counter-clockwise.
    const WAYS: [[f64; 2]; 8] = [
        [1.0, 0.0],
        [1.0, 1.0],
        [0.0, 1.0],
        [-1.0, 1.0],
        [-1.0, 0.0],
        [-1.0, -1.0],
        [0.0, -1.0],
        [1.0, -1.0],
    ];

    fn around(points: impl Iterator<Item = Point2<f64>>) -> Self {
        let mut furthest = [(f64::NEG_INFINITY, Point2::origin()); 8];
        for point in points {
            for (way, best) in Self::WAYS.iter().zip(&mut furthest) {
                let reach = way[0] * point.x + way[1] * point.y;
                if reach > best.0 {
                    *best = (reach, point);
                }
            }
        }
        let corners = furthest.map(|(_, point)| point);
        let edges = (0..8)
            .map(|i| (corners[i], corners[(i + 1) % 8] - corners[i]))
            .filter(|(_, along)| *along != Vector2::zeros())
            .collect();
        let size = (corners[0] - corners[4])
            .norm()
            .max((corners[2] - corners[6]).norm());
        Self {
            edges,
            least_cross: OCTAGON_SHARE * size * size,
        }
    }

    fn holds(&self, point: &Point2<f64>) -> bool {
        self.edges.len() > 2
            && self
                .edges
                .iter()
                .all(|(from, along)| along.perp(&(point - from)) > self.least_cross)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hull_of(points: &[[f64; 2]]) -> Vec<[f64; 2]> {
        convex_hull(points.iter().map(|&p| Point2::from(p)))
            .iter()
            .map(|p| [p.x, p.y])
            .collect()
    }

    #[test]
    fn a_square_with_points_inside_and_on_its_edges_has_four_corners() {
        let points = [
            [0.0, 0.0],
            [1.0, 0.0],
            [2.0, 0.0],
            [2.0, 2.0],
            [1.0, 1.0],
            [0.0, 2.0],
            [2.0, 1.0],
        ];
        assert_eq!(
            hull_of(&points),
            [[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]]
        );
    }

    #[test]
    fn the_least_width_of_a_turned_rectangle_is_its_short_side() {
        let (sine, cosine) = 0.4_f64.sin_cos();
        let corners = [[0.0, 0.0], [9.0, 0.0], [9.0, 2.0], [0.0, 2.0]];
        let turned = corners.map(|[x, y]| [x * cosine - y * sine, x * sine + y * cosine]);
        let hull = convex_hull(turned.iter().map(|&p| Point2::from(p)));
        assert!((least_width_mm(&hull) - 2.0).abs() < 1e-12);
        assert_eq!(least_width_mm(&hull[..2]), 0.0);
    }

    #[test]
    fn points_in_line_or_in_one_place_are_two_corners_or_one() {
        assert_eq!(
            hull_of(&[[0.0, 0.0], [1.0, 1.0], [3.0, 3.0]]),
            [[0.0, 0.0], [3.0, 3.0]]
        );
        assert_eq!(hull_of(&[[4.0, 5.0], [4.0, 5.0]]), [[4.0, 5.0]]);
        assert!(hull_of(&[]).is_empty());
    }

    #[test]
    fn points_in_line_away_from_the_origin_leave_no_false_corner() {
        let line: Vec<_> = (0..50)
            .map(|i| [0.1 * f64::from(i), 0.3 * f64::from(i)])
            .collect();
        let hull = hull_of(&line);
        assert!(hull.contains(&line[0]) && hull.contains(&line[49]));
    }

    #[test]
    fn every_point_lies_left_of_every_edge() {
        let mut state = 7_u64;
        let mut next = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            (state >> 33) as f64 / f64::from(1_u32 << 31)
        };
        let points: Vec<_> = (0..2000)
            .map(|_| Point2::new(next() * 40.0, next() * 9.0))
            .collect();
        let hull = convex_hull(points.iter().copied());
        assert!(hull.len() > 8);
        for (i, &a) in hull.iter().enumerate() {
            let b = hull[(i + 1) % hull.len()];
            assert!(
                points
                    .iter()
                    .all(|&p| p == a || p == b || turns_left(a, b, p))
            );
        }
    }
}
