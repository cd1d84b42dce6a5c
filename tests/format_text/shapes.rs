//! Polygon solids and files made of them.

use beadtally::mesh::{InspectedMesh, read};

/// Points and polygons, counter-clockwise seen from outside.
pub struct Solid {
    pub points: Vec<[f64; 3]>,
    pub faces: Vec<Vec<usize>>,
}

/// An upright prism over a counter-clockwise ring, its ends a polygon each.
pub fn prism(ring: &[[f64; 2]], height: f64) -> Solid {
    let n = ring.len();
    let at = |z: f64| ring.iter().map(move |[x, y]| [*x, *y, z]);
    let mut faces = vec![(0..n).rev().collect(), (n..2 * n).collect()];
    faces.extend((0..n).map(|i| {
        let next = (i + 1) % n;
        vec![i, next, n + next, n + i]
    }));
    Solid {
        points: at(0.0).chain(at(height)).collect(),
        faces,
    }
}

/// The cube of side 1.
pub fn cube() -> Solid {
    prism(&[[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]], 1.0)
}

/// A concave prism: an L of 3 squares of side 1, 2 high. Volume 6; area 2 * 3 + 8 * 2 = 22. The inner corner is seen from
/// few of the others, and one side has a corner in its middle.
pub fn l_prism() -> Solid {
    let ring = [
        [0.0, 0.0],
        [1.0, 0.0],
        [2.0, 0.0],
        [2.0, 1.0],
        [1.0, 1.0],
        [1.0, 2.0],
        [0.0, 2.0],
    ];
    prism(&ring, 2.0)
}

pub fn obj(solid: &Solid) -> String {
    let mut text = String::new();
    for [x, y, z] in &solid.points {
        text += &format!("v {x} {y} {z}\n");
    }
    for face in &solid.faces {
        text += "f";
        for corner in face {
            text += &format!(" {}", corner + 1);
        }
        text += "\n";
    }
    text
}

pub fn off(solid: &Solid) -> String {
    let mut text = format!("OFF\n{} {} 0\n", solid.points.len(), solid.faces.len());
    for [x, y, z] in &solid.points {
        text += &format!("{x} {y} {z}\n");
    }
    for face in &solid.faces {
        text += &format!("{}", face.len());
        for corner in face {
            text += &format!(" {corner}");
        }
        text += "\n";
    }
    text
}

pub fn ply_header(format: &str, solid: &Solid, number: &str, list: &str) -> String {
    format!(
        "ply\nformat {format} 1.0\nelement vertex {}\nproperty {number} x\nproperty {number} y\nproperty {number} z\n\
         element face {}\nproperty list {list} vertex_indices\nend_header\n",
        solid.points.len(),
        solid.faces.len()
    )
}

pub fn ply_text(solid: &Solid) -> String {
    let body = off(solid);
    let body = body.splitn(3, '\n').nth(2).unwrap();
    ply_header("ascii", solid, "float", "uchar int") + body
}

/// Single precision, lists of bytes and 32-bit integers.
pub fn ply_binary(solid: &Solid, big_endian: bool) -> Vec<u8> {
    let name = if big_endian {
        "binary_big_endian"
    } else {
        "binary_little_endian"
    };
    let mut bytes = ply_header(name, solid, "float", "uchar int").into_bytes();
    let put = |bytes: &mut Vec<u8>, mut value: [u8; 4]| {
        if big_endian {
            value.reverse();
        }
        bytes.extend(value);
    };
    for c in solid.points.iter().flatten() {
        put(&mut bytes, (*c as f32).to_le_bytes());
    }
    for face in &solid.faces {
        bytes.push(face.len() as u8);
        for corner in face {
            put(&mut bytes, (*corner as u32).to_le_bytes());
        }
    }
    bytes
}

pub fn part(file: impl Into<Vec<u8>>) -> InspectedMesh {
    let bytes = file.into();
    let start = String::from_utf8_lossy(&bytes[..bytes.len().min(600)]).into_owned();
    read(bytes).unwrap_or_else(|e| panic!("{e}\n{start}"))
}

/// Volume and area are those given, the surface is closed and nothing was turned or dropped.
pub fn measures(file: impl Into<Vec<u8>>, volume: f64, area: f64) {
    let part = part(file);
    assert!(
        (part.mass.volume_mm3 - volume).abs() < 1e-9 * volume,
        "{}",
        part.mass.volume_mm3
    );
    assert!(
        (part.mass.area_mm2 - area).abs() < 1e-9 * area,
        "{}",
        part.mass.area_mm2
    );
    assert!(part.watertight);
    let of_the_file = ["remark", "separate_bodies"];
    let about_mesh = part
        .findings
        .iter()
        .find(|f| !of_the_file.contains(&f.kind.name()));
    assert_eq!(about_mesh, None);
}

/// The file is refused in this sentence.
pub fn refused(file: impl Into<Vec<u8>>, sentence: &str) {
    assert_eq!(
        read(file.into()).map(|_| ()).unwrap_err().to_string(),
        sentence
    );
}

/// The remarks made on a file that is read.
pub fn remarks(file: impl Into<Vec<u8>>) -> Vec<String> {
    let part = part(file);
    let remarks = part
        .findings
        .into_iter()
        .filter(|f| f.kind.name() == "remark");
    remarks.map(|f| f.detail).collect()
}
