//! What the command answers to bad input: one sentence on standard error that names the file and what would be right, exit
//! code 2, nothing on standard output where it was the only file, never a panic.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn beadtally(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_beadtally"))
        .args(args)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap()
}

/// A folder of this test's own.
fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    folder
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

/// Asserts one sentence that holds every word of `says`, and returns it.
fn refused(args: &[&str], says: &[&str]) -> String {
    let output = beadtally(args);
    let error = text(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{args:?}: {error}");
    assert_eq!(text(&output.stdout), "", "{args:?}");
    assert_eq!(error.trim_end().lines().count(), 1, "{args:?}: {error}");
    assert!(!error.contains("panicked"), "{error}");
    for word in says {
        assert!(error.contains(word), "{args:?}: {error} lacks {word}");
    }
    error
}

/// The twelve facets of a box between two corners.
fn block(low: [f32; 3], high: [f32; 3]) -> Vec<[[f32; 3]; 3]> {
    let corner = |i: usize| -> [f32; 3] {
        std::array::from_fn(|axis| {
            if i >> axis & 1 == 0 {
                low[axis]
            } else {
                high[axis]
            }
        })
    };
    let faces = [
        [0, 2, 3, 1],
        [4, 5, 7, 6],
        [0, 1, 5, 4],
        [2, 6, 7, 3],
        [0, 4, 6, 2],
        [1, 3, 7, 5],
    ];
    let facets = faces
        .iter()
        .flat_map(|[a, b, c, d]| [[*a, *b, *c], [*a, *c, *d]]);
    facets.map(|f| f.map(corner)).collect()
}

fn stl(facets: &[[[f32; 3]; 3]]) -> Vec<u8> {
    let mut bytes = vec![b' '; 80];
    bytes.extend((facets.len() as u32).to_le_bytes());
    for facet in facets {
        bytes.extend([0u8; 12]);
        bytes.extend(facet.iter().flatten().flat_map(|c| c.to_le_bytes()));
        bytes.extend([0u8; 2]);
    }
    bytes
}

fn cube() -> Vec<[[f32; 3]; 3]> {
    block([0.0; 3], [20.0; 3])
}

fn refused_file(folder: &Path, name: &str, bytes: &[u8], says: &[&str]) {
    let path = folder.join(name);
    fs::write(&path, bytes).unwrap();
    let mut says = says.to_vec();
    says.push(name);
    for command in ["measure", "fit", "estimate", "quote"] {
        refused(&[command, path.to_str().unwrap()], &says);
        refused(&[command, path.to_str().unwrap(), "--json"], &says);
    }
}

#[test]
fn a_file_that_is_no_whole_mesh_is_refused_in_one_sentence() {
    let here = folder("no_mesh");
    let whole = stl(&cube());
    let mut more = whole.clone();
    more[80..84].copy_from_slice(&13u32.to_le_bytes());
    let mut huge = whole.clone();
    huge[80..84].copy_from_slice(&u32::MAX.to_le_bytes());
    let with = |value: f32| {
        let mut facets = cube();
        facets[4][1][2] = value;
        stl(&facets)
    };
    let flat: Vec<[[f32; 3]; 3]> = block([0.0; 3], [20.0, 20.0, 0.0]);
    let sheet: Vec<[[f32; 3]; 3]> = [[[0.0, 0.0, 0.0], [9.0, 0.0, 1.0], [0.0, 9.0, 2.0]]]
        .iter()
        .flat_map(|f| [*f, [f[0], f[2], f[1]]])
        .collect();
    refused_file(&here, "empty.stl", b"", &["empty"]);
    refused_file(
        &here,
        "letter.stl",
        b"Dear shop, could you print this for me?",
        &["no mesh in a format that is read"],
    );
    refused_file(
        &here,
        "short.stl",
        &whole[..600],
        &["promises 12 facets", "600 bytes"],
    );
    refused_file(&here, "more.stl", &more, &["promises 13 facets"]);
    refused_file(&here, "huge.stl", &huge, &["promises 4294967295 facets"]);
    refused_file(
        &here,
        "nan.stl",
        &with(f32::NAN),
        &["facet 5", "not a finite number"],
    );
    refused_file(
        &here,
        "inf.stl",
        &with(f32::INFINITY),
        &["facet 5", "not a finite number"],
    );
    refused_file(&here, "flat.stl", &stl(&flat), &["flat"]);
    refused_file(&here, "sheet.stl", &stl(&sheet), &["no volume"]);
    refused_file(
        &here,
        "words.stl",
        b"solid a\nfacet normal 0 0 1\n outer hoop\n",
        &["line 3"],
    );
    refused_file(&here, "none.stl", b"solid a\nendsolid a\n", &["no facets"]);
}

#[test]
fn every_truncation_of_a_mesh_is_refused_without_a_panic() {
    use beadtally::mesh;
    let whole = stl(&cube());
    for length in 0..whole.len() {
        assert!(
            mesh::read(whole[..length].to_vec()).is_err(),
            "{length} bytes"
        );
    }
    let ascii: String = cube()
        .iter()
        .map(|f| {
            let rows: String = f
                .iter()
                .map(|v| format!("vertex {} {} {}\n", v[0], v[1], v[2]))
                .collect();
            format!("facet normal 0 0 0\nouter loop\n{rows}endloop\nendfacet\n")
        })
        .collect();
    let ascii = format!("solid cube\n{ascii}endsolid cube\n").into_bytes();
    assert!(mesh::read(ascii.clone()).unwrap().watertight);
    for length in 0..ascii.len() {
        // Whole facets may stand before the cut; what they make is open, and says so.
        if let Ok(part) = mesh::read(ascii[..length].to_vec()) {
            assert!(
                !part.findings.is_empty() || part.watertight,
                "{length} bytes"
            );
        }
    }
}

#[test]
fn a_missing_file_or_a_folder_without_meshes_is_refused() {
    let here = folder("no_files");
    refused(
        &["measure", "nowhere/part.stl"],
        &["nowhere/part.stl", "no such file"],
    );
    refused(
        &["estimate", here.to_str().unwrap()],
        &["no_files", "no mesh files"],
    );
}

#[test]
fn a_shop_file_with_a_mistake_is_answered_with_its_line_and_key() {
    let here = folder("shops");
    let good = beadtally::shop::DEMONSTRATION_TOML;
    let wrong = |name: &str, from: &str, to: &str, says: &[&str]| {
        let text = good.replacen(from, to, 1);
        assert_ne!(text, good, "{name}");
        let path = here.join(name);
        fs::write(&path, text).unwrap();
        let path = path.to_str().unwrap();
        let mut says = says.to_vec();
        says.extend([name, "line"]);
        refused(
            &["estimate", "models/cleat_block.stl", "--shop", path],
            &says,
        );
        refused(&["shop", "check", path], &says);
    };
    wrong(
        "unknown.toml",
        "[rates]",
        "[rates]\ncolour = 3",
        &["colour"],
    );
    wrong("price.toml", "price = ", "price = -", &["price"]);
    wrong(
        "nozzle.toml",
        "[[nozzle]]",
        "[[nozzle]]\nid = \"0.2-brass\"\ndiameter_mm = 0.2\nmetal = \"brass\"\nprice = 9\nlife_plain_g = 9000\nlife_abrasive_g = 300\n[[nozzle]]",
        &["0.2-brass", "no machine"],
    );
    refused(
        &["fit", "models/cleat_block.stl", "--shop", "nowhere.toml"],
        &["nowhere.toml"],
    );
}

#[test]
fn what_is_asked_and_can_not_be_is_refused_with_what_would_be_right() {
    let part = "models/cleat_block.stl";
    refused(
        &["estimate", part, "--layer-height", "0.9"],
        &["0.9", "nozzle"],
    );
    refused(
        &["estimate", part, "--material", "oak"],
        &["oak", "petg-cf"],
    );
    refused(
        &["estimate", part, "--machine", "lathe"],
        &["lathe", "gantry"],
    );
    refused(
        &["estimate", part, "--nozzle", "9"],
        &["\"9\"", "0.6-hardened"],
    );
    refused(
        &[
            "estimate",
            part,
            "--machine",
            "gantry",
            "--nozzle",
            "0.4-brass",
        ],
        &["does not take"],
    );
    refused(&["estimate", part, "--fill", "0"], &["the fill is 0"]);
    refused(&["estimate", part, "--fill", "-1"], &["the fill is -1"]);
    refused(&["estimate", part, "--fill", "nan"], &["the fill is NaN"]);
    refused(
        &["estimate", part, "--quantity", "0"],
        &["quantity", "at least 1"],
    );
    refused(
        &["quote", part, "--quantity", "1,0"],
        &["quantity", "at least 1"],
    );
    refused(&["estimate", part, "--down", "q"], &["--down"]);
    refused(
        &["estimate", part, "--due", "2001-01-01"],
        &["2001-01-01", "over"],
    );
    refused(
        &["estimate", part, "--due", "soon"],
        &["soon", "YYYY-MM-DD"],
    );
    refused(
        &["estimate", part, "--why", "fast/none"],
        &["fast/none", "fast/0.6-hardened"],
    );
}

#[test]
fn a_list_prints_its_good_parts_and_asks_about_its_bad_one() {
    let here = folder("list");
    fs::write(here.join("a_cube.stl"), stl(&cube())).unwrap();
    fs::write(here.join("b_short.stl"), &stl(&cube())[..300]).unwrap();
    let here = here.to_str().unwrap();
    for flag in ["", "--json", "--csv"] {
        let args: Vec<&str> = ["estimate", here, flag]
            .into_iter()
            .filter(|a| !a.is_empty())
            .collect();
        let output = beadtally(&args);
        let (out, error) = (text(&output.stdout), text(&output.stderr));
        assert_eq!(output.status.code(), Some(2), "{flag}");
        assert!(
            out.contains("a_cube.stl") && out.contains("b_short.stl"),
            "{flag}: {out}"
        );
        assert!(
            out.split_whitespace()
                .collect::<Vec<_>>()
                .join(" ")
                .contains("export the part again and send it"),
            "{flag}: {out}"
        );
        assert_eq!(error.lines().count(), 1, "{error}");
    }
}

#[test]
fn a_folder_without_meshes_does_not_silence_the_files_beside_it() {
    let here = folder("beside");
    fs::write(here.join("cube.stl"), stl(&cube())).unwrap();
    fs::create_dir(here.join("bare")).unwrap();
    let (part, bare) = (here.join("cube.stl"), here.join("bare"));
    let output = beadtally(&["measure", part.to_str().unwrap(), bare.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        text(&output.stdout).contains("8.00"),
        "{}",
        text(&output.stdout)
    );
    assert!(text(&output.stderr).contains("bare: this is a folder without meshes"));
}

#[test]
fn a_part_that_fits_nowhere_is_a_no() {
    let here = folder("too_big");
    let path = here.join("mast.stl");
    fs::write(&path, stl(&block([0.0; 3], [2000.0, 60.0, 60.0]))).unwrap();
    for command in ["fit", "estimate", "quote"] {
        let output = beadtally(&[command, path.to_str().unwrap()]);
        assert_eq!(
            output.status.code(),
            Some(1),
            "{command}: {}",
            text(&output.stderr)
        );
        assert!(
            text(&output.stdout).contains("too long"),
            "{command}: {}",
            text(&output.stdout)
        );
    }
}

#[test]
fn an_open_or_inside_out_mesh_says_how_far_its_figures_can_be_trusted() {
    let here = folder("doubtful");
    let open = here.join("open.stl");
    fs::write(&open, stl(&cube()[1..])).unwrap();
    let open = open.to_str().unwrap();
    let said = text(&beadtally(&["measure", open]).stdout);
    assert!(
        said.contains("closed after mending") && said.contains("1 flat opening was closed"),
        "{said}"
    );
    let said = text(&beadtally(&["measure", open, "--as-is"]).stdout);
    assert!(
        said.contains("not closed: 3 open edges around 1 hole"),
        "{said}"
    );
    let turned = here.join("turned.stl");
    let inside_out: Vec<_> = cube().iter().map(|f| [f[0], f[2], f[1]]).collect();
    fs::write(&turned, stl(&inside_out)).unwrap();
    let said = text(&beadtally(&["measure", turned.to_str().unwrap()]).stdout);
    assert!(
        said.contains("8.00 cm3") && said.contains("inside out and turned"),
        "{said}"
    );
}

#[test]
fn contours_that_do_not_close_are_joined_with_a_finding() {
    let here = folder("gap");
    let path = here.join("gap.stl");
    let mut facets = cube();
    facets.remove(5);
    fs::write(&path, stl(&facets)).unwrap();
    let said = text(&beadtally(&["estimate", path.to_str().unwrap(), "--as-is"]).stdout);
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        said.contains("not closed") && said.contains("joined to the nearest loose end"),
        "{said}"
    );
}

#[test]
fn no_line_is_wider_than_a_hundred_columns() {
    let parts = ["binnacle", "cleat_block", "hatch_lid_mould", "rudder_cheek"];
    for part in parts.map(|p| format!("models/{p}.stl")) {
        for command in ["measure", "fit", "quote"] {
            let said = text(&beadtally(&[command, &part]).stdout);
            for line in said.lines() {
                assert!(line.chars().count() <= 100, "{command} {part}: {line}");
            }
        }
    }
    // The table's widest row: a machine held by motion all of the time.
    let table = ["estimate", "models/hatch_lid_mould.stl"];
    for line in text(&beadtally(&table).stdout).lines() {
        assert!(line.chars().count() <= 100, "{line}");
    }
    let why = [
        "estimate",
        "models/cleat_block.stl",
        "--why",
        "fast/0.6-hardened",
        "--machine",
        "fast",
    ];
    for line in text(&beadtally(&why).stdout).lines() {
        assert!(line.chars().count() <= 100, "{line}");
    }
}

#[test]
fn a_file_can_not_steer_the_terminal() {
    let here = folder("steering");
    let path = here.join("part.stl");
    fs::write(&path, b"solid a\n\x1b[2J\x1b[H 0 0 1\n").unwrap();
    let error = refused(
        &["measure", path.to_str().unwrap()],
        &["part.stl", "line 2"],
    );
    assert!(!error.trim_end().chars().any(char::is_control), "{error:?}");
}

#[test]
fn a_list_of_parts_is_no_wider_than_a_hundred_columns() {
    for command in ["measure", "fit"] {
        let said = text(&beadtally(&[command, "models"]).stdout);
        assert!(said.lines().all(|l| l.chars().count() <= 100), "{said}");
    }
    let said = text(
        &beadtally(&[
            "estimate",
            "models/cleat_block.stl",
            "models/rudder_cheek.stl",
        ])
        .stdout,
    );
    assert!(said.lines().all(|l| l.chars().count() <= 100), "{said}");
    let here = folder("wide_list");
    fs::write(
        here.join("mast.stl"),
        stl(&block([0.0; 3], [1200.0, 1150.5, 1100.5])),
    )
    .unwrap();
    fs::write(
        here.join("box.stl"),
        stl(&block([0.0; 3], [128.0, 128.0, 158.0])),
    )
    .unwrap();
    let said = text(&beadtally(&["estimate", here.to_str().unwrap()]).stdout);
    assert!(said.lines().all(|l| l.chars().count() <= 100), "{said}");
}

#[test]
fn a_new_shop_file_is_in_order_and_never_overwrites() {
    let here = folder("new_shop");
    let path = here.join("my.toml");
    let path = path.to_str().unwrap();
    assert!(beadtally(&["shop", "new", path]).status.success());
    assert!(beadtally(&["shop", "check", path]).status.success());
    refused(&["shop", "new", path], &["exists already"]);
}

/// A file of wrong counts is read where its facets are whole to the last byte.
#[test]
fn a_binary_file_with_a_wrong_count_or_a_damaged_header_is_read_with_a_remark() {
    use beadtally::mesh;
    let whole = stl(&cube());
    let with = |count: u32| {
        let mut bytes = whole.clone();
        bytes[80..84].copy_from_slice(&count.to_le_bytes());
        bytes
    };
    let mut shorter_header = whole.clone();
    shorter_header.drain(10..12);
    let mut longer = whole.clone();
    longer.extend([7u8; 31]);
    let mut solid = whole.clone();
    solid[..5].copy_from_slice(b"solid");
    for (what, bytes, remarks) in [
        ("count 0", with(0), 1),
        ("count 3", with(3), 1),
        ("header", shorter_header, 1),
        ("bytes behind", longer, 1),
        ("solid", solid, 0),
    ] {
        let part = mesh::read(bytes).unwrap_or_else(|e| panic!("{what}: {e}"));
        assert!((part.mass.volume_mm3 - 8000.0).abs() < 1e-9, "{what}");
        assert_eq!(part.findings.len(), remarks, "{what}: {:?}", part.findings);
    }
}

#[test]
fn a_part_that_may_be_in_inches_is_asked_about_and_not_priced() {
    let here = folder("inches");
    let path = here.join("bracket.stl");
    fs::write(&path, stl(&block([0.0; 3], [10.0, 4.0, 2.0]))).unwrap();
    let path = path.to_str().unwrap();
    // The sizes are exact: the inch is 25.4 mm (international yard and pound agreement, 1959).
    let says = [
        "10 x 4 x 2 mm",
        "254 x 101.6 x 50.8 mm (drawn in inches)",
        "--unit mm or --unit inch",
    ];
    for command in ["fit", "estimate", "quote"] {
        refused(&[command, path], &says);
    }
    let measured = beadtally(&["measure", path]);
    assert_eq!(measured.status.code(), Some(0));
    let priced = beadtally(&["estimate", path, "--unit", "inch"]);
    assert_eq!(priced.status.code(), Some(0), "{}", text(&priced.stderr));
    assert!(text(&priced.stdout).contains("254.0 x 101.6 x 50.8 mm"));
    let small = beadtally(&["estimate", path, "--unit", "mm"]);
    assert_eq!(small.status.code(), Some(0), "{}", text(&small.stderr));
    let listed = beadtally(&["estimate", here.to_str().unwrap(), "models/cleat_block.stl"]);
    assert_eq!(listed.status.code(), Some(2));
    let row = text(&listed.stdout);
    assert!(row.contains("bracket.stl        ask"), "{row}");
}

#[test]
fn auto_takes_the_only_unit_that_makes_sense() {
    let here = folder("metres");
    let path = here.join("plate.stl");
    // In metres; in every other unit its wall is no bead wide.
    fs::write(&path, stl(&block([0.0; 3], [0.12, 0.08, 0.001]))).unwrap();
    let path = path.to_str().unwrap();
    refused(&["estimate", path], &["--unit m", "no nozzle lays"]);
    let said = text(&beadtally(&["measure", path, "--unit", "auto"]).stdout);
    assert!(said.contains("120.0 x 80.0 x 1.0 mm"), "{said}");
    assert!(said.contains("only m makes a part"), "{said}");
}

#[test]
fn a_mesh_on_standard_input_is_measured() {
    use std::io::Write;
    use std::process::Stdio;
    let mut child = Command::new(env!("CARGO_BIN_EXE_beadtally"))
        .args(["measure", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    child
        .stdin
        .take()
        .unwrap()
        .write_all(&stl(&cube()))
        .unwrap();
    let said = text(&child.wait_with_output().unwrap().stdout);
    assert!(
        said.contains("standard input") && said.contains("8.00 cm3"),
        "{said}"
    );
}

#[test]
fn a_report_is_one_page_that_asks_nothing_of_a_network() {
    let here = folder("report");
    let (path, page) = (here.join("<b>.stl"), here.join("page.html"));
    let mut facets = cube();
    facets.remove(5);
    fs::write(&path, stl(&facets)).unwrap();
    let done = beadtally(&[
        "measure",
        path.to_str().unwrap(),
        "--report",
        page.to_str().unwrap(),
    ]);
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    let html = fs::read_to_string(&page).unwrap();
    assert!(!html.contains("<b>"), "a file's name is no markup");
    assert_eq!(html.matches("data:image/png;base64,").count(), 3);
    assert!(!html.contains("http") && !html.contains("src=") && !html.contains("<script"));
    assert!(html.contains("closed after mending") && html.contains("#0b6fb8"));
    let unwritable = beadtally(&[
        "measure",
        "models/cleat_block.stl",
        "--report",
        "/nowhere/page.html",
    ]);
    assert_eq!(unwritable.status.code(), Some(2));
    assert!(text(&unwritable.stderr).contains("give a path that can be written"));
}

#[test]
fn what_was_typed_wrongly_is_told_in_one_sentence() {
    let part = concat!(env!("CARGO_MANIFEST_DIR"), "/models/cleat_block.stl");
    for (args, said) in [
        (&["estimate"][..], "required arguments were not provided"),
        (
            &["estimate", part, "--quantity", "-1"],
            "invalid value '-1' for '--quantity <N>'",
        ),
        (
            &["estimat", part],
            "a similar subcommand exists: 'estimate'",
        ),
        (&["quote", part, "--quantity", "3,5x"], "invalid value '5x'"),
        (
            &["estimate", part, "--matrial", "pla"],
            "a similar argument exists: '--material'",
        ),
    ] {
        let output = std::process::Command::new(env!("CARGO_BIN_EXE_beadtally"))
            .args(args)
            .output()
            .unwrap();
        let sentence = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{sentence}");
        assert_eq!(sentence.lines().count(), 1, "{sentence}");
        assert!(sentence.contains(said), "{sentence}");
    }
}
