//! Which facets share which edges, and which facets hang together.

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
    /// Edges used by more than two sides, each with the facets that use it.
    overused: Vec<(u32, Vec<u32>)>,
}

impl Topology {
    /// Finds the edges of facets.
    pub fn of(triangles: &[[u32; 3]]) -> Topology {
        let mut sides: Vec<(u64, u32)> = triangles
            .par_iter()
            .enumerate()
            .flat_map_iter(|(f, t)| {
                (0..3).map(move |i| (edge_key(t[i], t[(i + 1) % 3]), (3 * f + i) as u32))
            })
            .collect();
        sides.par_sort_unstable();
        let mut topology = Topology {
            facet_edges: vec![[0; 3]; triangles.len()],
            edge_count: 0,
            mates: vec![NONE; 3 * triangles.len()],
            body_of: Vec::new(),
            bodies: 0,
            open_edges: Vec::new(),
            overused: Vec::new(),
        };
        let mut together = Sets::new(triangles.len());
        for group in sides.chunk_by(|a, b| a.0 == b.0) {
            topology.take_edge(group, &mut together);
        }
        (topology.body_of, topology.bodies) = together.number();
        topology
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

    /// Whether two facets run the same way along an edge that is theirs alone.
    pub(super) fn any_same_way(&self, triangles: &[[u32; 3]]) -> bool {
        self.mates.par_iter().enumerate().any(|(side, mate)| {
            let mate = *mate as usize;
            mate != NONE as usize && triangles[side / 3][side % 3] == triangles[mate / 3][mate % 3]
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

    fn take_edge(&mut self, sides: &[(u64, u32)], together: &mut Sets) {
        for (_, side) in sides {
            self.facet_edges[*side as usize / 3][*side as usize % 3] = self.edge_count;
        }
        self.edge_count += 1;
        match sides {
            [(key, _)] => self.open_edges.push([(key >> 32) as u32, *key as u32]),
            [(_, a), (_, b)] => {
                self.mates[*a as usize] = *b;
                self.mates[*b as usize] = *a;
            }
            _ => {
                let facets = sides.iter().map(|(_, side)| *side / 3).collect();
                self.overused.push((self.edge_count - 1, facets));
            }
        }
        for pair in sides.windows(2) {
            together.join(pair[0].1 / 3, pair[1].1 / 3);
        }
    }
}

fn edge_key(a: u32, b: u32) -> u64 {
    (u64::from(a.min(b)) << 32) | u64::from(a.max(b))
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
