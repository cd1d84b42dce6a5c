//! Makes equal corners one vertex.

use nalgebra::Point3;
use rustc_hash::FxHashMap;

use super::Mesh;

/// Makes corners with equal coordinates one vertex, in the order in which they first come. STL has no indices; its
/// rule is that neighbours share both corners of an edge exactly, so equality is exact here.
pub fn weld(corners: Vec<[[f32; 3]; 3]>) -> Mesh {
    let mut index_of: FxHashMap<[u32; 3], u32> = FxHashMap::default();
    index_of.reserve(corners.len() / 2 + 3);
    let mut vertices_mm: Vec<Point3<f64>> = Vec::with_capacity(corners.len() / 2 + 3);
    let mut triangles = Vec::with_capacity(corners.len());
    for facet in &corners {
        triangles.push(facet.map(|corner| {
            // Adding zero turns -0 into +0, which are the same place but not the same bits.
            *index_of.entry(corner.map(|c| (c + 0.0).to_bits())).or_insert_with(|| {
                vertices_mm.push(Point3::from(corner.map(f64::from)));
                (vertices_mm.len() - 1) as u32
            })
        }));
    }
    vertices_mm.shrink_to_fit();
    Mesh { vertices_mm, triangles }
}
