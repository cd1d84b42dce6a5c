//! Makes facets agree with their neighbours and turns bodies outward (design: facets first, then bodies).

use nalgebra::Point3;

use super::bodies::{Body, bodies};
use super::topology::{NONE, Topology, same_way};
use super::{Mesh, nesting};

/// What was turned.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Turned {
    /// Facets turned to agree with their neighbours.
    pub facets: usize,
    /// Neighbours that can't agree, because the surface has one side only.
    pub one_sided: usize,
    /// Centre of the first turned facet, mm.
    pub first_facet_mm: Option<Point3<f64>>,
}

impl Turned {
    /// Both one after the other. What can't agree is known after the later one.
    pub fn and(self, later: Turned) -> Turned {
        Turned {
            facets: self.facets + later.facets,
            one_sided: later.one_sided,
            first_facet_mm: self.first_facet_mm.or(later.first_facet_mm),
        }
    }
}

/// Turns facets of `mesh` until they agree with their neighbours.
pub(super) fn turn_facets(mesh: &mut Mesh, topology: &mut Topology) -> Turned {
    let mut turned = Turned::default();
    if !topology.disagrees {
        return turned;
    }
    let against = facets_against_their_neighbours(mesh, topology, &mut turned);
    topology.disagrees = turned.one_sided > 0;
    turned.facets = against.iter().filter(|f| **f).count();
    turned.first_facet_mm = against.iter().position(|f| *f).map(|f| {
        let [a, b, c] = mesh.corners(f);
        Point3::from((a.coords + b.coords + c.coords) / 3.0)
    });
    if turned.facets > 0 {
        flip(mesh, topology, |facet| against[facet]);
    }
    turned
}

/// Turns bodies of `mesh` outward, cavities inward; how many were turned, and the bodies, where there are several. `volume_mm3`
/// finds what all of them enclose.
pub(super) fn turn_bodies(
    mesh: &mut Mesh,
    topology: &mut Topology,
    volume_mm3: impl FnOnce(&Mesh) -> f64,
) -> (usize, Vec<Body>) {
    let (inward, mut found) = match topology.bodies {
        1 => (vec![volume_mm3(mesh) < 0.0], Vec::new()),
        _ => {
            let found = bodies(mesh, topology);
            (nesting::bodies_to_turn(mesh, &found), found)
        }
    };
    let count = inward.iter().filter(|b| **b).count();
    if count > 0 {
        let body_of = topology.body_of.clone();
        flip(mesh, topology, |facet| inward[body_of[facet] as usize]);
        for (body, _) in found.iter_mut().zip(&inward).filter(|(_, turn)| **turn) {
            body.turn();
        }
    }
    (count, found)
}

/// Walks over edges of two sides; where both run the same way, one facet is wrong. Of each connected patch the smaller
/// part is turned, so that what most of the file says stands.
fn facets_against_their_neighbours(
    mesh: &Mesh,
    topology: &Topology,
    turned: &mut Turned,
) -> Vec<bool> {
    const UNSEEN: u8 = 2;
    let count = mesh.triangles.len();
    let mut state = vec![UNSEEN; count];
    let mut patch = Vec::new();
    for first in 0..count {
        if state[first] != UNSEEN {
            continue;
        }
        state[first] = 0;
        patch.clear();
        patch.push(first as u32);
        let mut next = 0;
        while next < patch.len() {
            let facet = patch[next] as usize;
            next += 1;
            for corner in 0..3 {
                let mate = topology.mates[3 * facet + corner];
                if mate == NONE {
                    continue;
                }
                let neighbour = mate as usize / 3;
                let wanted = state[facet]
                    ^ u8::from(same_way(&mesh.triangles, 3 * facet + corner, mate as usize));
                if state[neighbour] == UNSEEN {
                    state[neighbour] = wanted;
                    patch.push(neighbour as u32);
                } else if state[neighbour] != wanted {
                    turned.one_sided += 1;
                }
            }
        }
        let minority = patch.iter().filter(|f| state[**f as usize] == 1).count();
        if 2 * minority > patch.len() {
            for facet in &patch {
                state[*facet as usize] ^= 1;
            }
        }
    }
    // Each disagreement was met from both of its facets.
    turned.one_sided /= 2;
    state.into_iter().map(|s| s == 1).collect()
}

/// Swaps the second and third corner of chosen facets, and their sides with them.
fn flip(mesh: &mut Mesh, topology: &mut Topology, chosen: impl Fn(usize) -> bool) {
    for facet in 0..mesh.triangles.len() {
        if chosen(facet) {
            mesh.triangles[facet].swap(1, 2);
            // Sides a-b, b-c, c-a become a-c, c-b, b-a: the first and the last trade places.
            topology.facet_edges[facet].swap(0, 2);
            topology.swap_sides(3 * facet, 3 * facet + 2);
        }
    }
}

impl Topology {
    fn swap_sides(&mut self, a: usize, b: usize) {
        self.mates.swap(a, b);
        for (side, was) in [(a, b), (b, a)] {
            let mate = self.mates[side];
            // Two sides of one facet may be each other's mates (a facet folded onto itself).
            if mate == NONE {
                continue;
            }
            if mate as usize == side {
                self.mates[side] = was as u32;
            } else if mate as usize != was {
                self.mates[mate as usize] = side as u32;
            }
        }
    }
}
