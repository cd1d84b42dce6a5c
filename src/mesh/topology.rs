//! Which facets share which edges, and which facets hang together.

use std::sync::atomic::{AtomicU32, Ordering::Relaxed};

use rayon::prelude::*;

/// No neighbour across an edge, or more than one.
pub(super) const NONE: u32 = u32::MAX;

/// The edges of a mesh. A *side* is one facet's use of an edge: side `3 f + i` runs from corner `i` of facet `f` to the
/// next.
#[derive(Debug, Clone, PartialEq)]
pub struct Topology {
    /// The edge of each side, three a facet.
    pub facet_edges: Vec<[u32; 3]>,
    /// Number of different edges.
    pub edge_count: u32,
    /// The one other side on the same edge, or none where the edge has one side or more than two.
    pub(super) mates: Vec<u32>,
    /// Body of each facet: facets are of one body where edges connect them.
    pub(super) body_of: Vec<u32>,
    /// Number of bodies.
    pub bodies: usize,
    /// Edges used by one side only.
    pub open_edges: Vec<[u32; 2]>,
    /// Whether the two sides of some edge run the same way, so that one of their facets is turned wrong.
    pub(super) disagrees: bool,
    /// Edges used by more than two sides, each with the facets that use it.
    overused: Vec<(u32, Vec<u32>)>,
}

impl Topology {
    /// Finds the edges of facets.
    pub fn of(triangles: &[[u32; 3]]) -> Topology {
        let buckets = Buckets::of(triangles);
        let mut mates: Vec<AtomicU32> = Vec::new();
        mates.resize_with(3 * triangles.len(), || AtomicU32::new(NONE));
        let mut edges: Vec<[AtomicU32; 3]> = Vec::new();
        edges.resize_with(triangles.len(), || [0; 3].map(AtomicU32::new));
        let numbered: Vec<Numbered> = (0..buckets.runs())
            .into_par_iter()
            .map(|run| buckets.number(run, &mates, &edges))
            .collect();
        drop(buckets);
        let first_of_run: Vec<u32> = numbered
            .iter()
            .scan(0, |past, run| {
                let first = *past;
                *past += run.edges;
                Some(first)
            })
            .collect();
        // Both lists keep their memory when they are turned into plain numbers, which for a million facets is most of the time.
        let mut facet_edges: Vec<[u32; 3]> = edges
            .into_iter()
            .map(|edges| edges.map(AtomicU32::into_inner))
            .collect();
        facet_edges
            .par_iter_mut()
            .zip(triangles)
            .for_each(|(edges, t)| {
                for i in 0..3 {
                    let low = t[i].min(t[(i + 1) % 3]) as usize;
                    edges[i] += first_of_run[low / RUN];
                }
            });
        let mut topology = Topology {
            facet_edges,
            edge_count: numbered.iter().map(|run| run.edges).sum(),
            mates: mates.into_iter().map(AtomicU32::into_inner).collect(),
            body_of: Vec::new(),
            bodies: 0,
            open_edges: Vec::new(),
            disagrees: numbered.iter().any(|run| run.disagrees),
            overused: Vec::new(),
        };
        for (run, first) in numbered.into_iter().zip(first_of_run) {
            topology.open_edges.extend(run.open);
            let moved = run.overused.into_iter();
            topology
                .overused
                .extend(moved.map(|(edge, facets)| (edge + first, facets)));
        }
        topology.find_bodies();
        topology
    }

    /// Walks from facet to facet over edges; bodies are numbered in the order of their first facet.
    fn find_bodies(&mut self) {
        let mut patch_of = vec![NONE; self.facet_edges.len()];
        let mut patches = 0;
        let mut waiting: Vec<u32> = Vec::new();
        for first in 0..patch_of.len() {
            if patch_of[first] != NONE {
                continue;
            }
            patch_of[first] = patches;
            waiting.push(first as u32);
            while let Some(facet) = waiting.pop() {
                let sides = 3 * facet as usize;
                for mate in &self.mates[sides..sides + 3] {
                    let neighbour = *mate / 3;
                    if *mate != NONE && patch_of[neighbour as usize] == NONE {
                        patch_of[neighbour as usize] = patches;
                        waiting.push(neighbour);
                    }
                }
            }
            patches += 1;
        }
        if self.overused.is_empty() {
            (self.body_of, self.bodies) = (patch_of, patches as usize);
            return;
        }
        // Edges of more than two facets connect as well; a patch's first facet has the lowest number of its body's.
        let mut together = Sets::new(patches as usize);
        for (_, facets) in &self.overused {
            for pair in facets.windows(2) {
                together.join(patch_of[pair[0] as usize], patch_of[pair[1] as usize]);
            }
        }
        let (body_of_patch, bodies) = together.number();
        for patch in &mut patch_of {
            *patch = body_of_patch[*patch as usize];
        }
        (self.body_of, self.bodies) = (patch_of, bodies);
    }

    /// The body of a facet, from 0.
    pub fn body_of(&self, facet: usize) -> u32 {
        self.body_of[facet]
    }

    /// Edges used by more than two facets.
    pub fn overused_edges(&self) -> usize {
        self.overused.len()
    }

    /// The two corners of each edge used by more than two facets.
    pub fn overused_corners<'a>(
        &'a self,
        triangles: &'a [[u32; 3]],
    ) -> impl Iterator<Item = [u32; 2]> + 'a {
        self.overused.iter().filter_map(|(edge, facets)| {
            let facet = *facets.first()? as usize;
            let corner = self.facet_edges[facet].iter().position(|e| e == edge)?;
            Some([triangles[facet][corner], triangles[facet][(corner + 1) % 3]])
        })
    }

    /// Whether facets close a surface: no edge has one side only, and edges of more than two are run as often one way as the
    /// other.
    pub fn is_closed(&self, triangles: &[[u32; 3]]) -> bool {
        let rises = |edge: u32, facet: u32| {
            let facet = facet as usize;
            let corner = self.facet_edges[facet]
                .iter()
                .position(|e| *e == edge)
                .unwrap_or(0);
            triangles[facet][corner] < triangles[facet][(corner + 1) % 3]
        };
        let balanced = |(edge, facets): &(u32, Vec<u32>)| {
            2 * facets.iter().filter(|f| rises(*edge, **f)).count() == facets.len()
        };
        self.open_edges.is_empty() && self.overused.iter().all(balanced)
    }
}

/// Lower corners in one run, the same whatever the number of threads.
const RUN: usize = 1 << 15;

/// Whether two sides on one edge run the same way: they then begin at the same corner.
pub(super) fn same_way(triangles: &[[u32; 3]], side: usize, other: usize) -> bool {
    triangles[side / 3][side % 3] == triangles[other / 3][other % 3]
}

/// A facet's use of an edge, under the lower of its two corners: the higher one, and twice the side, plus one where it runs down
/// to the lower corner.
type Use = (u32, u32);

/// The sides of all facets, those with the same lower corner together.
struct Buckets {
    starts: Vec<u32>,
    uses: Vec<Use>,
}

/// What was found in a run of buckets. Edges are numbered from the run's first.
struct Numbered {
    edges: u32,
    open: Vec<[u32; 2]>,
    disagrees: bool,
    overused: Vec<(u32, Vec<u32>)>,
}

impl Buckets {
    fn of(triangles: &[[u32; 3]]) -> Buckets {
        let corners = triangles.par_iter().map(|t| t[0].max(t[1]).max(t[2]));
        let past = corners.max().map_or(0, |most| most as usize + 1);
        let mut starts = vec![0u32; past + 1];
        for [a, b, c] in triangles {
            for low in [a.min(b), b.min(c), c.min(a)] {
                starts[*low as usize + 1] += 1;
            }
        }
        for corner in 0..past {
            starts[corner + 1] += starts[corner];
        }
        let mut next = starts.clone();
        let mut uses = vec![(0, 0); 3 * triangles.len()];
        for (facet, [a, b, c]) in triangles.iter().enumerate() {
            for (i, (from, to)) in [(a, b), (b, c), (c, a)].into_iter().enumerate() {
                let place = &mut next[*from.min(to) as usize];
                uses[*place as usize] = (
                    *from.max(to),
                    (2 * (3 * facet + i)) as u32 + u32::from(from > to),
                );
                *place += 1;
            }
        }
        Buckets { starts, uses }
    }

    fn runs(&self) -> usize {
        (self.starts.len() - 1).div_ceil(RUN)
    }

    /// Finds the edges under a run of lower corners, and says at each of their sides which edge and which mate it has.
    fn number(&self, run: usize, mates: &[AtomicU32], edges: &[[AtomicU32; 3]]) -> Numbered {
        let mut numbered = Numbered {
            edges: 0,
            open: Vec::new(),
            disagrees: false,
            overused: Vec::new(),
        };
        let mut sorted: Vec<Use> = Vec::new();
        let past = self.starts.len() - 1;
        for low in run * RUN..past.min((run + 1) * RUN) {
            sorted.clear();
            sorted.extend_from_slice(
                &self.uses[self.starts[low] as usize..self.starts[low + 1] as usize],
            );
            sorted.sort_unstable();
            for sides in sorted.chunk_by(|a, b| a.0 == b.0) {
                for (_, way) in sides {
                    let side = *way as usize / 2;
                    edges[side / 3][side % 3].store(numbered.edges, Relaxed);
                }
                match sides {
                    [(high, _)] => numbered.open.push([low as u32, *high]),
                    [(_, a), (_, b)] => {
                        mates[*a as usize / 2].store(*b / 2, Relaxed);
                        mates[*b as usize / 2].store(*a / 2, Relaxed);
                        numbered.disagrees |= a % 2 == b % 2;
                    }
                    _ => {
                        let facets = sides.iter().map(|(_, way)| *way / 6).collect();
                        numbered.overused.push((numbered.edges, facets));
                    }
                }
                numbered.edges += 1;
            }
        }
        numbered
    }
}

/// Disjoint sets with path halving; the lower number leads, so the result does not depend on the order of joins.
struct Sets {
    leader: Vec<u32>,
}

impl Sets {
    fn new(count: usize) -> Self {
        Sets {
            leader: (0..count as u32).collect(),
        }
    }

    fn find(&mut self, mut item: u32) -> u32 {
        while self.leader[item as usize] != item {
            let above = self.leader[self.leader[item as usize] as usize];
            self.leader[item as usize] = above;
            item = above;
        }
        item
    }

    fn join(&mut self, a: u32, b: u32) {
        let (a, b) = (self.find(a), self.find(b));
        self.leader[a.max(b) as usize] = a.min(b);
    }

    /// Numbers the sets from 0 in the order of their first member.
    fn number(mut self) -> (Vec<u32>, usize) {
        let mut number_of = vec![NONE; self.leader.len()];
        let mut count = 0;
        let numbers = (0..self.leader.len() as u32)
            .map(|item| {
                let leader = self.find(item) as usize;
                if number_of[leader] == NONE {
                    number_of[leader] = count;
                    count += 1;
                }
                number_of[leader]
            })
            .collect();
        (numbers, count as usize)
    }
}
