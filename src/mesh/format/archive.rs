//! Archives: zip and gzip. A zip that is a 3MF package is one mesh file; any other holds files of which the meshes are read,
//! one after another. Paths inside are names only: nothing is written anywhere.

mod package;

use flate2::read::MultiGzDecoder;

use super::text::is;
use super::{Opened, threemf};
use crate::mesh::{Drawing, MeshError};

pub(super) use package::{Budget, Package, refusal};

/// An archive inside an archive is opened, one inside that is not.
const MOST_DEPTH: usize = 2;
/// Names of files that are no mesh which an error lists.
const LISTED: usize = 3;
/// Endings of files that are meant to be meshes or to hold some; what is wrong with such a file is told.
const MESH_ENDINGS: [&str; 8] = ["stl", "3mf", "obj", "ply", "off", "amf", "zip", "gz"];

/// Whether this is a zip archive, empty or not.
pub(super) fn is_zip(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06")
}

/// Whether this is gzip (RFC 1952, 2.3.1).
pub(super) fn is_gzip(bytes: &[u8]) -> bool {
    bytes.starts_with(b"\x1f\x8b")
}

/// Opens an archive. Where the file given is one packed mesh (3MF, zipped AMF, gz), its error is that of the whole.
pub(super) fn open(bytes: Vec<u8>, limit_bytes: u64) -> Result<Vec<Opened>, MeshError> {
    let mut unpacking = Unpacking {
        budget: Budget::new(limit_bytes),
        opened: Vec::new(),
        left_out: Vec::new(),
    };
    let whole = unpacking.file(None, bytes, 0)?;
    if let Some(drawing) = whole {
        return Ok(vec![Opened {
            inner: None,
            drawing: Ok(drawing),
        }]);
    }
    if unpacking.opened.is_empty() {
        return Err(unpacking.no_mesh());
    }
    Ok(unpacking.opened)
}

/// What was found so far.
struct Unpacking {
    budget: Budget,
    opened: Vec<Opened>,
    /// Paths of files that are no mesh.
    left_out: Vec<String>,
}

impl Unpacking {
    /// Reads a file `depth` archives deep: gives its drawing, or none where it is an archive whose files were added.
    fn file(
        &mut self,
        path: Option<&str>,
        bytes: Vec<u8>,
        depth: usize,
    ) -> Result<Option<Drawing>, MeshError> {
        if bytes.is_empty() {
            return Err(MeshError::Empty);
        }
        let packed = is_zip(&bytes) || is_gzip(&bytes);
        if packed && depth == MOST_DEPTH {
            return Err(refusal(
                "this is an archive inside an archive inside an archive",
                "the meshes in one plain zip archive",
            ));
        }
        if is_gzip(&bytes) {
            let bytes = self.gunzip(&bytes)?;
            return self.file(path, bytes, depth + 1);
        }
        if is_zip(&bytes) {
            return self.zip(path, bytes, depth);
        }
        if bytes.get(257..262) == Some(b"ustar") {
            return Err(refusal(
                "this is a tar archive, which is not read",
                "the meshes in a zip archive",
            ));
        }
        super::read(bytes).map(Some)
    }

    fn gunzip(&mut self, bytes: &[u8]) -> Result<Vec<u8>, MeshError> {
        // The length at the end counts for one member and below 4 GiB; what comes out is measured as well.
        if let Some(length) = bytes.last_chunk::<4>().filter(|_| bytes.len() >= 18) {
            let declared_bytes = u64::from(u32::from_le_bytes(*length));
            if declared_bytes / DEFLATE_MOST <= bytes.len() as u64 {
                self.budget.refuse_over(declared_bytes)?;
            }
        }
        let unpacked = self.budget.unpack(MultiGzDecoder::new(bytes), u64::MAX)?;
        unpacked.map_err(|_| refusal("the gz file is damaged or cut short", "the file sent again"))
    }

    fn zip(
        &mut self,
        path: Option<&str>,
        bytes: Vec<u8>,
        depth: usize,
    ) -> Result<Option<Drawing>, MeshError> {
        let mut package = Package::open(bytes, &self.budget)?;
        if let Some(model) = threemf::find_model(&mut package, &mut self.budget)? {
            let drawing = threemf::read(&mut package, &model, &mut self.budget)?;
            super::check(&drawing)?;
            return Ok(Some(drawing));
        }
        let meant: Vec<usize> = (0..package.entries().len())
            .filter(|i| package.entries()[*i].meant)
            .collect();
        if let [only] = *meant.as_slice() {
            // An AMF file may itself be a zip archive of one (ISO/ASTM 52915).
            if ending(package.path(only)).is_some_and(|e| is(e.as_bytes(), b"amf")) {
                let bytes = package.unpack(only, &mut self.budget)?;
                return self.file(path, bytes, depth + 1);
            }
        }
        for index in meant {
            let inner = match path {
                Some(path) => format!("{path}/{}", package.path(index)),
                None => package.path(index).to_owned(),
            };
            let before = (self.opened.len(), self.left_out.len());
            let drawing = package
                .unpack(index, &mut self.budget)
                .and_then(|bytes| self.file(Some(&inner), bytes, depth + 1));
            match drawing {
                Ok(None) if self.opened.len() > before.0 => {}
                Ok(None) => {
                    self.left_out.truncate(before.1);
                    self.left_out.push(inner);
                }
                Ok(Some(drawing)) => self.opened.push(Opened {
                    inner: Some(inner),
                    drawing: Ok(drawing),
                }),
                Err(over @ MeshError::OverLimit { .. }) => return Err(over),
                Err(problem) if meant_as_mesh(&inner) => self.opened.push(Opened {
                    inner: Some(inner),
                    drawing: Err(problem),
                }),
                Err(_) => self.left_out.push(inner),
            }
        }
        Ok(None)
    }

    fn no_mesh(&self) -> MeshError {
        const ASK: &str = "the part as a mesh: STL, 3MF, OBJ, PLY, OFF or AMF";
        let some: Vec<String> = self
            .left_out
            .iter()
            .take(LISTED)
            .map(|path| format!("\"{path}\""))
            .collect();
        let listed = some.join(", ");
        refusal(
            match self.left_out.len() {
                0 => "the archive holds no files".to_owned(),
                1 => format!("the archive holds no mesh, only {listed}"),
                n if n > LISTED => format!(
                    "the archive holds no mesh, only {listed} and {} more",
                    n - LISTED
                ),
                _ => format!("the archive holds no mesh, only {listed}"),
            },
            ASK,
        )
    }
}

/// Deflate makes at most 1032 bytes of one.
const DEFLATE_MOST: u64 = 1032;

fn ending(path: &str) -> Option<&str> {
    path.rsplit_once('.').map(|(_, ending)| ending)
}

fn meant_as_mesh(path: &str) -> bool {
    ending(path).is_some_and(|e| MESH_ENDINGS.iter().any(|m| is(e.as_bytes(), m.as_bytes())))
}
