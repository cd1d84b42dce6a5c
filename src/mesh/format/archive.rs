//! Archives.

use super::Opened;
use crate::mesh::MeshError;

pub(super) fn is_zip(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04")
}

pub(super) fn is_gzip(bytes: &[u8]) -> bool {
    bytes.starts_with(b"\x1f\x8b")
}

pub(super) fn open(bytes: Vec<u8>, limit_bytes: u64) -> Result<Vec<Opened>, MeshError> {
    let _ = limit_bytes;
    Err(super::text::unknown(&bytes))
}
