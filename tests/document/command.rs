//! `quote --out`: files by their ending, refused in one sentence where that can't be.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn quote(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_beadtally"))
        .arg("quote")
        .args(args)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap()
}

fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"))
        .join("document")
        .join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

const PART: &str = "models/cleat_block.stl";
const QUICK: [&str; 4] = ["--layer-height", "0.3", "--date", "2026-11-26"];

fn refused(args: &[&str], words: &[&str]) {
    let output = quote(args);
    let sentence = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{sentence}");
    assert_eq!(sentence.lines().count(), 1, "{sentence}");
    for word in words {
        assert!(sentence.contains(word), "{word} in {sentence}");
    }
}

#[test]
fn several_files_are_written_at_once_each_by_its_ending() {
    let folder = folder("several");
    let path = |name: &str| folder.join(name).to_str().unwrap().to_owned();
    let files = ["q.pdf", "q.HTML", "q.txt", "q.json"].map(path);
    let mut args = vec![PART, "--quantity", "1,10"];
    args.extend(QUICK);
    files.iter().for_each(|file| args.extend(["--out", file]));
    let output = quote(&args);
    assert!(output.status.success(), "{output:?}");
    let starts: [&[u8]; 4] = [
        b"%PDF-1.",
        b"<!DOCTYPE html>",
        b"Demonstration",
        b"{\"format\":1,",
    ];
    for (file, start) in files.iter().zip(starts) {
        let bytes = std::fs::read(file).unwrap();
        assert!(bytes.starts_with(start), "{file}");
        assert!(
            !String::from_utf8_lossy(&bytes).contains("overhead"),
            "{file}: the owner's figures"
        );
    }
    let again = path("again.pdf");
    let mut args = vec![PART, "--quantity", "1,10", "--out", &again];
    args.extend(QUICK);
    assert!(quote(&args).status.success());
    assert!(
        std::fs::read(&again).unwrap() == std::fs::read(&files[0]).unwrap(),
        "same input, other bytes"
    );
    let owners = path("owner.json");
    let mut args = vec![PART, "--for", "owner", "--out", &owners];
    args.extend(QUICK);
    assert!(quote(&args).status.success());
    assert!(
        std::fs::read_to_string(&owners)
            .unwrap()
            .contains("overhead")
    );
}

#[test]
fn what_cannot_be_written_is_refused_in_one_sentence() {
    refused(
        &[PART, "--out", "quote.docx"],
        &["--out quote.docx", ".pdf, .html, .txt or .json"],
    );
    refused(&[PART, "--out", "quote"], &["--out quote", ".pdf"]);
    refused(
        &[PART, "--date", "2026-02-30"],
        &["--date 2026-02-30", "YYYY-MM-DD"],
    );
    refused(
        &[
            PART,
            "models/pump_mount.stl",
            "--layer-height",
            "0.3",
            "--out",
            "q.pdf",
        ],
        &["--out", "one part"],
    );
    let missing = "target/no such folder/q.pdf";
    refused(
        &[PART, "--layer-height", "0.3", "--out", missing],
        &[missing, "can be written"],
    );
}

#[test]
fn a_part_is_never_written_over() {
    let folder = folder("over");
    let part = folder.join("part.txt");
    std::fs::copy(Path::new(env!("CARGO_MANIFEST_DIR")).join(PART), &part).unwrap();
    let path = part.to_str().unwrap();
    refused(
        &[path, "--out", path],
        &["that is a part, which is never written over"],
    );
}

/// A part that no machine of the shop holds has no price, so there is nothing to send; the owner's version says why.
#[test]
fn no_option_no_quotation_for_the_customer() {
    let folder = folder("none");
    let customers = folder.join("q.pdf");
    let args = [
        "models/hatch_lid_mould.stl",
        "--machine",
        "fast",
        "--layer-height",
        "0.3",
    ];
    let mut with = args.to_vec();
    with.extend(["--out", customers.to_str().unwrap()]);
    let output = quote(&with);
    let sentence = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(1), "{sentence}");
    assert!(
        sentence.contains("not written, for nothing can be offered"),
        "{sentence}"
    );
    assert!(!customers.exists());
    let owners = folder.join("o.txt");
    let mut with = args.to_vec();
    with.extend(["--for", "owner", "--out", owners.to_str().unwrap()]);
    let output = quote(&with);
    assert_eq!(output.status.code(), Some(1), "{output:?}");
    assert!(
        std::fs::read_to_string(&owners)
            .unwrap()
            .starts_with("No: ")
    );
}
