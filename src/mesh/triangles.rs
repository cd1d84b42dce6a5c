//! The indexed triangle mesh.

use nalgebra::{Point3, Vector3};

/// An indexed triangle mesh in millimetres. Every coordinate is finite and every index is in range.
#[derive(Debug, Clone, PartialEq)]
pub struct Mesh {
    /// Corner points, mm.
    pub vertices_mm: Vec<Point3<f64>>,
    /// Three vertex indices per facet, counter-clockwise seen from outside.
    pub triangles: Vec<[u32; 3]>,
}

impl Mesh {
    /// The three corners of facet `index`, mm.
    pub fn corners(&self, index: usize) -> [Point3<f64>; 3] {
        self.triangles[index].map(|v| self.vertices_mm[v as usize])
    }

    /// Size of the axis-parallel box, mm.
    pub fn size_mm(&self) -> Vector3<f64> {
        let (low, high) = self.box_mm();
        high - low
    }

    /// Least and greatest corner of the axis-parallel box, mm. Zero for a mesh without vertices.
    pub fn box_mm(&self) -> (Point3<f64>, Point3<f64>) {
        let Some(first) = self.vertices_mm.first() else {
            return (Point3::origin(), Point3::origin());
        };
        self.vertices_mm
            .iter()
            .fold((*first, *first), |(low, high), v| (low.inf(v), high.sup(v)))
    }
}
