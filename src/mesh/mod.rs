//! Takes the bytes of a file. Gives an indexed triangle mesh in millimetres, its measures, and its findings:
//! what is wrong with it and what was mended.
//!
//! The line inside the room: bytes -> [`Drawing`] (`format`) -> [`Mesh`] (`weld`) -> [`InspectedMesh`] (`inspect`), which
//! is the only kind of mesh the later rooms accept.

mod bodies;
mod drawing;
mod error;
mod facets;
mod finding;
mod format;
mod inspect;
mod mark;
mod measure;
mod mend;
mod nesting;
mod orient;
mod report;
mod topology;
mod triangles;
mod trust;
mod unit;
mod weld;
mod words;

pub use drawing::{Drawing, DrawnPart, Source, Surface};
pub use error::MeshError;
pub use finding::{Finding, FindingKind};
pub use format::{Opened, UNPACKED_LIMIT_BYTES, open};
pub use inspect::{InspectedMesh, Mending, inspect, inspect_with};
pub use mark::{MOST_MARKS, Mark};
pub use measure::{MassProperties, mass_properties};
pub use topology::Topology;
pub use triangles::Mesh;
pub use trust::{Grade, Trust};
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
        let (format, stated) = (drawing.format, drawing.unit);
        parts.extend(drawing.parts.into_iter().map(|part| (part, format, stated)));
    }
    let several = MeshError::Several { parts: parts.len() };
    let [(part, format, stated)] = <[_; 1]>::try_from(parts).map_err(|_| several)?;
    let source = Source {
        format,
        unit: stated.unwrap_or(Unit::Millimetre),
        unit_stated: stated.is_some(),
        copies: part.copies,
    };
    inspect_part(part, source, Mending::Safe)
}

/// Brings a drawn part to millimetres and inspects it.
///
/// # Errors
/// [`MeshError`] where the part is flat, encloses nothing or is too large to index.
pub fn inspect_part(
    part: DrawnPart,
    source: Source,
    mending: Mending,
) -> Result<InspectedMesh, MeshError> {
    let mut inspected = inspect_with(weld(part.surface, source.unit), mending)?;
    inspected.source = source;
    inspected.findings.extend(part.notes);
    if source.copies > 1 {
        inspected.findings.push(Finding::new(
            FindingKind::Remark,
            source.copies as usize,
            format!(
                "the file asks for {} of this part; figures are for the quantity asked here",
                source.copies
            ),
        ));
    }
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
