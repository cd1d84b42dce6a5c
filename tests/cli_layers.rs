//! `estimate --layers` and `--what-if`: what they print and what they refuse.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;

const PART: &str = "models/cleat_block.stl";

fn estimate(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_beadtally"))
        .arg("estimate")
        .args(args)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap()
}

fn answered(args: &[&str]) -> String {
    let output = estimate(args);
    assert!(output.status.success(), "{args:?}: {output:?}");
    String::from_utf8(output.stdout).unwrap()
}

/// One sentence on standard error that holds all of `says`.
fn refused(args: &[&str], says: &[&str]) {
    let output = estimate(args);
    let error = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{args:?}: {error}");
    assert!(output.stdout.is_empty(), "{args:?}");
    assert_eq!(error.trim_end().lines().count(), 1, "{error}");
    for words in says {
        assert!(error.contains(words), "{args:?}: {error} lacks {words}");
    }
}

#[test]
fn the_layers_of_an_option_stand_in_the_json_one_by_one_and_add_up() {
    let line = answered(&[
        PART,
        "--json",
        "--layers=fast/0.6-hardened",
        "--machine",
        "fast",
    ]);
    let object: Value = serde_json::from_str(&line).unwrap();
    let of = &object["layers_of"];
    assert_eq!(
        (of["machine"].as_str(), of["nozzle"].as_str()),
        (Some("fast"), Some("0.6-hardened"))
    );
    let option = object["options"]
        .as_array()
        .unwrap()
        .iter()
        .find(|o| o["nozzle"] == "0.6-hardened");
    let option = option.unwrap();
    let layers = of["layers"].as_array().unwrap();
    assert_eq!(layers.len() as u64, option["layers"].as_u64().unwrap());
    let sum = |key: &str| layers.iter().map(|l| l[key].as_f64().unwrap()).sum::<f64>();
    let start_s = option["seconds_by"]["start"].as_f64().unwrap();
    let seconds = option["seconds"].as_f64().unwrap();
    assert!((sum("seconds") + start_s - seconds).abs() < 1e-6 * seconds);
    // Areas times the layer height are the plastic laid.
    let height_mm = option["layer_height_mm"].as_f64().unwrap();
    let laid_mm3 = option["deposited_mm3"].as_f64().unwrap();
    assert!((sum("area_mm2") * height_mm / laid_mm3 - 1.0).abs() < 1e-3);
}

#[test]
fn the_table_of_layers_covers_the_whole_height_and_the_whole_time() {
    let text = answered(&[PART, "--machine", "fast", "--layers"]);
    let rows: Vec<Vec<f64>> = text
        .lines()
        .map(|line| {
            line.split_whitespace()
                .filter_map(|w| w.parse().ok())
                .collect()
        })
        .filter(|row: &Vec<f64>| row.len() == 7)
        .collect();
    assert!(!rows.is_empty() && rows.len() <= 40, "{text}");
    assert_eq!(rows[0][0], 0.0);
    for pair in rows.windows(2) {
        assert_eq!(pair[0][1], pair[1][0], "{text}");
    }
    assert_eq!(rows.last().unwrap()[1], 48.0);
    let percent: f64 = rows.iter().map(|row| row[6]).sum();
    assert!(
        (percent - 100.0).abs() < 0.1 * rows.len() as f64,
        "{percent}"
    );
    assert!(text.lines().all(|line| line.chars().count() <= 100));
}

#[test]
fn the_plot_of_layers_is_an_svg_document_of_its_own() {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join("layers.svg");
    answered(&[
        PART,
        "--machine",
        "fast",
        "--layers-plot",
        path.to_str().unwrap(),
    ]);
    let svg = std::fs::read_to_string(path).unwrap();
    assert!(svg.starts_with("<svg ") && svg.trim_end().ends_with("</svg>"));
    assert!(!svg.contains("href") && svg.contains("height, mm"));
}

#[test]
fn what_if_shows_both_answers_and_what_is_unchanged() {
    let text = answered(&[PART, "--what-if", "machine.fast.acceleration_mm_s2=2000"]);
    assert!(text.contains("fast/0.6-hardened"), "{text}");
    assert!(!text.contains("slow/0.6-hardened"), "{text}");
    assert!(text.contains("options stay as they are"), "{text}");
    let line = answered(&[PART, "--json", "--what-if", "process.wall_mm=3"]);
    let object: Value = serde_json::from_str(&line).unwrap();
    assert_eq!(object["format"], 1);
    let options = object["options"].as_array().unwrap();
    let made = options.iter().find(|o| o["seconds"].is_f64()).unwrap();
    assert_ne!(made["seconds"], made["seconds_then"]);
}

#[test]
fn what_if_nothing_changes_nothing_changes() {
    let text = answered(&[
        PART,
        "--machine",
        "fast",
        "--what-if",
        "process.roof_mm=1.2",
    ]);
    assert!(text.contains("3 options stay as they are"), "{text}");
}

#[test]
fn what_makes_no_sense_is_refused_in_one_sentence() {
    refused(&[PART, "--what-if", "machine.fast.price"], &["KEY=VALUE"]);
    refused(
        &[PART, "--what-if", "machine.none.price=3"],
        &["no such machine", "fast"],
    );
    refused(
        &[PART, "--what-if", "machine.fast.prise=3"],
        &["prise", "price"],
    );
    refused(
        &[PART, "--what-if", "process.wall_mm=-1"],
        &["wall_mm", "negative"],
    );
    refused(
        &[PART, "--layers=fast/none"],
        &["--layers fast/none", "no such option"],
    );
    refused(
        &[PART, "--layers=fast/0.4-brass"],
        &["not possible", "abrasive"],
    );
    refused(
        &[PART, "--layers-plot", "/no/such/folder/x.svg"],
        &["x.svg", "can be written"],
    );
    refused(&[PART, "--first-layer", "0"], &["first layer", "0.02"]);
    refused(&[PART, "--brim", "-1"], &["brim"]);
    refused(&[PART, "--clearance", "11"], &["clearance", "10 mm"]);
}
