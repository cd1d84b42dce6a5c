//! The commands: what they print, write and refuse.

use std::fs;
use std::path::PathBuf;
use std::process::{Command, Output};

use beadtally::shop::{DEMONSTRATION_TOML, read_shop};
use serde_json::Value;

use crate::meshes::solids::block;
use crate::meshes::stl;

fn bench(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_beadtally"))
        .arg("bench")
        .args(args)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap()
}

fn answered(args: &[&str], exit: i32) -> String {
    let output = bench(args);
    assert_eq!(output.status.code(), Some(exit), "{args:?}: {output:?}");
    assert!(output.stderr.is_empty(), "{output:?}");
    String::from_utf8(output.stdout).unwrap()
}

/// One sentence on standard error that holds all of `says`, nothing on standard output, exit code 2.
fn refused(args: &[&str], says: &[&str]) {
    let output = bench(args);
    let error = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{args:?}: {error}");
    assert!(output.stdout.is_empty(), "{args:?}");
    assert_eq!(error.trim_end().lines().count(), 1, "{error}");
    for words in says {
        assert!(error.contains(words), "{args:?}: {error} lacks {words}");
    }
}

/// A fresh path in the tests' own folder.
fn fresh(name: &str) -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("bench");
    fs::create_dir_all(&folder).unwrap();
    let path = folder.join(name);
    let _ = fs::remove_file(&path);
    path
}

const FIVE: &str = "237:3.02,415:3.01,592:3.0,770:2.71,948:2.2";

#[test]
fn every_sheet_names_the_shop_and_its_cautions() {
    for args in [
        &["flow"][..],
        &["stopwatch"],
        &["bonding"],
        &["density", "--of", "models/pump_mount.stl"],
    ] {
        let sheet = answered(args, 0);
        for words in [
            "built-in demonstration",
            "safety data sheet",
            "manual",
            "fumes",
            "--read",
        ] {
            assert!(sheet.contains(words), "{args:?} lacks {words}:\n{sheet}");
        }
    }
}

/// Expected: the shop file with the printed lines behind it is read, and has the row.
#[test]
fn the_printed_row_is_one_that_the_shop_file_takes() {
    let args = [
        "flow",
        "--machine",
        "fast",
        "--nozzle",
        "0.8-hardened",
        "--read",
        FIVE,
    ];
    let answer = answered(&args, 0);
    let toml = &answer[answer.find("[[measured]]").unwrap()..];
    let shop = read_shop(&format!("{DEMONSTRATION_TOML}\n{toml}"), "shop.toml").unwrap();
    let row = shop.measured.last().unwrap();
    assert_eq!(
        (row.machine.as_str(), row.nozzle.as_str()),
        ("fast", "0.8-hardened")
    );
    assert!((row.melt_limit_mm3_s - 27.07).abs() < 0.2, "{row:?}");
}

/// Expected: the two keys, put in place of those of the machine, are read back as found.
#[test]
fn the_printed_keys_of_motion_are_ones_that_the_shop_file_takes() {
    let sheet: Value =
        serde_json::from_str(&answered(&["stopwatch", "--machine", "fast", "--json"], 0)).unwrap();
    let now = |course: &str| sheet["sheet"][course]["seconds_now"].as_f64().unwrap();
    let read = format!("{:.3},{:.3}", now("long"), now("short"));
    let answer = answered(&["stopwatch", "--machine", "fast", "--read", &read], 0);
    let line = |key: &str| answer.lines().find(|line| line.starts_with(key)).unwrap();
    let changed = DEMONSTRATION_TOML.replace(
        "acceleration_mm_s2 = 8000 ",
        &format!("{}\n#", line("acceleration_mm_s2")),
    );
    let shop = read_shop(&changed, "shop.toml").unwrap();
    let fast = shop.machine("fast").unwrap();
    // Found from the times that the shop's own 8000 mm/s2 and 0.02 mm give.
    assert!((fast.acceleration_mm_s2 / 8000.0 - 1.0).abs() < 0.001);
    let deviation: toml_edit::DocumentMut = line("corner_deviation_mm").parse().unwrap();
    let deviation = deviation["corner_deviation_mm"].as_float().unwrap();
    assert!((deviation / 0.02 - 1.0).abs() < 0.001, "{deviation}");
}

#[test]
fn a_part_is_written_once_and_never_over_another() {
    let path = fresh("long.stl");
    let file = path.to_str().unwrap();
    answered(&["stopwatch", "--part", file], 0);
    let first = fs::read(&path).unwrap();
    refused(
        &["stopwatch", "--part", file],
        &["long.stl exists already", "not overwritten"],
    );
    refused(&["bonding", "--part", file], &["long.stl exists already"]);
    assert_eq!(fs::read(&path).unwrap(), first);
    let short = fresh("short.stl");
    answered(
        &[
            "stopwatch",
            "--part",
            short.to_str().unwrap(),
            "--course",
            "short",
        ],
        0,
    );
    assert_ne!(fs::read(&short).unwrap(), first);
    refused(
        &["bonding", "--part", "no/such/folder/s.stl"],
        &["give a path that can be written"],
    );
}

/// Expected: by hand. 20 x 20 mm in 33 layers of 0.3 mm are 3.96 cm3; at 1.30 g/cm3 that is 5.148 g.
#[test]
fn grams_over_the_volume_laid_are_the_density() {
    let path = fresh("block.stl");
    fs::write(&path, stl(&block([0.0; 3], [20.0, 20.0, 10.0]))).unwrap();
    let of = [
        "density",
        "--machine",
        "fast",
        "--of",
        path.to_str().unwrap(),
    ];
    let with = |more: &[&'static str]| [&of[..], more].concat();
    let answer: Value =
        serde_json::from_str(&answered(&with(&["--json", "--read", "5.148"]), 0)).unwrap();
    assert!(
        (answer["answer"]["laid_mm3"].as_f64().unwrap() / 3960.0 - 1.0).abs() < 1e-3,
        "{answer}"
    );
    assert!(
        (answer["answer"]["density_g_cm3"].as_f64().unwrap() / 1.30 - 1.0).abs() < 1e-3,
        "{answer}"
    );
    assert!(
        answer["shop_file"]
            .as_str()
            .unwrap()
            .contains("density_g_cm3 = 1.3")
    );
    refused(
        &with(&["--read", "7.2"]),
        &["1.35 times the 1.347 g/cm3", "is it this part"],
    );
    refused(
        &with(&["--read", "2.5"]),
        &["0.47 times the 1.347 g/cm3", "laid solid"],
    );
    refused(&with(&["--read", "-5"]), &["\"-5\" is no reading", "377.4"]);
    refused(
        &["density", "--of", "no.stl", "--read", "5"],
        &["no.stl", "no such file"],
    );
}

#[test]
fn a_limit_that_is_not_reached_is_answered_no_with_what_to_do() {
    let answer = answered(
        &[
            "flow",
            "--machine",
            "fast",
            "--read",
            "237:3,415:3,592:3,770:3,948:2.99",
        ],
        1,
    );
    assert!(answer.contains("weigh again with faster feeds") && !answer.contains("[[measured]]"));
    let strips = "240:broke,248:broke,255:broke,263:broke,270:broke";
    let answer = answered(&["bonding", "--machine", "fast", "--read", strips], 1);
    assert!(answer.contains("none of the five temperatures") && !answer.contains("nozzle_c"));
    let strips = "240:whole,248:broke,255:whole,263:whole,270:broke";
    let answer = answered(&["bonding", "--machine", "fast", "--read", strips], 1);
    assert!(answer.contains("broke at 248 C between them") && !answer.contains("nozzle_c"));
}

#[test]
fn weighings_that_can_not_be_are_refused_in_one_sentence() {
    let read =
        |text: &str, says: &[&str]| refused(&["flow", "--machine", "fast", "--read", text], says);
    read(
        "237:3.02,415:3.01,592:3.9,770:2.71,948:2.2",
        &["--read: at 592 mm/min 3.9 g were weighed but only 3.24 g fed"],
    );
    read(
        "237:3.02,415:3.01,592:-3,770:2.71,948:2.2",
        &["\"-3\" is no reading", "FEED_MM_MIN:GRAMS"],
    );
    read(
        "237:3.02,415:3.01,592:3.0,770:2.71",
        &["4 readings are given and 5 are needed"],
    );
    read(
        "237:3.02,415:3.01,592:3.0,770:2.71,948:2.2,999:2",
        &["6 readings are given and 5 are needed"],
    );
    read("", &["0 readings are given and 5 are needed"]);
    read(
        "237:3.02,415:3.01,592:3.0,770:2.71,948",
        &["\"948\" is no reading"],
    );
    read(
        "237:3.02,415:3.01,592:3.0,770:2.71,948:NaN",
        &["\"NaN\" is no reading"],
    );
    read(
        "237:3.02,415:3.01,592:3.0,770:2.71,inf:2.2",
        &["\"inf\" is no reading"],
    );
    read(
        "237:3.02,237:3.01,592:3.0,770:2.71,948:2.2",
        &["237 mm/min is read twice"],
    );
    read(
        "237:2.0,415:2.0,592:2.0,770:2.0,948:2.0",
        &["at the slowest feed, 237 mm/min, only 62 %"],
    );
    read(
        "237:3.02,415:3.01,592:2.5,770:3.0,948:2.2",
        &["at 770 mm/min more of the feed came out than at 592 mm/min"],
    );
}

#[test]
fn settings_that_make_no_sense_are_refused_in_one_sentence() {
    refused(
        &["flow", "--machine", "nobody"],
        &["there is no machine nobody", "slow, fast, gantry, round"],
    );
    refused(
        &["flow", "--nozzle", "9"],
        &["there is no nozzle 9", "0.6-hardened"],
    );
    refused(
        &["flow", "--material", "wood"],
        &["there is no material wood", "petg-cf"],
    );
    refused(
        &["flow", "--nozzle", "0.6-brass"],
        &["no machine of this shop lays petg-cf with 0.6-brass"],
    );
    refused(
        &["flow", "--machine", "fast", "--nozzle", "0.6-brass"],
        &["can't be measured", "abrasive"],
    );
    refused(
        &["flow", "--between", "20"],
        &["--between: \"20\" is no pair of flows"],
    );
    refused(
        &["flow", "--between", "20,10"],
        &["the faster flow of --between is 10; give 20.4"],
    );
    refused(
        &["flow", "--scale", "0.1", "--length", "500"],
        &["a scale of 0.1 g can't tell 5 %", "--length"],
    );
    refused(&["flow", "--length", "-5"], &["--length is -5; give 1 to"]);
    refused(&["flow", "--shop", "no.toml"], &["no.toml", "no such file"]);
    refused(
        &["stopwatch", "--laps", "0"],
        &["--laps is 0; give 1 to 2000 laps"],
    );
    refused(
        &["stopwatch", "--laps", "2000"],
        &["does not fit on slow", "fewer --laps"],
    );
    refused(
        &["stopwatch", "--speed", "0"],
        &["--speed is 0; give 1 to 2000 mm/s"],
    );
    refused(
        &["stopwatch", "--read", "500"],
        &["1 readings are given and 2 are needed"],
    );
    refused(
        &["stopwatch", "--read", "500,-3"],
        &["\"-3\" is no reading"],
    );
    refused(
        &["stopwatch", "--read", "1,1"],
        &["--read: the long course took 1 s for its 100 laps"],
    );
}

#[test]
fn strips_that_can_not_be_are_refused_in_one_sentence() {
    let read = |text: &str, says: &[&str]| {
        refused(&["bonding", "--machine", "fast", "--read", text], says)
    };
    read(
        "240:whole,248:whole,255:whole,263:whole,310:broke",
        &["is 310; give 240 to 270 C", "240, 248, 255, 263, 270"],
    );
    read(
        "240:whole,248:whole,255:whole,263:whole,263:broke",
        &["263 C is read twice"],
    );
    read(
        "240:whole,248:whole,255:whole,263:whole,270:bent",
        &["\"270:bent\" is no reading", "whole"],
    );
    read("240:whole", &["1 readings are given and 5 are needed"]);
}

/// Expected: every object is one line with the version first, and null where nothing was read.
#[test]
fn json_is_one_object_on_a_line_with_its_version_first() {
    for args in [
        &["flow", "--machine", "fast", "--json"][..],
        &["flow", "--machine", "fast", "--json", "--read", FIVE],
        &["stopwatch", "--json"],
        &["bonding", "--json"],
        &["density", "--of", "models/pump_mount.stl", "--json"],
    ] {
        let line = answered(args, 0);
        assert!(line.starts_with("{\"format\":1,\"bench\":"), "{line}");
        assert_eq!(line.trim_end().lines().count(), 1);
        let object: Value = serde_json::from_str(&line).unwrap();
        let read = args.contains(&"--read");
        assert_eq!(object["answer"].is_null(), !read, "{line}");
        assert_eq!(object["shop_file"].is_null(), !read, "{line}");
        assert_eq!(object["demonstration"], true);
    }
}
