//! A closed mesh cut by a plane into two closed meshes.
//!
//! Facets are split where they cross the plane; the new vertex on an edge is computed once and serves both facets and both halves.
//! A facet that lies in the plane belongs to the half whose solid it bounds. What then lacks a partner in the lower half are loops
//! of edges in the plane, and the upper half lacks the same loops the other way round: one cap closes both.

use nalgebra::Point3;
use rustc_hash::FxHashMap;

use super::cap::{Cap, cap};
use super::{CutError, Plane};
use crate::mesh::{InspectedMesh, Mesh, Topology};

/// A vertex nearer to the plane than this lies on it, mm: a millionth of a millimetre is rounding, and a sliver that thin no part.
const ON_PLANE_MM: f64 = 1e-6;

/// Where the plane can't be capped cleanly it is moved by so much at a time, mm, and tried again: far below what a machine lays.
const NUDGE_MM: f64 = 1e-4;
/// The moves tried, in steps.
const NUDGES: [f64; 5] = [0.0, 1.0, -1.0, 2.0, -2.0];

/// What lies on either side of a plane, as closed meshes in the part's own coordinates.
#[derive(Debug, Clone, PartialEq)]
pub struct Halves {
    /// What lies below the plane; without facets where nothing does.
    pub below: Mesh,
    /// What lies above.
    pub above: Mesh,
    /// The plane, after it was moved to where it can be capped.
    pub plane: Plane,
    /// Area of the cut, mm2; where bodies overlap, as often as they do.
    pub area_mm2: f64,
    /// Outlines in the plane that cross themselves or each other, as the part's own surface does there: their caps close the
    /// pieces, but fold over themselves.
    pub folded: usize,
}

/// Cuts a closed part by a plane.
///
/// # Errors
/// [`CutError`] where the part is not closed, the plane is no number, or no clean cap is found within 0.0002 mm of the plane.
pub fn split(part: &InspectedMesh, plane: Plane) -> Result<Halves, CutError> {
    refuse_open(part)?;
    split_closed(&part.mesh, &part.topology, plane)
}

/// Only a closed surface says what is solid.
pub(super) fn refuse_open(part: &InspectedMesh) -> Result<(), CutError> {
    let closed = part.watertight && part.topology.is_closed(&part.mesh.triangles);
    if closed {
        Ok(())
    } else {
        Err(CutError::NotClosed)
    }
}

/// As [`split`], of a mesh that is known to be closed.
pub(super) fn split_closed(
    mesh: &Mesh,
    topology: &Topology,
    plane: Plane,
) -> Result<Halves, CutError> {
    if !plane.at_mm.is_finite() {
        return Err(CutError::NoPlace { at_mm: plane.at_mm });
    }
    // A spare third of the numbers is left for new vertices: at most two a facet.
    if mesh.vertices_mm.len() + 2 * mesh.triangles.len() > u32::MAX as usize {
        return Err(CutError::TooMany);
    }
    let mut folded: Option<Halves> = None;
    for steps in NUDGES {
        let moved = Plane {
            at_mm: plane.at_mm + steps * NUDGE_MM,
            ..plane
        };
        let Some(halves) = split_at(mesh, topology, moved) else {
            continue;
        };
        if halves.folded == 0 {
            return Ok(halves);
        }
        folded = folded
            .filter(|best| best.folded <= halves.folded)
            .or(Some(halves));
    }
    folded.ok_or(CutError::NotCapped {
        axis: plane.axis,
        at_mm: plane.at_mm,
    })
}

/// Cuts at just this plane; `None` where a half does not come out closed.
fn split_at(mesh: &Mesh, topology: &Topology, plane: Plane) -> Option<Halves> {
    let mut cutter = Cutter::new(mesh, plane);
    for facet in 0..mesh.triangles.len() {
        cutter.facet(facet, topology.body_of(facet));
    }
    let cap = cutter.cap()?;
    let Cutter {
        vertices,
        mut below,
        mut above,
        ..
    } = cutter;
    below.extend(&cap.triangles);
    above.extend(cap.triangles.iter().map(|[a, b, c]| [*a, *c, *b]));
    let closed = |triangles: &[[u32; 3]]| {
        triangles.is_empty() || Topology::of(triangles).is_closed(triangles)
    };
    (closed(&below) && closed(&above)).then(|| Halves {
        below: compact(&vertices, below),
        above: compact(&vertices, above),
        plane,
        area_mm2: cap.area_mm2,
        folded: cap.folded,
    })
}

/// Facets on their way to either side.
struct Cutter<'m> {
    mesh: &'m Mesh,
    plane: Plane,
    /// Below (-1), on (0) or above (1) the plane, by vertex.
    side: Vec<i8>,
    /// The mesh's vertices, then those in the plane.
    vertices: Vec<Point3<f64>>,
    /// The new vertex on an edge, by its ends, the lower number first.
    crossings: FxHashMap<(u32, u32), u32>,
    below: Vec<[u32; 3]>,
    above: Vec<[u32; 3]>,
    /// Edges in the plane that facets below have, by their ends, the lower number first: how often more they run up than down, and
    /// of which body they are.
    in_plane: FxHashMap<(u32, u32), (i32, u32)>,
}

impl<'m> Cutter<'m> {
    fn new(mesh: &'m Mesh, plane: Plane) -> Self {
        let axis = plane.axis.index();
        let side = mesh.vertices_mm.iter().map(|v| {
            let over = v[axis] - plane.at_mm;
            i8::from(over > ON_PLANE_MM) - i8::from(over < -ON_PLANE_MM)
        });
        Cutter {
            mesh,
            plane,
            side: side.collect(),
            vertices: mesh.vertices_mm.clone(),
            crossings: FxHashMap::default(),
            below: Vec::new(),
            above: Vec::new(),
            in_plane: FxHashMap::default(),
        }
    }

    fn facet(&mut self, facet: usize, body: u32) {
        let corners = self.mesh.triangles[facet];
        let sides = corners.map(|v| self.side[v as usize]);
        match (sides.iter().min(), sides.iter().max()) {
            (Some(-1), Some(1)) => self.divide(corners, sides, body),
            (Some(-1), _) => self.push_below(corners, body),
            (_, Some(1)) => self.above.push(corners),
            // It lies in the plane: its solid is where it does not look.
            _ if self.looks_up(facet) => self.push_below(corners, body),
            _ => self.above.push(corners),
        }
    }

    fn looks_up(&self, facet: usize) -> bool {
        let [a, b, c] = self
            .mesh
            .corners(facet)
            .map(|corner| self.plane.axis.upright(&corner));
        (b - a).cross(&(c - a)).z >= 0.0
    }

    /// A facet with corners on both sides: a corner polygon on each, three or four corners long and convex.
    fn divide(&mut self, corners: [u32; 3], sides: [i8; 3], body: u32) {
        let (mut low, mut high): (Vec<u32>, Vec<u32>) = (Vec::new(), Vec::new());
        for i in 0..3 {
            let next = (i + 1) % 3;
            if sides[i] <= 0 {
                low.push(corners[i]);
            }
            if sides[i] >= 0 {
                high.push(corners[i]);
            }
            if sides[i] * sides[next] < 0 {
                let new = self.crossing(corners[i], corners[next]);
                low.push(new);
                high.push(new);
            }
        }
        for i in 1..low.len() - 1 {
            self.push_below([low[0], low[i], low[i + 1]], body);
        }
        for i in 1..high.len() - 1 {
            self.above.push([high[0], high[i], high[i + 1]]);
        }
    }

    /// The vertex where an edge meets the plane, exactly on it. Taken from the end of the lower number, so that both facets agree.
    fn crossing(&mut self, a: u32, b: u32) -> u32 {
        let ends = (a.min(b), a.max(b));
        let (vertices, plane) = (&mut self.vertices, self.plane);
        *self.crossings.entry(ends).or_insert_with(|| {
            let axis = plane.axis.index();
            let (p, q) = (vertices[ends.0 as usize], vertices[ends.1 as usize]);
            let share = (plane.at_mm - p[axis]) / (q[axis] - p[axis]);
            let mut at = p + (q - p) * share;
            at[axis] = plane.at_mm;
            vertices.push(at);
            (vertices.len() - 1) as u32
        })
    }

    fn is_on(&self, vertex: u32) -> bool {
        self.side.get(vertex as usize).is_none_or(|side| *side == 0)
    }

    fn push_below(&mut self, corners: [u32; 3], body: u32) {
        self.below.push(corners);
        for i in 0..3 {
            let (from, to) = (corners[i], corners[(i + 1) % 3]);
            if from != to && self.is_on(from) && self.is_on(to) {
                let edge = self
                    .in_plane
                    .entry((from.min(to), from.max(to)))
                    .or_default();
                edge.0 += if from < to { 1 } else { -1 };
                edge.1 = body;
            }
        }
    }

    /// The cap of the lower half: it runs against the edges that lack a partner.
    fn cap(&self) -> Option<Cap> {
        let mut sides: Vec<([u32; 2], u32)> = Vec::new();
        for (&(low, high), &(rises, body)) in &self.in_plane {
            let side = if rises > 0 { [high, low] } else { [low, high] };
            sides.extend((0..rises.abs()).map(|_| (side, body)));
        }
        // The order of the table must not decide how loops are walked.
        sides.sort_unstable();
        let [u, v] = self.plane.axis.across();
        cap(&sides, |vertex| {
            let at = &self.vertices[vertex as usize];
            [at[u], at[v]]
        })
    }
}

/// The facets with the vertices that they use, in the order in which they were.
fn compact(vertices: &[Point3<f64>], mut triangles: Vec<[u32; 3]>) -> Mesh {
    let mut number = vec![u32::MAX; vertices.len()];
    for vertex in triangles.iter().flatten() {
        number[*vertex as usize] = 0;
    }
    let mut vertices_mm = Vec::new();
    for (vertex, number) in number.iter_mut().enumerate().filter(|(_, n)| **n == 0) {
        *number = vertices_mm.len() as u32;
        vertices_mm.push(vertices[vertex]);
    }
    for vertex in triangles.iter_mut().flatten() {
        *vertex = number[*vertex as usize];
    }
    Mesh {
        vertices_mm,
        triangles,
    }
}

/// The facets of `mesh` of which `wanted` says so.
pub(super) fn part_of(mesh: &Mesh, wanted: impl Fn(usize) -> bool) -> Mesh {
    let facets = mesh.triangles.iter().enumerate();
    let kept = facets
        .filter(|(f, _)| wanted(*f))
        .map(|(_, t)| *t)
        .collect();
    compact(&mesh.vertices_mm, kept)
}
