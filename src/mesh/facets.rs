//! Facets that are none, or one too many.

use nalgebra::Point3;
use rustc_hash::FxHashMap;

use super::measure::{has_three_corners, lie_on_a_line};
use super::words::facets;
use super::{Finding, FindingKind, MassProperties, Mesh, Topology};

/// Facets with two equal corners have no area and part no neighbours; dropping them leaves the surface as it was.
/// Facets whose three different corners lie on a line stay: their neighbours need them to meet.
/// `drawn` is the measure of the mesh, which has counted both kinds.
pub(super) fn drop_degenerate(
    mesh: &mut Mesh,
    drawn: &MassProperties,
    findings: &mut Vec<Finding>,
) {
    let collapses = |facet: &[u32; 3]| !has_three_corners(facet);
    let (collapsed, needles) = (drawn.collapsed, drawn.needles);
    if let Some(first) = first_of(mesh, collapsed, collapses) {
        mesh.triangles.retain(|facet| !collapses(facet));
        findings.push(
            Finding::new(
                FindingKind::DegenerateFacets,
                collapsed,
                format!(
                    "{} with two equal corners {} dropped; the figures do not change",
                    facets(collapsed),
                    if collapsed == 1 { "was" } else { "were" }
                ),
            )
            .mended()
            .at(first),
        );
    }
    let is_needle = |facet: &[u32; 3]| lie_on_a_line(facet.map(|v| mesh.vertices_mm[v as usize]));
    if let Some(first) = first_of(mesh, needles, is_needle) {
        findings.push(
            Finding::new(
                FindingKind::DegenerateFacets,
                needles,
                format!(
                    "{} without area, kept for {} neighbours; the figures do not change",
                    facets(needles),
                    if needles == 1 { "its" } else { "their" }
                ),
            )
            .at(first),
        );
    }
}

/// The first corner of the first of `count` facets of some kind.
fn first_of(mesh: &Mesh, count: usize, kind: impl Fn(&[u32; 3]) -> bool) -> Option<Point3<f64>> {
    if count == 0 {
        return None;
    }
    let first = mesh.triangles.iter().find(|facet| kind(facet))?;
    Some(mesh.vertices_mm[first[0] as usize])
}

/// Drops facets that repeat another with the same turn: they count the same volume twice. Where every facet has its reverse,
/// the whole surface is there twice, once inside out; one of the two goes, if what is left is closed. Whether any went.
pub(super) fn drop_duplicates(
    mesh: &mut Mesh,
    topology: &Topology,
    findings: &mut Vec<Finding>,
) -> bool {
    // Two equal facets share their edges in the same direction, or make them edges of more than two.
    if topology.overused_edges() == 0 && !topology.disagrees {
        return false;
    }
    let mut seen: FxHashMap<[u32; 3], [u32; 2]> = FxHashMap::default();
    let vertices = &mesh.vertices_mm;
    let mut first = None;
    let before = mesh.triangles.len();
    mesh.triangles.retain(|t| {
        let (key, way) = sorted(*t);
        let ways = seen.entry(key).or_default();
        ways[way] += 1;
        if ways[way] > 1 {
            first.get_or_insert(vertices[t[0] as usize]);
        }
        ways[way] == 1
    });
    let mut dropped = before - mesh.triangles.len();
    if seen.values().all(|ways| ways[0] > 0 && ways[1] > 0) {
        let mut taken: FxHashMap<[u32; 3], ()> = FxHashMap::default();
        let once: Vec<[u32; 3]> = mesh
            .triangles
            .iter()
            .copied()
            .filter(|t| taken.insert(sorted(*t).0, ()).is_none())
            .collect();
        if Topology::of(&once).open_edges.is_empty() {
            dropped += mesh.triangles.len() - once.len();
            first = first.or(mesh.triangles.first().map(|t| vertices[t[0] as usize]));
            mesh.triangles = once;
        }
    }
    let Some(at) = first.filter(|_| dropped > 0) else {
        return false;
    };
    findings.push(
        Finding::new(
            FindingKind::DuplicateFacets,
            dropped,
            format!(
                "{} repeated another and {} dropped, so that nothing counts twice",
                facets(dropped),
                if dropped == 1 { "was" } else { "were" }
            ),
        )
        .mended()
        .at(at),
    );
    true
}

/// The corners in rising order, and which of the two ways round the facet runs.
fn sorted([a, b, c]: [u32; 3]) -> ([u32; 3], usize) {
    let (least, then, last) = if a < b && a < c {
        (a, b, c)
    } else if b < c {
        (b, c, a)
    } else {
        (c, a, b)
    };
    if then < last {
        ([least, then, last], 0)
    } else {
        ([least, last, then], 1)
    }
}
