//! Facets that run through each other.

use std::sync::atomic::{AtomicU64, Ordering::Relaxed};

use nalgebra::Point3;
use rayon::prelude::*;
use robust::{Coord3D, orient3d};

use super::boxes::Boxes;
use crate::mesh::Mesh;

/// Edges that pass through a facet by less than this share of the part's diagonal on either side are rounding: single precision
/// steps by 6e-8 of a coordinate.
const ROUNDING: f64 = 1e-6;

/// Pairs of facets looked at, at most. A sound surface of a million facets has some 10 million pairs that are near each other;
/// only a heap of facets on one another has more.
const MOST_PAIRS: u64 = 200_000_000;

/// Crossings kept, at most.
const MOST_KEPT: usize = 20_000;

/// What was found.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Crossings {
    /// Pairs of facets that run through each other, with a point where they do. At most [`MOST_KEPT`].
    pub pairs: Vec<Crossing>,
    /// How many pairs there are.
    pub count: usize,
    /// Where an edge passes through a side of a facet. Bodies that only touch do so too, so it is no crossing by itself.
    pub touch_mm: Option<Point3<f64>>,
    /// Whether the search was given up before all pairs were looked at.
    pub given_up: bool,
}

/// Two facets that run through each other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Crossing {
    pub facets: [u32; 2],
    pub at_mm: Point3<f64>,
}

/// Crossings kept, how many there were, and the first touch.
type Found = (Vec<Crossing>, usize, Option<Point3<f64>>);

/// Finds the pairs of facets of which an edge of one passes through the inside of the other. Facets that only touch, lie in one
/// plane or share an edge do not count.
pub(super) fn crossings(mesh: &Mesh, boxes: &Boxes<'_>) -> Crossings {
    let rounding_mm = ROUNDING * mesh.size_mm().norm();
    let looked_at = AtomicU64::new(0);
    let of_blocks: Vec<Found> = (0..mesh.triangles.len())
        .into_par_iter()
        .with_min_len(1024)
        .fold(
            || (Vec::new(), 0, None),
            |mut found: Found, facet| {
                if looked_at.load(Relaxed) > MOST_PAIRS {
                    return found;
                }
                let mut here = 0;
                boxes.later_neighbours(facet, |other| {
                    here += 1;
                    if let Some((at_mm, on_side)) = meet(mesh, facet, other, rounding_mm) {
                        if on_side {
                            found.2.get_or_insert(at_mm);
                            return true;
                        }
                        found.1 += 1;
                        if found.0.len() < MOST_KEPT {
                            found.0.push(Crossing {
                                facets: [facet as u32, other as u32],
                                at_mm,
                            });
                        }
                    }
                    here % 4096 != 0 || looked_at.load(Relaxed) + here <= MOST_PAIRS
                });
                looked_at.fetch_add(here, Relaxed);
                found
            },
        )
        .collect();
    let mut all = Crossings {
        given_up: looked_at.load(Relaxed) > MOST_PAIRS,
        ..Crossings::default()
    };
    for (pairs, count, touch_mm) in of_blocks {
        all.count += count;
        all.touch_mm = all.touch_mm.or(touch_mm);
        all.pairs.extend(pairs);
    }
    all.pairs.truncate(MOST_KEPT);
    all
}

/// A point where an edge of one facet passes through the other, and whether that is on a side of it.
fn meet(mesh: &Mesh, one: usize, other: usize, rounding_mm: f64) -> Option<(Point3<f64>, bool)> {
    let (a, b) = (mesh.triangles[one], mesh.triangles[other]);
    let shared = a.iter().filter(|v| b.contains(v)).count();
    if shared > 1 {
        return None;
    }
    let (p, q) = (mesh.corners(one), mesh.corners(other));
    edge_through(p, a, q, b, rounding_mm).or_else(|| edge_through(q, b, p, a, rounding_mm))
}

/// A point where an edge of the first facet passes through the second, and whether that is on a side of it; edges with a corner of the second only touch it.
fn edge_through(
    edges: [Point3<f64>; 3],
    edge_corners: [u32; 3],
    facet: [Point3<f64>; 3],
    facet_corners: [u32; 3],
    rounding_mm: f64,
) -> Option<(Point3<f64>, bool)> {
    let normal = (facet[1] - facet[0])
        .cross(&(facet[2] - facet[0]))
        .try_normalize(0.0)?;
    let off = edges.map(|p| (p - facet[0]).dot(&normal));
    (0..3).find_map(|i| {
        let j = (i + 1) % 3;
        let touches = [i, j]
            .iter()
            .any(|k| facet_corners.contains(&edge_corners[*k]));
        let through = off[i] * off[j] < 0.0 && off[i].abs().min(off[j].abs()) > rounding_mm;
        if touches || !through {
            return None;
        }
        let (p, q) = (edges[i], edges[j]);
        let turns = [0, 1, 2].map(|k| turn(p, q, facet[k], facet[(k + 1) % 3]));
        // Through a corner does not count: that is met often without harm.
        let on_side = turns.iter().filter(|t| **t == 0.0).count();
        let inside =
            on_side <= 1 && (turns.iter().all(|t| *t >= 0.0) || turns.iter().all(|t| *t <= 0.0));
        inside.then(|| (p + (q - p) * (off[i] / (off[i] - off[j])), on_side == 1))
    })
}

fn turn(p: Point3<f64>, q: Point3<f64>, a: Point3<f64>, b: Point3<f64>) -> f64 {
    let coord = |p: Point3<f64>| Coord3D {
        x: p.x,
        y: p.y,
        z: p.z,
    };
    orient3d(coord(p), coord(q), coord(a), coord(b))
}
