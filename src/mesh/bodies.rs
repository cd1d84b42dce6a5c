//! Bodies: facets that hang together over shared edges, and what is noticed about them as wholes.

use nalgebra::{Point3, Vector3};
use rstar::{AABB, RTree, RTreeObject};

use super::{Finding, FindingKind, Mesh, Topology, mass_properties};

/// A body no longer than this is a speck: no common nozzle lays a bead so short (common practice, no source).
const SPECK_MM: f64 = 0.4;

/// One body.
pub(super) struct Body {
    /// Its facets' corners.
    pub facets: Vec<[u32; 3]>,
    /// Least corner of its box, mm.
    pub low_mm: Point3<f64>,
    /// Greatest corner of its box, mm.
    pub high_mm: Point3<f64>,
    /// One of its corners, mm.
    pub a_corner_mm: Point3<f64>,
    /// Enclosed volume, mm3; negative where it is wound inwards.
    pub volume_mm3: f64,
}

impl Body {
    /// Turns it inside out.
    pub fn turn(&mut self) {
        for facet in &mut self.facets {
            facet.swap(1, 2);
        }
        self.volume_mm3 = -self.volume_mm3;
    }

    fn middle_mm(&self) -> Point3<f64> {
        nalgebra::center(&self.low_mm, &self.high_mm)
    }

    fn size_mm(&self) -> Vector3<f64> {
        self.high_mm - self.low_mm
    }
}

/// The bodies of a mesh, by their number.
pub(super) fn bodies(mesh: &Mesh, topology: &Topology) -> Vec<Body> {
    let mut facets_of: Vec<Vec<[u32; 3]>> = vec![Vec::new(); topology.bodies];
    for (facet, body) in mesh.triangles.iter().zip(&topology.body_of) {
        facets_of[*body as usize].push(*facet);
    }
    facets_of
        .into_iter()
        .map(|facets| {
            let a_corner_mm = mesh.vertices_mm[facets[0][0] as usize];
            let (low_mm, high_mm) = facets
                .iter()
                .flatten()
                .map(|v| mesh.vertices_mm[*v as usize])
                .fold((a_corner_mm, a_corner_mm), |(low, high), v| {
                    (low.inf(&v), high.sup(&v))
                });
            let centre = nalgebra::center(&low_mm, &high_mm);
            let volume_mm3 = mass_properties(&mesh.vertices_mm, &facets, centre).volume_mm3;
            Body {
                facets,
                low_mm,
                high_mm,
                a_corner_mm,
                volume_mm3,
            }
        })
        .collect()
}

/// Which bodies repeat an earlier one: the same volume and corners at the same places within `reach_mm`, however the
/// facets between them run.
pub(super) fn doubled(mesh: &Mesh, bodies: &[Body], reach_mm: f64) -> Vec<bool> {
    let mut order: Vec<usize> = (0..bodies.len()).collect();
    order.sort_by(|a, b| {
        let volume = |i: &usize| bodies[*i].volume_mm3.abs();
        volume(a).total_cmp(&volume(b)).then(a.cmp(b))
    });
    let mut repeats = vec![false; bodies.len()];
    for (place, one) in order.iter().enumerate() {
        // Bodies of nearly equal volume follow one another; only so many are compared, however many there are.
        const MOST_COMPARED: usize = 8;
        for other in order[place + 1..].iter().take(MOST_COMPARED) {
            let (a, b) = (&bodies[*one], &bodies[*other]);
            if b.volume_mm3.abs() > a.volume_mm3.abs() * (1.0 + 1e-3) {
                break;
            }
            if !repeats[*other] && same_place(mesh, a, b, reach_mm) {
                repeats[(*one).max(*other)] = true;
            }
        }
    }
    repeats
}

fn same_place(mesh: &Mesh, a: &Body, b: &Body, reach_mm: f64) -> bool {
    let close = |p: Point3<f64>, q: Point3<f64>| (p - q).amax() <= reach_mm;
    // A cavity's wall may lie close to a body that fills it: opposite signs are no repetition.
    if a.volume_mm3 * b.volume_mm3 < 0.0
        || !close(a.low_mm, b.low_mm)
        || !close(a.high_mm, b.high_mm)
    {
        return false;
    }
    let corners = |body: &Body| {
        let mut corners: Vec<u32> = body.facets.iter().flatten().copied().collect();
        corners.sort_unstable();
        corners.dedup();
        corners
    };
    let (ours, theirs) = (corners(a), corners(b));
    if ours.len() != theirs.len() {
        return false;
    }
    let at = |v: &u32| -> [f64; 3] { mesh.vertices_mm[*v as usize].into() };
    let tree: RTree<[f64; 3]> = RTree::bulk_load(theirs.iter().map(at).collect());
    ours.iter().map(at).all(|p| {
        tree.nearest_neighbor(&p)
            .is_some_and(|q| close(p.into(), (*q).into()))
    })
}

/// What is noticed about the bodies of a mesh whose bodies are turned the right way.
pub(super) fn report(bodies: &[Body], findings: &mut Vec<Finding>) {
    if bodies.len() < 2 {
        return;
    }
    report_cavities(bodies, findings);
    report_specks(bodies, findings);
    report_separate(bodies, findings);
}

fn first(bodies: &[Body], which: impl Fn(&Body) -> bool) -> Option<(u32, &Body, usize)> {
    let count = bodies.iter().filter(|b| which(b)).count();
    let (number, body) = bodies.iter().enumerate().find(|(_, b)| which(b))?;
    Some((number as u32, body, count))
}

fn report_cavities(bodies: &[Body], findings: &mut Vec<Finding>) {
    let Some((number, body, count)) = first(bodies, |b| b.volume_mm3 < 0.0) else {
        return;
    };
    let hollow_mm3: f64 = bodies.iter().map(|b| (-b.volume_mm3).max(0.0)).sum();
    let (m, what) = (
        body.middle_mm(),
        if count == 1 { "cavity" } else { "cavities" },
    );
    findings.push(
        Finding::new(
            FindingKind::Cavities,
            count,
            format!(
                "{count} closed {what} of {hollow_mm3:.1} mm3 in all, the first near ({:.2}, {:.2}, {:.2}) mm, kept hollow: it takes \
                 no plastic, and support inside can't be taken out",
                m.x, m.y, m.z
            ),
        )
        .at(m)
        .on_body(number),
    );
}

fn report_specks(bodies: &[Body], findings: &mut Vec<Finding>) {
    let is_speck = |b: &Body| b.size_mm().amax() < SPECK_MM;
    let Some((number, body, count)) = first(bodies, is_speck) else {
        return;
    };
    let m = body.middle_mm();
    findings.push(
        Finding::new(
            FindingKind::LooseSpecks,
            count,
            format!(
                "{count} loose {} smaller than {SPECK_MM} mm, the first near ({:.2}, {:.2}, {:.2}) mm: no bead lays {}; the figures \
                 hardly change",
                if count == 1 { "body" } else { "bodies" },
                m.x,
                m.y,
                m.z,
                if count == 1 { "it" } else { "them" }
            ),
        )
        .at(m)
        .on_body(number),
    );
}

struct Boxed {
    low: [f64; 3],
    high: [f64; 3],
    group: usize,
}

impl RTreeObject for Boxed {
    type Envelope = AABB<[f64; 3]>;

    fn envelope(&self) -> Self::Envelope {
        AABB::from_corners(self.low, self.high)
    }
}

/// Groups of solid bodies whose boxes do not meet are surely apart.
fn report_separate(bodies: &[Body], findings: &mut Vec<Finding>) {
    let solid: Vec<&Body> = bodies
        .iter()
        .filter(|b| b.volume_mm3 > 0.0 && b.size_mm().amax() >= SPECK_MM)
        .collect();
    let groups = groups_apart(&solid);
    let count = groups.iter().max().map_or(0, |most| most + 1);
    if count < 2 {
        return;
    }
    let second = solid.iter().zip(&groups).find(|(_, group)| **group == 1);
    let mut finding = Finding::new(
        FindingKind::SeparateBodies,
        count,
        format!(
            "the file holds {count} bodies that do not touch; they are priced together as one part, laid as they lie: ask whether \
             they are several parts"
        ),
    );
    finding.at_mm = second.map(|(body, _)| body.middle_mm());
    findings.push(finding);
}

/// The group of each body: bodies whose boxes meet, directly or over others, are of one group. Numbered from 0.
fn groups_apart(bodies: &[&Body]) -> Vec<usize> {
    let boxed = |(group, body): (usize, &&Body)| Boxed {
        low: body.low_mm.into(),
        high: body.high_mm.into(),
        group,
    };
    let tree = RTree::bulk_load(bodies.iter().enumerate().map(boxed).collect());
    let mut group_of: Vec<Option<usize>> = vec![None; bodies.len()];
    let mut groups = 0;
    for first in 0..bodies.len() {
        if group_of[first].is_some() {
            continue;
        }
        group_of[first] = Some(groups);
        let mut waiting = vec![first];
        while let Some(at) = waiting.pop() {
            let around = AABB::from_corners(bodies[at].low_mm.into(), bodies[at].high_mm.into());
            for near in tree.locate_in_envelope_intersecting(&around) {
                if group_of[near.group].is_none() {
                    group_of[near.group] = Some(groups);
                    waiting.push(near.group);
                }
            }
        }
        groups += 1;
    }
    group_of.into_iter().flatten().collect()
}
