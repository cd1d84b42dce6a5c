//! Finding and reading the files asked about.

use std::fs;
use std::path::{Path, PathBuf};

use super::Failure;
use crate::mesh::{self, InspectedMesh};

/// A larger file is refused before it is read, bytes.
const MOST_BYTES: u64 = 2 << 30;
/// More files than this in one folder are surely the wrong folder.
const MOST_FILES: usize = 10_000;

/// A file that gives no part: what is wrong, and the sentence to send the customer.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct BadPart {
    pub error: String,
    pub ask: String,
}

/// The files asked about, folders opened; in the order given, a folder's by name.
pub(super) fn files(asked: &[PathBuf]) -> Result<Vec<PathBuf>, Failure> {
    let mut files = Vec::new();
    for path in asked {
        if path.is_dir() {
            match meshes_in(path) {
                Ok(meshes) => files.extend(meshes),
                // Beside others a bad folder is a bad row; it must not silence the good parts.
                Err(_) if asked.len() > 1 => files.push(path.clone()),
                Err(failure) => return Err(failure),
            }
        } else {
            files.push(path.clone());
        }
    }
    Ok(files)
}

fn meshes_in(folder: &Path) -> Result<Vec<PathBuf>, Failure> {
    let unreadable = |e: std::io::Error| {
        Failure::of(format!(
            "{}: {e}; give a folder that can be read",
            name(folder)
        ))
    };
    let mut meshes = Vec::new();
    for entry in fs::read_dir(folder).map_err(unreadable)? {
        let path = entry.map_err(unreadable)?.path();
        let is_mesh = path
            .extension()
            .is_some_and(|e| e.eq_ignore_ascii_case("stl"));
        if is_mesh && !path.is_dir() {
            meshes.push(path);
        }
        if meshes.len() > MOST_FILES {
            return Err(Failure::of(format!(
                "{}: more than {MOST_FILES} meshes; give a folder with fewer",
                name(folder)
            )));
        }
    }
    if meshes.is_empty() {
        let sentence = format!(
            "{}: the folder holds no STL files; give a mesh or a folder of meshes",
            name(folder)
        );
        return Err(Failure::of(sentence));
    }
    meshes.sort();
    Ok(meshes)
}

/// A path as it is shown, without characters that could steer a terminal.
pub(super) fn name(path: &Path) -> String {
    mesh::plain_text(&path.to_string_lossy())
}

/// Reads and inspects one file.
pub(super) fn read(path: &Path) -> Result<InspectedMesh, BadPart> {
    let bytes = read_bytes(path)?;
    mesh::read(bytes).map_err(|error| BadPart {
        error: error.to_string(),
        ask: ask_for(&error),
    })
}

fn read_bytes(path: &Path) -> Result<Vec<u8>, BadPart> {
    let unreadable = |why: String| BadPart {
        error: format!("{why}; give the path of a mesh file"),
        ask: "We could not open your file; could you send it again?".to_owned(),
    };
    let about = fs::metadata(path).map_err(|e| unreadable(plain(&e)))?;
    if about.is_dir() {
        return Err(unreadable("this is a folder without meshes".to_owned()));
    }
    if about.len() > MOST_BYTES {
        return Err(BadPart {
            error: format!(
                "the file has {} bytes, more than the {MOST_BYTES} that are read; ask for a coarser export",
                about.len()
            ),
            ask: "Your file is too large for us; could you export it with fewer facets?".to_owned(),
        });
    }
    fs::read(path).map_err(|e| unreadable(plain(&e)))
}

/// The system's reason without its number.
pub(super) fn plain(error: &std::io::Error) -> String {
    match error.kind() {
        std::io::ErrorKind::NotFound => "there is no such file".to_owned(),
        std::io::ErrorKind::PermissionDenied => "the file may not be read".to_owned(),
        _ => error.to_string(),
    }
}

fn ask_for(error: &mesh::MeshError) -> String {
    use mesh::MeshError as E;
    match error {
        E::Empty | E::Truncated { .. } | E::CountTooSmall { .. } | E::Text { .. } | E::Malformed { .. } | E::NoFacets | E::NotFinite { .. } => {
            "The file you sent is empty or damaged; could you export the part again and send it?"
        }
        E::UnknownFormat { .. } | E::Other { .. } => {
            "We read meshes (STL, 3MF, OBJ, PLY, OFF, AMF); could you export the part as 3MF, or as STL in millimetres?"
        }
        E::Archive { .. } | E::OverLimit { .. } => {
            "We could not unpack your file; could you send the mesh by itself?"
        }
        E::Several { .. } => "Your file holds several parts; which one do you ask for?",
        E::TooMany { .. } => "Your mesh has more facets than we can read; could you export it coarser?",
        E::Flat { .. } => "The file holds a flat outline; could you send the solid part?",
        E::NoVolume { .. } => "The surface in your file encloses no volume; could you export the part as a closed solid?",
    }
    .to_owned()
}
