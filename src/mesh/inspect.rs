//! Makes a mesh fit to be measured and cut, and says what was found on the way.

use nalgebra::Point3;
use rustc_hash::FxHashSet;

use super::orient::{Turned, turn_outward};
use super::{Finding, FindingKind, MassProperties, Mesh, MeshError, Topology, mass_properties};

/// A mesh that has been inspected: no facet without three different corners, no facet twice, facets that agree with
/// their neighbours, bodies turned outward. It need not be closed; `watertight` says so. The later rooms take no other.
#[derive(Debug, Clone, PartialEq)]
pub struct InspectedMesh {
    /// The mended mesh.
    pub mesh: Mesh,
    /// Its edges and bodies.
    pub topology: Topology,
    /// Facets in the file, before any were dropped.
    pub facets_read: usize,
    /// Volume, surface and centroid.
    pub mass: MassProperties,
    /// Whether the surface is closed: no edge has one side only.
    pub watertight: bool,
    /// What was found.
    pub findings: Vec<Finding>,
}

/// A part thinner than this against its longest side is flat: the rounding of single precision is near 6e-8.
const FLAT: f64 = 1e-7;
/// A volume smaller than this share of the box is nothing.
const NO_VOLUME: f64 = 1e-9;
/// Steps of the numbers coarser than this are worth a finding, mm.
const COARSE_STEP_MM: f64 = 2e-4;

/// Inspects a mesh and mends what can be mended without a doubt.
///
/// # Errors
/// [`MeshError`] where the part is flat, encloses nothing or is too large to index.
pub fn inspect(mut mesh: Mesh) -> Result<InspectedMesh, MeshError> {
    const MOST_FACETS: usize = u32::MAX as usize / 4;
    let facets_read = mesh.triangles.len();
    if facets_read == 0 {
        return Err(MeshError::NoFacets);
    }
    if facets_read > MOST_FACETS {
        return Err(MeshError::TooMany {
            facets: facets_read,
            most: MOST_FACETS,
        });
    }
    refuse_flat(&mesh)?;
    let mut findings = Vec::new();
    drop_degenerate(&mut mesh, &mut findings);
    drop_duplicates(&mut mesh, &mut findings);
    if mesh.triangles.is_empty() {
        return Err(no_volume(&mesh));
    }
    let mut topology = Topology::of(&mesh.triangles);
    let turned = turn_outward(&mut mesh, &mut topology);
    let (low, high) = mesh.box_mm();
    let mass = mass_properties(
        &mesh.vertices_mm,
        &mesh.triangles,
        nalgebra::center(&low, &high),
    );
    let size = high - low;
    if mass.volume_mm3.abs() <= NO_VOLUME * size.x * size.y * size.z {
        return Err(no_volume(&mesh));
    }
    report_edges(&mesh, &topology, &mass, &mut findings);
    report_turned(&turned, &mut findings);
    report_coarse(&mesh, &mut findings);
    let watertight = topology.is_closed(&mesh.triangles);
    Ok(InspectedMesh {
        mesh,
        topology,
        facets_read,
        mass,
        watertight,
        findings,
    })
}

fn refuse_flat(mesh: &Mesh) -> Result<(), MeshError> {
    let size = mesh.size_mm();
    if size.min() <= FLAT * size.max() {
        return Err(MeshError::Flat {
            x_mm: size.x,
            y_mm: size.y,
            z_mm: size.z,
        });
    }
    Ok(())
}

fn no_volume(mesh: &Mesh) -> MeshError {
    let size = mesh.size_mm();
    MeshError::NoVolume {
        x_mm: size.x,
        y_mm: size.y,
        z_mm: size.z,
    }
}

/// Facets with two equal corners have no area and part no neighbours; dropping them leaves the surface as it was.
/// Facets whose three different corners lie on a line stay: their neighbours need them to meet.
fn drop_degenerate(mesh: &mut Mesh, findings: &mut Vec<Finding>) {
    let before = mesh.triangles.len();
    mesh.triangles
        .retain(|[a, b, c]| a != b && b != c && c != a);
    let collapsed = before - mesh.triangles.len();
    let without_area = (0..mesh.triangles.len())
        .filter(|f| has_no_area(mesh.corners(*f)))
        .count();
    if collapsed > 0 {
        findings.push(Finding {
            kind: FindingKind::DegenerateFacets,
            count: collapsed as u64,
            detail: format!(
                "{} with two equal corners were dropped; the figures do not change",
                facets(collapsed)
            ),
            mended: true,
        });
    }
    if without_area > 0 {
        findings.push(Finding {
            kind: FindingKind::DegenerateFacets,
            count: without_area as u64,
            detail: format!(
                "{} without area, kept for their neighbours; the figures do not change",
                facets(without_area)
            ),
            mended: false,
        });
    }
}

fn has_no_area([a, b, c]: [Point3<f64>; 3]) -> bool {
    let (u, v) = (b - a, c - a);
    let longest = u
        .norm_squared()
        .max(v.norm_squared())
        .max((c - b).norm_squared());
    u.cross(&v).norm() <= 1e-12 * longest
}

/// A facet that repeats another with the same turn counts the same volume twice.
fn drop_duplicates(mesh: &mut Mesh, findings: &mut Vec<Finding>) {
    let before = mesh.triangles.len();
    let mut seen: FxHashSet<[u32; 3]> = FxHashSet::default();
    seen.reserve(before);
    mesh.triangles.retain(|t| seen.insert(least_first(*t)));
    let dropped = before - mesh.triangles.len();
    if dropped > 0 {
        findings.push(Finding {
            kind: FindingKind::DuplicateFacets,
            count: dropped as u64,
            detail: format!(
                "{} repeated another and were dropped, so that nothing counts twice",
                facets(dropped)
            ),
            mended: true,
        });
    }
}

fn least_first([a, b, c]: [u32; 3]) -> [u32; 3] {
    if a < b && a < c {
        [a, b, c]
    } else if b < c {
        [b, c, a]
    } else {
        [c, a, b]
    }
}

fn report_edges(
    mesh: &Mesh,
    topology: &Topology,
    mass: &MassProperties,
    findings: &mut Vec<Finding>,
) {
    let open = topology.open_edges.len();
    let trust = volume_trust(mesh, mass);
    if let Some([a, b]) = topology.open_edges.first() {
        let middle = nalgebra::center(
            &mesh.vertices_mm[*a as usize],
            &mesh.vertices_mm[*b as usize],
        );
        findings.push(Finding {
            kind: FindingKind::OpenEdges,
            count: open as u64,
            detail: format!(
                "the surface is not closed: {open} open {}, the first near ({:.2}, {:.2}, {:.2}) mm; {trust}",
                if open == 1 { "edge" } else { "edges" },
                middle.x,
                middle.y,
                middle.z
            ),
            mended: false,
        });
    }
    if topology.overused_edges() > 0 {
        findings.push(Finding {
            kind: FindingKind::OverusedEdges,
            count: topology.overused_edges() as u64,
            detail: format!(
                "{} shared by more than two facets: bodies touch there, or a wall has no thickness; {}",
                match topology.overused_edges() {
                    1 => "1 edge is".to_owned(),
                    many => format!("{many} edges are"),
                },
                if topology.is_closed(&mesh.triangles) {
                    "bodies that overlap count once in the layers but twice in the volume"
                } else {
                    &trust
                }
            ),
            mended: false,
        });
    }
}

fn volume_trust(mesh: &Mesh, mass: &MassProperties) -> String {
    let doubt_mm3 = volume_doubt_mm3(mesh, mass);
    let share = 100.0 * doubt_mm3 / mass.volume_mm3.abs();
    if share < 0.05 {
        return "the volume depends on how the gaps are meant to be closed".to_owned();
    }
    format!(
        "the volume may be off by about {doubt_mm3:.3} mm3 ({share:.1} %), and grams and price with it"
    )
}

/// How far the volume of an open surface depends on the point the sum is taken about: the area vectors that do not
/// cancel, moved by half the box's diagonal, a third of that (divergence theorem).
fn volume_doubt_mm3(mesh: &Mesh, mass: &MassProperties) -> f64 {
    mass.area_vector_mm2.norm() * mesh.size_mm().norm() / 2.0 / 3.0
}

fn report_turned(turned: &Turned, findings: &mut Vec<Finding>) {
    if let Some(at) = turned.first_facet_mm {
        findings.push(Finding {
            kind: FindingKind::FlippedFacets,
            count: turned.facets as u64,
            detail: format!(
                "{} ran against their neighbours and were turned, the first near ({:.2}, {:.2}, {:.2}) mm",
                facets(turned.facets),
                at.x,
                at.y,
                at.z
            ),
            mended: true,
        });
    }
    if turned.bodies > 0 {
        findings.push(Finding {
            kind: FindingKind::FlippedBodies,
            count: turned.bodies as u64,
            detail: format!(
                "{} inside out and turned; the figures are those of the turned part",
                if turned.bodies == 1 {
                    "1 body was".to_owned()
                } else {
                    format!("{} bodies were", turned.bodies)
                }
            ),
            mended: true,
        });
    }
    if turned.one_sided > 0 {
        findings.push(Finding {
            kind: FindingKind::FlippedFacets,
            count: turned.one_sided as u64,
            detail: format!(
                "at {} edges neighbours can't be made to agree (the surface has one side only); the volume can't be trusted",
                turned.one_sided
            ),
            mended: false,
        });
    }
}

/// Single precision keeps 24 bits: the farther from the origin, the coarser its steps.
fn report_coarse(mesh: &Mesh, findings: &mut Vec<Finding>) {
    let (low, high) = mesh.box_mm();
    let farthest_mm = low.coords.amax().max(high.coords.amax());
    let step_mm = (farthest_mm as f32).next_up() as f64 - (farthest_mm as f32) as f64;
    let size_mm = (high - low).amax();
    if step_mm > COARSE_STEP_MM && farthest_mm > 4.0 * size_mm {
        findings.push(Finding {
            kind: FindingKind::CoarseCoordinates,
            count: 1,
            detail: format!(
                "the part lies {:.1} m from the file's origin, where its single-precision numbers step by {step_mm:.4} mm; \
                 its surface is that rough",
                farthest_mm / 1000.0
            ),
            mended: false,
        });
    }
}

fn facets(count: usize) -> String {
    if count == 1 {
        "1 facet".to_owned()
    } else {
        format!("{count} facets")
    }
}
