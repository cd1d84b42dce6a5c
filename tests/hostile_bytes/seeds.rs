//! Whole files to be changed.

use std::io::{Cursor, Write};
use std::path::Path;

use zip::ZipWriter;
use zip::write::SimpleFileOptions;

/// A file by its name.
type Named = (String, Vec<u8>);

/// A file, or the one file inside an archive that is packed again after each change.
#[derive(Clone)]
pub struct Seed {
    /// What is changed.
    pub bytes: Vec<u8>,
    /// The archive around it: the names and bytes of its other files, and its own name.
    pub packed_as: Option<(Vec<Named>, String)>,
}

impl Seed {
    fn bare(bytes: impl Into<Vec<u8>>) -> Seed {
        Seed {
            bytes: bytes.into(),
            packed_as: None,
        }
    }

    /// The bytes as they are sent.
    pub fn file(&self) -> Vec<u8> {
        self.with(&self.bytes)
    }

    /// The same with other bytes inside.
    pub fn with(&self, bytes: &[u8]) -> Vec<u8> {
        let Some((others, name)) = &self.packed_as else {
            return bytes.to_vec();
        };
        let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
        let own = (name.clone(), bytes.to_vec());
        for (name, bytes) in others.iter().chain([&own]) {
            zip.start_file(name.as_str(), SimpleFileOptions::default())
                .unwrap();
            zip.write_all(bytes).unwrap();
        }
        zip.finish().unwrap().into_inner()
    }
}

/// Corners of a cube of side 20 and its facets, counter-clockwise from outside.
const CORNERS: [[u8; 3]; 8] = [
    [0, 0, 0],
    [20, 0, 0],
    [20, 20, 0],
    [0, 20, 0],
    [0, 0, 20],
    [20, 0, 20],
    [20, 20, 20],
    [0, 20, 20],
];
const FACES: [[u8; 4]; 6] = [
    [0, 3, 2, 1],
    [4, 5, 6, 7],
    [0, 1, 5, 4],
    [1, 2, 6, 5],
    [2, 3, 7, 6],
    [3, 0, 4, 7],
];

fn facets() -> impl Iterator<Item = [u8; 3]> {
    FACES
        .into_iter()
        .flat_map(|[a, b, c, d]| [[a, b, c], [a, c, d]])
}

fn stl_binary() -> Vec<u8> {
    let mut bytes = vec![b' '; 80];
    bytes.extend(12u32.to_le_bytes());
    for facet in facets() {
        bytes.extend([0; 12]);
        for corner in facet.map(|v| CORNERS[v as usize]) {
            bytes.extend(corner.iter().flat_map(|c| f32::from(*c).to_le_bytes()));
        }
        bytes.extend([0; 2]);
    }
    bytes
}

fn stl_text() -> String {
    let mut text = "solid cube\n".to_owned();
    for facet in facets() {
        text += "facet normal 0 0 0\nouter loop\n";
        for [x, y, z] in facet.map(|v| CORNERS[v as usize]) {
            text += &format!("vertex {x} {y} {z}.0e0\n");
        }
        text += "endloop\nendfacet\n";
    }
    text + "endsolid cube\n"
}

fn lines<T>(of: impl IntoIterator<Item = T>, line: impl Fn(T) -> String) -> String {
    of.into_iter().map(|t| line(t) + "\n").collect()
}

fn obj() -> String {
    let corners = lines(CORNERS, |[x, y, z]| format!("v {x} {y} {z}"));
    let faces = lines(FACES, |f| {
        let [a, b, c, d] = f.map(|v| v + 1);
        format!("f {a} {b}/1 {c}//1 {}", i32::from(d) - 9)
    });
    format!("# cube\no cube\n{corners}vt 0 0\nvn 0 0 1\ng sides\n{faces}")
}

fn off() -> String {
    let corners = lines(CORNERS, |[x, y, z]| format!("{x} {y} {z}"));
    let faces = lines(FACES, |[a, b, c, d]| format!("4 {a} {b} {c} {d}"));
    format!("OFF\n8 6 12\n{corners}{faces}")
}

fn ply_header(form: &str) -> String {
    format!(
        "ply\nformat {form} 1.0\ncomment cube\nelement vertex 8\nproperty float x\nproperty float y\nproperty float z\nelement \
         face 6\nproperty list uchar int vertex_indices\nend_header\n"
    )
}

fn ply_text() -> String {
    let corners = lines(CORNERS, |[x, y, z]| format!("{x} {y} {z}"));
    let faces = lines(FACES, |[a, b, c, d]| format!("4 {a} {b} {c} {d}"));
    ply_header("ascii") + &corners + &faces
}

fn ply_binary(big: bool) -> Vec<u8> {
    let mut bytes = ply_header(if big {
        "binary_big_endian"
    } else {
        "binary_little_endian"
    })
    .into_bytes();
    let mut put = |le: [u8; 4]| {
        let mut le = le;
        if big {
            le.reverse();
        }
        bytes.extend(le);
    };
    for c in CORNERS.iter().flatten() {
        put(f32::from(*c).to_le_bytes());
    }
    for face in FACES {
        bytes.push(4);
        for v in face {
            let le = i32::from(v).to_le_bytes();
            let mut le = le;
            if big {
                le.reverse();
            }
            bytes.extend(le);
        }
    }
    bytes
}

fn amf() -> String {
    let corners = lines(CORNERS, |[x, y, z]| {
        format!("<vertex><coordinates><x>{x}</x><y>{y}</y><z>{z}</z></coordinates></vertex>")
    });
    let facets = lines(facets(), |[a, b, c]| {
        format!("<triangle><v1>{a}</v1><v2>{b}</v2><v3>{c}</v3></triangle>")
    });
    format!(
        "<?xml version=\"1.0\"?><amf unit=\"millimeter\"><object id=\"1\"><mesh><vertices>{corners}</vertices><volume>{facets}</volume>\
         </mesh></object><constellation id=\"2\"><instance objectid=\"1\"><deltax>5</deltax><rz>30</rz></instance></constellation></amf>"
    )
}

fn model() -> String {
    let corners = lines(CORNERS, |[x, y, z]| {
        format!("<vertex x=\"{x}\" y=\"{y}\" z=\"{z}\"/>")
    });
    let facets = lines(facets(), |[a, b, c]| {
        format!("<triangle v1=\"{a}\" v2=\"{b}\" v3=\"{c}\"/>")
    });
    format!(
        "<?xml version=\"1.0\"?><model unit=\"millimeter\" xmlns=\"http://schemas.microsoft.com/3dmanufacturing/core/2015/02\">\
         <resources><object id=\"1\" type=\"model\"><mesh><vertices>{corners}</vertices><triangles>{facets}</triangles></mesh></object>\
         <object id=\"2\"><components><component objectid=\"1\" transform=\"1 0 0 0 1 0 0 0 1 10 20 30\"/></components></object>\
         </resources><build><item objectid=\"2\"/><item objectid=\"1\" transform=\"-1 0 0 0 1 0 0 0 1 0 0 0\"/></build></model>"
    )
}

fn threemf() -> Seed {
    let relationships = "<?xml version=\"1.0\"?><Relationships xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\">\
        <Relationship Target=\"/3D/3dmodel.model\" Id=\"rel0\" Type=\"http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel\"/>\
        </Relationships>";
    Seed {
        bytes: model().into_bytes(),
        packed_as: Some((
            vec![("_rels/.rels".to_owned(), relationships.into())],
            "3D/3dmodel.model".to_owned(),
        )),
    }
}

fn zipped() -> Seed {
    Seed {
        bytes: stl_binary(),
        packed_as: Some((
            vec![
                ("readme.txt".to_owned(), b"two parts".to_vec()),
                ("b.off".to_owned(), off().into()),
            ],
            "parts/a.stl".to_owned(),
        )),
    }
}

/// Small files of a format, written here.
pub fn small(reader: &str) -> Vec<Seed> {
    match reader {
        "stl" => vec![Seed::bare(stl_binary()), Seed::bare(stl_text())],
        "obj" => vec![Seed::bare(obj())],
        "ply" => vec![
            Seed::bare(ply_text()),
            Seed::bare(ply_binary(false)),
            Seed::bare(ply_binary(true)),
        ],
        "off" => vec![Seed::bare(off())],
        "amf" => vec![Seed::bare(amf())],
        "3mf" => vec![threemf(), Seed::bare(threemf().file())],
        _ => {
            let mut gz = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
            gz.write_all(&stl_binary()).unwrap();
            vec![
                zipped(),
                Seed::bare(zipped().file()),
                Seed::bare(gz.finish().unwrap()),
            ]
        }
    }
}

/// All seeds of a format: the small ones, and the shared meshes of up to 64 KiB.
pub fn of(reader: &str) -> Vec<Seed> {
    let mut seeds = small(reader);
    let shared = Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/meshes");
    let Ok(entries) = std::fs::read_dir(shared) else {
        println!("the seeds of ../shared/meshes are not here");
        return seeds;
    };
    let mut paths: Vec<_> = entries.map(|e| e.unwrap().path()).collect();
    paths.sort();
    for path in paths {
        let is_of = path
            .extension()
            .is_some_and(|e| e.eq_ignore_ascii_case(reader));
        let small = path.metadata().is_ok_and(|m| m.len() <= 64 << 10);
        if is_of && small {
            seeds.push(Seed::bare(std::fs::read(path).unwrap()));
        }
    }
    seeds
}
