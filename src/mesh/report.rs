//! The sentences about what was found and mended.

use nalgebra::Point3;

use super::bodies::Body;
use super::mark::MOST_MARKS;
use super::mend::{Opening, Stitched};
use super::orient::Turned;
use super::words::{counted, facets};
use super::{Finding, FindingKind, Grade, Mark, Mesh, Topology, Trust};

/// Steps of the numbers coarser than this are worth a finding, mm.
const COARSE_STEP_MM: f64 = 2e-4;

/// What is told of a mesh while it is inspected.
#[derive(Debug, Default)]
pub(super) struct Told {
    pub findings: Vec<Finding>,
    pub marks: Vec<Mark>,
    /// Whether something was mended that changes the surface.
    pub mended: bool,
    /// Whether facets or bodies were turned.
    pub turned: bool,
    /// Whether inside and outside can't be told apart.
    pub one_sided: bool,
    /// Area of the openings that were closed, mm2.
    pub closed_mm2: f64,
    /// How far the volume depends on mended openings that were not flat, mm3.
    pub doubt_mm3: f64,
}

impl Told {
    fn mark(&mut self, mesh: &Mesh, kind: FindingKind, [a, b]: [u32; 2]) {
        if self.marks.len() < MOST_MARKS {
            let ends_mm = [a, b].map(|v| mesh.vertices_mm[v as usize]);
            self.marks.push(Mark { kind, ends_mm });
        }
    }
}

pub(super) fn stitched(stitched: &Stitched, told: &mut Told) {
    let mut acts = Vec::new();
    if stitched.corners > 0 {
        acts.push(format!(
            "{} up to {:.2e} mm apart joined",
            counted(stitched.corners, "pair of corners", "pairs of corners"),
            stitched.farthest_mm
        ));
    }
    if stitched.edges > 0 {
        acts.push(format!(
            "{} divided at a neighbour's corner",
            counted(stitched.edges, "edge", "edges")
        ));
    }
    let count = stitched.corners + stitched.edges;
    let at = stitched.first_mm.unwrap_or_default();
    told.mended = true;
    told.findings.push(
        Finding::new(
            FindingKind::Cracks,
            count,
            format!(
                "cracks closed: {}, the first near ({:.2}, {:.2}, {:.2}) mm; the figures hardly change",
                acts.join(", "),
                at.x,
                at.y,
                at.z
            ),
        )
        .mended()
        .at(at),
    );
}

pub(super) fn closed(mesh: &Mesh, openings: &[Opening], told: &mut Told) {
    let closed: Vec<&Opening> = openings.iter().filter(|o| o.closable()).collect();
    let Some(largest) = closed
        .iter()
        .max_by(|a, b| a.area_mm2.total_cmp(&b.area_mm2))
    else {
        return;
    };
    let flat = closed.iter().filter(|o| o.flat).count();
    let small = closed.len() - flat;
    let mut kinds = Vec::new();
    if flat > 0 {
        kinds.push(format!("{flat} flat"));
    }
    if small > 0 {
        kinds.push(format!("{small} small"));
    }
    let total_mm2: f64 = closed.iter().map(|o| o.area_mm2).sum();
    let m = largest.middle_mm;
    told.closed_mm2 += total_mm2;
    told.mended = true;
    told.doubt_mm3 += closed.iter().map(|o| o.doubt_mm3).sum::<f64>();
    told.findings.push(
        Finding::new(
            FindingKind::ClosedHoles,
            closed.len(),
            format!(
                "{} {} closed, {total_mm2:.2} mm2 in all, the largest {:.2} mm across near ({:.2}, {:.2}, {:.2}) mm; what lies \
                 behind is taken as solid",
                kinds.join(" and "),
                if closed.len() == 1 { "opening was" } else { "openings were" },
                largest.extent_mm,
                m.x,
                m.y,
                m.z
            ),
        )
        .mended()
        .at(m),
    );
    for ring in closed.iter().flat_map(|o| &o.loops) {
        for (i, corner) in ring.iter().enumerate() {
            let next = ring[(i + 1) % ring.len()];
            told.mark(mesh, FindingKind::ClosedHoles, [*corner, next]);
        }
    }
}

pub(super) fn edges(
    mesh: &Mesh,
    topology: &Topology,
    open: &[Opening],
    trust: &Trust,
    told: &mut Told,
) {
    for edge in &topology.open_edges {
        told.mark(mesh, FindingKind::OpenEdges, *edge);
    }
    let volume = volume_in_words(trust);
    if let Some([a, b]) = topology.open_edges.first() {
        let at = middle(mesh, *a, *b);
        let holes = match open.len() {
            0 => "that bound no hole".to_owned(),
            count => {
                let across_mm = open.iter().map(|o| o.extent_mm).fold(0.0, f64::max);
                format!(
                    "around {}, the widest {across_mm:.2} mm",
                    counted(count, "hole", "holes")
                )
            }
        };
        let count = topology.open_edges.len();
        let finding = Finding::new(
            FindingKind::OpenEdges,
            count,
            format!(
                "the surface is not closed: {} {holes}, the first near ({:.2}, {:.2}, {:.2}) mm; {volume}",
                counted(count, "open edge", "open edges"),
                at.x,
                at.y,
                at.z
            ),
        );
        told.findings.push(finding.at(at));
    }
    let overused = topology.overused_edges();
    if let Some([a, b]) = topology.overused_corners(&mesh.triangles).next() {
        let at = middle(mesh, a, b);
        told.findings.push(
            Finding::new(
                FindingKind::OverusedEdges,
                overused,
                format!(
                    "{} shared by more than two facets, the first near ({:.2}, {:.2}, {:.2}) mm: bodies touch there, or a wall has \
                     no thickness; {}",
                    match overused {
                        1 => "1 edge is".to_owned(),
                        many => format!("{many} edges are"),
                    },
                    at.x,
                    at.y,
                    at.z,
                    if topology.is_closed(&mesh.triangles) {
                        "the figures do not change"
                    } else {
                        &volume
                    }
                ),
            )
            .at(at),
        );
        let all: Vec<[u32; 2]> = topology
            .overused_corners(&mesh.triangles)
            .take(MOST_MARKS)
            .collect();
        for edge in all {
            told.mark(mesh, FindingKind::OverusedEdges, edge);
        }
    }
}

/// What a grade does to the figures, as the end of a sentence.
fn volume_in_words(trust: &Trust) -> String {
    let [low, high] = trust.volume_bounds_mm3;
    match trust.grade {
        Grade::Exact | Grade::Mended => "the figures do not change".to_owned(),
        Grade::Bounded if high == low => {
            "the volume is that with the openings closed flat".to_owned()
        }
        Grade::Bounded => format!(
            "the volume lies between {low:.1} and {high:.1} mm3, and grams and price move with it"
        ),
        Grade::Refused => "the volume can't be trusted, and no price is made from it".to_owned(),
    }
}

pub(super) fn turned(turned: &Turned, told: &mut Told) {
    if let Some(at) = turned.first_facet_mm {
        told.mended = true;
        told.turned = true;
        told.findings.push(
            Finding::new(
                FindingKind::FlippedFacets,
                turned.facets,
                format!(
                    "{} ran against {} neighbours and {} turned, the first near ({:.2}, {:.2}, {:.2}) mm",
                    facets(turned.facets),
                    if turned.facets == 1 { "its" } else { "their" },
                    if turned.facets == 1 { "was" } else { "were" },
                    at.x,
                    at.y,
                    at.z
                ),
            )
            .mended()
            .at(at),
        );
    }
    if turned.one_sided > 0 {
        told.one_sided = true;
        told.findings.push(Finding::new(
            FindingKind::FlippedFacets,
            turned.one_sided,
            format!(
                "at {} neighbours can't be made to agree (the surface has one side only); the volume can't be trusted",
                counted(turned.one_sided, "edge", "edges")
            ),
        ));
    }
}

pub(super) fn bodies_turned(count: usize, told: &mut Told) {
    if count == 0 {
        return;
    }
    told.mended = true;
    told.turned = true;
    told.findings.push(
        Finding::new(
            FindingKind::FlippedBodies,
            count,
            format!(
                "{} inside out and turned; the figures are those of the turned part",
                if count == 1 {
                    "1 body was".to_owned()
                } else {
                    format!("{count} bodies were")
                }
            ),
        )
        .mended(),
    );
}

pub(super) fn doubled(number: u32, body: &Body, count: usize, told: &mut Told) {
    let at = nalgebra::center(&body.low_mm, &body.high_mm);
    told.mended = true;
    told.findings.push(
        Finding::new(
            FindingKind::DoubledBodies,
            count,
            format!(
                "{} another and {} dropped, the first near ({:.2}, {:.2}, {:.2}) mm; each counts once",
                counted(count, "body repeats", "bodies repeat"),
                if count == 1 { "was" } else { "were" },
                at.x,
                at.y,
                at.z
            ),
        )
        .mended()
        .at(at)
        .on_body(number),
    );
}

/// Single precision keeps 24 bits: the farther from the origin, the coarser its steps.
pub(super) fn coarse(mesh: &Mesh, findings: &mut Vec<Finding>) {
    let (low, high) = mesh.box_mm();
    let farthest_mm = low.coords.amax().max(high.coords.amax());
    let step_mm = (farthest_mm as f32).next_up() as f64 - (farthest_mm as f32) as f64;
    let size_mm = (high - low).amax();
    let is_single = |v: &Point3<f64>| v.iter().all(|c| f64::from(*c as f32) == *c);
    if step_mm > COARSE_STEP_MM
        && farthest_mm > 4.0 * size_mm
        && mesh.vertices_mm.iter().all(is_single)
    {
        findings.push(Finding::new(
            FindingKind::CoarseCoordinates,
            1,
            format!(
                "the part lies {:.1} m from the file's origin, where single-precision numbers step by {step_mm:.4} mm; its surface \
                 may be that rough",
                farthest_mm / 1000.0
            ),
        ));
    }
}

/// The middle of an edge, mm.
fn middle(mesh: &Mesh, a: u32, b: u32) -> Point3<f64> {
    nalgebra::center(&mesh.vertices_mm[a as usize], &mesh.vertices_mm[b as usize])
}
