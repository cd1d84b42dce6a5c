//! What the six axis-down poses of a part cover on a bed.

use nalgebra::{Point2, Point3, Vector3};
use rayon::prelude::*;

use super::Down;
use super::circle::{Circle, smallest_circle};
use super::hull::convex_hull;
use super::turn::{Turns, unit};
use crate::mesh::Mesh;

/// The part's footprints in its six axis-down poses, taken once; fitting machines then no longer looks at the mesh.
#[derive(Debug, Clone)]
pub struct Footprints {
    size_mm: Vector3<f64>,
    six: Vec<(Down, Footprint)>,
}

/// What one pose, not yet turned, covers on the bed.
#[derive(Debug, Clone)]
pub(super) struct Footprint {
    /// Corners of the convex hull, counter-clockwise, mm.
    pub hull: Vec<Point2<f64>>,
    /// Width and depth at every turn.
    pub turns: Turns,
    /// Smallest circle around it.
    pub circle: Circle,
}

impl Footprints {
    /// Takes the footprints of a mesh: three convex hulls, one per axis, each seen from both ends.
    pub fn of(mesh: &Mesh) -> Self {
        let (low, high) = mesh.box_mm();
        let both_ends: Vec<[(Down, Footprint); 2]> = PLANS
            .par_iter()
            .map(|plan| {
                let seen = mesh.vertices_mm.iter().map(|vertex| plan.of(vertex, &low));
                let hull = convex_hull(seen);
                let other_hull = hull.iter().rev().map(|p| plan.from_other_end(p)).collect();
                [
                    (plan.down, Footprint::of(hull)),
                    (plan.down_at_other_end, Footprint::of(other_hull)),
                ]
            })
            .collect();
        Self {
            size_mm: high - low,
            six: both_ends.into_iter().flatten().collect(),
        }
    }

    /// Size of the part's box as drawn, mm.
    pub fn size_mm(&self) -> Vector3<f64> {
        self.size_mm
    }

    /// Height of the part in a pose, mm.
    pub fn height_mm(&self, down: Down) -> f64 {
        self.size_mm[down.axis()]
    }

    pub(super) fn of_pose(&self, down: Down) -> Option<&Footprint> {
        self.six
            .iter()
            .find(|(held, _)| *held == down)
            .map(|(_, footprint)| footprint)
    }
}

impl Footprint {
    fn of(hull: Vec<Point2<f64>>) -> Self {
        Self {
            turns: Turns::of(&hull),
            circle: smallest_circle(&hull),
            hull,
        }
    }

    /// Width and depth turned by an angle, mm.
    pub fn size_at_mm(&self, turn_deg: f64) -> [f64; 2] {
        let (cosine, sine) = unit(turn_deg);
        let extent = |x: f64, y: f64| {
            let along = self.hull.iter().map(|p| x * p.x + y * p.y);
            let (low, high) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), at| {
                (low.min(at), high.max(at))
            });
            (high - low).max(0.0)
        };
        [extent(cosine, -sine), extent(sine, cosine)]
    }
}

/// How the plan of a pose is read off the part: which of the part's axes run along the bed's x and y. Only poses that
/// negate neither are listed; the pose on the other end mirrors one of the two.
struct Plan {
    down: Down,
    down_at_other_end: Down,
    axes: [usize; 2],
    mirrors_x: bool,
}

const PLANS: [Plan; 3] = [
    Plan {
        down: Down::ZMinus,
        down_at_other_end: Down::ZPlus,
        axes: [0, 1],
        mirrors_x: false,
    },
    Plan {
        down: Down::XPlus,
        down_at_other_end: Down::XMinus,
        axes: [2, 1],
        mirrors_x: true,
    },
    Plan {
        down: Down::YPlus,
        down_at_other_end: Down::YMinus,
        axes: [0, 2],
        mirrors_x: false,
    },
];

impl Plan {
    fn of(&self, vertex: &Point3<f64>, low: &Point3<f64>) -> Point2<f64> {
        let [x, y] = self.axes.map(|axis| vertex[axis] - low[axis]);
        Point2::new(x, y)
    }

    fn from_other_end(&self, point: &Point2<f64>) -> Point2<f64> {
        if self.mirrors_x {
            Point2::new(-point.x, point.y)
        } else {
            Point2::new(point.x, -point.y)
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::pose::{Pose, place};

    #[test]
    fn the_footprint_of_every_pose_and_turn_is_as_large_as_the_placed_part() {
        let corners = [
            [0.0, 0.0, 0.0],
            [9.0, 0.5, 0.25],
            [1.0, 7.0, 0.0],
            [0.5, 1.0, 4.0],
        ];
        let mesh = Mesh {
            vertices_mm: corners.map(Point3::from).to_vec(),
            triangles: vec![[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]],
        };
        let footprints = Footprints::of(&mesh);
        for down in Down::ALL {
            for turn_deg in [0.0, 90.0, 25.0, 111.0, 300.0] {
                let placed = place(&mesh, &Pose::new(down, turn_deg)).box_mm().1;
                let [width, depth] = footprints.of_pose(down).unwrap().size_at_mm(turn_deg);
                assert!((placed.x - width).abs() < 1e-13, "{down} {turn_deg}");
                assert!((placed.y - depth).abs() < 1e-13, "{down} {turn_deg}");
                assert_eq!(placed.z, footprints.height_mm(down));
            }
        }
    }
}
