//! Makes a mesh fit to be measured and cut, and says what was found on the way.

use super::bodies::{self, Body, bodies};
use super::facets::{drop_degenerate, drop_duplicates};
use super::mend::{self, Opening, Stitched};
use super::orient::{turn_bodies, turn_facets};
use super::report::{self, Told};
use super::{
    Finding, Grade, Mark, MassProperties, Mesh, MeshError, Source, Topology, Trust, mass_properties,
};

/// A mesh that has been inspected: no facet without three different corners, and where it was mended no facet twice, facets
/// that agree with their neighbours, bodies turned outward. It need not be closed; `watertight` says so. The later rooms
/// take no other.
#[derive(Debug, Clone, PartialEq)]
pub struct InspectedMesh {
    /// Where it comes from.
    pub source: Source,
    /// The mesh, mended where that was asked.
    pub mesh: Mesh,
    /// Its edges and bodies.
    pub topology: Topology,
    /// Facets in the file, before any were dropped.
    pub facets_read: usize,
    /// Volume, surface and centroid. Openings that were not closed count as closed by their caps.
    pub mass: MassProperties,
    /// The volume that the facets enclose as the file has them, mm3: nothing turned, dropped or closed, and space that bodies
    /// share counted as often as they do.
    pub volume_as_drawn_mm3: f64,
    /// How far the volume can be trusted.
    pub trust: Trust,
    /// Whether self-intersections, overlaps and thin walls were looked for too.
    pub examined: bool,
    /// Whether the surface is closed: no edge has one side only.
    pub watertight: bool,
    /// Area of the openings that were closed, mm2.
    pub closed_mm2: f64,
    /// Triangles that would close what is still open.
    pub caps: Vec<[u32; 3]>,
    /// What was found.
    pub findings: Vec<Finding>,
    /// Where, for a drawing of the part.
    pub marks: Vec<Mark>,
}

/// How a mesh is inspected.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Mending {
    /// What can be mended without a doubt is.
    #[default]
    Safe,
    /// The mesh is taken as the file has it. Only facets with two equal corners go: they cover and enclose nothing.
    AsIs,
}

/// A part thinner than this against its longest side is flat: the rounding of single precision is near 6e-8.
const FLAT: f64 = 1e-7;
/// A part longer than this is none: its figures would be as absurd, mm.
const LONGEST_MM: f64 = 1e7;
/// A volume smaller than this share of the box is nothing.
const NO_VOLUME: f64 = 1e-9;
/// Bodies repeat each other where their corners differ by at most this share of the diagonal. A judgement without source.
const DOUBLED_SHARE: f64 = 1e-4;

/// Inspects a mesh and mends what can be mended without a doubt.
///
/// # Errors
/// [`MeshError`] where the part is flat, encloses nothing or is too large to index.
pub fn inspect(mesh: Mesh) -> Result<InspectedMesh, MeshError> {
    inspect_with(mesh, Mending::Safe)
}

/// Inspects a mesh, mending it or not.
///
/// # Errors
/// [`MeshError`] where the part is flat, encloses nothing or is too large to index.
pub fn inspect_with(mut mesh: Mesh, mending: Mending) -> Result<InspectedMesh, MeshError> {
    // Twice a facet's side is a 32-bit number.
    const MOST_FACETS: usize = u32::MAX as usize / 6;
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
    refuse_flat_and_absurd(&mesh)?;
    let as_drawn = enclosed(&mesh, &mesh.triangles);
    let volume_as_drawn_mm3 = as_drawn.volume_mm3;
    let mut told = Told::default();
    drop_degenerate(&mut mesh, &as_drawn, &mut told.findings);
    if mesh.triangles.is_empty() {
        return Err(no_volume(&mesh));
    }
    let mut topology = Topology::of(&mesh.triangles);
    let mut known = Some(as_drawn);
    let found = match mending {
        Mending::Safe => {
            let (mended, changed, found) = mend(&mut mesh, topology, &as_drawn, &mut told);
            topology = mended;
            known = known.filter(|_| !changed);
            found
        }
        Mending::AsIs if topology.bodies > 1 => bodies(&mesh, &topology),
        Mending::AsIs => Vec::new(),
    };
    if mesh.triangles.is_empty() {
        return Err(no_volume(&mesh));
    }
    let open: Vec<Opening> = if topology.open_edges.is_empty() {
        Vec::new()
    } else {
        mend::openings(&mesh, &topology)
    };
    let caps: Vec<[u32; 3]> = open.iter().flat_map(|o| o.cap.iter().copied()).collect();
    let (mass, doubt_mm3) = measure(&mesh, &open, &caps, known);
    let size = mesh.size_mm();
    if mass.volume_mm3.abs() <= NO_VOLUME * size.x * size.y * size.z {
        return Err(no_volume(&mesh));
    }
    let watertight = topology.is_closed(&mesh.triangles);
    let shaky = !watertight || topology.overused_edges() > 0;
    let trust = trust(&mesh, &mass, watertight, doubt_mm3, &told);
    let trust = if shaky && told.turned {
        with_the_drawn(trust, mass.volume_mm3, volume_as_drawn_mm3)
    } else {
        trust
    };
    report::edges(&mesh, &topology, &open, &trust, &mut told);
    report::coarse(&mesh, &mut told.findings);
    bodies::report(&found, &mut told.findings);
    Ok(InspectedMesh {
        source: Source::default(),
        mesh,
        topology,
        facets_read,
        mass,
        volume_as_drawn_mm3,
        trust,
        examined: false,
        watertight,
        closed_mm2: told.closed_mm2,
        caps,
        findings: told.findings,
        marks: told.marks,
    })
}

/// Mends `mesh`; its edges afterwards, whether any facet changed, and its bodies where there are several.
fn mend(
    mesh: &mut Mesh,
    mut topology: Topology,
    as_drawn: &MassProperties,
    told: &mut Told,
) -> (Topology, bool, Vec<Body>) {
    let mut changed = false;
    if drop_duplicates(mesh, &topology, &mut told.findings) {
        told.mended = true;
        changed = true;
        topology = Topology::of(&mesh.triangles);
    }
    let mut turned = turn_facets(mesh, &mut topology);
    changed |= turned.facets > 0;
    if !topology.open_edges.is_empty() {
        changed = true;
        let stitched = mend::stitch(mesh, &topology);
        if stitched != Stitched::default() {
            report::stitched(&stitched, told);
            topology = Topology::of(&mesh.triangles);
            turned = turned.and(turn_facets(mesh, &mut topology));
        }
        let openings = mend::openings(mesh, &topology);
        if openings.iter().any(Opening::closable) {
            mend::close(mesh, &openings);
            report::closed(mesh, &openings, told);
            topology = Topology::of(&mesh.triangles);
            if !topology.open_edges.is_empty() {
                // A cap may pass by corners in the middle of a straight side.
                mend::stitch(mesh, &topology);
                topology = Topology::of(&mesh.triangles);
            }
            turned.one_sided = turn_facets(mesh, &mut topology).one_sided;
        }
    }
    report::turned(&turned, told);
    let volume_mm3 = |mesh: &Mesh| {
        if changed {
            enclosed(mesh, &mesh.triangles).volume_mm3
        } else {
            as_drawn.volume_mm3
        }
    };
    let (bodies_turned, mut found) = turn_bodies(mesh, &mut topology, volume_mm3);
    changed |= bodies_turned > 0;
    report::bodies_turned(bodies_turned, told);
    if drop_doubled(mesh, &topology, &mut found, told) {
        changed = true;
        topology = Topology::of(&mesh.triangles);
    }
    (topology, changed, found)
}

/// Drops bodies that repeat another, from the mesh and from `found`; whether there were any.
fn drop_doubled(
    mesh: &mut Mesh,
    topology: &Topology,
    found: &mut Vec<Body>,
    told: &mut Told,
) -> bool {
    let reach_mm = DOUBLED_SHARE * mesh.size_mm().norm();
    let repeats = bodies::doubled(mesh, found, reach_mm);
    let Some(first) = repeats.iter().position(|r| *r) else {
        return false;
    };
    let count = repeats.iter().filter(|r| **r).count();
    report::doubled(first as u32, &found[first], count, told);
    let mut facet = 0;
    mesh.triangles.retain(|_| {
        facet += 1;
        !repeats[topology.body_of[facet - 1] as usize]
    });
    let mut repeats = repeats.into_iter();
    found.retain(|_| !repeats.next().unwrap_or(false));
    true
}

fn enclosed(mesh: &Mesh, triangles: &[[u32; 3]]) -> MassProperties {
    let (low, high) = mesh.box_mm();
    mass_properties(&mesh.vertices_mm, triangles, nalgebra::center(&low, &high))
}

/// Measures a mesh with its openings closed by their caps, and how far the volume depends on how they are meant, mm3. `known` is
/// what its facets enclose, where that was found before.
fn measure(
    mesh: &Mesh,
    open: &[Opening],
    caps: &[[u32; 3]],
    known: Option<MassProperties>,
) -> (MassProperties, f64) {
    let mut mass = known.unwrap_or_else(|| enclosed(mesh, &mesh.triangles));
    if open.is_empty() {
        return (mass, unbalanced_mm3(mesh, &mass));
    }
    let mut closed = mesh.triangles.clone();
    closed.extend_from_slice(caps);
    let capped = enclosed(mesh, &closed);
    mass.volume_mm3 = capped.volume_mm3;
    mass.centroid_mm = capped.centroid_mm;
    let doubt_mm3 = open.iter().map(|o| o.doubt_mm3).sum::<f64>();
    (mass, doubt_mm3 + unbalanced_mm3(mesh, &capped))
}

/// How far the volume of a surface that is still open depends on the point the sum is taken about: the area vectors that
/// do not cancel, moved by half the box's diagonal, a third of that (divergence theorem). Rounding is not meant.
fn unbalanced_mm3(mesh: &Mesh, mass: &MassProperties) -> f64 {
    let left_over_mm2 = mass.area_vector_mm2.norm();
    if left_over_mm2 <= 1e-9 * mass.area_mm2 {
        return 0.0;
    }
    left_over_mm2 * mesh.size_mm().norm() / 2.0 / 3.0
}

fn trust(
    mesh: &Mesh,
    mass: &MassProperties,
    watertight: bool,
    doubt_mm3: f64,
    told: &Told,
) -> Trust {
    /// A doubt this small against the volume is rounding.
    const NO_DOUBT: f64 = 1e-5;
    let volume_mm3 = mass.volume_mm3;
    if told.one_sided {
        let size = mesh.size_mm();
        return Trust::between(0.0, size.x * size.y * size.z);
    }
    let doubt_mm3 = doubt_mm3 + told.doubt_mm3;
    if volume_mm3 < 0.0 {
        // Only as it is: whether what lies inside or outside is meant can't be told.
        return Trust::between(0.0, volume_mm3.abs());
    }
    if !watertight || doubt_mm3 > NO_DOUBT * volume_mm3 {
        return Trust::between(volume_mm3 - doubt_mm3, volume_mm3 + doubt_mm3);
    }
    let grade = if told.mended {
        Grade::Mended
    } else {
        Grade::Exact
    };
    Trust::known(grade, volume_mm3)
}

/// Where facets or bodies of a shaky surface were turned, which side is the inside was a guess. If the file as it stands encloses
/// something quite else (and is not simply inside out as a whole), the truth may be either.
fn with_the_drawn(trust: Trust, volume_mm3: f64, as_drawn_mm3: f64) -> Trust {
    const QUITE_ELSE: f64 = 0.2;
    let drawn_mm3 = as_drawn_mm3.abs();
    if (drawn_mm3 - volume_mm3).abs() <= QUITE_ELSE * volume_mm3 {
        return trust;
    }
    let [low, high] = trust.volume_bounds_mm3;
    Trust::between(low.min(drawn_mm3), high.max(drawn_mm3))
}

fn refuse_flat_and_absurd(mesh: &Mesh) -> Result<(), MeshError> {
    let size = mesh.size_mm();
    if size.max() > LONGEST_MM {
        return Err(MeshError::TooLarge {
            longest_mm: size.max(),
        });
    }
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
