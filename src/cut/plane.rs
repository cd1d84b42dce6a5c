//! Planes across an axis of the part.

use std::fmt;

use nalgebra::Point3;

use crate::mesh::Mesh;

/// An axis of the part as drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Axis {
    /// The part's x.
    X,
    /// The part's y.
    Y,
    /// The part's z.
    Z,
}

impl Axis {
    /// All three.
    pub const ALL: [Axis; 3] = [Axis::X, Axis::Y, Axis::Z];

    /// 0 for x, 1 for y, 2 for z.
    pub fn index(self) -> usize {
        self as usize
    }

    /// The two coordinates of a plane across the axis, in the order in which they run counter-clockwise seen from the axis' far
    /// end.
    pub fn across(self) -> [usize; 2] {
        let axis = self.index();
        [(axis + 1) % 3, (axis + 2) % 3]
    }

    /// A point as it stands where the axis points up: turned, never mirrored.
    pub(super) fn upright(self, point: &Point3<f64>) -> Point3<f64> {
        let [u, v] = self.across();
        Point3::new(point[u], point[v], point[self.index()])
    }

    /// A mesh as it stands where the axis points up.
    pub(super) fn upright_mesh(self, mesh: &Mesh) -> Mesh {
        Mesh {
            vertices_mm: mesh.vertices_mm.iter().map(|v| self.upright(v)).collect(),
            triangles: mesh.triangles.clone(),
        }
    }
}

impl fmt::Display for Axis {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(["x", "y", "z"][self.index()])
    }
}

/// A plane across an axis of the part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plane {
    /// The axis it stands across.
    pub axis: Axis,
    /// Where on that axis, mm in the part's own coordinates.
    pub at_mm: f64,
}
