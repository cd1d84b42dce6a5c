//! PLY

use crate::mesh::{Drawing, MeshError};

/// Whether this is a PLY file.
pub(super) fn is_ply(bytes: &[u8]) -> bool {
    let _ = bytes;
    false
}

/// Reads it.
pub(super) fn read(bytes: Vec<u8>) -> Result<Drawing, MeshError> {
    Err(super::text::unknown(&bytes))
}
