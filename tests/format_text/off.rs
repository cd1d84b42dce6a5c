//! OFF.

use crate::shapes::{cube, l_prism, measures, off, refused, remarks};

#[test]
fn a_cube_of_squares_is_a_cube_in_every_way_of_writing_it() {
    let plain = off(&cube());
    measures(plain.clone(), 1.0, 6.0);
    measures(plain.replace('\n', "\r\n"), 1.0, 6.0);
    measures(plain.replace('\n', "\r"), 1.0, 6.0);
    measures(plain.trim_end(), 1.0, 6.0);
    measures(
        plain.replace('\n', "  # words\n\n# a line of them\n"),
        1.0,
        6.0,
    );
    for counts in [
        "OFF 8 6 12",
        "OFF 8 6",
        "OFF\n8 6",
        "OFF\n8\n6",
        "OFF8 6 12",
        "off\n8 6 0",
        "# drawn by hand\nOFF\n8 6 0",
    ] {
        measures(plain.replacen("OFF\n8 6 0", counts, 1), 1.0, 6.0);
    }
}

#[test]
fn a_concave_polygon_has_its_own_area_and_no_facet_outside() {
    measures(off(&l_prism()), 6.0, 22.0);
}

#[test]
fn what_vertices_and_faces_carry_besides_is_passed_over() {
    for (name, more) in [
        ("COFF", " 255 0 0 255"),
        ("NOFF", " 0 0 1"),
        ("CNOFF", " 0 0 1 0.5 0.5 0.5 1"),
        ("STOFF", " 0.5 0.5"),
        ("STCNOFF", " 0 0 1 1 1 1 1 0.5 0.5"),
        ("OFF", " 10 20 30"),
    ] {
        let text = off(&cube()).replacen("OFF", name, 1);
        let text: Vec<String> = text
            .lines()
            .enumerate()
            .map(|(i, line)| {
                if (2..10).contains(&i) {
                    format!("{line}{more}")
                } else {
                    line.to_owned()
                }
            })
            .collect();
        measures(text.join("\n"), 1.0, 6.0);
    }
    let coloured: Vec<String> = off(&cube())
        .lines()
        .map(|line| {
            if line.starts_with("4 ") {
                format!("{line}  0.1 0.2 0.3 1")
            } else {
                line.to_owned()
            }
        })
        .collect();
    measures(coloured.join("\n"), 1.0, 6.0);
}

#[test]
fn what_is_passed_over_and_might_matter_is_remarked() {
    let text = off(&cube()).replacen("8 6 0", "8 8 0", 1) + "2 0 1\n1 5\n\nwell done\n";
    assert_eq!(
        remarks(text),
        [
            "2 faces with fewer than three corners (the first: line 17) were passed over",
            "what follows the last face (line 20, \"well\") was passed over",
        ]
    );
}

#[test]
fn what_breaks_the_format_is_refused_at_its_line() {
    let text = off(&cube());
    let with = |from: &str, to: &str| text.replacen(from, to, 1);
    for (file, problem) in [
        (
            with("OFF", "4OFF"),
            "line 1: this is 4OFF, with four coordinates a point where three are read",
        ),
        (
            with("OFF", "nOFF\n3"),
            "line 1: this is nOFF, with any number of coordinates a point where three are read",
        ),
        (
            with("OFF", "OFF BINARY"),
            "line 1: this is the binary form of OFF where its text form is read",
        ),
        (
            with("OFF\n8 6", "OFF\n8 x"),
            "line 2: \"x\" stands where the count of faces should",
        ),
        (
            with("OFF\n8 6", "OFF\n-8 6"),
            "line 2: \"-8\" stands where the count of points should",
        ),
        (
            "OFF".to_owned(),
            "line 1: the file ends where the count of points should stand",
        ),
        (
            with("1 0 0", "1 0"),
            "line 4: the line ends where a number should stand",
        ),
        (
            with("1 0 0", "1 0 inf"),
            "line 4: \"inf\" stands where a finite number should",
        ),
        (
            with("4 3 2 1 0", "4 3 2 1 8"),
            "line 11: a face asks for point 8 where 8 are numbered from 0",
        ),
        (
            with("4 3 2 1 0", "4 3 2 1 -1"),
            "line 11: \"-1\" stands where the number of a point should",
        ),
        (
            with("4 3 2 1 0", "5 3 2 1 0"),
            "line 11: the line ends where the number of a point should stand",
        ),
        (
            with("4 3 2 1 0", "0.5 3 2 1 0"),
            "line 11: \"0.5\" stands where the count of a face's corners should",
        ),
        (
            with("8 6 0", "8 7 0"),
            "line 17: the file ends after 6 of the 7 faces it promises",
        ),
        (
            with("8 6 0", "99999999999999 6 0"),
            "line 17: the file ends after 14 of the 99999999999999 points it promises",
        ),
        (
            with("8 6 0", "8 0 0"),
            "line 10: the file holds 8 points but no faces, so it draws no solid",
        ),
        (
            "OFF 3 1\n0 0 0\n1 0 0\n0 1 0\n2 0 1".to_owned(),
            "line 5: no face of the file has three corners, so it draws no solid",
        ),
    ] {
        refused(
            file,
            &format!("OFF, {problem}; ask for the part exported again"),
        );
    }
}

#[test]
fn other_text_is_not_taken_for_off() {
    for text in ["OFFICE 1", "Off we go", "8 6 12\n0 0 0", "OF"] {
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
