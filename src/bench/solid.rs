//! Upright parts over an outline, and their files.

use earcut::Earcut;
use nalgebra::Point3;

use crate::mesh::Mesh;

/// An upright solid over an outline that runs counter-clockwise and does not cross itself, from the bed to `height_mm`.
pub fn prism(outline_mm: &[[f64; 2]], height_mm: f64) -> Mesh {
    let n = outline_mm.len() as u32;
    let at = |z: f64| outline_mm.iter().map(move |[x, y]| Point3::new(*x, *y, z));
    let vertices_mm = at(0.0).chain(at(height_mm)).collect();
    let mut triangles = Vec::new();
    for i in 0..n {
        let next = (i + 1) % n;
        triangles.extend([[i, next, n + next], [i, n + next, n + i]]);
    }
    let mut cut: Vec<u32> = Vec::new();
    Earcut::new().earcut(outline_mm.iter().copied(), &[], &mut cut);
    for corners in cut.chunks_exact(3) {
        let [a, b, c] = counter_clockwise(outline_mm, [corners[0], corners[1], corners[2]]);
        triangles.extend([[a, c, b], [n + a, n + b, n + c]]);
    }
    Mesh {
        vertices_mm,
        triangles,
    }
}

/// The library may give its triangles either way round.
fn counter_clockwise(outline_mm: &[[f64; 2]], [a, b, c]: [u32; 3]) -> [u32; 3] {
    let [p, q, r] = [a, b, c].map(|i| outline_mm[i as usize]);
    let twice_mm2 = (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]);
    if twice_mm2 < 0.0 {
        [a, c, b]
    } else {
        [a, b, c]
    }
}

/// The mesh as a binary STL file in millimetres (layout: Burns, *Automated Fabrication* 6.5): single precision, normals left at
/// nought, which the corners give.
pub fn stl_bytes(mesh: &Mesh) -> Vec<u8> {
    let mut bytes = vec![0; 80];
    bytes.extend((mesh.triangles.len() as u32).to_le_bytes());
    for facet in 0..mesh.triangles.len() {
        bytes.extend([0; 12]);
        for corner in mesh.corners(facet) {
            bytes.extend(corner.iter().flat_map(|mm| (*mm as f32).to_le_bytes()));
        }
        bytes.extend([0; 2]);
    }
    bytes
}
