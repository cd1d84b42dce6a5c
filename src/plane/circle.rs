//! The smallest circle around points in the plan.

use nalgebra::Point2;

/// An enclosing circle may be exceeded by this share of its radius: rounding of a circumcentre, with room.
const CIRCLE_SHARE: f64 = 1e-12;

/// Rounds of the search before it is cut off. Each round grows the circle, and a few are enough in practice.
const MOST_ROUNDS: usize = 1000;

/// A circle, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Circle {
    pub centre: Point2<f64>,
    pub radius: f64,
}

impl Circle {
    fn reaches(&self, point: &Point2<f64>) -> bool {
        (point - self.centre).norm() <= self.radius * (1.0 + CIRCLE_SHARE)
    }
}

/// The smallest circle that holds all points.
///
/// The circle is set by two or three of the points (Welzl 1991, from memory). Starting from one point, the furthest
/// point outside joins those that set the circle, and the smallest circle of those few is found by trying them all: it
/// grows every time, so the search ends. The radius is then taken to the furthest point, so that every point is held.
pub(crate) fn smallest_circle(points: &[Point2<f64>]) -> Circle {
    let Some(first) = points.first() else {
        return Circle {
            centre: Point2::origin(),
            radius: 0.0,
        };
    };
    let mut circle = Circle {
        centre: *first,
        radius: 0.0,
    };
    let mut basis = vec![*first];
    for _ in 0..MOST_ROUNDS {
        let far = furthest(points, circle.centre);
        if circle.reaches(&far) {
            break;
        }
        basis.push(far);
        let Some((larger, setting)) = smallest_of_few(&basis) else {
            break;
        };
        if larger.radius <= circle.radius {
            break;
        }
        (circle, basis) = (larger, setting);
    }
    let far = furthest(points, circle.centre);
    Circle {
        radius: (far - circle.centre).norm(),
        ..circle
    }
}

fn furthest(points: &[Point2<f64>], from: Point2<f64>) -> Point2<f64> {
    let mut best = (-1.0, from);
    for point in points {
        let distance = (point - from).norm_squared();
        if distance > best.0 {
            best = (distance, *point);
        }
    }
    best.1
}

/// The smallest circle of at most four points, with the two or three that set it.
fn smallest_of_few(points: &[Point2<f64>]) -> Option<(Circle, Vec<Point2<f64>>)> {
    let mut best: Option<(Circle, Vec<Point2<f64>>)> = None;
    let mut consider = |circle: Circle, setting: &[Point2<f64>]| {
        let smaller = best
            .as_ref()
            .is_none_or(|(held, _)| circle.radius < held.radius);
        if smaller && points.iter().all(|point| circle.reaches(point)) {
            best = Some((circle, setting.to_vec()));
        }
    };
    for (i, a) in points.iter().enumerate() {
        for (j, b) in points.iter().enumerate().skip(i + 1) {
            consider(across(a, b), &[*a, *b]);
            for c in &points[j + 1..] {
                if let Some(circle) = through(a, b, c) {
                    consider(circle, &[*a, *b, *c]);
                }
            }
        }
    }
    best
}

fn across(a: &Point2<f64>, b: &Point2<f64>) -> Circle {
    let centre = nalgebra::center(a, b);
    Circle {
        centre,
        radius: (a - centre).norm().max((b - centre).norm()),
    }
}

/// The circle through three points; none where they lie in line.
fn through(a: &Point2<f64>, b: &Point2<f64>, c: &Point2<f64>) -> Option<Circle> {
    let (ab, ac) = (b - a, c - a);
    let twice_cross = 2.0 * ab.perp(&ac);
    let (b2, c2) = (ab.norm_squared(), ac.norm_squared());
    let x = (ac.y * b2 - ab.y * c2) / twice_cross;
    let y = (ab.x * c2 - ac.x * b2) / twice_cross;
    let centre = Point2::new(a.x + x, a.y + y);
    let radius = [a, b, c]
        .map(|p| (p - centre).norm())
        .into_iter()
        .fold(0.0, f64::max);
    radius.is_finite().then_some(Circle { centre, radius })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn points(seed: u64, count: usize, whole: bool) -> Vec<Point2<f64>> {
        let mut state = seed;
        let mut next = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695);
            let value = (state >> 33) as f64 / f64::from(1_u32 << 31) * 10.0;
            if whole { value.round() } else { value }
        };
        (0..count).map(|_| Point2::new(next(), next())).collect()
    }

    /// Every pair and every triple, tried in full.
    fn by_trying_all(points: &[Point2<f64>]) -> f64 {
        smallest_of_few(points).unwrap().0.radius
    }

    #[test]
    fn it_agrees_with_trying_every_pair_and_triple() {
        for seed in 1..300 {
            let cloud = points(seed, 3 + seed as usize % 17, seed % 3 == 0);
            let found = smallest_circle(&cloud).radius;
            let tried = by_trying_all(&cloud);
            assert!(
                (found - tried).abs() < 1e-10,
                "seed {seed}: {found} against {tried}"
            );
        }
    }

    #[test]
    fn known_circles_come_out() {
        let square = [[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]].map(Point2::from);
        assert!((smallest_circle(&square).radius - 2.0_f64.sqrt()).abs() < 1e-14);
        let triangle = [[0.0, 0.0], [1.0, 0.0], [0.5, 0.75_f64.sqrt()]].map(Point2::from);
        assert!((smallest_circle(&triangle).radius - 3.0_f64.sqrt().recip()).abs() < 1e-14);
        let obtuse = [[0.0, 0.0], [10.0, 0.0], [5.0, 1.0]].map(Point2::from);
        assert!((smallest_circle(&obtuse).radius - 5.0).abs() < 1e-14);
        assert_eq!(smallest_circle(&[Point2::new(3.0, 4.0)]).radius, 0.0);
    }

    #[test]
    fn a_finely_divided_circle_measures_its_own_radius() {
        let rim: Vec<_> = (0..5000)
            .map(|i| f64::from(i) / 5000.0 * std::f64::consts::TAU)
            .map(|t| Point2::new(70.0 + 50.0 * t.cos(), 50.0 * t.sin()))
            .collect();
        assert!((smallest_circle(&rim).radius - 50.0).abs() < 1e-9);
    }
}
