//! The plain solids that moulds are put together from.

use std::f64::consts::TAU;

use nalgebra::Point3;

use crate::mesh::Mesh;

/// Sides of round pins and openings.
const SIDES: u32 = 32;

/// A box between two corners, mm.
pub(super) fn block(low: [f64; 3], high: [f64; 3]) -> Mesh {
    let vertices_mm = (0..8)
        .map(|i| {
            let at = |axis: usize| {
                if i >> axis & 1 == 0 {
                    low[axis]
                } else {
                    high[axis]
                }
            };
            Point3::new(at(0), at(1), at(2))
        })
        .collect();
    let faces: [[u32; 4]; 6] = [
        [0, 2, 3, 1],
        [4, 5, 7, 6],
        [0, 1, 5, 4],
        [2, 6, 7, 3],
        [0, 4, 6, 2],
        [1, 3, 7, 5],
    ];
    let triangles = faces
        .into_iter()
        .flat_map(|[a, b, c, d]| [[a, b, c], [a, c, d]])
        .collect();
    Mesh {
        vertices_mm,
        triangles,
    }
}

/// An upright truncated cone: `bottom` and `top` are height and radius, mm.
pub(super) fn frustum(middle_mm: [f64; 2], bottom: [f64; 2], top: [f64; 2]) -> Mesh {
    let [x, y] = middle_mm;
    let mut vertices_mm = vec![Point3::new(x, y, bottom[0]), Point3::new(x, y, top[0])];
    for i in 0..SIDES {
        let (sine, cosine) = (TAU * f64::from(i) / f64::from(SIDES)).sin_cos();
        for [height, radius] in [bottom, top] {
            vertices_mm.push(Point3::new(x + radius * cosine, y + radius * sine, height));
        }
    }
    let mut triangles = Vec::new();
    for i in 0..SIDES {
        let (low, next) = (2 + 2 * i, 2 + 2 * ((i + 1) % SIDES));
        triangles.extend([
            [0, next, low],
            [1, low + 1, next + 1],
            [low, next, next + 1],
            [low, next + 1, low + 1],
        ]);
    }
    Mesh {
        vertices_mm,
        triangles,
    }
}
