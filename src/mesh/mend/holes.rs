//! Holes: loops of open edges, and the surfaces that would close them.

use earcut::{Earcut, utils3d::project3d_to_2d};
use nalgebra::{Point3, Vector3};
use rustc_hash::FxHashMap;

use crate::mesh::format::Triangulator;
use crate::mesh::{Mesh, Topology};

/// An opening is flat where no corner leaves its plane by more than this share of its extent.
const FLAT_SHARE: f64 = 1e-3;
/// An opening is small where its extent is at most this share of the part's diagonal. A judgement without source.
const SMALL_SHARE: f64 = 0.02;

/// An opening in a surface: a loop of open edges, with what lies inside it in the same plane.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::mesh) struct Opening {
    /// The loops, the outer first, in the direction in which a facet that closes them would run.
    pub loops: Vec<Vec<u32>>,
    /// Triangles that would close it.
    pub cap: Vec<[u32; 3]>,
    /// Whether it lies in a plane.
    pub flat: bool,
    /// Whether it is small against the part.
    pub small: bool,
    /// Its area, mm2.
    pub area_mm2: f64,
    /// How much the volume depends on how it is meant to be closed, mm3; nothing where it is flat.
    pub doubt_mm3: f64,
    /// Its middle, mm.
    pub middle_mm: Point3<f64>,
    /// Its greatest extent along an axis, mm.
    pub extent_mm: f64,
}

impl Opening {
    /// Whether closing it is safe.
    pub fn closable(&self) -> bool {
        (self.flat || self.small) && !self.cap.is_empty()
    }
}

/// The openings of a mesh whose facets agree with their neighbours.
pub(in crate::mesh) fn openings(mesh: &Mesh, topology: &Topology) -> Vec<Opening> {
    let diagonal_mm = mesh.size_mm().norm();
    let rings: Vec<Ring> = loops(&open_sides(mesh, topology))
        .into_iter()
        .filter_map(|ring| Ring::of(mesh, ring))
        .collect();
    let mut triangulator = Triangulator::default();
    group(rings)
        .into_iter()
        .map(|rings| opening(mesh, rings, diagonal_mm, &mut triangulator))
        .collect()
}

/// Adds the caps of the openings that can be closed without a doubt; the others are left.
pub(in crate::mesh) fn close(mesh: &mut Mesh, openings: &[Opening]) {
    for opening in openings.iter().filter(|o| o.closable()) {
        mesh.triangles.extend_from_slice(&opening.cap);
    }
}

/// Open edges in the direction in which a closing facet runs: against the one facet that has them.
fn open_sides(mesh: &Mesh, topology: &Topology) -> Vec<[u32; 2]> {
    let mut open: FxHashMap<[u32; 2], ()> = FxHashMap::default();
    open.extend(
        topology
            .open_edges
            .iter()
            .map(|[a, b]| ([*a.min(b), *a.max(b)], ())),
    );
    let mut sides = Vec::with_capacity(open.len());
    for [a, b, c] in &mesh.triangles {
        for (from, to) in [(*a, *b), (*b, *c), (*c, *a)] {
            if open.contains_key(&[from.min(to), from.max(to)]) {
                sides.push([to, from]);
            }
        }
    }
    sides
}

/// Closed loops of directed edges. Where a walk meets a corner again, what lies between is a loop of its own, so that no
/// loop passes a corner twice. Walks that do not close are left out.
fn loops(sides: &[[u32; 2]]) -> Vec<Vec<u32>> {
    let mut next: FxHashMap<u32, Vec<u32>> = FxHashMap::default();
    for [from, to] in sides {
        next.entry(*from).or_default().push(*to);
    }
    let mut found = Vec::new();
    for [first, _] in sides {
        let mut path: Vec<u32> = Vec::new();
        let mut at_of: FxHashMap<u32, usize> = FxHashMap::default();
        let mut at = *first;
        loop {
            if let Some(start) = at_of.get(&at).copied() {
                let ring: Vec<u32> = path.drain(start..).collect();
                for corner in &ring {
                    at_of.remove(corner);
                }
                if ring.len() >= 3 {
                    found.push(ring);
                }
            }
            let Some(to) = next.get_mut(&at).and_then(Vec::pop) else {
                break;
            };
            at_of.insert(at, path.len());
            path.push(at);
            at = to;
        }
    }
    found
}

/// A loop with its plane.
struct Ring {
    corners: Vec<u32>,
    /// Unit normal by the right-hand rule; zero where the loop encloses nothing.
    normal: Vector3<f64>,
    area_mm2: f64,
    middle_mm: Point3<f64>,
    low_mm: Point3<f64>,
    high_mm: Point3<f64>,
    /// Greatest distance of a corner from the plane, mm.
    off_plane_mm: f64,
}

impl Ring {
    fn of(mesh: &Mesh, corners: Vec<u32>) -> Option<Ring> {
        let at = |v: &u32| mesh.vertices_mm[*v as usize];
        let first = at(corners.first()?);
        let (mut low_mm, mut high_mm, mut sum) = (first, first, Vector3::zeros());
        let mut area_vector = Vector3::zeros();
        for (i, corner) in corners.iter().enumerate() {
            let (p, q) = (at(corner), at(&corners[(i + 1) % corners.len()]));
            (low_mm, high_mm) = (low_mm.inf(&p), high_mm.sup(&p));
            sum += p - first;
            area_vector += (p - first).cross(&(q - first)) / 2.0;
        }
        let area_mm2 = area_vector.norm();
        let normal = area_vector.try_normalize(0.0).unwrap_or_default();
        let middle_mm = first + sum / corners.len() as f64;
        let off_plane_mm = corners
            .iter()
            .map(|v| (at(v) - middle_mm).dot(&normal).abs())
            .fold(0.0, f64::max);
        Some(Ring {
            corners,
            normal,
            area_mm2,
            middle_mm,
            low_mm,
            high_mm,
            off_plane_mm,
        })
    }

    fn extent_mm(&self) -> f64 {
        (self.high_mm - self.low_mm).amax()
    }

    fn is_flat(&self) -> bool {
        self.off_plane_mm <= FLAT_SHARE * self.extent_mm()
    }

    /// Whether `inner` lies in this ring's plane, inside its box, and runs the other way round.
    fn surrounds(&self, inner: &Ring) -> bool {
        let slack = FLAT_SHARE * self.extent_mm();
        self.is_flat()
            && inner.is_flat()
            && inner.area_mm2 < self.area_mm2
            && inner.normal.dot(&self.normal) < -0.999
            && (inner.middle_mm - self.middle_mm).dot(&self.normal).abs() <= slack
            && (0..3).all(|i| {
                inner.low_mm[i] >= self.low_mm[i] - slack
                    && inner.high_mm[i] <= self.high_mm[i] + slack
            })
    }
}

/// Puts rings that lie inside another in its plane together with the smallest that surrounds them.
fn group(rings: Vec<Ring>) -> Vec<Vec<Ring>> {
    /// Beyond this many loops a file is a heap of rags, and who surrounds whom is not worth asking.
    const MOST: usize = 2000;
    let mut holder: Vec<Option<usize>> = vec![None; rings.len()];
    if rings.len() <= MOST {
        for (inner, ring) in rings.iter().enumerate() {
            holder[inner] = (0..rings.len())
                .filter(|outer| *outer != inner && rings[*outer].surrounds(ring))
                .min_by(|a, b| rings[*a].area_mm2.total_cmp(&rings[*b].area_mm2));
        }
    }
    let mut groups: Vec<Vec<Ring>> = Vec::new();
    let mut group_of: Vec<Option<usize>> = vec![None; rings.len()];
    let mut held = Vec::new();
    for (index, ring) in rings.into_iter().enumerate() {
        match holder[index] {
            Some(outer) => held.push((outer, ring)),
            None => {
                group_of[index] = Some(groups.len());
                groups.push(vec![ring]);
            }
        }
    }
    for (outer, ring) in held {
        match group_of[outer] {
            Some(group) => groups[group].push(ring),
            // Its holder is itself held: a new opening inside a ring-shaped one.
            None => groups.push(vec![ring]),
        }
    }
    groups
}

fn opening(
    mesh: &Mesh,
    rings: Vec<Ring>,
    diagonal_mm: f64,
    triangulator: &mut Triangulator,
) -> Opening {
    let outer = &rings[0];
    let flat = rings.iter().all(Ring::is_flat);
    let extent_mm = outer.extent_mm();
    let area_mm2 = outer.area_mm2 - rings[1..].iter().map(|r| r.area_mm2).sum::<f64>();
    let loops: Vec<Vec<u32>> = rings.iter().map(|r| r.corners.clone()).collect();
    let cap = cap(mesh, &loops, triangulator);
    let doubt_mm3 = if flat {
        0.0
    } else {
        doubt_mm3(mesh, &cap, outer.middle_mm, area_mm2)
    };
    Opening {
        loops,
        cap,
        flat,
        small: extent_mm <= SMALL_SHARE * diagonal_mm,
        area_mm2,
        doubt_mm3,
        middle_mm: outer.middle_mm,
        extent_mm,
    }
}

/// How much the volume depends on how an opening is closed: twice what lies between two ways of closing it (its cap, and a fan
/// from its middle), and a dome over it. The dome's tenth of the area's power 3/2 is the bulge of a sphere's cap that subtends
/// about a right angle. A judgement without source, held against 60 open meshes of others (docs/accuracy.md).
fn doubt_mm3(mesh: &Mesh, cap: &[[u32; 3]], middle_mm: Point3<f64>, area_mm2: f64) -> f64 {
    let between_mm3: f64 = cap
        .iter()
        .map(|t| {
            let [a, b, c] = t.map(|v| mesh.vertices_mm[v as usize] - middle_mm);
            a.dot(&b.cross(&c)) / 6.0
        })
        .sum();
    2.0 * between_mm3.abs() + 0.1 * area_mm2.powf(1.5)
}

/// Triangles inside the first loop and outside the others.
fn cap(mesh: &Mesh, loops: &[Vec<u32>], triangulator: &mut Triangulator) -> Vec<[u32; 3]> {
    let corners: Vec<u32> = loops.iter().flatten().copied().collect();
    let points: Vec<[f64; 3]> = corners
        .iter()
        .map(|v| mesh.vertices_mm[*v as usize].into())
        .collect();
    let mut local = Vec::new();
    if loops.len() == 1 {
        let ring: Vec<u32> = (0..corners.len() as u32).collect();
        triangulator.cut(&points, &ring, &mut local);
    } else {
        let mut starts = Vec::new();
        let mut at = 0;
        for ring in loops {
            starts.push(at);
            at += ring.len() as u32;
        }
        let mut flat = Vec::new();
        let mut cut: Vec<u32> = Vec::new();
        if project3d_to_2d(&points, loops[0].len(), &mut flat) {
            Earcut::new().earcut(flat.iter().copied(), &starts[1..], &mut cut);
        }
        local.extend(cut.chunks_exact(3).map(|t| [t[0], t[1], t[2]]));
    }
    local
        .into_iter()
        .map(|t| t.map(|i| corners[i as usize]))
        .collect()
}
