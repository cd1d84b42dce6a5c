//! What this project reads of an STL file, held against `stl_io`, a general-purpose reader from the crate registry.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::fs;
use std::io::Cursor;
use std::path::Path;

use beadtally::mesh::{UNPACKED_LIMIT_BYTES, open};

/// The corners of every facet, in the file's order.
type Facets = Vec<[[f64; 3]; 3]>;

fn ours(bytes: Vec<u8>) -> Facets {
    let mut opened = open(bytes, UNPACKED_LIMIT_BYTES).unwrap();
    let drawing = opened.remove(0).drawing.unwrap();
    let surface = &drawing.parts[0].surface;
    let corner = |v: u32| surface.points[v as usize];
    surface.triangles.iter().map(|t| t.map(corner)).collect()
}

fn theirs(bytes: &[u8]) -> Facets {
    let mut cursor = Cursor::new(bytes);
    let facets = stl_io::create_stl_reader(&mut cursor).unwrap();
    facets
        .map(|f| {
            let corners: [[f32; 3]; 3] = f.unwrap().vertices.map(<[f32; 3]>::from);
            corners.map(|c| c.map(f64::from))
        })
        .collect()
}

#[test]
fn facets_and_their_order_are_those_that_another_reader_reads() {
    let models = Path::new(env!("CARGO_MANIFEST_DIR")).join("models");
    let mut read = 0;
    for entry in fs::read_dir(models).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|e| e != "stl") {
            continue;
        }
        let bytes = fs::read(&path).unwrap();
        let right = theirs(&bytes);
        assert_eq!(ours(bytes), right, "{}", path.display());
        // The same facets as text.
        let mut text = "solid part\n".to_owned();
        for [a, b, c] in &right {
            text += "facet normal 0 0 0\nouter loop\n";
            for [x, y, z] in [a, b, c] {
                text += &format!("vertex {x:e} {y} {z}\n");
            }
            text += "endloop\nendfacet\n";
        }
        text += "endsolid part\n";
        assert_eq!(theirs(text.as_bytes()), right, "{} as text", path.display());
        assert_eq!(ours(text.into_bytes()), right, "{} as text", path.display());
        read += 1;
    }
    assert!(read >= 6);
}
