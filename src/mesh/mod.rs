//! Takes the bytes of a file. Gives an indexed triangle mesh in millimetres, its measures, and its findings:
//! what is wrong with it and what was mended.
//!
//! The line inside the room: bytes -> [`Drawing`] (`format`) -> [`Mesh`] (`weld`) -> [`InspectedMesh`] (`inspect`), which
//! is the only kind of mesh the later rooms accept.

mod drawing;
mod error;
mod finding;
mod format;
mod inspect;
mod measure;
mod nesting;
mod orient;
mod topology;
mod triangles;
mod unit;
mod weld;

pub use drawing::{Drawing, DrawnPart, Surface};
pub use error::MeshError;
pub use finding::{Finding, FindingKind};
pub use format::{Opened, UNPACKED_LIMIT_BYTES, open};
pub use inspect::{InspectedMesh, inspect};
pub use measure::{MassProperties, mass_properties};
pub use topology::Topology;
pub use triangles::Mesh;
pub use unit::Unit;
pub use weld::weld;

/// Reads the bytes of a file that holds one part and inspects it. Where the file states no unit it is taken as millimetres.
///
/// # Errors
/// [`MeshError`] where the bytes are no mesh, several, or a mesh without volume.
pub fn read(bytes: Vec<u8>) -> Result<InspectedMesh, MeshError> {
    let opened = open(bytes, UNPACKED_LIMIT_BYTES)?;
    let mut parts = Vec::new();
    for file in opened {
        let drawing = file.drawing?;
        let unit = drawing.unit.unwrap_or(Unit::Millimetre);
        parts.extend(drawing.parts.into_iter().map(|part| (part, unit)));
    }
    let several = MeshError::Several { parts: parts.len() };
    let [(part, unit)] = <[_; 1]>::try_from(parts).map_err(|_| several)?;
    let mut inspected = inspect(weld(part.surface, unit))?;
    inspected.findings.extend(part.notes);
    Ok(inspected)
}

/// A stranger's text without characters that could steer the owner's terminal or turn its reading direction.
pub fn plain_text(text: &str) -> String {
    let steers = |c: char| {
        c.is_control()
            || matches!(c, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}')
    };
    text.chars()
        .map(|c| if steers(c) { '?' } else { c })
        .collect()
}
