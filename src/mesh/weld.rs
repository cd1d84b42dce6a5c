//! Makes equal corners one vertex.

use std::hash::{BuildHasher, Hash};

use hashbrown::HashTable;
use nalgebra::Point3;
use rayon::prelude::*;
use rustc_hash::FxBuildHasher;

use super::{Mesh, Surface, Unit};

/// Coordinates that round to the same multiple of this are the same, mm. STL's rule is that neighbours share both corners
/// of an edge exactly, but programs write 4e-15 at one corner and 0 at its neighbour; 1e-8 mm is far below any single
/// precision step of a part's own size.
const SAME_MM: f64 = 1e-8;

/// Facets in one run: large enough that few corners lie in two, and the same whatever the number of threads.
const RUN: usize = 1 << 19;

/// Makes facets with corners of their own share equal ones, in the order in which they first come. Runs of facets are joined
/// by themselves and in parallel; corners that two runs share stay two points, for [`weld`] to join.
pub(super) fn join_equal(
    facets: usize,
    corners: impl Fn(usize) -> [[f32; 3]; 3] + Sync,
) -> Surface {
    let runs: Vec<Surface> = (0..facets.div_ceil(RUN))
        .into_par_iter()
        .map(|run| join_run(run * RUN..facets.min((run + 1) * RUN), &corners))
        .collect();
    let mut joined = Surface::default();
    for mut run in runs {
        if joined.points.is_empty() {
            joined = run;
            continue;
        }
        let past = joined.points.len() as u32;
        joined.points.append(&mut run.points);
        let moved = run.triangles.iter().map(|t| t.map(|v| v + past));
        joined.triangles.extend(moved);
    }
    joined
}

fn join_run(run: std::ops::Range<usize>, corners: &impl Fn(usize) -> [[f32; 3]; 3]) -> Surface {
    let mut known = Known::with_room_for(run.len() / 2 + 3);
    let mut points: Vec<[f32; 3]> = Vec::with_capacity(run.len() / 2 + 3);
    let mut triangles = Vec::with_capacity(run.len());
    for facet in run {
        // Adding zero makes -0 and 0 the same bits.
        triangles.push(corners(facet).map(|corner| {
            let corner = corner.map(|c| c + 0.0);
            known.number(&corner.map(f32::to_bits), &mut points, corner, |p| {
                p.map(f32::to_bits)
            })
        }));
    }
    Surface {
        points: points.into_iter().map(|p| p.map(f64::from)).collect(),
        triangles,
    }
}

/// Brings a surface to millimetres and makes points at the same place one vertex, in the order in which they first come.
pub fn weld(surface: Surface, unit: Unit) -> Mesh {
    let per_unit = unit.mm();
    let mut known = Known::with_room_for(surface.points.len());
    let mut at_mm: Vec<[f64; 3]> = Vec::with_capacity(surface.points.len());
    let vertex_of: Vec<u32> = surface
        .points
        .iter()
        .map(|point| {
            let here = point.map(|c| c * per_unit);
            known.number(&here.map(place), &mut at_mm, here, |p| p.map(place))
        })
        .collect();
    let mut triangles = surface.triangles;
    if at_mm.len() < vertex_of.len() {
        triangles.par_iter_mut().for_each(|triangle| {
            *triangle = triangle.map(|point| vertex_of[point as usize]);
        });
    }
    Mesh {
        vertices_mm: at_mm.into_iter().map(Point3::from).collect(),
        triangles,
    }
}

/// Numbers things by their keys. Only the numbers are kept; a key is made again from the thing it belongs to.
struct Known {
    numbers: HashTable<u32>,
}

impl Known {
    fn with_room_for(things: usize) -> Known {
        Known {
            numbers: HashTable::with_capacity(things),
        }
    }

    /// The number of `key`; a new one, with `thing` put at the end of `things`, where it was not met before.
    #[inline]
    fn number<K: Hash + Eq, T>(
        &mut self,
        key: &K,
        things: &mut Vec<T>,
        thing: T,
        key_of: impl Fn(&T) -> K,
    ) -> u32 {
        let hash = FxBuildHasher.hash_one(key);
        let entry = self.numbers.entry(
            hash,
            |known| key_of(&things[*known as usize]) == *key,
            |known| FxBuildHasher.hash_one(key_of(&things[*known as usize])),
        );
        match entry {
            hashbrown::hash_table::Entry::Occupied(known) => *known.get(),
            hashbrown::hash_table::Entry::Vacant(place) => {
                let number = things.len() as u32;
                place.insert(number);
                things.push(thing);
                number
            }
        }
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
