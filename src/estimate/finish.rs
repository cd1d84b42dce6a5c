//! How smooth the surface comes out.

use nalgebra::Vector3;

use crate::mesh::Mesh;
use crate::pose::Rest;

/// Faces nearer to flat than this have no steps (design, Finish).
const FLAT: f64 = 1.0 - 1e-6;
/// Pandey, Reddy & Dhande 2003 tried faces up to this far from the vertical, degrees (from memory).
const TRIED_DEG: f64 = 70.0;
/// Roughness over layer height on a vertical wall, um per mm: middle of their 69.28 to 72.36 (from memory).
const ROUGHNESS_UM_PER_MM: f64 = 70.82;
/// Where more of the stepped surface than this lies beyond the tried range, no roughness is given.
const BEYOND_SHARE: f64 = 0.05;

/// The stepped surface of a posed part, per millimetre of layer height. Turning about the vertical does not change it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Steps {
    /// Area-weighted mean of `|n_z|`, flat faces left out; 0 where all faces are flat.
    pub mean: f64,
    /// Greatest `|n_z|` of a face that is not flat.
    pub greatest: f64,
    /// The middle of that face, mm of the part as drawn.
    pub greatest_at_mm: Option<[f64; 3]>,
    /// Area-weighted mean of `1/cos(theta)` up to 70 degrees from the vertical; `None` where too much lies beyond.
    pub mean_inverse_cosine: Option<f64>,
}

impl Steps {
    /// Looks at every facet of a mesh as drawn, for a pose.
    pub fn of(mesh: &Mesh, down: Rest) -> Steps {
        // The rotation's last row: what of a normal points up once the part is posed.
        let up: Vector3<f64> = down.rotation().inverse() * Vector3::z();
        let (mut area, mut cusps, mut greatest) = (0.0, 0.0, 0.0f64);
        let mut greatest_at_mm = None;
        let (mut tried, mut inverse) = (0.0, 0.0);
        let tried_sine = TRIED_DEG.to_radians().sin();
        for facet in 0..mesh.triangles.len() {
            let [a, b, c] = mesh.corners(facet);
            let normal: Vector3<f64> = (b - a).cross(&(c - a));
            let twice_area = normal.norm();
            if twice_area == 0.0 {
                continue;
            }
            let lean = (normal.dot(&up) / twice_area).abs();
            if lean > FLAT {
                continue;
            }
            area += twice_area;
            cusps += twice_area * lean;
            if lean > greatest {
                greatest = lean;
                let middle = (a.coords + b.coords + c.coords) / 3.0;
                greatest_at_mm = Some(middle.into());
            }
            if lean <= tried_sine {
                tried += twice_area;
                inverse += twice_area / (1.0 - lean * lean).sqrt();
            }
        }
        let mean = if area > 0.0 { cusps / area } else { 0.0 };
        let within = tried > 0.0 && area - tried <= BEYOND_SHARE * area;
        Steps {
            mean,
            greatest,
            greatest_at_mm,
            mean_inverse_cosine: within.then(|| inverse / tried),
        }
    }

    /// Mean cusp height `h |n_z|` (Dolenc & Makela 1994, from memory), um.
    pub fn cusp_um(&self, layer_height_mm: f64) -> f64 {
        1000.0 * layer_height_mm * self.mean
    }

    /// Greatest cusp height, um.
    pub fn greatest_cusp_um(&self, layer_height_mm: f64) -> f64 {
        1000.0 * layer_height_mm * self.greatest
    }

    /// Mean roughness `Ra = 70.82 h / cos(theta)` (Pandey, Reddy & Dhande 2003, from memory; early machines and one
    /// plastic, so an estimate), um; `None` outside the range that was tried.
    pub fn roughness_um(&self, layer_height_mm: f64) -> Option<f64> {
        self.mean_inverse_cosine
            .map(|inverse| ROUGHNESS_UM_PER_MM * layer_height_mm * inverse)
    }
}
