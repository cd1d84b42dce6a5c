//! Finding and reading the files asked about.

use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};

use super::Failure;
use super::args::{PartArgs, UnitArg};
use crate::estimate::{UnitDoubt, unit_doubt};
use crate::mesh::{
    self, Drawing, DrawnPart, Finding, FindingKind, InspectedMesh, Mending, MeshError, Source, Unit,
};
use crate::shop::Shop;

/// The path that means standard input.
const STANDARD_INPUT: &str = "-";
/// What mesh files are called; the content decides what they are. Files of other programs that customers send by mistake are
/// listed too, so that a folder's answer says so.
const EXTENSIONS: [&str; 12] = [
    "stl", "3mf", "obj", "ply", "off", "amf", "zip", "gz", "step", "stp", "iges", "igs",
];

/// A larger file is refused before it is read, bytes.
const MOST_BYTES: u64 = 2 << 30;
/// More files than this in one folder are surely the wrong folder.
const MOST_FILES: usize = 10_000;

/// A file that gives no part: what is wrong, and the sentence to send the customer.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct BadPart {
    pub error: String,
    pub ask: String,
    /// Whether nothing is wrong with the file but that something must be asked.
    pub question: bool,
}

impl BadPart {
    fn of(error: &MeshError) -> BadPart {
        BadPart {
            error: error.to_string(),
            ask: ask_for(error),
            question: false,
        }
    }
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
            .is_some_and(|e| EXTENSIONS.iter().any(|known| e.eq_ignore_ascii_case(known)));
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
            "{}: the folder holds no mesh files (STL, 3MF, OBJ, PLY, OFF, AMF, zip, gz); give a mesh or a folder of meshes",
            name(folder)
        );
        return Err(Failure::of(sentence));
    }
    meshes.sort();
    Ok(meshes)
}

/// A path as it is shown, without characters that could steer a terminal.
pub(super) fn name(path: &Path) -> String {
    if path == Path::new(STANDARD_INPUT) {
        return "standard input".to_owned();
    }
    mesh::plain_text(&path.to_string_lossy())
}

/// How files are read.
pub(super) struct Reading<'a> {
    /// The unit of files that state none.
    pub unit: Option<UnitArg>,
    /// Whether meshes are mended.
    pub mending: Mending,
    /// How much one file may unpack to, bytes.
    pub limit_bytes: u64,
    /// The shop that knows what fits and what can be laid.
    pub shop: &'a Shop,
}

impl<'a> Reading<'a> {
    pub(super) fn of(args: &PartArgs, shop: &'a Shop) -> Self {
        Reading {
            unit: args.unit,
            mending: if args.as_is {
                Mending::AsIs
            } else {
                Mending::Safe
            },
            limit_bytes: args.limit << 20,
            shop,
        }
    }
}

/// A part by its name, or why it gives none.
pub(super) type Named<T> = (String, Result<T, BadPart>);

/// Reads and inspects the parts of one file.
pub(super) fn read(path: &Path, reading: &Reading<'_>) -> Vec<Named<InspectedMesh>> {
    let file = name(path);
    let opened = match read_bytes(path, reading.limit_bytes) {
        Ok(bytes) => mesh::open(bytes, reading.limit_bytes).map_err(|e| BadPart::of(&e)),
        Err(bad) => Err(bad),
    };
    let opened = match opened {
        Ok(opened) => opened,
        Err(bad) => return vec![(file, Err(bad))],
    };
    let mut parts = Vec::new();
    for inner in opened {
        let file = match &inner.inner {
            Some(inner) => format!("{file}/{}", mesh::plain_text(inner)),
            None => file.clone(),
        };
        match inner.drawing {
            Ok(drawing) => parts.extend(inspect_all(&file, drawing, reading)),
            Err(error) => parts.push((file, Err(BadPart::of(&error)))),
        }
    }
    parts
}

fn inspect_all(file: &str, drawing: Drawing, reading: &Reading<'_>) -> Vec<Named<InspectedMesh>> {
    let (format, stated) = (drawing.format, drawing.unit);
    let alone = drawing.parts.len() == 1;
    drawing
        .parts
        .into_iter()
        .enumerate()
        .map(|(number, part)| {
            let name = match &part.name {
                Some(name) if !alone => format!("{file}/{}", mesh::plain_text(name)),
                None if !alone => format!("{file}/part {}", number + 1),
                _ => file.to_owned(),
            };
            (name, inspect(part, format, stated, reading))
        })
        .collect()
}

fn inspect(
    part: DrawnPart,
    format: &'static str,
    stated: Option<Unit>,
    reading: &Reading<'_>,
) -> Result<InspectedMesh, BadPart> {
    let given = reading.unit.and_then(UnitArg::unit);
    let source = Source {
        format,
        unit: stated.or(given).unwrap_or(Unit::Millimetre),
        unit_stated: stated.is_some(),
        copies: part.copies,
    };
    let guess = reading.unit == Some(UnitArg::Auto) && stated.is_none();
    let again = guess.then(|| part.clone());
    let inspected = |part, source| {
        mesh::inspect_part(part, source, reading.mending).map_err(|e| BadPart::of(&e))
    };
    let mut mesh = inspected(part, source)?;
    if let (Some(stated), Some(given)) = (stated, given.filter(|g| Some(*g) != stated)) {
        mesh.findings.push(Finding::new(
            FindingKind::Unit,
            1,
            format!(
                "the file states its unit, {}; --unit {} is for files that state none and was not used",
                stated.sign(),
                given.sign()
            ),
        ));
    }
    let Some(part) = again else {
        return Ok(mesh);
    };
    match unit_doubt(&mesh, reading.shop)
        .as_ref()
        .map(|d| &d.likely[..])
    {
        Some([unit]) if *unit != Unit::Millimetre => {
            let source = Source {
                unit: *unit,
                ..source
            };
            let mut mesh = inspected(part, source)?;
            mesh.findings.push(Finding::new(
                FindingKind::Unit,
                1,
                format!(
                    "the file states no unit; of mm, cm, m, inch and ft only {} makes a part that this shop can lay, so that was taken",
                    unit.sign()
                ),
            ));
            Ok(mesh)
        }
        _ => Ok(mesh),
    }
}

/// The doubt about a part's unit, where none was given.
pub(super) fn doubt(mesh: &InspectedMesh, reading: &Reading<'_>) -> Option<UnitDoubt> {
    match reading.unit {
        None | Some(UnitArg::Auto) => unit_doubt(mesh, reading.shop),
        Some(_) => None,
    }
}

/// Refuses a part whose unit is in doubt.
pub(super) fn refuse_doubtful_unit(
    mesh: &InspectedMesh,
    reading: &Reading<'_>,
) -> Result<(), BadPart> {
    match doubt(mesh, reading) {
        Some(doubt) => Err(BadPart {
            error: doubt.sentence(),
            ask: doubt.question(),
            question: true,
        }),
        None => Ok(()),
    }
}

fn read_bytes(path: &Path, limit_bytes: u64) -> Result<Vec<u8>, BadPart> {
    let unreadable = |why: String| BadPart {
        error: format!("{why}; give the path of a mesh file"),
        ask: "We could not open your file; could you send it again?".to_owned(),
        question: false,
    };
    let most = MOST_BYTES.max(limit_bytes);
    let too_large = |bytes: u64| BadPart {
        error: format!(
            "the file has {bytes} bytes or more, over the limit of {most}; raise it with --limit, or ask for a coarser export"
        ),
        ask: "Your file is too large for us; could you export it with fewer facets?".to_owned(),
        question: false,
    };
    if path == Path::new(STANDARD_INPUT) {
        let mut bytes = Vec::new();
        std::io::stdin()
            .lock()
            .take(most + 1)
            .read_to_end(&mut bytes)
            .map_err(|e| unreadable(plain(&e)))?;
        return if bytes.len() as u64 > most {
            Err(too_large(most + 1))
        } else {
            Ok(bytes)
        };
    }
    let about = fs::metadata(path).map_err(|e| unreadable(plain(&e)))?;
    if about.is_dir() {
        return Err(unreadable("this is a folder without meshes".to_owned()));
    }
    if about.len() > most {
        return Err(too_large(about.len()));
    }
    if !about.is_file() {
        // A device states no length and may have no end.
        let mut bytes = Vec::new();
        fs::File::open(path)
            .and_then(|file| file.take(most + 1).read_to_end(&mut bytes))
            .map_err(|e| unreadable(plain(&e)))?;
        return if bytes.len() as u64 > most {
            Err(too_large(most + 1))
        } else {
            Ok(bytes)
        };
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

fn ask_for(error: &MeshError) -> String {
    use MeshError as E;
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
        E::TooLarge { .. } => "Your file reads as a part kilometres long; which unit is it drawn in, and is the file whole?",
        E::Flat { .. } => "The file holds a flat outline; could you send the solid part?",
        E::NoVolume { .. } => "The surface in your file encloses no volume; could you export the part as a closed solid?",
    }
    .to_owned()
}
