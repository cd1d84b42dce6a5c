//! By what a part is known again when it comes back turned, moved, renumbered or saved in another format.
//!
//! A shape is a list of figures that a rigid motion leaves alone, and that a mirror changes: moments of the surface about its
//! own centre, made dimensionless by its radius of gyration. The mirror is told by the figures made with a cross product, which
//! change their sign under it (invariants of tensors under rotations; derived).

use nalgebra::{Matrix3, Point3, Vector3};
use rayon::prelude::*;
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
    // A block at a time: one call per number would take longer than the hash.
    let mut block = Vec::new();
    for corners in mesh.vertices_mm.chunks(BLOCK) {
        block.clear();
        block.extend(
            corners
                .iter()
                .flat_map(|p| p.iter())
                .flat_map(|c| c.to_le_bytes()),
        );
        hash.update(&block);
    }
    for facets in mesh.triangles.chunks(BLOCK) {
        block.clear();
        block.extend(facets.iter().flatten().flat_map(|c| c.to_le_bytes()));
        hash.update(&block);
    }
    hash.finalize().iter().map(|b| format!("{b:02x}")).collect()
}

/// A place on the surface: where it is, the facet's normal, and how much surface it stands for.
struct Place {
    r: Vector3<f64>,
    n: Vector3<f64>,
    mm2: f64,
}

fn places([a, b, c]: [Point3<f64>; 3]) -> [Place; 4] {
    let area = (b - a).cross(&(c - a)) / 2.0;
    let mm2 = area.norm();
    let n = if mm2 > 0.0 {
        area / mm2
    } else {
        Vector3::zeros()
    };
    let middle = (a.coords + b.coords + c.coords) / 3.0;
    let at = |r: Vector3<f64>, weight: f64| Place {
        r,
        n,
        mm2: mm2 * weight,
    };
    let out = |p: Point3<f64>| middle + (p.coords - middle) * 0.4;
    [
        at(middle, MIDDLE_WEIGHT),
        at(out(a), OTHER_WEIGHT),
        at(out(b), OTHER_WEIGHT),
        at(out(c), OTHER_WEIGHT),
    ]
}

/// Facets in one partial sum. Fixed, so that the sums do not depend on the number of threads.
const BLOCK: usize = 16_384;

/// Sums over the surface of some figures at each place, all in one pass.
fn totals<const K: usize>(mesh: &Mesh, of: impl Fn(&Place) -> [f64; K] + Sync) -> [f64; K] {
    let add = |mut sums: [f64; K], part: [f64; K], share: f64| {
        for (sum, figure) in sums.iter_mut().zip(part) {
            *sum += figure * share;
        }
        sums
    };
    let blocks: Vec<[f64; K]> = mesh
        .triangles
        .par_chunks(BLOCK)
        .map(|block| {
            let corners = block
                .iter()
                .map(|t| t.map(|v| mesh.vertices_mm[v as usize]));
            corners
                .flat_map(places)
                .fold([0.0; K], |sums, place| add(sums, of(&place), place.mm2))
        })
        .collect();
    blocks
        .into_iter()
        .fold([0.0; K], |sums, block| add(sums, block, 1.0))
}

/// The figures of a mesh, and those that depend on the sense of its facets.
fn figures(mesh: &Mesh, volume_mm3: f64) -> (Vec<f64>, Vec<f64>) {
    let [area_mm2, x, y, z] = totals(mesh, |p| [1.0, p.r.x, p.r.y, p.r.z]);
    if area_mm2 <= 0.0 {
        return (vec![0.0], Vec::new());
    }
    let centre = Vector3::new(x, y, z) / area_mm2;
    // Moments of place and normal, and the turning moment of the normals, which changes its sign in a mirror.
    let moments: [f64; 27] = totals(mesh, |p| {
        let r = p.r - centre;
        let tensors = [
            r * r.transpose(),
            p.n * p.n.transpose(),
            r.cross(&p.n) * p.n.transpose(),
        ];
        std::array::from_fn(|k| tensors[k / 9][k % 9])
    });
    let tensor = |which: usize| Matrix3::from_column_slice(&moments[9 * which..9 * (which + 1)]);
    // From here on lengths are radii of gyration and the surface is 1.
    let gyration_mm2 = tensor(0).trace() / area_mm2;
    let radius_mm = gyration_mm2.sqrt();
    let s = tensor(0) / (area_mm2 * gyration_mm2);
    let n = tensor(1) / area_mm2;
    let m = tensor(2) / (area_mm2 * radius_mm);
    let det = |a: Vector3<f64>, b: Vector3<f64>, c: Vector3<f64>| a.dot(&b.cross(&c));
    let sums: [f64; 20] = totals(mesh, |p| {
        let r = (p.r - centre) / radius_mm;
        let (sr, square, outward) = (s * r, r.norm_squared(), r.dot(&p.n));
        let vectors = [r * square, p.n * square, r * outward, r * r.dot(&sr)];
        let others = [
            r.norm(),
            square * square,
            outward * outward,
            r.dot(&sr).powi(2),
            r.dot(&(n * r)).powi(2),
            outward,
            det(r, sr, s * sr),
            det(r, sr, n * r),
        ];
        std::array::from_fn(|k| match k.checked_sub(12) {
            Some(k) => others[k],
            None => vectors[k / 3][k % 3],
        })
    })
    .map(|sum| sum / area_mm2);
    let [a, w, u, v] =
        [0, 1, 2, 3].map(|k| Vector3::new(sums[3 * k], sums[3 * k + 1], sums[3 * k + 2]));
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
        sums[12],
        sums[13],
        sums[14],
        sums[15],
        sums[16],
        // These tell left from right.
        (m * s).trace(),
        (m * n).trace(),
        (m * s * s).trace(),
        (m * s * n).trace(),
        det(a, s * a, s * s * a),
        det(a, v, s * v),
        sums[18],
        sums[19],
    ];
    let sided = vec![
        volume_mm3.abs() / (gyration_mm2 * radius_mm),
        w.norm_squared(),
        a.dot(&w),
        u.norm_squared(),
        a.dot(&u),
        sums[17],
        det(a, w, u),
    ];
    (figures, sided)
}
