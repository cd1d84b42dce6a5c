//! How far a convex hull reaches in any direction.

use nalgebra::{Point2, Vector2};

use crate::plane::{convex_hull, smallest_circle};

/// A hull about the centre of the smallest circle around it, ready to be asked how far it reaches.
#[derive(Debug, Clone)]
pub(in crate::pose) struct Reach {
    /// Corners from the centre, counter-clockwise, mm; never empty.
    corners: Vec<Vector2<f64>>,
    /// The direction square on the edge that leads to each corner, radians, ascending.
    square_on: Vec<f64>,
    /// The centre in the coordinates of the points given, mm.
    pub centre: Point2<f64>,
    /// Radius of the circle, mm: no corner moves by more than this per radian of turn.
    pub radius_mm: f64,
}

impl Reach {
    /// Of points in the plan; none where there are none.
    pub fn of(points: impl Iterator<Item = Point2<f64>> + Clone) -> Option<Self> {
        let hull = convex_hull(points);
        if hull.is_empty() {
            return None;
        }
        let circle = smallest_circle(&hull);
        let count = hull.len();
        let edge_square = |i: usize| {
            let edge = hull[i] - hull[(i + count - 1) % count];
            (-edge.x).atan2(edge.y)
        };
        let first = (0..count)
            .min_by(|&a, &b| edge_square(a).total_cmp(&edge_square(b)))
            .unwrap_or(0);
        let order = (0..count).map(|i| (first + i) % count);
        Some(Self {
            corners: order.clone().map(|i| hull[i] - circle.centre).collect(),
            square_on: order.map(edge_square).collect(),
            centre: circle.centre,
            radius_mm: circle.radius,
        })
    }

    /// The same about another centre.
    pub fn about(mut self, centre: Point2<f64>) -> Self {
        let step = self.centre - centre;
        self.corners.iter_mut().for_each(|corner| *corner += step);
        self.centre = centre;
        self.radius_mm = self
            .corners
            .iter()
            .fold(0.0, |most, p| f64::max(most, p.norm()));
        self
    }

    /// The corner that reaches furthest in a direction.
    pub fn furthest(&self, direction: Vector2<f64>) -> Vector2<f64> {
        let angle = direction.y.atan2(direction.x);
        let count = self.corners.len();
        let at = self.square_on.partition_point(|&edge| edge <= angle);
        // The corner after the last edge passed; its neighbours too, since angles are rounded.
        let near = [at + 2 * count - 2, at + 2 * count - 1, at + 2 * count];
        let mut best = self.corners[(at + count - 1) % count];
        for i in near {
            let corner = self.corners[i % count];
            if corner.dot(&direction) > best.dot(&direction) {
                best = corner;
            }
        }
        best
    }

    /// Its corners about the centre.
    pub fn corners(&self) -> &[Vector2<f64>] {
        &self.corners
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use std::f64::consts::PI;

    use super::*;

    #[test]
    fn the_furthest_corner_is_found_in_every_direction() {
        for count in 1..40_u32 {
            let cloud: Vec<_> = (0..count)
                .map(|i| f64::from(i * i) * 0.73)
                .map(|t| Point2::new(30.0 * t.cos() + t, 11.0 * (1.3 * t).sin()))
                .collect();
            let reach = Reach::of(cloud.iter().copied()).unwrap();
            for step in 0..720 {
                let way = f64::from(step) * PI / 360.0;
                let way = Vector2::new(way.cos(), way.sin());
                let most = cloud
                    .iter()
                    .map(|p| (p - reach.centre).dot(&way))
                    .fold(f64::NEG_INFINITY, f64::max);
                assert!((reach.furthest(way).dot(&way) - most).abs() < 1e-12);
            }
        }
    }
}
