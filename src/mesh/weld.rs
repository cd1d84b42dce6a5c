//! Makes equal corners one vertex.

use hashbrown::HashTable;
use nalgebra::Point3;
use rayon::prelude::*;

use super::{Mesh, Surface, Unit};

/// Coordinates that round to the same multiple of this are the same, mm. STL's rule is that neighbours share both corners
/// of an edge exactly, but programs write 4e-15 at one corner and 0 at its neighbour; 1e-8 mm is far below any single
/// precision step of a part's own size.
const SAME_MM: f64 = 1e-8;

/// Facets in one run: large enough that few corners lie in two, and the same whatever the number of threads.
const RUN: usize = 1 << 19;

type Single = [f32; 3];

/// Makes facets with corners of their own share equal ones, in the order in which they first come. Runs of facets are joined by
/// themselves and in parallel, then each to those before it.
pub(super) fn join_equal(facets: usize, corners: impl Fn(usize) -> [Single; 3] + Sync) -> Surface {
    let mut runs = (0..facets.div_ceil(RUN))
        .into_par_iter()
        .map(|run| Run::of(run * RUN..facets.min((run + 1) * RUN), &corners))
        .collect::<Vec<Run>>()
        .into_iter();
    let mut joined = runs.next().unwrap_or_default();
    while let Some(run) = runs.next() {
        let more_to_come = runs.len() > 0;
        joined.join(run, more_to_come);
    }
    Surface {
        points: joined
            .points
            .into_par_iter()
            .map(|p| p.map(f64::from))
            .collect(),
        triangles: joined.triangles,
        distinct_singles: true,
    }
}

/// A run of facets over points of which no two are equal.
#[derive(Default)]
struct Run {
    known: Known,
    points: Vec<Single>,
    triangles: Vec<[u32; 3]>,
}

/// Equal for equal places: adding zero makes -0 and 0 the same bits.
fn bits(point: &Single) -> [u32; 3] {
    point.map(|c| (c + 0.0).to_bits())
}

impl Run {
    fn of(facets: std::ops::Range<usize>, corners: &impl Fn(usize) -> [Single; 3]) -> Run {
        let mut run = Run {
            known: Known::with_room_for(facets.len() / 2 + 3),
            points: Vec::with_capacity(facets.len() / 2 + 3),
            triangles: Vec::with_capacity(facets.len()),
        };
        // Neighbours stand close together in most files, so most corners were met a moment ago.
        const RECENT: usize = 1 << 13;
        let mut recent = vec![([0; 3], u32::MAX); RECENT];
        for facet in facets {
            let triangle = corners(facet).map(|corner| {
                let key = bits(&corner);
                let hash = mixed(&key);
                let slot = &mut recent[hash as usize % RECENT];
                if slot.1 == u32::MAX || slot.0 != key {
                    let number = run.known.number(hash, &key, &mut run.points, corner, bits);
                    *slot = (key, number);
                }
                slot.1
            });
            run.triangles.push(triangle);
        }
        run
    }

    /// Adds a later run, its points looked up among those before. Unless more runs come, nobody will look up the new ones.
    fn join(&mut self, later: Run, more_to_come: bool) {
        let known: Vec<Option<u32>> = later
            .points
            .par_iter()
            .map(|point| self.known.find(&bits(point), &self.points, bits))
            .collect();
        let mut number_of = Vec::with_capacity(known.len());
        for (point, known) in later.points.into_iter().zip(known) {
            number_of.push(known.unwrap_or_else(|| {
                if !more_to_come {
                    self.points.push(point);
                    return (self.points.len() - 1) as u32;
                }
                let key = bits(&point);
                let hash = mixed(&key);
                self.known.number(hash, &key, &mut self.points, point, bits)
            }));
        }
        let renumbered = later
            .triangles
            .into_par_iter()
            .map(|t| t.map(|v| number_of[v as usize]));
        self.triangles.par_extend(renumbered);
    }
}

/// Brings a surface to millimetres and makes points at the same place one vertex, in the order in which they first come.
pub fn weld(surface: Surface, unit: Unit) -> Mesh {
    let per_unit = unit.mm();
    let at_mm: Vec<[f64; 3]> = surface
        .points
        .into_par_iter()
        .map(|p| p.map(|c| c * per_unit))
        .collect();
    // Different single-precision numbers of this size lie farther apart than what counts as the same.
    const APART_MM: f64 = 4.0 * SAME_MM * (1 << 23) as f64;
    let may_repeat =
        |p: &[f64; 3]| !surface.distinct_singles || p.iter().any(|c| c.abs() < APART_MM);
    let mut known = Known::default();
    let mut kept: Vec<[f64; 3]> = Vec::with_capacity(at_mm.len());
    let mut vertex_of: Vec<u32> = Vec::with_capacity(at_mm.len());
    for point in &at_mm {
        let next = kept.len() as u32;
        if may_repeat(point) {
            let key = point.map(place);
            let hash = mixed(&key);
            vertex_of.push(known.number(hash, &key, &mut kept, *point, |p| p.map(place)));
        } else {
            vertex_of.push(next);
            kept.push(*point);
        }
    }
    let mut triangles = surface.triangles;
    if kept.len() < vertex_of.len() {
        triangles.par_iter_mut().for_each(|triangle| {
            *triangle = triangle.map(|point| vertex_of[point as usize]);
        });
    }
    Mesh {
        vertices_mm: kept.into_iter().map(Point3::from).collect(),
        triangles,
    }
}

/// Numbers things by their keys. Only the numbers are kept; a key is made again from the thing it belongs to.
#[derive(Default)]
struct Known {
    numbers: HashTable<u32>,
}

impl Known {
    fn with_room_for(things: usize) -> Known {
        Known {
            numbers: HashTable::with_capacity(things),
        }
    }

    /// The number of `key`, which hashes to `hash`; a new one, with `thing` put at the end of `things`, where it was not met before.
    #[inline]
    fn number<K: Word + Eq, T>(
        &mut self,
        hash: u64,
        key: &[K; 3],
        things: &mut Vec<T>,
        thing: T,
        key_of: impl Fn(&T) -> [K; 3],
    ) -> u32 {
        let entry = self.numbers.entry(
            hash,
            |known| key_of(&things[*known as usize]) == *key,
            |known| mixed(&key_of(&things[*known as usize])),
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

    /// The number of `key`, where it was met before.
    fn find<K: Word + Eq, T>(
        &self,
        key: &[K; 3],
        things: &[T],
        key_of: impl Fn(&T) -> [K; 3],
    ) -> Option<u32> {
        let hash = mixed(key);
        self.numbers
            .find(hash, |known| key_of(&things[*known as usize]) == *key)
            .copied()
    }
}

/// A coordinate as a key.
trait Word: Copy {
    fn word(self) -> u64;
}

impl Word for u32 {
    fn word(self) -> u64 {
        u64::from(self)
    }
}

impl Word for i64 {
    fn word(self) -> u64 {
        self as u64
    }
}

/// A hash of three coordinates: multiplied through, the high bits brought down to where a table looks.
#[inline]
fn mixed<K: Word>(key: &[K; 3]) -> u64 {
    const ODD: u64 = 0x9e37_79b9_7f4a_7c15;
    let all = key.iter().fold(0u64, |mix, k| {
        (mix.rotate_left(21) ^ k.word()).wrapping_mul(ODD)
    });
    all ^ (all >> 32)
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
