//! Cracks: neighbours that were meant to share an edge and miss it by a hair, or whose corners lie on an edge that was not
//! divided there.

use nalgebra::{Point3, Vector3};
use rstar::{AABB, RTree, primitives::GeomWithData};
use rustc_hash::{FxHashMap, FxHashSet};

use crate::mesh::{Mesh, Topology};

/// A crack is at most this share of the part's diagonal wide, and at most this many mm: wider gaps may be meant. A judgement
/// without source; text exports round to 1e-4 of a unit, single precision to 6e-8 of the coordinate.
const CRACK_SHARE: f64 = 1e-4;
const CRACK_MM: f64 = 0.02;

/// Rounds of dividing edges; each divides every edge that needs it at most once.
const ROUNDS: usize = 8;

/// What was joined.
#[derive(Debug, Clone, Default, PartialEq)]
pub(in crate::mesh) struct Stitched {
    /// Corners moved onto a corner beside them.
    pub corners: usize,
    /// Edges divided where another facet's corner lies on them.
    pub edges: usize,
    /// The farthest a corner was moved, mm.
    pub farthest_mm: f64,
    /// Where the first was, mm.
    pub first_mm: Option<Point3<f64>>,
}

/// Joins cracks of `mesh`, whose edges are `topology`. Nothing but corners of open edges is moved.
pub(in crate::mesh) fn stitch(mesh: &mut Mesh, topology: &Topology) -> Stitched {
    let reach_mm = (CRACK_SHARE * mesh.size_mm().norm()).min(CRACK_MM);
    let mut stitched = Stitched::default();
    join_corners(mesh, &topology.open_edges, reach_mm, &mut stitched);
    for _ in 0..ROUNDS {
        let open = Topology::of(&mesh.triangles).open_edges;
        if !divide_edges(mesh, &open, reach_mm, &mut stitched) {
            break;
        }
    }
    stitched
}

type Corner = GeomWithData<[f64; 3], u32>;

fn corners_of(mesh: &Mesh, open: &[[u32; 2]]) -> Vec<u32> {
    let mut corners: Vec<u32> = open.iter().flatten().copied().collect();
    corners.sort_unstable();
    corners.dedup();
    corners.retain(|v| (*v as usize) < mesh.vertices_mm.len());
    corners
}

/// Each corner of an open edge goes to the first one within reach of it that stays; facets that collapse are dropped.
fn join_corners(mesh: &mut Mesh, open: &[[u32; 2]], reach_mm: f64, stitched: &mut Stitched) {
    let corners = corners_of(mesh, open);
    // The two corners of one open edge are neighbours, not a crack.
    let mut edge_of: FxHashSet<[u32; 2]> = FxHashSet::default();
    edge_of.extend(open.iter().map(|[a, b]| [*a.min(b), *a.max(b)]));
    let mut staying: RTree<Corner> = RTree::new();
    let mut moved: FxHashMap<u32, u32> = FxHashMap::default();
    for corner in corners {
        let at = mesh.vertices_mm[corner as usize];
        let near = staying
            .nearest_neighbor_iter_with_distance_2(&[at.x, at.y, at.z])
            .take_while(|(_, distance_2)| *distance_2 <= reach_mm * reach_mm)
            .map(|(other, distance_2)| (other.data, distance_2))
            .find(|(other, _)| !edge_of.contains(&[corner.min(*other), corner.max(*other)]));
        match near {
            Some((other, distance_2)) => {
                moved.insert(corner, other);
                stitched.corners += 1;
                stitched.farthest_mm = stitched.farthest_mm.max(distance_2.sqrt());
                stitched.first_mm.get_or_insert(at);
            }
            None => staying.insert(Corner::new([at.x, at.y, at.z], corner)),
        }
    }
    if moved.is_empty() {
        return;
    }
    for triangle in &mut mesh.triangles {
        *triangle = triangle.map(|v| moved.get(&v).copied().unwrap_or(v));
    }
    mesh.triangles
        .retain(|[a, b, c]| a != b && b != c && c != a);
}

/// Divides facets at corners that lie on their open edges; whether any was.
fn divide_edges(
    mesh: &mut Mesh,
    open: &[[u32; 2]],
    reach_mm: f64,
    stitched: &mut Stitched,
) -> bool {
    let tree: RTree<Corner> = RTree::bulk_load(
        corners_of(mesh, open)
            .into_iter()
            .map(|v| Corner::new(mesh.vertices_mm[v as usize].into(), v))
            .collect(),
    );
    let mut on_edge: FxHashMap<[u32; 2], Vec<u32>> = FxHashMap::default();
    for [a, b] in open {
        let between = corners_between(mesh, &tree, *a, *b, reach_mm);
        if !between.is_empty() {
            on_edge.insert([*a.min(b), *a.max(b)], between);
        }
    }
    if on_edge.is_empty() {
        return false;
    }
    let mut divided = Vec::new();
    let mut any = false;
    let triangles = std::mem::take(&mut mesh.triangles);
    for [a, b, c] in triangles {
        let sides = [[a, b, c], [b, c, a], [c, a, b]];
        let side = sides.into_iter().find_map(|[p, q, far]| {
            let between = on_edge.get(&[p.min(q), p.max(q)])?;
            // A corner of the facet itself can't divide it.
            let usable: Vec<u32> = between.iter().copied().filter(|v| *v != far).collect();
            (!usable.is_empty()).then_some((p, q, far, usable))
        });
        let Some((p, q, far, mut between)) = side else {
            divided.push([a, b, c]);
            continue;
        };
        any = true;
        if p > q {
            between.reverse();
        }
        stitched.edges += 1;
        stitched
            .first_mm
            .get_or_insert(mesh.vertices_mm[between[0] as usize]);
        let mut from = p;
        for to in between.into_iter().chain([q]) {
            divided.push([from, to, far]);
            from = to;
        }
    }
    mesh.triangles = divided;
    any
}

/// Corners of open edges that lie on the edge from `a` to `b` within reach and not near its ends, from the lower to the higher
/// index's end.
fn corners_between(mesh: &Mesh, tree: &RTree<Corner>, a: u32, b: u32, reach_mm: f64) -> Vec<u32> {
    let (low, high) = (a.min(b), a.max(b));
    let (p, q) = (
        mesh.vertices_mm[low as usize],
        mesh.vertices_mm[high as usize],
    );
    let along: Vector3<f64> = q - p;
    let length = along.norm();
    if length <= 2.0 * reach_mm {
        return Vec::new();
    }
    let grown = Vector3::repeat(reach_mm);
    let envelope = AABB::from_corners((p.inf(&q) - grown).into(), (p.sup(&q) + grown).into());
    let mut between: Vec<(f64, u32)> = tree
        .locate_in_envelope(&envelope)
        .filter(|corner| corner.data != low && corner.data != high)
        .filter_map(|corner| {
            let from_p = mesh.vertices_mm[corner.data as usize] - p;
            let at = from_p.dot(&along) / length;
            let off = (from_p - along * (at / length)).norm();
            (off <= reach_mm && at > reach_mm && at < length - reach_mm)
                .then_some((at, corner.data))
        })
        .collect();
    between.sort_by(|x, y| x.0.total_cmp(&y.0));
    between.dedup_by(|x, y| x.0 - y.0 <= 1e-12 * length);
    between.into_iter().map(|(_, v)| v).collect()
}
