//! Archives and XML files for the tests of this folder.

mod amf;
mod archives;
mod hostile;
mod shared_meshes;
mod threemf;

use std::io::{Cursor, Write};

use beadtally::mesh::{
    Drawing, DrawnPart, MeshError, Opened, UNPACKED_LIMIT_BYTES, Unit, inspect, open, weld,
};
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

/// Corners of the unit cube.
const CORNERS: [[u8; 3]; 8] = [
    [0, 0, 0],
    [1, 0, 0],
    [1, 1, 0],
    [0, 1, 0],
    [0, 0, 1],
    [1, 0, 1],
    [1, 1, 1],
    [0, 1, 1],
];

/// Its facets, seen counter-clockwise from outside.
const FACETS: [[u8; 3]; 12] = [
    [0, 2, 1],
    [0, 3, 2],
    [4, 5, 6],
    [4, 6, 7],
    [0, 1, 5],
    [0, 5, 4],
    [1, 2, 6],
    [1, 6, 5],
    [2, 3, 7],
    [2, 7, 6],
    [3, 0, 4],
    [3, 4, 7],
];

/// A zip archive of files with these names.
fn zip_of(files: &[(&str, &[u8])]) -> Vec<u8> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in files {
        zip.start_file(*name, SimpleFileOptions::default()).unwrap();
        zip.write_all(bytes).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

/// One gz member.
fn gz_of(bytes: &[u8]) -> Vec<u8> {
    let mut gz = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    gz.write_all(bytes).unwrap();
    gz.finish().unwrap()
}

/// The relationships of a package that starts with that part.
fn relationships(target: &str) -> String {
    format!(
        r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Target="{target}" Id="r" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>"#
    )
}

/// A 3MF package of one model part.
fn package(model: &str) -> Vec<u8> {
    zip_of(&[
        ("_rels/.rels", relationships("/3D/3dmodel.model").as_bytes()),
        ("3D/3dmodel.model", model.as_bytes()),
    ])
}

/// A model part.
fn model(attributes: &str, resources: &str, build: &str) -> String {
    format!(
        r#"<?xml version="1.0" encoding="UTF-8"?>
<model xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02" xmlns:p="http://schemas.microsoft.com/3dmanufacturing/production/2015/06" {attributes}>
<resources>{resources}</resources>
<build>{build}</build>
</model>"#
    )
}

/// The unit cube as a 3MF mesh.
fn cube_mesh() -> String {
    let vertices: String = CORNERS
        .iter()
        .map(|[x, y, z]| format!(r#"<vertex x="{x}" y="{y}" z="{z}"/>"#))
        .collect();
    let triangles: String = FACETS
        .iter()
        .map(|[a, b, c]| format!(r#"<triangle v1="{a}" v2="{b}" v3="{c}"/>"#))
        .collect();
    format!("<mesh><vertices>{vertices}</vertices><triangles>{triangles}</triangles></mesh>")
}

/// The unit cube as a 3MF object.
fn cube_object(attributes: &str) -> String {
    format!("<object {attributes}>{}</object>", cube_mesh())
}

/// The unit cube as an AMF mesh.
fn amf_mesh() -> String {
    let vertices: String = CORNERS
        .iter()
        .map(|[x, y, z]| {
            format!("<vertex><coordinates><x>{x}</x><y>{y}</y><z>{z}</z></coordinates></vertex>")
        })
        .collect();
    let triangles: String = FACETS
        .iter()
        .map(|[a, b, c]| format!("<triangle><v1>{a}</v1><v2>{b}</v2><v3>{c}</v3></triangle>"))
        .collect();
    format!("<mesh><vertices>{vertices}</vertices><volume>{triangles}</volume></mesh>")
}

/// An AMF file.
fn amf(attributes: &str, content: &str) -> Vec<u8> {
    format!("<?xml version=\"1.0\"?>\n<!-- a part -->\n<amf {attributes}>\n{content}</amf>")
        .into_bytes()
}

/// The unit cube as a text STL.
fn stl_cube() -> Vec<u8> {
    let mut stl = String::from("solid cube\n");
    for facet in FACETS {
        stl += "facet normal 0 0 0\nouter loop\n";
        for [x, y, z] in facet.map(|v| CORNERS[v as usize]) {
            stl += &format!("vertex {x} {y} {z}\n");
        }
        stl += "endloop\nendfacet\n";
    }
    (stl + "endsolid cube\n").into_bytes()
}

fn opened(bytes: Vec<u8>) -> Result<Vec<Opened>, MeshError> {
    open(bytes, UNPACKED_LIMIT_BYTES)
}

/// What the only file in `bytes` draws.
fn drawing(bytes: Vec<u8>) -> Drawing {
    let [file] = <[Opened; 1]>::try_from(opened(bytes).unwrap()).unwrap();
    file.drawing.unwrap()
}

/// The sentence that says why a file gives nothing.
fn refused(bytes: Vec<u8>) -> String {
    let sentence = opened(bytes).unwrap_err().to_string();
    assert!(sentence.contains("; "), "no request in: {sentence}");
    sentence
}

fn volume_mm3(part: DrawnPart, unit: Option<Unit>) -> f64 {
    let mesh = weld(part.surface, unit.unwrap_or(Unit::Millimetre));
    inspect(mesh).unwrap().mass.volume_mm3
}

/// Signed volume as the facets are wound, in the file's unit.
fn wound_volume(part: &DrawnPart) -> f64 {
    let corner = |v: u32| nalgebra::Vector3::from(part.surface.points[v as usize]);
    let triangles = part.surface.triangles.iter();
    triangles
        .map(|[a, b, c]| corner(*a).dot(&corner(*b).cross(&corner(*c))) / 6.0)
        .sum()
}

fn close(a: f64, b: f64) {
    assert!((a - b).abs() <= 1e-9 * b.abs().max(1.0), "{a} is not {b}");
}

/// What was remarked about a part.
fn remarks(part: &DrawnPart) -> String {
    let details: Vec<&str> = part.notes.iter().map(|n| n.detail.as_str()).collect();
    details.join("; ")
}
