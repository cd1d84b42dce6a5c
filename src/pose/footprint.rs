//! What the poses of a part cover on a bed.

use std::sync::{Arc, OnceLock};

use nalgebra::{Point2, Point3, Vector3};

use super::bed::turn::Turns;
use super::outline::shadow_of;
use super::tilt::corners::Corners;
use super::tilt::inner::Inner;
use super::tilt::rests::{RestingPoses, resting_poses};
use super::{Down, Rest};
use crate::mesh::Mesh;
use crate::plane::{Region, convex_hull, smallest_circle};

/// A part's footprints: those of its six axis-down poses are taken once, so that fitting them to machines no longer looks
/// at the mesh; any other is taken, when it is asked for, from the few vertices that can be corners of the convex hull.
#[derive(Debug, Clone)]
pub struct Footprints<'m> {
    mesh: &'m Mesh,
    size_mm: Vector3<f64>,
    /// Of the poses whose plan negates no coordinate of the part: +x down, +y down, -z down.
    by_axis: [Footprint; 3],
    /// True outlines of the same, taken when first asked for.
    outlines: [OnceLock<Region>; 3],
    /// Found when the first tilted pose is asked for.
    corners: OnceLock<Corners>,
    inner: OnceLock<Inner>,
    rests: OnceLock<RestingPoses>,
}

/// What one pose, not yet turned, covers on the bed.
#[derive(Debug, Clone)]
pub(super) struct Footprint {
    /// Width and depth at every turn.
    pub turns: Turns,
    /// Diameter of the smallest circle around it, mm.
    pub across_mm: f64,
    /// Corners of its hull, mm. Those of an axis-down pose run along the part's axes, whatever the pose negates.
    hull: Arc<[Point2<f64>]>,
}

/// The part's axes that run along the bed's x and y where x, y or z points down.
const PLAN_AXES: [[usize; 2]; 3] = [[2, 1], [0, 2], [0, 1]];

impl<'m> Footprints<'m> {
    /// Takes the footprints of a mesh: three convex hulls, one per axis, each seen from both ends.
    pub fn of(mesh: &'m Mesh) -> Self {
        let (low, high) = mesh.box_mm();
        let along = |axes| Footprint::of(mesh, axes);
        let ((x, y), z) = rayon::join(
            || rayon::join(|| along(PLAN_AXES[0]), || along(PLAN_AXES[1])),
            || along(PLAN_AXES[2]),
        );
        Self {
            mesh,
            size_mm: high - low,
            by_axis: [x, y, z],
            outlines: Default::default(),
            corners: OnceLock::new(),
            inner: OnceLock::new(),
            rests: OnceLock::new(),
        }
    }

    /// The mesh that the footprints are of.
    pub fn mesh(&self) -> &'m Mesh {
        self.mesh
    }

    /// A superset of the corners of the part's convex hull, relative to the least corner of its box, mm.
    pub(super) fn corners(&self) -> &[Point3<f64>] {
        &once(&self.corners, || Corners::of(self.mesh)).points
    }

    /// A few points that stand for the part in a search.
    pub(super) fn inner(&self) -> &Inner {
        once(&self.inner, || Inner::of(self.corners()))
    }

    /// The poses in which the part stands on its own.
    pub fn rests(&self) -> &RestingPoses {
        once(&self.rests, || resting_poses(self))
    }

    /// Size of the part's box as drawn, mm.
    pub fn size_mm(&self) -> Vector3<f64> {
        self.size_mm
    }

    /// Size of the part's box in a pose, not turned, mm.
    pub fn size_in(&self, down: impl Into<Rest>) -> [f64; 3] {
        let rest = down.into();
        let [width, depth] = self.of_pose(rest).turns.size_at_mm(0.0);
        [width, depth, self.height_mm(rest)]
    }

    /// Height of the part in a pose, mm.
    pub fn height_mm(&self, down: impl Into<Rest>) -> f64 {
        let rest = down.into();
        match rest.axis() {
            Some(down) => self.size_mm[down.axis()],
            None => extent_mm(self.corners(), &rest.direction()),
        }
    }

    /// The footprint of a pose.
    pub(super) fn of_pose(&self, down: impl Into<Rest>) -> Footprint {
        let rest = down.into();
        match rest.axis() {
            Some(down) => self.of_axis(down),
            None => Footprint::of_tilted(self.corners(), &rest),
        }
    }

    /// Corners of the part's hull seen from above in a pose, not turned, mm.
    pub(super) fn plan_hull(&self, rest: Rest) -> Vec<Point2<f64>> {
        let hull = self.of_pose(rest).hull;
        match rest.axis() {
            Some(down) => hull
                .iter()
                .map(|p| signed(down, [p.x, p.y]).into())
                .collect(),
            None => hull.to_vec(),
        }
    }

    /// The part's true outline in the same coordinates.
    pub(super) fn plan_outline(&self, rest: Rest) -> Region {
        let triangles = &self.mesh.triangles;
        let (low, _) = self.mesh.box_mm();
        let Some(down) = rest.axis() else {
            let rotation = rest.rotation();
            let plan = self
                .mesh
                .vertices_mm
                .iter()
                .map(|v| (rotation * (v - low)).xy().into());
            return shadow_of(&plan.collect::<Vec<_>>(), triangles);
        };
        let axes = PLAN_AXES[down.axis()];
        let outline = self.outlines[down.axis()].get_or_init(|| {
            let plan = self
                .mesh
                .vertices_mm
                .iter()
                .map(|v| axes.map(|axis| v[axis] - low[axis]));
            shadow_of(&plan.collect::<Vec<_>>(), triangles)
        });
        let mirrored = signed(down, [1.0, 1.0]) != [1.0, 1.0];
        Region::from_rings(outline.rings().map(|ring| {
            let mut ring: Vec<_> = ring.into_iter().map(|p| signed(down, p)).collect();
            if mirrored {
                ring.reverse();
            }
            ring
        }))
    }

    /// What of the part lies above a height over the bed, seen from above in the same coordinates, mm: its corners there, and
    /// where its edges pass the height.
    pub(super) fn plan_above(&self, rest: Rest, from_mm: f64) -> Vec<Point2<f64>> {
        let (near, _) = self.mesh.box_mm();
        let rotation = rest.rotation();
        let posed: Vec<_> = self
            .mesh
            .vertices_mm
            .iter()
            .map(|v| rotation * (v - near))
            .collect();
        let bed_mm = posed.iter().fold(f64::INFINITY, |low, v| low.min(v.z));
        let over = |i: u32| posed[i as usize].z - bed_mm - from_mm;
        let mut plan = Vec::new();
        for &[a, b, c] in &self.mesh.triangles {
            for (i, j) in [(a, b), (b, c), (c, a)] {
                let (hi, hj) = (over(i), over(j));
                if hi > 0.0 {
                    plan.push(posed[i as usize].xy().into());
                }
                if (hi > 0.0) != (hj > 0.0) {
                    let share = hi / (hi - hj);
                    let (p, q) = (posed[i as usize].xy(), posed[j as usize].xy());
                    plan.push((p + (q - p) * share).into());
                }
            }
        }
        plan
    }

    /// The plan of the pose on an axis' other end negates one coordinate, so it is the mirror image.
    fn of_axis(&self, down: Down) -> Footprint {
        let footprint = self.by_axis[down.axis()].clone();
        match down {
            Down::XPlus | Down::YPlus | Down::ZMinus => footprint,
            Down::XMinus | Down::YMinus | Down::ZPlus => Footprint {
                turns: footprint.turns.mirrored(),
                ..footprint
            },
        }
    }
}

impl Footprint {
    /// From the part's axes that run along the bed's x and y. Taken near the part, so that distance from the origin
    /// costs no digits.
    fn of(mesh: &Mesh, axes: [usize; 2]) -> Self {
        let (low, _) = mesh.box_mm();
        let plan = mesh.vertices_mm.iter().map(|vertex| {
            let [x, y] = axes.map(|axis| vertex[axis] - low[axis]);
            Point2::new(x, y)
        });
        Self::around(plan)
    }

    /// From points of the part, of which the corners of its hull are enough.
    pub(super) fn of_tilted(points: &[Point3<f64>], rest: &Rest) -> Self {
        let rotation = rest.rotation();
        Self::around(points.iter().map(|point| (rotation * point).xy()))
    }

    fn around(plan: impl Iterator<Item = Point2<f64>> + Clone) -> Self {
        let hull = convex_hull(plan);
        Self {
            turns: Turns::of(&hull),
            across_mm: 2.0 * smallest_circle(&hull).radius,
            hull: hull.into(),
        }
    }
}

/// A place along the part's axes as the bed's x and y in an axis-down pose, which may negate one of them.
fn signed(down: Down, along: [f64; 2]) -> [f64; 2] {
    let axes = PLAN_AXES[down.axis()];
    let rotation = down.rotation();
    [0, 1].map(|row| rotation[(row, axes[row])] * along[row])
}

/// What a cell holds, made where it is empty. It is made before the cell is locked: the making runs in parallel, and a
/// thread that waits there may take up another task that asks for the same cell, which must not wait for itself.
fn once<T>(cell: &OnceLock<T>, make: impl FnOnce() -> T) -> &T {
    match cell.get() {
        Some(held) => held,
        None => {
            let made = make();
            cell.get_or_init(|| made)
        }
    }
}

/// How far points reach along a direction of length 1, mm.
pub(super) fn extent_mm(points: &[Point3<f64>], direction: &Vector3<f64>) -> f64 {
    let reaches = points.iter().map(|point| point.coords.dot(direction));
    let (low, high) = reaches.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), at| {
        (low.min(at), high.max(at))
    });
    (high - low).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pose::{Pose, place};
    use nalgebra::Point3;

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
                let [width, depth] = footprints.of_pose(down).turns.size_at_mm(turn_deg);
                assert!((placed.x - width).abs() < 1e-13, "{down} {turn_deg}");
                assert!((placed.y - depth).abs() < 1e-13, "{down} {turn_deg}");
                assert_eq!(placed.z, footprints.height_mm(down));
            }
        }
    }
}
