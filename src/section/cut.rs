//! All facets against all planes.
//!
//! Each facet knows from its own height which planes it meets, so one pass over the facets serves every layer. Contours
//! follow the mesh's edges from facet to facet; nothing is matched by distance, so a closed mesh gives closed contours
//! whatever its coordinates.

use clipper2_rust::{Path64, Paths64};
use nalgebra::Point3;
use rayon::prelude::*;
use rstar::{RTree, primitives::GeomWithData};
use rustc_hash::FxHashMap;

use super::{Layers, Region};
use crate::mesh::{Mesh, Topology};
use crate::plane::{GRID_PER_MM, THIN_MM, thin_ring, to_grid};

/// The sections of a part, first layer first.
#[derive(Debug, Clone, PartialEq)]
pub struct Sections {
    /// One polygon set per plane.
    pub regions: Vec<Region>,
    /// Contours that did not close and were joined to the nearest loose end.
    pub joined_contours: usize,
    /// The longest gap closed that way, mm.
    pub longest_gap_mm: f64,
}

/// Contours are first thinned to this share of the final tolerance, which makes their union cheap and leaves the final
/// thinning to see nothing else.
const FIRST_THIN_SHARE: f64 = 0.1;

/// Facet-plane meetings held in memory at once.
const MEETINGS_AT_ONCE: usize = 4_000_000;

/// Cuts a posed mesh at the middle of every layer. `topology` is that of the mesh's facets.
pub fn sections(mesh: &Mesh, topology: &Topology, layers: &Layers) -> Sections {
    let planes_mm: Vec<f64> = (0..layers.count).map(|k| layers.middle_mm(k)).collect();
    sections_at(mesh, topology, &planes_mm)
}

/// Cuts a posed mesh at given heights, mm, in rising order.
pub fn sections_at(mesh: &Mesh, topology: &Topology, planes_mm: &[f64]) -> Sections {
    sections_thinned(mesh, topology, planes_mm, THIN_MM)
}

/// Cuts a posed mesh at given heights, mm, in rising order, and thins the contours, and all that will be made of them, to
/// `thin_mm` instead of [`THIN_MM`].
pub fn sections_thinned(
    mesh: &Mesh,
    topology: &Topology,
    planes_mm: &[f64],
    thin_mm: f64,
) -> Sections {
    let mut result = Sections {
        regions: Vec::with_capacity(planes_mm.len()),
        joined_contours: 0,
        longest_gap_mm: 0.0,
    };
    for (region, gaps) in at_each_plane(mesh, planes_mm, |facets, plane_mm| {
        cut_plane(mesh, topology, facets, plane_mm, thin_mm)
    }) {
        result.regions.push(region);
        result.joined_contours += gaps.count;
        result.longest_gap_mm = result.longest_gap_mm.max(gaps.longest_mm);
    }
    result
}

/// What a plane cuts off a surface, measured in two ways that agree where nothing counts twice.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CutAreas {
    /// Area of the union of the contours under the non-zero rule, mm2.
    pub union_mm2: f64,
    /// Area enclosed by the contours, each part counted as often as they run round it, mm2.
    pub wound_mm2: f64,
}

/// Areas of the sections of a closed mesh at given heights, mm, in rising order. Contours are taken as they are cut, without
/// thinning.
pub fn areas_at(mesh: &Mesh, topology: &Topology, planes_mm: &[f64]) -> Vec<CutAreas> {
    at_each_plane(mesh, planes_mm, |facets, plane_mm| {
        let pieces: Vec<Piece> = facets
            .iter()
            .map(|f| piece(mesh, topology, *f as usize, plane_mm))
            .collect();
        let cross = |p: &Piece| p.from_mm[0] * p.to_mm[1] - p.from_mm[1] * p.to_mm[0];
        let wound_mm2 = pieces.iter().map(cross).sum::<f64>() / 2.0;
        let (mut rings, chains) = follow(&pieces);
        join_chains(chains, &mut rings);
        let paths: Paths64 = rings
            .iter()
            .map(|ring| ring.iter().map(|p| to_grid(*p)).collect::<Path64>())
            .collect();
        CutAreas {
            union_mm2: Region::non_zero(&paths, THIN_MM).area_mm2(),
            wound_mm2,
        }
    })
}

/// Does something at every plane with the facets it meets, in parallel and with bounded memory.
fn at_each_plane<T: Send>(
    mesh: &Mesh,
    planes_mm: &[f64],
    work: impl Fn(&[u32], f64) -> T + Sync,
) -> Vec<T> {
    let spans: Vec<(u32, u32)> = mesh
        .triangles
        .par_iter()
        .map(|t| planes_met(mesh, t, planes_mm))
        .collect();
    let mut done = Vec::with_capacity(planes_mm.len());
    for block in blocks(&spans, planes_mm.len()) {
        let met = facets_per_plane(&spans, block.clone());
        let of_block: Vec<T> = block
            .clone()
            .into_par_iter()
            .map(|k| work(met.of(k - block.start), planes_mm[k]))
            .collect();
        done.extend(of_block);
    }
    done
}

/// The planes a facet meets, as a half-open range: some corner below, some corner on or above.
fn planes_met(mesh: &Mesh, triangle: &[u32; 3], planes_mm: &[f64]) -> (u32, u32) {
    let z = triangle.map(|v| mesh.vertices_mm[v as usize].z);
    let (low, high) = (z[0].min(z[1]).min(z[2]), z[0].max(z[1]).max(z[2]));
    let first = planes_mm.partition_point(|p| *p <= low);
    let past = first + planes_mm[first..].partition_point(|p| *p <= high);
    (first as u32, past as u32)
}

/// Splits the planes into runs that meet at most [`MEETINGS_AT_ONCE`] facets each (or are one plane).
fn blocks(spans: &[(u32, u32)], planes: usize) -> Vec<std::ops::Range<usize>> {
    let mut change = vec![0i64; planes + 1];
    for (first, past) in spans {
        change[*first as usize] += 1;
        change[*past as usize] -= 1;
    }
    let mut blocks = Vec::new();
    let (mut start, mut held, mut here) = (0, 0usize, 0i64);
    for (plane, change) in change.iter().take(planes).enumerate() {
        here += change;
        if held + here as usize > MEETINGS_AT_ONCE && plane > start {
            blocks.push(start..plane);
            (start, held) = (plane, 0);
        }
        held += here as usize;
    }
    blocks.push(start..planes);
    blocks
}

/// Facet lists of a run of planes, one after the other.
struct Met {
    starts: Vec<usize>,
    facets: Vec<u32>,
}

impl Met {
    fn of(&self, plane: usize) -> &[u32] {
        &self.facets[self.starts[plane]..self.starts[plane + 1]]
    }
}

fn facets_per_plane(spans: &[(u32, u32)], block: std::ops::Range<usize>) -> Met {
    let clip = |(first, past): &(u32, u32)| {
        (*first as usize).max(block.start)..(*past as usize).min(block.end)
    };
    let mut starts = vec![0usize; block.len() + 1];
    for span in spans {
        for plane in clip(span) {
            starts[plane - block.start + 1] += 1;
        }
    }
    for plane in 0..block.len() {
        starts[plane + 1] += starts[plane];
    }
    let mut next = starts.clone();
    let mut facets = vec![0u32; starts[block.len()]];
    for (facet, span) in spans.iter().enumerate() {
        for plane in clip(span) {
            facets[next[plane - block.start]] = facet as u32;
            next[plane - block.start] += 1;
        }
    }
    Met { starts, facets }
}

#[derive(Default)]
struct Gaps {
    count: usize,
    longest_mm: f64,
}

/// One facet's piece of a contour, from edge to edge, solid on its left.
struct Piece {
    from_edge: u32,
    to_edge: u32,
    from_mm: [f64; 2],
    to_mm: [f64; 2],
}

fn cut_plane(
    mesh: &Mesh,
    topology: &Topology,
    facets: &[u32],
    plane_mm: f64,
    thin_mm: f64,
) -> (Region, Gaps) {
    let pieces: Vec<Piece> = facets
        .iter()
        .map(|f| piece(mesh, topology, *f as usize, plane_mm))
        .collect();
    let (mut rings, chains) = follow(&pieces);
    let gaps = join_chains(chains, &mut rings);
    let thinned: Paths64 = rings
        .iter()
        .map(|ring| {
            thin_ring(
                &ring.iter().map(|p| to_grid(*p)).collect::<Path64>(),
                FIRST_THIN_SHARE * thin_mm * GRID_PER_MM,
            )
        })
        .filter(|ring| !ring.is_empty())
        .collect();
    (Region::non_zero(&thinned, thin_mm).thinned(), gaps)
}

/// Seen from outside a facet runs counter-clockwise, so its section runs from the side that goes down through the plane
/// to the side that goes up.
fn piece(mesh: &Mesh, topology: &Topology, facet: usize, plane_mm: f64) -> Piece {
    let corners = mesh.corners(facet);
    let above = corners.map(|c| c.z >= plane_mm);
    let side = |down: bool| {
        (0..3)
            .find(|i| above[*i] == down && above[(*i + 1) % 3] != down)
            .unwrap_or(0)
    };
    let (down, up) = (side(true), side(false));
    let vertices = mesh.triangles[facet];
    let crossing = |i: usize| crossing(mesh, vertices[i], vertices[(i + 1) % 3], plane_mm);
    Piece {
        from_edge: topology.facet_edges[facet][down],
        to_edge: topology.facet_edges[facet][up],
        from_mm: crossing(down),
        to_mm: crossing(up),
    }
}

/// Where an edge meets the plane. Both facets of an edge compute it from the same end, so they agree to the last bit.
fn crossing(mesh: &Mesh, a: u32, b: u32, plane_mm: f64) -> [f64; 2] {
    let (p, q): (Point3<f64>, Point3<f64>) = (
        mesh.vertices_mm[a.min(b) as usize],
        mesh.vertices_mm[a.max(b) as usize],
    );
    let t = (plane_mm - p.z) / (q.z - p.z);
    [p.x + t * (q.x - p.x), p.y + t * (q.y - p.y)]
}

type Points = Vec<[f64; 2]>;

/// Which pieces start at an edge: nearly always one, which then needs no list.
struct Starts {
    first: FxHashMap<u32, u32>,
    more: FxHashMap<u32, Vec<u32>>,
}

impl Starts {
    fn of(pieces: &[Piece]) -> Starts {
        let mut starts = Starts {
            first: FxHashMap::default(),
            more: FxHashMap::default(),
        };
        starts.first.reserve(pieces.len());
        for (index, piece) in pieces.iter().enumerate() {
            if let Some(known) = starts.first.insert(piece.from_edge, index as u32) {
                starts.more.entry(piece.from_edge).or_default().push(known);
            }
        }
        starts
    }

    /// A piece that starts at `edge` and was not used yet.
    fn take(&mut self, edge: u32, used: &[bool]) -> Option<u32> {
        if let Some(first) = self.first.get(&edge).filter(|p| !used[**p as usize]) {
            return Some(*first);
        }
        let list = self.more.get_mut(&edge)?;
        while let Some(piece) = list.pop() {
            if !used[piece as usize] {
                return Some(piece);
            }
        }
        None
    }
}

/// Follows pieces from edge to edge: closed rings, and chains with two loose ends.
fn follow(pieces: &[Piece]) -> (Vec<Points>, Vec<Points>) {
    let mut starts = Starts::of(pieces);
    let mut ends_at: FxHashMap<u32, i32> = FxHashMap::default();
    ends_at.reserve(pieces.len());
    for piece in pieces {
        *ends_at.entry(piece.to_edge).or_default() += 1;
    }
    let (mut rings, mut chains) = (Vec::new(), Vec::new());
    let mut used = vec![false; pieces.len()];
    // Chains first: they begin at edges from which more pieces start than end there.
    let mut firsts: Vec<u32> = Vec::new();
    for (index, piece) in pieces.iter().enumerate() {
        let ending = ends_at.entry(piece.from_edge).or_default();
        if *ending <= 0 {
            firsts.push(index as u32);
        }
        *ending -= 1;
    }
    let all = 0..pieces.len() as u32;
    for (first, loose) in firsts
        .into_iter()
        .map(|f| (f, true))
        .chain(all.map(|f| (f, false)))
    {
        if used[first as usize] {
            continue;
        }
        let mut points = Vec::new();
        let mut at = first;
        let closed = loop {
            used[at as usize] = true;
            points.push(pieces[at as usize].from_mm);
            let edge = pieces[at as usize].to_edge;
            if !loose && edge == pieces[first as usize].from_edge {
                break true;
            }
            match starts.take(edge, &used) {
                Some(next) => at = next,
                None => {
                    points.push(pieces[at as usize].to_mm);
                    break false;
                }
            }
        };
        if closed {
            rings.push(points)
        } else {
            chains.push(points)
        }
    }
    (rings, chains)
}

/// Joins the end of each chain to the nearest loose start, its own included, until all are closed.
fn join_chains(chains: Vec<Points>, rings: &mut Vec<Points>) -> Gaps {
    let mut gaps = Gaps::default();
    if chains.is_empty() {
        return gaps;
    }
    gaps.count = chains.len();
    let starts = chains
        .iter()
        .enumerate()
        .map(|(i, c)| GeomWithData::new(c[0], i))
        .collect();
    let mut loose: RTree<GeomWithData<[f64; 2], usize>> = RTree::bulk_load(starts);
    let mut follower: Vec<usize> = Vec::with_capacity(chains.len());
    for chain in &chains {
        let end = chain[chain.len() - 1];
        // Every chain takes exactly one start, so one is left for each.
        let Some(nearest) = loose.nearest_neighbor(&end).copied() else {
            break;
        };
        gaps.longest_mm = gaps
            .longest_mm
            .max((nearest.geom()[0] - end[0]).hypot(nearest.geom()[1] - end[1]));
        loose.remove(&nearest);
        follower.push(nearest.data);
    }
    let mut done = vec![false; chains.len()];
    for first in 0..chains.len() {
        let mut ring = Points::new();
        let mut at = first;
        while !done[at] {
            done[at] = true;
            ring.extend_from_slice(&chains[at]);
            at = follower[at];
        }
        if ring.len() >= 3 {
            rings.push(ring);
        }
    }
    gaps
}
