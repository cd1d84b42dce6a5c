//! The full examination and what it says.

use rustc_hash::FxHashSet;

use super::boxes::Boxes;
use super::crossing::{Crossings, crossings};
use super::union::{Overlap, overlap};
use super::walls::{ThinWalls, thin_walls};
use crate::mesh::{
    Finding, FindingKind, Grade, InspectedMesh, MOST_MARKS, Mark, Mesh, Topology, Trust,
};

/// An overlap below this share of the volume changes no figure.
const NO_OVERLAP: f64 = 1e-5;
/// An overlap below this share leaves open which of the two volumes is meant, and the bounds hold both.
const SLIGHT_OVERLAP: f64 = 0.01;
/// A surface whose facets cross more than so many others each encloses nothing that could be told. A judgement without source: the
/// worst of 340 real meshes has 0.3.
const TANGLED: usize = 10;
/// Thin walls are told of from this share of the surface on; less is a sharp edge. A judgement without source.
const THIN_SHARE: f64 = 0.002;

/// Examines a part in full. `thin_mm` is the narrowest wall that can be laid, mm. Where bodies share space or the surface runs
/// through itself, the volume becomes that of the union, and its bounds say how well it is known.
pub fn examine(mut part: InspectedMesh, thin_mm: f64) -> InspectedMesh {
    let boxes = Boxes::of(&part.mesh);
    let (found, thin) = rayon::join(
        || crossings(&part.mesh, &boxes),
        || thin_walls(&part.mesh, &boxes, thin_mm),
    );
    drop(boxes);
    let tangled = found.given_up || found.count > TANGLED * part.mesh.triangles.len();
    if tangled {
        let size = part.mesh.size_mm();
        part.trust = Trust::between(0.0, size.x * size.y * size.z);
    } else if part.trust.grade != Grade::Refused {
        let overlap = overlap_of(&part, found.count);
        judge(&mut part, &found, &overlap);
    }
    tell_crossings(&mut part, &found);
    tell_thin(&mut part, thin, thin_mm);
    part.examined = true;
    part
}

/// The overlap of a part with its openings closed by their caps.
fn overlap_of(part: &InspectedMesh, crossings: usize) -> Overlap {
    if part.caps.is_empty() {
        return overlap(&part.mesh, &part.topology, crossings);
    }
    let mut closed = Mesh {
        vertices_mm: part.mesh.vertices_mm.clone(),
        triangles: part.mesh.triangles.clone(),
    };
    closed.triangles.extend_from_slice(&part.caps);
    let topology = Topology::of(&closed.triangles);
    overlap(&closed, &topology, crossings)
}

/// Takes the overlap off the volume and says how well it is known then.
fn judge(part: &mut InspectedMesh, found: &Crossings, overlap: &Overlap) {
    let wound_mm3 = part.mass.volume_mm3;
    let nothing = overlap.volume_mm3.abs() <= NO_OVERLAP * wound_mm3.abs();
    if nothing && found.count == 0 {
        return;
    }
    let [low, high] = part.trust.volume_bounds_mm3;
    let (below, above) = ((wound_mm3 - low).max(0.0), (high - wound_mm3).max(0.0));
    let union_mm3 = wound_mm3 - overlap.volume_mm3;
    // A fold in one body's surface is small and may be meant either way; bodies that share space are one.
    let slight = overlap.volume_mm3.abs() <= SLIGHT_OVERLAP * wound_mm3.abs();
    let fold = slight && part.topology.bodies == 1;
    part.mass.volume_mm3 = if nothing || fold {
        wound_mm3
    } else {
        union_mm3
    };
    let error_mm3 = overlap.error_mm3 + NO_OVERLAP * union_mm3.abs();
    let (mut least, mut most) = (union_mm3 - error_mm3, union_mm3 + error_mm3);
    if nothing || slight {
        (least, most) = (least.min(wound_mm3), most.max(wound_mm3));
    }
    part.trust = Trust::between(least - below, most + above);
    if nothing {
        return;
    }
    let share = 100.0 * overlap.volume_mm3.abs() / wound_mm3;
    let what = if part.topology.bodies > 1 {
        FindingKind::OverlappingBodies
    } else {
        FindingKind::SelfIntersection
    };
    let z_mm = overlap.worst_z_mm.unwrap_or_default();
    let told = match (part.topology.bodies, part.caps.is_empty()) {
        (1, true) => "the surface runs through itself",
        (1, false) => "closed over its openings, the surface would run through itself",
        _ => "bodies share space",
    };
    let twice = if overlap.volume_mm3 < 0.0 {
        "would be taken off by parts inside out"
    } else {
        "would count more than once"
    };
    let consequence = if fold {
        "the bounds hold the volume with and without it"
    } else {
        "the volume is that of the union"
    };
    let pairs = body_pairs(part, found);
    let mut finding = Finding::new(
        what,
        pairs.max(1),
        format!(
            "{told}, most of it at the height of {z_mm:.2} mm: {:.3} mm3 ({share:.2} %) {twice}; {consequence}",
            overlap.volume_mm3.abs()
        ),
    );
    finding.at_mm = found.pairs.first().map(|c| c.at_mm).or(found.touch_mm);
    part.findings.push(finding);
}

/// Pairs of bodies that run through each other.
fn body_pairs(part: &InspectedMesh, found: &Crossings) -> usize {
    let pairs: FxHashSet<[u32; 2]> = found
        .pairs
        .iter()
        .map(|crossing| {
            let mut bodies = crossing.facets.map(|f| part.topology.body_of(f as usize));
            bodies.sort_unstable();
            bodies
        })
        .filter(|[a, b]| a != b)
        .collect();
    pairs.len()
}

fn tell_crossings(part: &mut InspectedMesh, found: &Crossings) {
    if found.given_up {
        part.findings.push(Finding::new(
            FindingKind::SelfIntersection,
            1,
            "too many facets lie on one another to look at them all; the surface may run through itself in more places than are told",
        ));
    }
    let Some(first) = found.pairs.first() else {
        return;
    };
    let m = first.at_mm;
    let body = part.topology.body_of(first.facets[0] as usize);
    part.findings.push(
        Finding::new(
            FindingKind::SelfIntersection,
            found.count,
            format!(
                "{} of facets run through each other, the first near ({:.2}, {:.2}, {:.2}) mm",
                if found.count == 1 {
                    "1 pair".to_owned()
                } else {
                    format!("{} pairs", found.count)
                },
                m.x,
                m.y,
                m.z
            ),
        )
        .at(m)
        .on_body(body),
    );
    let room = MOST_MARKS.saturating_sub(part.marks.len());
    part.marks
        .extend(found.pairs.iter().take(room).map(|crossing| Mark {
            kind: FindingKind::SelfIntersection,
            ends_mm: [crossing.at_mm; 2],
        }));
}

fn tell_thin(part: &mut InspectedMesh, thin: Option<ThinWalls>, thin_mm: f64) {
    let Some(thin) = thin.filter(|t| t.share >= THIN_SHARE) else {
        return;
    };
    let m = thin.at_mm;
    part.findings.push(
        Finding::new(
            FindingKind::ThinWalls,
            thin.points,
            format!(
                "about {:.1} % of the surface ({:.1} cm2) is on walls thinner than {thin_mm:.2} mm, the narrowest that can be laid; the \
                 thinnest met is {:.3} mm near ({:.2}, {:.2}, {:.2}) mm",
                100.0 * thin.share,
                thin.share * part.mass.area_mm2 / 100.0,
                thin.thinnest_mm,
                m.x,
                m.y,
                m.z
            ),
        )
        .at(m),
    );
    part.marks.push(Mark {
        kind: FindingKind::ThinWalls,
        ends_mm: [m; 2],
    });
}
