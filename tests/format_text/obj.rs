//! OBJ.

use crate::shapes::{cube, l_prism, measures, obj, refused, remarks};

fn lines_of(faces: &str) -> String {
    format!("v 0 0 0\nv 1 0 0\nv 0 1 0\nv 0 0 1\n{faces}")
}

const TETRAHEDRON: &str = "f 1 3 2\nf 1 2 4\nf 2 3 4\nf 1 4 3\n";

#[test]
fn a_cube_of_squares_is_a_cube_in_every_way_of_writing_it() {
    let plain = obj(&cube());
    measures(plain.clone(), 1.0, 6.0);
    measures(plain.replace('\n', "\r\n"), 1.0, 6.0);
    measures(plain.replace('\n', "\r"), 1.0, 6.0);
    measures(plain.trim_end(), 1.0, 6.0);
    measures(format!("\u{feff}{plain}"), 1.0, 6.0);
    measures(
        plain
            .replace("\nv ", "\n\n  \tv\t  ")
            .replace("\nf", "   # words\nf"),
        1.0,
        6.0,
    );
    measures(plain.replace("f ", "F  ").replace("v ", "V "), 1.0, 6.0);
    measures(
        [b"# M\xfcller, 20 \xb5m \\\n".as_slice(), plain.as_bytes()].concat(),
        1.0,
        6.0,
    );
}

#[test]
fn a_concave_polygon_has_its_own_area_and_no_facet_outside() {
    measures(obj(&l_prism()), 6.0, 22.0);
}

#[test]
fn corners_may_name_texture_and_normals_in_any_form() {
    for form in ["1/1", "1/1/1", "1//1", "1/", "1//"] {
        let rest = &form[1..];
        let faces: String = TETRAHEDRON
            .chars()
            .map(|c| {
                if c.is_ascii_digit() {
                    format!("{c}{rest}")
                } else {
                    c.to_string()
                }
            })
            .collect();
        measures(
            lines_of(&format!("vt 0.5\nvt 0 0 0\nvn 0 0 1\n{faces}")),
            1.0 / 6.0,
            1.5 + 0.75f64.sqrt(),
        );
    }
}

#[test]
fn negative_numbers_count_back_from_the_vertices_before_the_face() {
    let (volume, area) = (1.0 / 6.0, 1.5 + 0.75f64.sqrt());
    measures(
        lines_of("f -4 -2 -3\nf -4 -3 -1\nf -3 -2 -1\nf -4 -1 -2\n"),
        volume,
        area,
    );
    // The first face stands before the last vertex, and one face names a vertex that comes after it.
    let early = "v 0 0 0\nv 1 0 0\nv 0 1 0\nf -3 -1 -2\nf 1 2 4\nv 0 0 1\nf 2 3 4\nf 1 4 3\n";
    measures(early, volume, area);
}

#[test]
fn groups_objects_and_materials_together_are_one_part() {
    let text = format!(
        "mtllib none.mtl\nmtllib C:\\drawings\\\no first\ng\ng a b\nusemtl\nusemtl red # 1\ns off\nvp 0.1 0.2\n{}o second\n{}",
        obj(&cube()),
        obj(&cube())
            .replace("v 0", "v 3")
            .replace("v 1", "v 4")
            .lines()
            .map(|line| {
                let Some(corners) = line.strip_prefix("f ") else {
                    return format!("{line}\n");
                };
                let moved = corners
                    .split(' ')
                    .map(|c| (c.parse::<u32>().unwrap() + 8).to_string());
                format!("f {}\n", moved.collect::<Vec<_>>().join(" "))
            })
            .collect::<String>()
    );
    measures(text.clone(), 2.0, 12.0);
    assert_eq!(remarks(text), [""; 0]);
}

#[test]
fn a_backslash_joins_lines() {
    measures(obj(&cube()).replace(" 1 ", " \\\n1 \\\r\n"), 1.0, 6.0);
}

#[test]
fn a_weight_or_colours_after_a_vertex_change_nothing() {
    let mut text = obj(&cube());
    text = text.replacen("v 0 0 0\n", "v 0 0 0 0.5 0.25 1\n", 1);
    text = text.replacen("v 1 0 0\n", "v 1 0 0 2\n", 1);
    measures(text, 1.0, 6.0);
}

#[test]
fn numbers_may_have_any_common_form() {
    let text = obj(&cube()).replacen("v 0 0 0", "v .0 -0. +0e-001", 1);
    measures(
        text.replacen("v 1 0 0", "v 1.E0 0E5 0.000000000000000000000000001", 1),
        1.0,
        6.0,
    );
}

#[test]
fn what_draws_no_solid_is_passed_over_with_a_remark() {
    let text = obj(&cube()) + "l 1 2 3\np 1\nf 1 2\nfx 1 2 3\nbody \"a\"\n";
    assert_eq!(
        remarks(text),
        [
            "1 face with fewer than three corners (line 17) was passed over",
            "2 lines of points, curves and curved surfaces (from line 15 on) were passed over",
            "2 lines that begin with no word of OBJ, such as \"fx\" (from line 18 on) were passed over",
        ]
    );
}

#[test]
fn a_loose_vertex_does_not_stretch_the_part() {
    let part = crate::shapes::part(obj(&cube()) + "v 900 900 900\n");
    assert_eq!(part.mesh.vertices_mm.len(), 8);
}

#[test]
fn what_breaks_the_format_is_refused_at_its_line() {
    let ask = "ask for the part exported again";
    for (file, problem) in [
        (
            lines_of("f 1 2 0\n"),
            "line 5: a face asks for vertex 0 where they count from 1",
        ),
        (
            lines_of("\nf 1 2 5\n"),
            "line 6: a face asks for vertex 5 where the file holds 4",
        ),
        (
            lines_of("f 1 2 -5\n"),
            "line 5: a face asks for vertex -5 where 4 come before it",
        ),
        (
            lines_of("f 1 2 99999999999\n"),
            "line 5: a face asks for vertex 99999999999 where the file holds 4",
        ),
        (
            lines_of("f 1 2 \\\n x3\n"),
            "line 6: \"x3\" stands where the number of a vertex should",
        ),
        (
            lines_of("v 1.2.3 0 0\n"),
            "line 5: \"1.2.3\" stands where a number should",
        ),
        (
            lines_of("v 1,5 0 0\n"),
            "line 5: \"1,5\" stands where a number should",
        ),
        (
            lines_of("v nan 0 0\n"),
            "line 5: \"nan\" stands where a finite number should",
        ),
        (
            lines_of("v 0 -inf 0\n"),
            "line 5: \"-inf\" stands where a finite number should",
        ),
        (
            lines_of("v 0 1e999 0\n"),
            "line 5: \"1e999\" stands where a finite number should",
        ),
        (
            lines_of("v 0 0\nf 1 2 3"),
            "line 5: the line ends where a number should stand",
        ),
        (
            lines_of("v 0 0"),
            "line 5: the file ends where a number should stand",
        ),
        (
            lines_of("l 1 2\n"),
            "line 6: the file ends with 4 points but no faces, so it draws no solid",
        ),
    ] {
        refused(file, &format!("OBJ, {problem}; {ask}"));
    }
}

#[test]
fn other_text_is_not_taken_for_obj() {
    for text in [
        "v",
        "v x y z",
        "very well",
        "# only a comment",
        "{\"v\": 1}",
        "<v 1 2 3/>",
        "g\nhello\nv 1 2 3",
        "p\nl\n",
    ] {
        let sentence = beadtally::mesh::read(text.into())
            .map(|_| ())
            .unwrap_err()
            .to_string();
        assert!(
            sentence.starts_with("this is no mesh"),
            "{text:?}: {sentence}"
        );
    }
}
