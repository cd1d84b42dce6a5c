//! PLY.

use crate::shapes::{
    Solid, cube, l_prism, measures, part, ply_binary, ply_header, ply_text, refused, remarks,
};

#[test]
fn a_cube_of_squares_is_a_cube_in_every_encoding() {
    measures(ply_text(&cube()), 1.0, 6.0);
    measures(ply_text(&cube()).trim_end(), 1.0, 6.0);
    measures(ply_binary(&cube(), false), 1.0, 6.0);
    measures(ply_binary(&cube(), true), 1.0, 6.0);
}

#[test]
fn a_concave_polygon_has_its_own_area_and_no_facet_outside() {
    measures(ply_text(&l_prism()), 6.0, 22.0);
    measures(ply_binary(&l_prism(), false), 6.0, 22.0);
    measures(ply_binary(&l_prism(), true), 6.0, 22.0);
}

#[test]
fn lines_of_the_header_may_end_in_any_way() {
    for end in ["\r\n", "\r"] {
        measures(ply_text(&cube()).replace('\n', end), 1.0, 6.0);
        for big_endian in [false, true] {
            let plain = ply_binary(&cube(), big_endian);
            let at = plain
                .windows(11)
                .position(|w| w == b"end_header\n")
                .unwrap()
                + 11;
            let header = String::from_utf8(plain[..at].to_vec())
                .unwrap()
                .replace('\n', end);
            measures([header.as_bytes(), &plain[at..]].concat(), 1.0, 6.0);
        }
    }
}

/// The first coordinate begins with the byte of an LF.
#[test]
fn a_value_that_begins_like_a_line_end_is_a_value() {
    let mut solid = cube();
    let first = f32::from_le_bytes([10, 0, 128, 63]);
    for point in &mut solid.points {
        point[0] += f64::from(first);
    }
    for end in ["\n", "\r\n", "\r"] {
        let plain = ply_binary(&solid, false);
        let at = plain
            .windows(11)
            .position(|w| w == b"end_header\n")
            .unwrap()
            + 11;
        assert_eq!(plain[at], 10);
        let header = String::from_utf8(plain[..at].to_vec())
            .unwrap()
            .replace('\n', end);
        assert_eq!(
            part([header.as_bytes(), &plain[at..]].concat())
                .mesh
                .triangles
                .len(),
            12
        );
    }
}

#[test]
fn comments_in_any_encoding_are_passed_over() {
    let text = ply_text(&cube());
    let comments = b"comment M\xfcller\ncomment\nobj_info num_cols 4\n\nelement";
    let at = text.find("element").unwrap();
    measures(
        [&text.as_bytes()[..at], comments, &text.as_bytes()[at + 7..]].concat(),
        1.0,
        6.0,
    );
}

/// A value in each type's own bytes.
fn value(number: f64, name: &str, big_endian: bool) -> Vec<u8> {
    let mut bytes = match name {
        "char" | "int8" => (number as i8).to_le_bytes().to_vec(),
        "uchar" | "uint8" => (number as u8).to_le_bytes().to_vec(),
        "short" | "int16" => (number as i16).to_le_bytes().to_vec(),
        "ushort" | "uint16" => (number as u16).to_le_bytes().to_vec(),
        "int" | "int32" => (number as i32).to_le_bytes().to_vec(),
        "uint" | "uint32" => (number as u32).to_le_bytes().to_vec(),
        "float" | "float32" => (number as f32).to_le_bytes().to_vec(),
        _ => number.to_le_bytes().to_vec(),
    };
    if big_endian {
        bytes.reverse();
    }
    bytes
}

const TYPES: [&str; 16] = [
    "char", "int8", "uchar", "uint8", "short", "int16", "ushort", "uint16", "int", "int32", "uint",
    "uint32", "float", "float32", "double", "float64",
];

fn binary_of(solid: &Solid, number: &str, count: &str, index: &str, big_endian: bool) -> Vec<u8> {
    let name = if big_endian {
        "binary_big_endian"
    } else {
        "binary_little_endian"
    };
    let mut bytes = ply_header(name, solid, number, &format!("{count} {index}")).into_bytes();
    bytes.extend(
        solid
            .points
            .iter()
            .flatten()
            .flat_map(|c| value(*c, number, big_endian)),
    );
    for face in &solid.faces {
        bytes.extend(value(face.len() as f64, count, big_endian));
        bytes.extend(
            face.iter()
                .flat_map(|c| value(*c as f64, index, big_endian)),
        );
    }
    bytes
}

#[test]
fn every_type_and_its_other_name_is_read_as_coordinate_length_and_index() {
    for name in TYPES {
        for big_endian in [false, true] {
            measures(
                binary_of(&cube(), name, "uchar", "int", big_endian),
                1.0,
                6.0,
            );
            measures(
                binary_of(&cube(), "float", name, "int", big_endian),
                1.0,
                6.0,
            );
            measures(
                binary_of(&cube(), "float", "uchar", name, big_endian),
                1.0,
                6.0,
            );
        }
        let text = ply_text(&cube());
        measures(
            text.replace("float", name)
                .replace("uchar int", &format!("{name} {name}")),
            1.0,
            6.0,
        );
    }
}

#[test]
fn other_elements_and_properties_are_passed_over() {
    let text = "ply\nformat ascii 1.0\nelement camera 1\nproperty list int float view\nproperty short kind\nelement empty 5\n\
        element vertex 4\nproperty uchar red\nproperty float x\nproperty list uchar uchar tags\nproperty double y\nproperty float z\n\
        property float quality\nelement face 4\nproperty uchar red\nproperty list uchar float texcoord\n\
        property list uchar uint vertex_index\nproperty float area\nelement edge 1\nproperty int vertex1\nproperty int vertex2\nend_header\n\
        2 0.5 0.5 7\n9 0 0 0 0 1\n9 1 1 5 0 0 1\n9 0 2 5 6 1. 0 1\n9 .0 0 0 1 1\n\
        7 0 3 0 2 1 0.5\n7 2 0 1 3 0 1 3 0.5\n7 0 3 1 2 3 0.5\n7 0 3 0 3 2 0.5\n0 1\n";
    measures(text, 1.0 / 6.0, 1.5 + 0.75f64.sqrt());
    for big_endian in [false, true] {
        let header = text.split_inclusive("end_header\n").next().unwrap();
        let name = if big_endian {
            "binary_big_endian"
        } else {
            "binary_little_endian"
        };
        let mut bytes = header.replace("ascii", name).into_bytes();
        let mut put = |numbers: &str, types: &str| {
            for (number, name) in numbers.split(' ').zip(types.split(' ')) {
                bytes.extend(value(number.parse().unwrap(), name, big_endian));
            }
        };
        put("2 0.5 0.5 7", "int float float short");
        put("9 0 0 0 0 1", "uchar float uchar double float float");
        put(
            "9 1 1 5 0 0 1",
            "uchar float uchar uchar double float float",
        );
        put(
            "9 0 2 5 6 1 0 1",
            "uchar float uchar uchar uchar double float float",
        );
        put("9 0 0 0 1 1", "uchar float uchar double float float");
        put("7 0 3 0 2 1 0.5", "uchar uchar uchar uint uint uint float");
        put(
            "7 2 0 1 3 0 1 3 0.5",
            "uchar uchar float float uchar uint uint uint float",
        );
        put("7 0 3 1 2 3 0.5", "uchar uchar uchar uint uint uint float");
        put("7 0 3 0 3 2 0.5", "uchar uchar uchar uint uint uint float");
        put("0 1", "int int");
        measures(bytes, 1.0 / 6.0, 1.5 + 0.75f64.sqrt());
    }
}

#[test]
fn faces_may_come_before_their_points() {
    let text = ply_text(&cube());
    let lines: Vec<&str> = text.lines().collect();
    let order = [
        &lines[..2],
        &lines[6..8],
        &lines[2..6],
        &lines[8..9],
        &lines[17..],
        &lines[9..17],
    ];
    measures(order.concat().join("\n"), 1.0, 6.0);
}

#[test]
fn strips_of_triangles_are_facets_that_all_face_outward() {
    // A tetrahedron as one strip, then as two strips of two.
    let head = "ply\nformat ascii 1.0\nelement vertex 4\nproperty float x\nproperty float y\nproperty float z\n\
        element tristrips 1\nproperty list int int vertex_indices\nend_header\n0 0 0\n1 0 0\n0 1 0\n0 0 1\n";
    for strip in ["6 0 2 1 3 0 2", "9 0 2 1 3 -1 1 3 0 2"] {
        measures(format!("{head}{strip}\n"), 1.0 / 6.0, 1.5 + 0.75f64.sqrt());
    }
}

#[test]
fn a_point_without_a_place_matters_only_where_a_face_uses_it() {
    let text = ply_text(&cube()).replacen("vertex 8", "vertex 9", 1);
    let loose = text.replacen("\n4 3", "\nnan nan nan\n4 3", 1);
    measures(loose.clone(), 1.0, 6.0);
    refused(
        loose.replacen("\n4 3 2 1 0", "\n4 3 2 1 8", 1),
        "PLY, face 1: a coordinate of its point 8 is not a finite number; ask for the part exported again",
    );
}

#[test]
fn what_is_passed_over_and_might_matter_is_remarked() {
    let text = ply_text(&cube()).replacen("face 6", "face 7", 1) + "2 0 1\n\nmore of it";
    assert_eq!(
        remarks(text),
        [
            "1 face with fewer than three corners (face 7) was passed over",
            "what follows the last element (line 26, \"more\") was passed over",
        ]
    );
    let mut bytes = ply_binary(&cube(), false);
    bytes.push(b'\n');
    assert_eq!(remarks(bytes.clone()), [""; 0]);
    bytes.extend(b"more");
    assert_eq!(
        remarks(bytes),
        ["5 bytes follow the last element and were passed over"]
    );
}

#[test]
fn what_breaks_the_format_is_refused_at_its_place() {
    let text = ply_text(&cube());
    let with = |from: &str, to: &str| text.replacen(from, to, 1);
    for (file, problem) in [
        (
            "ply".to_owned(),
            "line 1: the file ends where its header should go on to \"end_header\"",
        ),
        (
            with("end_header\n", ""),
            "line 9: \"0\" stands where \"element\", \"property\", \"comment\" or \"end_header\" should",
        ),
        (
            with("format ascii 1.0\n", ""),
            "line 8: the header ends without a \"format\" where one should say how values are written",
        ),
        (
            with("ascii", "utf8"),
            "line 2: \"utf8\" stands where \"ascii\", \"binary_little_endian\" or \"binary_big_endian\" should",
        ),
        (
            with("vertex 8", "vertex -8"),
            "line 3: \"-8\" stands where the count of an element should",
        ),
        (
            with("vertex 8", "vertex"),
            "line 3: the line ends where the count of an element should stand",
        ),
        (
            with("element vertex 8\n", ""),
            "line 3: a property stands before any element where one should come first",
        ),
        (
            with("float z", "half z"),
            "line 6: \"half\" stands where a type such as \"float\" or \"uchar\" should",
        ),
        (
            with("float z", "float w"),
            "header: element \"vertex\" has no property \"z\" where x, y and z are needed",
        ),
        (
            with("element face", "element vertex"),
            "line 7: element \"vertex\" comes a second time where one is right",
        ),
        (
            with("vertex_indices", "corners"),
            "header: the faces have no list \"vertex_indices\", which says where their corners are",
        ),
        (
            with("face 6", "face 0"),
            "header: the file holds 8 points but no faces, so it draws no solid",
        ),
        (
            with("1 0 0", "1 0"),
            "line 11: the line ends where a number should stand",
        ),
        (
            with("1 0 0", "1 0 0 4"),
            "line 11: \"4\" stands where the end of the line should",
        ),
        (
            with("1 0 0", "1 0 o"),
            "line 11: \"o\" stands where a number should",
        ),
        (
            with("4 3 2 1 0", "4 3 2 1 8"),
            "face 1: it asks for point 8 where 8 are numbered from 0",
        ),
        (
            with("4 3 2 1 0", "4 3 2 1 -1"),
            "line 18: \"-1\" stands where the number of a point should",
        ),
        (
            with("4 3 2 1 0", "5 3 2 1 0"),
            "line 18: the line ends where a number should stand",
        ),
        (
            with("4 3 2 1 0", "-4 3 2 1 0"),
            "line 18: \"-4\" stands where the length of a list should",
        ),
        (
            with("vertex 8", "vertex 9"),
            "line 18: \"1\" stands where the end of the line should",
        ),
        (
            with("face 6", "face 18446744073709551615"),
            "line 24: the file ends before the 18446744073709551615 elements \"face\" that its header promises",
        ),
    ] {
        refused(
            file,
            &format!("PLY, {problem}; ask for the part exported again"),
        );
    }
}

#[test]
fn a_binary_file_that_promises_more_than_it_holds_is_refused_before_it_is_read() {
    let good = ply_binary(&cube(), false);
    let text = |from: &str, to: &str| {
        let at = good
            .windows(from.len())
            .position(|w| w == from.as_bytes())
            .unwrap();
        [&good[..at], to.as_bytes(), &good[at + from.len()..]].concat()
    };
    let ask = "ask for the part exported again";
    refused(
        text("vertex 8", "vertex 4000000000"),
        &format!(
            "PLY, byte 178: the header promises 4000000000 elements \"vertex\", which take 48000000000 bytes or more, and 198 are left; {ask}"
        ),
    );
    refused(
        text("list uchar", "list int"),
        &format!(
            "PLY, byte 267: a list promises 772 values of 4 bytes each, and 98 bytes are left; {ask}"
        ),
    );
    // Elements without properties take no room and no time.
    measures(
        text(
            "element face",
            "element nothing 18446744073709551615\nelement face",
        ),
        1.0,
        6.0,
    );
}
