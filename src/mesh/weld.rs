//! Makes equal corners one vertex.

use std::hash::{BuildHasher, RandomState};

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
        .map(|run| {
            // The first has room for all, so that nothing is moved when the others join it.
            let room = if run == 0 { facets } else { RUN.min(facets) };
            Run::of(run * RUN..facets.min((run + 1) * RUN), room, &corners)
        })
        .collect::<Vec<Run>>()
        .into_iter();
    let Some(mut joined) = runs.next() else {
        return Surface::default();
    };
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
    fn of(
        facets: std::ops::Range<usize>,
        room: usize,
        corners: &impl Fn(usize) -> [Single; 3],
    ) -> Run {
        let mut run = Run {
            known: Known::with_room_for(facets.len() / 2 + 3),
            points: Vec::with_capacity(room / 2 + 3),
            triangles: Vec::with_capacity(room),
        };
        // Neighbours stand close together in most files, so most corners were met a moment ago.
        const RECENT: usize = 1 << 13;
        let mixer = run.known.mixer;
        let mut recent = vec![([0; 3], u32::MAX); RECENT];
        for facet in facets {
            let triangle = corners(facet).map(|corner| {
                let key = bits(&corner);
                let hash = mixer.mixed(&key);
                let slot = &mut recent[hash as usize % RECENT];
                if slot.1 == u32::MAX || slot.0 != key {
                    *slot = (key, run.known_or_new(hash, &key, corner));
                }
                slot.1
            });
            run.triangles.push(triangle);
        }
        run
    }

    fn known_or_new(&mut self, hash: u64, key: &[u32; 3], point: Single) -> u32 {
        let Run { known, points, .. } = self;
        let number = known.number(hash, key, points.len(), |at| bits(&points[at]));
        if number as usize == points.len() {
            points.push(point);
        }
        number
    }

    /// Adds a later run, its points looked up among those before. Unless more runs come, nobody will look up the new ones.
    fn join(&mut self, later: Run, more_to_come: bool) {
        let known: Vec<Option<u32>> = later
            .points
            .par_iter()
            .map(|point| self.known.find(&bits(point), |at| bits(&self.points[at])))
            .collect();
        let mut number_of = Vec::with_capacity(known.len());
        for (point, known) in later.points.into_iter().zip(known) {
            number_of.push(known.unwrap_or_else(|| {
                if more_to_come {
                    let key = bits(&point);
                    return self.known_or_new(self.known.mixer.mixed(&key), &key, point);
                }
                self.points.push(point);
                (self.points.len() - 1) as u32
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
    let mut at_mm = surface.points;
    at_mm
        .par_iter_mut()
        .for_each(|p| *p = p.map(|c| c * per_unit));
    // Different single-precision numbers of this size lie farther apart than what counts as the same.
    const APART_MM: f64 = 4.0 * SAME_MM * (1 << 23) as f64;
    let may_repeat =
        |p: &[f64; 3]| !surface.distinct_singles || p.iter().any(|c| c.abs() < APART_MM);
    let mut known = Known::with_room_for(0);
    let mut vertex_of: Vec<u32> = Vec::with_capacity(at_mm.len());
    // Points are moved up over those that repeat another, so that the list needs no second one.
    let mut kept = 0;
    for from in 0..at_mm.len() {
        let point = at_mm[from];
        let number = if may_repeat(&point) {
            let key = point.map(place);
            known.number(known.mixer.mixed(&key), &key, kept, |at| {
                at_mm[at].map(place)
            })
        } else {
            kept as u32
        };
        if number == kept as u32 {
            at_mm[kept] = point;
            kept += 1;
        }
        vertex_of.push(number);
    }
    let repeated = kept < at_mm.len();
    at_mm.truncate(kept);
    let mut triangles = surface.triangles;
    if repeated {
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
    mixer: Mixer,
}

impl Known {
    fn with_room_for(things: usize) -> Known {
        Known {
            numbers: HashTable::with_capacity(things),
            mixer: Mixer::seeded(),
        }
    }

    /// The number of `key`, which hashes to `hash`: that of an earlier thing with this key, else `next`, which is kept.
    #[inline]
    fn number<K: Word + Eq>(
        &mut self,
        hash: u64,
        key: &[K; 3],
        next: usize,
        key_of: impl Fn(usize) -> [K; 3],
    ) -> u32 {
        let mixer = self.mixer;
        let entry = self.numbers.entry(
            hash,
            |known| key_of(*known as usize) == *key,
            |known| mixer.mixed(&key_of(*known as usize)),
        );
        match entry {
            hashbrown::hash_table::Entry::Occupied(known) => *known.get(),
            hashbrown::hash_table::Entry::Vacant(place) => {
                place.insert(next as u32);
                next as u32
            }
        }
    }

    /// The number of `key`, where it was met before.
    fn find<K: Word + Eq>(&self, key: &[K; 3], key_of: impl Fn(usize) -> [K; 3]) -> Option<u32> {
        self.numbers
            .find(self.mixer.mixed(key), |known| {
                key_of(*known as usize) == *key
            })
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

/// Hashes three coordinates: each is multiplied into those before it, and the halves of the wide product are folded. The seeds
/// differ from run to run, so that no file can be written whose corners all hash alike; what is numbered does not depend on
/// them.
#[derive(Clone, Copy)]
struct Mixer {
    seeds: [u64; 3],
}

impl Mixer {
    fn seeded() -> Mixer {
        let state = RandomState::new();
        Mixer {
            seeds: [1u64, 2, 3].map(|n| state.hash_one(n)),
        }
    }

    #[inline]
    fn mixed<K: Word>(self, key: &[K; 3]) -> u64 {
        let folded = |a: u64, b: u64| {
            let product = u128::from(a) * u128::from(b);
            product as u64 ^ (product >> 64) as u64
        };
        let [x, y, z] = key.map(Word::word);
        let two = folded(x ^ self.seeds[0], y ^ self.seeds[1]);
        folded(two ^ z, self.seeds[2] | 1)
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
