//! Solids whose volume, surface, centroid and sections are known in closed form, as meshes.

use std::f64::consts::{PI, TAU};

use beadtally::mesh::Mesh;
use nalgebra::Point3;

/// A box between two corners, mm.
pub fn block(low: [f64; 3], high: [f64; 3]) -> Mesh {
    let ring = [
        [low[0], low[1]],
        [high[0], low[1]],
        [high[0], high[1]],
        [low[0], high[1]],
    ];
    prism(&ring, low[2], high[2])
}

/// An upright prism over a convex counter-clockwise ring.
pub fn prism(ring: &[[f64; 2]], bottom: f64, top: f64) -> Mesh {
    let n = ring.len() as u32;
    let at = |z: f64| ring.iter().map(move |[x, y]| Point3::new(*x, *y, z));
    let vertices_mm = at(bottom).chain(at(top)).collect();
    let mut triangles = Vec::new();
    for i in 0..n {
        let next = (i + 1) % n;
        triangles.extend([[i, next, n + next], [i, n + next, n + i]]);
    }
    for i in 1..n - 1 {
        triangles.extend([[0, i + 1, i], [n, n + i, n + i + 1]]);
    }
    Mesh {
        vertices_mm,
        triangles,
    }
}

/// An upright square tube.
pub fn square_tube(outside: f64, inside: f64, height: f64) -> Mesh {
    let square = |side: f64| {
        let (low, high) = ((outside - side) / 2.0, (outside + side) / 2.0);
        [[low, low], [high, low], [high, high], [low, high]]
    };
    let rings = [
        (square(outside), 0.0),
        (square(outside), height),
        (square(inside), height),
        (square(inside), 0.0),
    ];
    let vertices_mm = rings
        .iter()
        .flat_map(|(ring, z)| ring.map(|[x, y]| Point3::new(x, y, *z)))
        .collect();
    let mut triangles = Vec::new();
    for band in 0..4u32 {
        let (this, that) = (4 * band, 4 * ((band + 1) % 4));
        for i in 0..4 {
            let next = (i + 1) % 4;
            triangles.extend([
                [this + i, this + next, that + next],
                [this + i, that + next, that + i],
            ]);
        }
    }
    Mesh {
        vertices_mm,
        triangles,
    }
}

/// A tetrahedron.
pub fn tetrahedron(corners: [[f64; 3]; 4]) -> Mesh {
    let triangles = vec![[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]];
    Mesh {
        vertices_mm: corners.map(Point3::from).to_vec(),
        triangles,
    }
}

/// Corners of a regular polygon in a circle, mm, the first on the x axis.
pub fn regular_polygon(radius: f64, n: usize) -> Vec<[f64; 2]> {
    (0..n)
        .map(|i| TAU * i as f64 / n as f64)
        .map(|t| [radius * t.cos(), radius * t.sin()])
        .collect()
}

/// Area of a regular polygon in a circle of radius 1: `n/2 sin(2 pi/n)`.
pub fn polygon_area(n: usize) -> f64 {
    n as f64 / 2.0 * (TAU / n as f64).sin()
}

/// A profile of `(radius, height)` points turned about the z axis in `n` flat steps. An open profile runs upwards and starts
/// and ends on the axis; a closed one runs counter-clockwise with the radius to the right.
pub fn turned(profile: &[[f64; 2]], n: usize, closed: bool) -> Mesh {
    let mut vertices_mm = Vec::new();
    // Where each profile point's vertices start; a point on the axis has one.
    let starts: Vec<(u32, bool)> = profile
        .iter()
        .map(|[radius, z]| {
            let start = vertices_mm.len() as u32;
            let on_axis = *radius == 0.0;
            let ring = regular_polygon(*radius, if on_axis { 1 } else { n });
            vertices_mm.extend(ring.iter().map(|[x, y]| Point3::new(*x, *y, *z)));
            (start, on_axis)
        })
        .collect();
    let vertex = |(start, on_axis): (u32, bool), i: usize| {
        if on_axis {
            start
        } else {
            start + (i % n) as u32
        }
    };
    let steps = if closed {
        profile.len()
    } else {
        profile.len() - 1
    };
    let mut triangles = Vec::new();
    for step in 0..steps {
        let (from, to) = (starts[step], starts[(step + 1) % profile.len()]);
        for i in 0..n {
            if !from.1 {
                triangles.push([vertex(from, i), vertex(from, i + 1), vertex(to, i + 1)]);
            }
            if !to.1 {
                triangles.push([vertex(from, i), vertex(to, i + 1), vertex(to, i)]);
            }
        }
    }
    Mesh {
        vertices_mm,
        triangles,
    }
}

/// A cone of `n` sides on the plane z = 0.
pub fn cone(radius: f64, height: f64, n: usize) -> Mesh {
    turned(&[[0.0, 0.0], [radius, 0.0], [0.0, height]], n, false)
}

/// The profile of a sphere about the origin in `bands` straight steps.
pub fn sphere_profile(radius: f64, bands: usize) -> Vec<[f64; 2]> {
    let angle = |i: usize| PI * i as f64 / bands as f64;
    let inner = (1..bands).map(|i| [radius * angle(i).sin(), -radius * angle(i).cos()]);
    std::iter::once([0.0, -radius])
        .chain(inner)
        .chain([[0.0, radius]])
        .collect()
}

/// A sphere about the origin.
pub fn sphere(radius: f64, bands: usize, n: usize) -> Mesh {
    turned(&sphere_profile(radius, bands), n, false)
}

/// A torus about the z axis: a tube of `m` sides and radius `tube`, its middle `ring` from the axis.
pub fn torus(ring: f64, tube: f64, m: usize, n: usize) -> Mesh {
    let profile: Vec<[f64; 2]> = regular_polygon(tube, m)
        .into_iter()
        .map(|[x, z]| [ring + x, z])
        .collect();
    turned(&profile, n, true)
}
