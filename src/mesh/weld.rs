//! Makes equal corners one vertex.

use nalgebra::Point3;
use rustc_hash::FxHashMap;

use super::Mesh;

/// Coordinates that round to the same multiple of this are the same, mm. STL's rule is that neighbours share both corners
/// of an edge exactly, but programs write 4e-15 at one corner and 0 at its neighbour; 1e-8 mm is far below any single
/// precision step of a part's own size.
const SAME_MM: f64 = 1e-8;

/// Makes corners with equal coordinates one vertex, in the order in which they first come.
pub fn weld(corners: Vec<[[f32; 3]; 3]>) -> Mesh {
    let mut index_of: FxHashMap<[i64; 3], u32> = FxHashMap::default();
    index_of.reserve(corners.len() / 2 + 3);
    let mut vertices_mm: Vec<Point3<f64>> = Vec::with_capacity(corners.len() / 2 + 3);
    let mut triangles = Vec::with_capacity(corners.len());
    for facet in &corners {
        triangles.push(facet.map(|corner| {
            *index_of.entry(corner.map(place)).or_insert_with(|| {
                vertices_mm.push(Point3::from(corner.map(f64::from)));
                (vertices_mm.len() - 1) as u32
            })
        }));
    }
    vertices_mm.shrink_to_fit();
    Mesh {
        vertices_mm,
        triangles,
    }
}

/// The place of a coordinate. Far outside any machine, single precision is coarser than [`SAME_MM`] and its bits tell
/// places apart; bit 62 keeps them away from the near ones, which stay below 1e15.
fn place(coordinate: f32) -> i64 {
    const FAR_MM: f32 = 1e7;
    if coordinate.abs() < FAR_MM {
        (f64::from(coordinate) / SAME_MM).round() as i64
    } else {
        (i64::from(coordinate.to_bits()) << 31) | (1 << 62)
    }
}
