//! `tooling` as it is typed: answers, plots, written halves, refusals.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod meshes;

use std::f64::consts::{PI, TAU};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use beadtally::mesh::{Mesh, read};
use beadtally::mould::minus;
use meshes::solids::{block, prism, regular_polygon};
use meshes::{demonstration, mapped, scaled, stl};
use serde_json::Value;

/// A folder of a test's own, empty.
fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"))
        .join("cli_tooling")
        .join(name);
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    folder
}

fn written(folder: &Path, name: &str, mesh: &Mesh) -> String {
    let path = folder.join(name);
    fs::write(&path, stl(mesh)).unwrap();
    path.to_str().unwrap().to_owned()
}

fn model(file: &str) -> String {
    format!("{}/models/{file}", env!("CARGO_MANIFEST_DIR"))
}

fn tooling(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_beadtally"))
        .arg("tooling")
        .args(arguments)
        .output()
        .unwrap()
}

fn said(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

/// One sentence on standard error, nothing on standard output, and the exit code.
fn refused(arguments: &[&str], exit: i32) -> String {
    let output = tooling(arguments);
    let error = String::from_utf8(output.stderr.clone()).unwrap();
    assert_eq!(output.status.code(), Some(exit), "{error}");
    assert!(
        said(&output).is_empty() && error.lines().count() == 1,
        "{error}"
    );
    error
}

fn amount(value: &Value) -> f64 {
    value.as_str().unwrap().parse().unwrap()
}

#[test]
fn the_demonstration_part_is_answered_with_a_quantity_and_a_plot() {
    let folder = folder("plot");
    let plot = folder.join("mould.svg");
    let plot = plot.to_str().unwrap();
    let output = tooling(&[
        &model("rudder_cheek.stl"),
        "--kind",
        "closed",
        "--plot",
        plot,
    ]);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let text = said(&output);
    let first = text.lines().next().unwrap();
    assert!(
        first.contains("the mould is cheaper") || first.contains("Printing stays cheaper"),
        "{first}"
    );
    assert!(text.contains("safety data sheets") && text.contains("licensed engineer"));
    let svg = fs::read_to_string(plot).unwrap();
    assert!(svg.starts_with("<svg") && svg.contains("polyline"));
}

#[test]
fn the_quantity_said_is_where_the_two_totals_cross() {
    let part = model("rudder_cheek.stl");
    let ask = |quantity: &str| -> Value {
        let output = tooling(&[&part, "--kind", "closed", "--json", "--quantity", quantity]);
        assert_eq!(output.status.code(), Some(0), "{output:?}");
        serde_json::from_str(&said(&output)).unwrap()
    };
    let told = ask("1");
    let from = told["mould_cheaper_from"].as_u64().unwrap();
    assert!(from > 1, "{from}");
    let told = ask(&format!("{},{from}", from - 1));
    let rows = told["quantities"].as_array().unwrap();
    let price = |n: usize, key: &str| amount(&rows[n][key]);
    assert!(price(0, "moulded_price") >= price(0, "printed_price"));
    assert!(price(1, "moulded_price") < price(1, "printed_price"));
    // Lines add up to what they are lines of.
    for (ledger, whole) in [
        ("mould_ledger", "mould_cost"),
        ("moulded_piece_ledger", "moulded_piece_cost"),
    ] {
        let sum: f64 = told[ledger]
            .as_array()
            .unwrap()
            .iter()
            .map(|line| amount(&line["amount"]))
            .sum();
        assert!((sum - amount(&told[whole])).abs() < 1e-6, "{ledger}");
    }
}

#[test]
fn written_halves_are_closed_and_have_the_blocks_volume_less_the_parts() {
    let folder = folder("export");
    let into = folder.join("halves");
    let into = into.to_str().unwrap();
    let arguments = [
        &model("rudder_cheek.stl"),
        "--kind",
        "closed",
        "--export",
        into,
        "--json",
    ];
    let output = tooling(&arguments);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let told: Value = serde_json::from_str(&said(&output)).unwrap();
    let part = demonstration("rudder_cheek.stl");
    let size = part.mesh.size_mm();
    let whole: f64 = (0..3).map(|i| size[i] + 16.0).product::<f64>() - part.mass.volume_mm3;
    let mut sum = 0.0;
    for piece in told["mould_pieces"].as_array().unwrap() {
        let mesh = read(fs::read(piece["file"].as_str().unwrap()).unwrap()).unwrap();
        assert!(mesh.watertight, "{piece}");
        let volume = piece["volume_mm3"].as_f64().unwrap();
        assert!((mesh.mass.volume_mm3 / volume - 1.0).abs() < 1e-5);
        sum += volume;
    }
    // Pins, sockets and the pouring opening are a few per mille.
    assert!((sum / whole - 1.0).abs() < 0.01, "{sum} {whole}");
    let again = tooling(&arguments);
    assert_eq!(again.status.code(), Some(2));
    assert!(
        String::from_utf8(again.stderr)
            .unwrap()
            .contains("not overwritten")
    );
}

#[test]
fn a_lay_up_tool_over_a_demonstration_part_is_answered() {
    let output = tooling(&[
        &model("hatch_lid_mould.stl"),
        "--kind",
        "lay-up",
        "--flexible",
        "--json",
    ]);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let told: Value = serde_json::from_str(&said(&output)).unwrap();
    assert_eq!(told["format"], 1);
    assert_eq!(told["kind"], "lay_up");
    // 4 layers of 300 g/m2, fibre 0.4 of the mass, 1.5 g/cm3: 1200 / 0.4 / 1.5 = 2000 um.
    assert!((told["laminate_mm"].as_f64().unwrap() - 2.0).abs() < 1e-9);
    assert_eq!(told["mould_pieces"].as_array().unwrap().len(), 1);
}

#[test]
fn the_owners_own_mould_is_estimated_as_it_is() {
    let folder = folder("own");
    let own = written(&folder, "own.stl", &block([0.0; 3], [80.0, 60.0, 20.0]));
    let output = tooling(&[
        &model("rudder_cheek.stl"),
        "--kind",
        "closed",
        "--mould",
        &own,
        "--json",
    ]);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let told: Value = serde_json::from_str(&said(&output)).unwrap();
    let pieces = told["mould_pieces"].as_array().unwrap();
    assert_eq!(pieces.len(), 1);
    assert!((pieces[0]["volume_mm3"].as_f64().unwrap() - 96_000.0).abs() < 1e-6);
}

#[test]
fn holes_that_cross_hold_a_demonstration_part_in_every_mould_of_two_halves() {
    // The cleat block is bored along two axes, so one pair of bores lies across whichever way the mould opens. The lesser are the two
    // bolts' (models/parts/cleat_block.rs): holes of 4.2 and counterbores of 7.5 mm radius, 39 and 9 mm deep, and the seats.
    let bolt = TAU * (4.2 * 39.0 + 7.5 * 9.0) + PI * (7.5 * 7.5 - 4.2 * 4.2);
    let output = tooling(&[&model("cleat_block.stl"), "--kind", "closed", "--json"]);
    assert_eq!(output.status.code(), Some(1), "{output:?}");
    let error = String::from_utf8(output.stderr.clone()).unwrap();
    assert!(
        error.contains("the pieces cannot come out") && error.contains("--flexible"),
        "{error}"
    );
    let told: Value = serde_json::from_str(&said(&output)).unwrap();
    let undercut = told["parting"]["undercut_mm2"].as_f64().unwrap();
    assert!(
        (undercut / (2.0 * bolt) - 1.0).abs() < 0.005,
        "{undercut} {}",
        2.0 * bolt
    );
}

#[test]
fn without_a_kind_the_kinds_are_asked_for() {
    let error = refused(&[&model("rudder_cheek.stl")], 2);
    assert!(
        error.contains("--kind lay-up") && error.contains("two halves"),
        "{error}"
    );
    let error = refused(&[&model("rudder_cheek.stl"), "--kind", "vacuum"], 2);
    assert!(error.contains("no such kind"), "{error}");
}

#[test]
fn a_mould_whose_pieces_cannot_come_out_is_a_no_unless_something_gives_way() {
    let folder = folder("held");
    // Holes right through along all three axes: whichever way it opens, two of them hold.
    let drill = prism(&regular_polygon(4.0, 24), -50.0, 50.0);
    let along_x = mapped(&drill, |v| nalgebra::Point3::new(v.z, v.x, v.y));
    let along_y = mapped(&drill, |v| nalgebra::Point3::new(v.y + 11.0, v.z, v.x));
    let held = minus(&block([-20.0, -15.0, -10.0], [20.0, 15.0, 10.0]), &along_x).unwrap();
    let held = written(&folder, "held.stl", &minus(&held, &along_y).unwrap());
    let error = refused(&[&held, "--kind", "closed", "--opens", "z"], 1);
    assert!(
        error.contains("the pieces cannot come out") && error.contains("mm2 of undercut"),
        "{error}"
    );
    let output = tooling(&[&held, "--kind", "closed", "--opens", "z", "--flexible"]);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    assert!(said(&output).contains("Undercut"));
}

#[test]
fn a_mould_too_large_for_every_machine_is_a_no_that_names_the_nearest() {
    let folder = folder("large");
    // Invented: as large as the largest machine holds, so that its mould is larger.
    let shop = beadtally::shop::demonstration();
    let mesh = scaled(&demonstration("rudder_cheek.stl").mesh, 1.0);
    let footprints = |mesh: &Mesh| {
        let footprints = beadtally::pose::Footprints::of(mesh);
        shop.machines
            .iter()
            .any(|m| footprints.fits_on_an_axis(&m.space.with_room_for(shop.process.brim_mm)))
    };
    let mut by = 1.0;
    while footprints(&scaled(&mesh, by * 1.05)) {
        by *= 1.05;
    }
    let part = written(&folder, "large.stl", &scaled(&mesh, by));
    let error = refused(
        &[&part, "--kind", "closed", "--wall", "60", "--unit", "mm"],
        1,
    );
    assert!(
        error.contains("fits no machine") && error.contains("least"),
        "{error}"
    );
}

#[test]
fn a_cure_too_hot_for_the_plastic_is_a_no_that_names_plastics_that_stand_it() {
    let error = refused(
        &[
            &model("rudder_cheek.stl"),
            "--kind",
            "closed",
            "--cure-c",
            "300",
        ],
        1,
    );
    assert!(
        error.contains("would soften") && error.contains("no plastic of this shop"),
        "{error}"
    );
    let error = refused(
        &[
            &model("rudder_cheek.stl"),
            "--kind",
            "closed",
            "--cure-c",
            "75",
        ],
        1,
    );
    assert!(error.contains("would stand it"), "{error}");
}

#[test]
fn bad_numbers_and_meshes_end_in_one_sentence() {
    let part = model("rudder_cheek.stl");
    for (option, value, said) in [
        ("--quantity", "0", "1 to 1000000"),
        ("--wall", "0", "2 to 200 mm"),
        ("--wall", "-3", "2 to 200 mm"),
        ("--draft", "60", "0 to 45 degrees"),
        ("--parting-height", "1000", "outside the part"),
        ("--opens", "sideways", "no direction"),
        ("--plot", "mould.docx", ".svg"),
        ("--material", "cheese", "no material"),
        ("--mould-material", "cheese", "no material"),
        ("--nozzle", "9", "no nozzle"),
    ] {
        let error = refused(&[&part, "--kind", "closed", option, value], 2);
        assert!(error.contains(said), "{option} {value}: {error}");
    }
    let folder = folder("bad");
    let mut open = block([0.0; 3], [40.0, 30.0, 20.0]);
    open.triangles.truncate(7);
    let open = written(&folder, "open.stl", &open);
    let error = refused(&[&open, "--kind", "closed", "--as-is"], 2);
    assert!(error.contains("closed"), "{error}");
}
