//! Takes the bytes of a file. Gives an indexed triangle mesh in millimetres, its measures, and its findings:
//! what is wrong with it and what was mended.
//!
//! The line inside the room: bytes -> facets (`stl`) -> [`Mesh`] (`weld`) -> [`InspectedMesh`] (`inspect`), which
//! is the only kind of mesh the later rooms accept.

mod error;
mod facets;
mod finding;
mod inspect;
mod measure;
mod nesting;
mod orient;
mod stl;
mod topology;
mod triangles;
mod weld;

pub use error::MeshError;
pub use facets::{Facets, read_facets};
pub use finding::{Finding, FindingKind};
pub use inspect::{InspectedMesh, inspect};
pub use measure::{MassProperties, mass_properties};
pub use topology::Topology;
pub use triangles::Mesh;
pub use weld::weld;

/// Reads the bytes of a mesh file and inspects what they hold.
///
/// # Errors
/// [`MeshError`] where the bytes are no mesh, or a mesh without volume.
pub fn read(bytes: Vec<u8>) -> Result<InspectedMesh, MeshError> {
    let Facets { corners, notes } = read_facets(bytes)?;
    let mut inspected = inspect(weld(corners))?;
    inspected.findings.extend(notes);
    Ok(inspected)
}
