//! AMF (ISO/ASTM 52915)

use crate::mesh::{Drawing, MeshError};

/// Whether this is an AMF file.
pub(super) fn is_amf(bytes: &[u8]) -> bool {
    let _ = bytes;
    false
}

/// Reads it.
pub(super) fn read(bytes: Vec<u8>) -> Result<Drawing, MeshError> {
    Err(super::text::unknown(&bytes))
}
