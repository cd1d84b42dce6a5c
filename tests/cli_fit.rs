//! `fit` as it is typed: pictures, pieces, tilted poses.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod meshes;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use beadtally::mesh::{Mesh, read};
use meshes::solids::block;
use meshes::{demonstration, scaled, stl};
use serde_json::Value;

/// A folder of a test's own, empty.
fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"))
        .join("cli_fit")
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

fn fit(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_beadtally"))
        .arg("fit")
        .args(arguments)
        .output()
        .unwrap()
}

fn said(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

#[test]
fn a_part_too_large_is_written_in_closed_pieces_that_make_up_the_whole() {
    let folder = folder("pieces");
    // Invented: the hatch-lid mould half as large again, which the fast machine does not hold.
    let mould = scaled(&demonstration("hatch_lid_mould.stl").mesh, 1.2);
    let part = written(&folder, "mould.stl", &mould);
    let into = folder.join("pieces");
    let into = into.to_str().unwrap();
    let output = fit(&[&part, "--machine", "fast", "--cut-into", into, "--json"]);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let told: Value = serde_json::from_str(&said(&output)).unwrap();
    let pieces = told["pieces"].as_array().unwrap();
    assert!(pieces.len() > 1 && !told["cuts"].as_array().unwrap().is_empty());
    let mut sum_mm3 = 0.0;
    for piece in pieces {
        let file =
            Path::new(into).join(piece["file"].as_str().unwrap().rsplit('/').next().unwrap());
        let mesh = read(fs::read(file).unwrap()).unwrap();
        assert!(mesh.watertight);
        sum_mm3 += mesh.mass.volume_mm3;
    }
    let whole = told["volume_mm3"].as_f64().unwrap();
    // The files are in single precision.
    assert!((sum_mm3 / whole - 1.0).abs() < 1e-5, "{sum_mm3} of {whole}");
    let lines = told["ledger"].as_array().unwrap().iter();
    let cents = |v: &Value| (v.as_str().unwrap().parse::<f64>().unwrap() * 100.0).round() as i64;
    assert_eq!(
        lines.map(|line| cents(&line["amount"])).sum::<i64>(),
        cents(&told["total"])
    );

    let again = fit(&[&part, "--machine", "fast", "--cut-into", into]);
    assert_eq!(again.status.code(), Some(2));
    let error = String::from_utf8(again.stderr).unwrap();
    assert!(
        error.contains("is there already and is not overwritten"),
        "{error}"
    );
}

#[test]
fn a_part_that_fits_whole_is_not_cut() {
    let folder = folder("whole");
    let into = folder.join("pieces");
    let output = fit(&[
        "models/cleat_block.stl",
        "--cut-into",
        into.to_str().unwrap(),
    ]);
    assert_eq!(output.status.code(), Some(0));
    assert!(said(&output).contains("nothing was cut, for it fits whole on slow, fast"));
    assert!(!into.exists());
}

#[test]
fn a_long_part_is_found_to_fit_tilted_and_what_can_t_fit_is_proven() {
    let folder = folder("tilted");
    let part = written(&folder, "spar.stl", &block([0.0; 3], [620.0, 40.0, 30.0]));
    let output = fit(&[&part, "--json"]);
    assert_eq!(output.status.code(), Some(0));
    let told: Value = serde_json::from_str(&said(&output)).unwrap();
    let machine = |id: &str| {
        let mut machines = told["machines"].as_array().unwrap().iter();
        machines.find(|m| m["machine"] == id).unwrap()
    };
    // 420 x 420 less 5 all round, 480 high: 752 mm from corner to corner. The least tilt that stands 620 mm in 480 is 40 degrees up.
    let slow = machine("slow");
    assert!(slow["fits"].as_bool().unwrap());
    for pose in slow["poses"].as_array().unwrap() {
        assert!(pose["tilt_deg"].as_f64().unwrap() > 0.0);
        let size = pose["size_mm"].as_array().unwrap();
        assert!(
            (0..3).all(|i| size[i].as_f64().unwrap() <= [410.0, 410.0, 480.0][i] + 1e-6),
            "{size:?}"
        );
    }
    let fast = machine("fast");
    assert!(!fast["fits"].as_bool().unwrap() && fast["search"]["proven"].as_bool().unwrap());
    let text = said(&fit(&[&part]));
    let unbroken = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        unbroken.contains("no pose of this part fits: it is 622.0 mm long"),
        "{text}"
    );
    // The first line names the file, whose folders are long here.
    assert!(
        text.lines().skip(1).all(|line| line.chars().count() <= 100),
        "{text}"
    );
}

#[test]
fn a_picture_is_a_drawing_with_its_text_or_points_by_the_file_s_ending() {
    let folder = folder("picture");
    let path = |name: &str| folder.join(name).to_str().unwrap().to_owned();
    let part = "models/rudder_cheek.stl";
    for (name, starts) in [("bed.svg", &b"<svg"[..]), ("bed.png", &b"\x89PNG\r\n"[..])] {
        let output = fit(&[part, "--machine", "fast", "--picture", &path(name)]);
        assert_eq!(output.status.code(), Some(0), "{output:?}");
        assert!(fs::read(path(name)).unwrap().starts_with(starts));
    }
    let drawn = fs::read_to_string(path("bed.svg")).unwrap();
    assert!(drawn.contains("rudder_cheek.stl on fast") && drawn.contains("To spare: left"));
    let output = fit(&[part, "--picture", &path("bed.pdf")]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        String::from_utf8(output.stderr)
            .unwrap()
            .contains("give a name that ends so")
    );
}

#[test]
fn a_pose_asked_for_is_the_only_one_told() {
    let output = fit(&[
        "models/cleat_block.stl",
        "--machine",
        "slow",
        "--down",
        "1,0,-1",
        "--json",
    ]);
    let told: Value = serde_json::from_str(&said(&output)).unwrap();
    let poses = told["machines"][0]["poses"].as_array().unwrap();
    assert_eq!(poses.len(), 1);
    assert!((poses[0]["tilt_deg"].as_f64().unwrap() - 45.0).abs() < 1e-6);
    let wrong = fit(&["models/cleat_block.stl", "--down", "0,0,0"]);
    assert_eq!(wrong.status.code(), Some(2));
}
