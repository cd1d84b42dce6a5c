//! By what a part is known again when it comes back turned, moved, renumbered or saved in another format.
//!
//! A shape is a list of figures that a rigid motion leaves alone, and that a mirror changes: moments of the surface about its
//! own centre, made dimensionless by its radius of gyration. The mirror is told by the figures made with a cross product, which
//! change their sign under it (invariants of tensors under rotations; derived).

use nalgebra::{Matrix3, Point3, Vector3};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use crate::mesh::{InspectedMesh, Mesh};

/// Two parts are the same where no figure differs by more than this share. Saving in single precision moves them by some 1e-7,
/// saving with six digits by up to 1e-4, where a part has little
/// surface far out. The nearest two different parts of 100 differ by 0.1 (tests).
const SAME_SHARE: f64 = 2e-4;

/// Points and weights of a rule that is exact to the third degree on a triangle (Strang & Fix 1973, from memory): its middle,
/// and three points at 0.6 of the way to a corner. It treats all corners alike, so numbering changes nothing.
const MIDDLE_WEIGHT: f64 = -27.0 / 48.0;
const OTHER_WEIGHT: f64 = 25.0 / 48.0;

/// By what a part is known.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Shape {
    /// Radius of gyration of the surface, mm; then figures without dimension, for which it is all one which side of a facet is
    /// outside.
    figures: Vec<f64>,
    /// Figures for which it is not; only of a closed surface, since an open one may be read either way.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    sided: Vec<f64>,
}

impl Shape {
    /// The shape of a part.
    pub fn of(part: &InspectedMesh) -> Shape {
        let (figures, sided) = figures(&part.mesh, part.mass.volume_mm3);
        Shape {
            figures,
            sided: if part.watertight { sided } else { Vec::new() },
        }
    }

    /// Whether two parts are the same but for how they lie and how they were saved.
    pub fn is_same(&self, other: &Shape) -> bool {
        self.figures.len() == other.figures.len() && self.off_by(other) <= SAME_SHARE
    }

    /// The greatest difference of their figures, as a share.
    pub fn off_by(&self, other: &Shape) -> f64 {
        let pairs = self.figures.iter().zip(&other.figures);
        // Where one of the two has none, they are not compared.
        let sided = self.sided.iter().zip(&other.sided);
        pairs
            .chain(sided)
            .enumerate()
            .map(|(k, (a, b))| {
                // The first is a length and compared as a share of itself; the others are of the order of 1 or less.
                let of = if k == 0 {
                    a.abs().max(b.abs())
                } else {
                    a.abs().max(1.0)
                };
                if a == b { 0.0 } else { (a - b).abs() / of }
            })
            .fold(0.0, f64::max)
    }
}

/// SHA-256 of a mesh's corners and facets, in hexadecimal digits.
pub fn content(mesh: &Mesh) -> String {
    let mut hash = Sha256::new();
    for corner in &mesh.vertices_mm {
        for c in corner.iter() {
            hash.update(c.to_le_bytes());
        }
    }
    for facet in &mesh.triangles {
        for c in facet {
            hash.update(c.to_le_bytes());
        }
    }
    hash.finalize().iter().map(|b| format!("{b:02x}")).collect()
}

/// A place on the surface: where it is, the facet's normal, and how much surface it stands for.
struct Place {
    r: Vector3<f64>,
    n: Vector3<f64>,
    mm2: f64,
}

fn places(mesh: &Mesh) -> impl Iterator<Item = Place> + '_ {
    (0..mesh.triangles.len()).flat_map(|t| {
        let [a, b, c] = mesh.corners(t);
        let area = (b - a).cross(&(c - a)) / 2.0;
        let mm2 = area.norm();
        let n = if mm2 > 0.0 {
            area / mm2
        } else {
            Vector3::zeros()
        };
        let middle = (a.coords + b.coords + c.coords) / 3.0;
        let at = move |r: Vector3<f64>, weight: f64| Place {
            r,
            n,
            mm2: mm2 * weight,
        };
        let out = move |p: Point3<f64>| middle + (p.coords - middle) * 0.4;
        [
            at(middle, MIDDLE_WEIGHT),
            at(out(a), OTHER_WEIGHT),
            at(out(b), OTHER_WEIGHT),
            at(out(c), OTHER_WEIGHT),
        ]
    })
}

/// The figures of a mesh, and those that depend on the sense of its facets.
fn figures(mesh: &Mesh, volume_mm3: f64) -> (Vec<f64>, Vec<f64>) {
    let area_mm2: f64 = places(mesh).map(|p| p.mm2).sum();
    if area_mm2 <= 0.0 {
        return (vec![0.0], Vec::new());
    }
    let centre = places(mesh).map(|p| p.r * p.mm2).sum::<Vector3<f64>>() / area_mm2;
    let gyration_mm2 = places(mesh)
        .map(|p| (p.r - centre).norm_squared() * p.mm2)
        .sum::<f64>()
        / area_mm2;
    let radius_mm = gyration_mm2.sqrt();
    // From here on lengths are radii of gyration and the surface is 1.
    let scaled = || {
        places(mesh).map(move |p| Place {
            r: (p.r - centre) / radius_mm,
            n: p.n,
            mm2: p.mm2 / area_mm2,
        })
    };
    let zero = Matrix3::zeros();
    let s: Matrix3<f64> = scaled().fold(zero, |m, p| m + p.r * p.r.transpose() * p.mm2);
    let n: Matrix3<f64> = scaled().fold(zero, |m, p| m + p.n * p.n.transpose() * p.mm2);
    // Turning moment of the normals: changes its sign in a mirror.
    let m: Matrix3<f64> = scaled().fold(zero, |m, p| m + p.r.cross(&p.n) * p.n.transpose() * p.mm2);
    let sum = |f: &dyn Fn(&Place) -> f64| scaled().map(|p| f(&p) * p.mm2).sum::<f64>();
    let vector =
        |f: &dyn Fn(&Place) -> Vector3<f64>| scaled().map(|p| f(&p) * p.mm2).sum::<Vector3<f64>>();
    let a = vector(&|p| p.r * p.r.norm_squared());
    let w = vector(&|p| p.n * p.r.norm_squared());
    let u = vector(&|p| p.r * p.r.dot(&p.n));
    let v = vector(&|p| p.r * (p.r.dot(&(s * p.r))));
    let det = |a: Vector3<f64>, b: Vector3<f64>, c: Vector3<f64>| a.dot(&b.cross(&c));
    let figures = vec![
        radius_mm,
        area_mm2 / gyration_mm2,
        (s * s).trace(),
        s.determinant(),
        (n * n).trace(),
        n.determinant(),
        (s * n).trace(),
        (s * s * n).trace(),
        a.norm_squared(),
        a.dot(&(s * a)),
        v.dot(&a),
        sum(&|p| p.r.norm()),
        sum(&|p| p.r.norm_squared().powi(2)),
        sum(&|p| p.r.dot(&p.n).powi(2)),
        sum(&|p| p.r.dot(&(s * p.r)).powi(2)),
        sum(&|p| p.r.dot(&(n * p.r)).powi(2)),
        // These tell left from right.
        (m * s).trace(),
        (m * n).trace(),
        (m * s * s).trace(),
        (m * s * n).trace(),
        det(a, s * a, s * s * a),
        det(a, v, s * v),
        sum(&|p| det(p.r, s * p.r, s * s * p.r)),
        sum(&|p| det(p.r, s * p.r, n * p.r)),
    ];
    let sided = vec![
        volume_mm3.abs() / (gyration_mm2 * radius_mm),
        w.norm_squared(),
        a.dot(&w),
        u.norm_squared(),
        a.dot(&u),
        sum(&|p| p.r.dot(&p.n)),
        det(a, w, u),
    ];
    (figures, sided)
}
