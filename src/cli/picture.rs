//! Pictures written beside an answer.

use std::path::{Path, PathBuf};

use super::Failure;
use super::parts::name;
use super::run::write_bytes;
use super::target::not_over;
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
    let read = parts.iter().map(|part| (part.as_path(), "a part"));
    not_over("--picture", path, read)
}

/// Writes a drawing, or why it could not be drawn.
pub(super) fn write_picture(path: &Path, svg: Result<String, String>) -> Result<(), Failure> {
    let kind = picture_kind(path)?;
    let bytes = svg
        .and_then(|svg| kind.file_of(svg))
        .map_err(|error| Failure::of(format!("{}: not drawn: {error}", name(path))))?;
    write_bytes(path, &bytes)
}
