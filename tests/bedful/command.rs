//! The `bedful` command: what it prints and what it refuses.

use std::process::{Command, Output};

use serde_json::Value;

const PART: &str = "models/cleat_block.stl";

fn bedful(args: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_beadtally"));
    command
        .arg("bedful")
        .args(args)
        .current_dir(env!("CARGO_MANIFEST_DIR"));
    command.output().unwrap()
}

const ON: [&str; 4] = ["--machine", "fast", "--nozzle", "0.8-hardened"];

fn answered(args: &[&str]) -> String {
    let output = bedful(&[args, &ON].concat());
    assert!(output.status.success(), "{args:?}: {output:?}");
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn json_and_text_tell_the_same_beds() {
    let line = answered(&[PART, "--copies", "13", "--json"]);
    assert!(line.starts_with("{\"format\":1,"), "{line:.40}");
    let object: Value = serde_json::from_str(&line).unwrap();
    let machine = &object["machines"][0];
    let beds: Vec<(u64, u64)> = machine["beds"]
        .as_array()
        .unwrap()
        .iter()
        .map(|bed| {
            (
                bed["times"].as_u64().unwrap(),
                bed["copies"].as_u64().unwrap(),
            )
        })
        .collect();
    assert_eq!(
        beds.iter()
            .map(|(times, copies)| times * copies)
            .sum::<u64>(),
        13
    );
    let made = &machine["options"][0]["made"];
    assert_eq!(made["pieces"], 13);
    assert_eq!(object["cheapest"], "fast/0.8-hardened");
    let text = answered(&[PART, "--copies", "13"]);
    assert!(
        text.contains("13 pieces") && text.contains(made["unit_cost"].as_str().unwrap()),
        "{text}"
    );
    assert!(
        text.lines().all(|line| line.chars().count() <= 100),
        "{text}"
    );
}

#[test]
fn the_picture_shows_every_copy_by_its_number() {
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR"));
    let path = folder.join("bedful.svg");
    answered(&[PART, "--copies", "3", "--picture", path.to_str().unwrap()]);
    let svg = std::fs::read_to_string(path).unwrap();
    for number in [
        "\n1\n",
        "\n2\n",
        "\n3\n",
        "3 pieces on the bed, at least 5 mm between them",
    ] {
        assert!(svg.contains(number), "{number}");
    }
}

#[test]
fn what_is_wrong_is_one_sentence_and_what_does_not_fit_is_a_no() {
    for (args, says) in [
        (&[PART, "--count", "1,2"][..], "--count"),
        (&[PART, "--copies", "0"], "--copies"),
        (&[PART, "--clearance-between", "-1"], "clearance"),
        (&[PART, "--csv"], "--csv"),
        (&["no/such.stl"], "no such file"),
    ] {
        let output = bedful(args);
        let error = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{args:?}: {error}");
        assert_eq!(error.trim_end().lines().count(), 1, "{error}");
        assert!(error.contains(says), "{args:?}: {error}");
    }
    let output = bedful(&[
        "models/rudder_cheek.stl",
        "--machine",
        "round",
        "--down",
        "-z",
    ]);
    assert_eq!(output.status.code(), Some(1), "{output:?}");
    assert!(
        String::from_utf8(output.stdout)
            .unwrap()
            .contains("does not fit")
    );
}
