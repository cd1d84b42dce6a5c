//! Pictures written beside an answer.

use std::path::{Path, PathBuf};

use super::Failure;
use super::parts::name;
use super::run::write_bytes;
use crate::quote::PictureKind;

/// What a picture is written as, by the file's ending.
fn picture_kind(path: &Path) -> Result<PictureKind, Failure> {
    PictureKind::of(path).ok_or_else(|| {
        Failure::of(format!(
            "--picture {}: a picture is an .svg or a .png file; give a name that ends so",
            name(path)
        ))
    })
}

/// Refuses a picture that would be written over a part.
pub(super) fn not_a_part(path: &Path, parts: &[PathBuf]) -> Result<(), Failure> {
    picture_kind(path)?;
    let same = |part: &PathBuf| {
        let both = path.canonicalize().ok().zip(part.canonicalize().ok());
        both.is_some_and(|(a, b)| a == b)
    };
    if parts.iter().any(same) {
        return Err(Failure::of(format!(
            "--picture {}: that is a part, and a part is never written over; give another name",
            name(path)
        )));
    }
    Ok(())
}

/// Writes a drawing, or why it could not be drawn.
pub(super) fn write_picture(path: &Path, svg: Result<String, String>) -> Result<(), Failure> {
    let kind = picture_kind(path)?;
    let bytes = svg
        .and_then(|svg| kind.file_of(svg))
        .map_err(|error| Failure::of(format!("{}: not drawn: {error}", name(path))))?;
    write_bytes(path, &bytes)
}
