//! From bytes to drawings: the door for file formats. The format is told by the content, never by a name.

mod affine;
mod amf;
mod archive;
mod crossing;
mod lines;
mod obj;
mod off;
mod ply;
mod polygon;
mod stl;
mod text;
mod threemf;
mod xml;

pub(in crate::mesh) use polygon::Triangulator;

use super::{Drawing, MeshError};

/// How much a file may unpack to where nothing else is said, bytes.
pub const UNPACKED_LIMIT_BYTES: u64 = 2 << 30;

/// One mesh file: the file given, or one inside the archive given.
#[derive(Debug, Clone, PartialEq)]
pub struct Opened {
    /// Its path inside the archive; none where the file given is the mesh itself.
    pub inner: Option<String>,
    /// What it draws, or why it gives nothing. One bad file of an archive does not spoil the others.
    pub drawing: Result<Drawing, MeshError>,
}

/// Opens the bytes of a file: a mesh, or an archive of meshes. `limit_bytes` bounds what an archive unpacks to.
///
/// # Errors
/// [`MeshError`] where the file as a whole gives nothing: it is empty, an archive that can't be unpacked or holds no mesh.
pub fn open(bytes: Vec<u8>, limit_bytes: u64) -> Result<Vec<Opened>, MeshError> {
    if bytes.is_empty() {
        return Err(MeshError::Empty);
    }
    if archive::is_zip(&bytes) || archive::is_gzip(&bytes) {
        return archive::open(bytes, limit_bytes);
    }
    let drawing = Ok(read(bytes)?);
    Ok(vec![Opened {
        inner: None,
        drawing,
    }])
}

/// Reads one mesh file that is no archive.
fn read(bytes: Vec<u8>) -> Result<Drawing, MeshError> {
    if let Some(what) = text::known_other(&bytes) {
        return Err(MeshError::Other { what });
    }
    let read = if ply::is_ply(&bytes) {
        ply::read
    } else if off::is_off(&bytes) {
        off::read
    } else if amf::is_amf(&bytes) {
        amf::read
    } else if obj::is_obj(&bytes) {
        // Before STL, which takes text that is not UTF-8 for its binary form.
        obj::read
    } else if stl::is_stl(&bytes) {
        stl::read
    } else {
        return Err(text::unknown(&bytes));
    };
    let drawing = read(bytes)?;
    check(&drawing)?;
    Ok(drawing)
}

/// What every reader owes the rooms after it.
fn check(drawing: &Drawing) -> Result<(), MeshError> {
    for part in &drawing.parts {
        let surface = &part.surface;
        if let Some(bad) = surface
            .points
            .iter()
            .position(|p| p.iter().any(|c| !c.is_finite()))
        {
            let facet = surface
                .triangles
                .iter()
                .position(|t| t.contains(&(bad as u32)));
            return Err(MeshError::NotFinite {
                facet: facet.unwrap_or(0) + 1,
            });
        }
    }
    if drawing.parts.iter().all(|p| p.surface.triangles.is_empty()) {
        return Err(MeshError::NoFacets);
    }
    Ok(())
}
