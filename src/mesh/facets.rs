//! From bytes to loose facets: the door for file formats.

use super::{Finding, MeshError, stl};

/// Facets as a file holds them, before equal corners are made one.
#[derive(Debug, Clone, PartialEq)]
pub struct Facets {
    /// Three corners per facet, in the file's single precision.
    pub corners: Vec<[[f32; 3]; 3]>,
    /// What was noticed while reading.
    pub notes: Vec<Finding>,
}

/// Reads the facets of a mesh file. The format is told by the content, never by a name.
///
/// # Errors
/// [`MeshError`] where the bytes are no mesh, or hold corners that are no finite numbers.
pub fn read_facets(bytes: Vec<u8>) -> Result<Facets, MeshError> {
    if bytes.is_empty() {
        return Err(MeshError::Empty);
    }
    let facets = stl::read(bytes)?;
    if facets.corners.is_empty() {
        return Err(MeshError::NoFacets);
    }
    if let Some(bad) = facets
        .corners
        .iter()
        .position(|f| f.iter().flatten().any(|c| !c.is_finite()))
    {
        return Err(MeshError::NotFinite { facet: bad + 1 });
    }
    Ok(facets)
}
