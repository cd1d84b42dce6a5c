//! Makes equal corners one vertex.

use nalgebra::Point3;
use rustc_hash::FxHashMap;

use super::{Mesh, Surface, Unit};

/// Coordinates that round to the same multiple of this are the same, mm. STL's rule is that neighbours share both corners
/// of an edge exactly, but programs write 4e-15 at one corner and 0 at its neighbour; 1e-8 mm is far below any single
/// precision step of a part's own size.
const SAME_MM: f64 = 1e-8;

/// Makes facets with corners of their own share equal ones, in the order in which they first come.
pub(super) fn join_equal(corners: &[[[f32; 3]; 3]]) -> Surface {
    let mut index_of: FxHashMap<[u32; 3], u32> = FxHashMap::default();
    index_of.reserve(corners.len() / 2 + 3);
    let mut surface = Surface {
        points: Vec::with_capacity(corners.len() / 2 + 3),
        triangles: Vec::with_capacity(corners.len()),
    };
    for facet in corners {
        let triangle = facet.map(|corner| {
            // Adding zero makes -0 and 0 the same bits.
            let bits = corner.map(|c| (c + 0.0).to_bits());
            *index_of.entry(bits).or_insert_with(|| {
                surface.points.push(corner.map(f64::from));
                (surface.points.len() - 1) as u32
            })
        });
        surface.triangles.push(triangle);
    }
    surface
}

/// Brings a surface to millimetres and makes points at the same place one vertex, in the order in which they first come.
pub fn weld(surface: Surface, unit: Unit) -> Mesh {
    let mut index_of: FxHashMap<[i64; 3], u32> = FxHashMap::default();
    index_of.reserve(surface.points.len());
    let mut vertices_mm: Vec<Point3<f64>> = Vec::with_capacity(surface.points.len());
    let vertex_of: Vec<u32> = surface
        .points
        .into_iter()
        .map(|point| {
            let at_mm = point.map(|c| c * unit.mm());
            *index_of.entry(at_mm.map(place)).or_insert_with(|| {
                vertices_mm.push(Point3::from(at_mm));
                (vertices_mm.len() - 1) as u32
            })
        })
        .collect();
    let mut triangles = surface.triangles;
    for triangle in &mut triangles {
        *triangle = triangle.map(|point| vertex_of[point as usize]);
    }
    vertices_mm.shrink_to_fit();
    Mesh {
        vertices_mm,
        triangles,
    }
}

/// The place of a coordinate. Far outside any machine its own bits tell places apart; bit 62 keeps them away from the near
/// ones, which stay below 1e15.
fn place(coordinate_mm: f64) -> i64 {
    const FAR_MM: f64 = 1e7;
    if coordinate_mm.abs() < FAR_MM {
        (coordinate_mm / SAME_MM).round() as i64
    } else {
        (coordinate_mm.to_bits() as i64) | (1 << 62)
    }
}
