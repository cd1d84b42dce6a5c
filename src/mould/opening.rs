//! The direction along which a mould opens, and the frame in which that is upward.

use nalgebra::{Point3, Rotation3, Vector3};

use super::MouldError;
use crate::mesh::Mesh;
use crate::pose::Rest;

/// The direction along which a mould opens.
#[derive(Debug, Clone, PartialEq)]
pub struct Opening {
    direction: Vector3<f64>,
    rotation: Rotation3<f64>,
}

impl Opening {
    /// Opening along a direction of the part.
    ///
    /// # Errors
    /// [`MouldError::NoDirection`] where it is zero or not finite.
    pub fn along(direction: Vector3<f64>) -> Result<Opening, MouldError> {
        let rest = Rest::on(-direction).ok_or(MouldError::NoDirection)?;
        Ok(Opening {
            direction: -rest.direction(),
            rotation: rest.rotation(),
        })
    }

    /// The three axes of the part, upward ones.
    pub fn axes() -> Vec<Opening> {
        [Vector3::z(), Vector3::y(), Vector3::x()]
            .into_iter()
            .filter_map(|d| Opening::along(d).ok())
            .collect()
    }

    /// Both ways along the three axes.
    pub fn both_ways() -> Vec<Opening> {
        [
            Vector3::z(),
            -Vector3::z(),
            Vector3::y(),
            -Vector3::y(),
            Vector3::x(),
            -Vector3::x(),
        ]
        .into_iter()
        .filter_map(|d| Opening::along(d).ok())
        .collect()
    }

    /// The direction in the part's own coordinates, of length 1.
    pub fn direction(&self) -> Vector3<f64> {
        self.direction
    }

    /// `z`, `-x`, or three numbers.
    pub fn name(&self) -> String {
        for (axis, letter) in [
            (Vector3::x(), "x"),
            (Vector3::y(), "y"),
            (Vector3::z(), "z"),
        ] {
            let along = self.direction.dot(&axis);
            if along > 1.0 - 1e-12 {
                return letter.to_owned();
            }
            if along < -1.0 + 1e-12 {
                return format!("-{letter}");
            }
        }
        let [x, y, z]: [f64; 3] = self.direction.into();
        format!("{x:.3},{y:.3},{z:.3}")
    }

    /// The part as it lies in the mould's frame.
    pub fn in_frame(&self, mesh: &Mesh) -> Mesh {
        Mesh {
            vertices_mm: mesh.vertices_mm.iter().map(|v| self.rotation * v).collect(),
            triangles: mesh.triangles.clone(),
        }
    }

    /// A point of the mould's frame in the part's own coordinates, mm.
    pub fn in_part(&self, point: &Point3<f64>) -> Point3<f64> {
        self.rotation.inverse() * point
    }
}
