//! Orders and shops that can't be priced: one sentence on standard error, exit code 2, nothing on standard output.

use std::path::Path;
use std::process::{Command, Output};

use beadtally::shop::DEMONSTRATION_TOML;

fn beadtally(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_beadtally"))
        .args(args)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap()
}

fn refused(args: &[&str], words: &str) {
    let output = beadtally(args);
    let sentence = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{args:?}: {sentence}");
    assert!(output.stdout.is_empty(), "{args:?}");
    assert_eq!(
        sentence.trim_end().lines().count(),
        1,
        "{args:?}: {sentence}"
    );
    assert!(
        sentence.contains(words),
        "{args:?}: {sentence} lacks {words}"
    );
}

const PART: &str = "models/cleat_block.stl";

#[test]
fn what_is_typed_wrongly_at_a_quote_is_told() {
    for (args, words) in [
        (["--quantity", "0"], "0 is no quantity"),
        (["--quantity", "1,0"], "0 is no quantity"),
        (["--discount", "1"], "below 1, such as 0.05"),
        (["--discount", "nan"], "is no discount"),
        (["--discount", "0.6"], "would be sold below its cost"),
        (["--bought-in", "insert"], "is no NAME=PRICE"),
        (["--bought-in", "insert=-1"], "is no NAME=PRICE"),
        (["--gets-hot", "4000"], "is no temperature"),
        (["--date", "2026-02-30"], "give one as YYYY-MM-DD"),
        (["--out", "quote.doc"], "give a name that ends so"),
    ] {
        refused(&["quote", PART, args[0], args[1]], words);
    }
}

#[test]
fn what_is_typed_wrongly_at_a_payback_is_told() {
    let buy = "docs/purchase.toml";
    refused(
        &["payback", PART, "--monthly", "0", "--buy", buy],
        "one of at least 1 for each part",
    );
    refused(
        &["payback", PART, "--monthly", "1,2", "--buy", buy],
        "one of at least 1 for each part",
    );
    refused(
        &["payback", PART, "--monthly", "1", "--buy", "none.toml"],
        "none.toml",
    );
    refused(
        &["payback", PART, "--monthly", "1", "--buy", "models"],
        "this is no text file",
    );
    refused(
        &["payback", "none.stl", "--monthly", "1", "--buy", buy],
        "none.stl",
    );
}

#[test]
fn a_shop_file_whose_money_makes_no_sense_is_answered_with_what_would_be_right() {
    let file = Path::new(env!("CARGO_TARGET_TMPDIR")).join("price_bad_shop.toml");
    let path = file.to_str().unwrap();
    for (was, is, words) in [
        (
            "margin = 0.25 ",
            "margin = 1.0 ",
            "part of the price that is profit, below 1",
        ),
        (
            "margin = 0.25 ",
            "margin = 0.25\nmark_up = 0.3 ",
            "keep one",
        ),
        ("tax = 0.20 ", "tax = 1.2 ", "too large"),
        (
            "currency = \"EUR\"",
            "currency = \"EUX\"",
            "is not an ISO 4217 code",
        ),
        (
            "{ from = 20, share = 0.03 }",
            "{ from = 200, share = 0.03 }",
            "whole numbers that rise",
        ),
        (
            "language = \"en\"",
            "language = \"fr\"",
            "is not known here",
        ),
        (
            "spool_rest_g = 20 ",
            "spool_rest_g = 1000 ",
            "is the whole spool",
        ),
        ("valid_days = 30", "valid_days = 0.5", "too small"),
    ] {
        assert!(DEMONSTRATION_TOML.contains(was), "{was}");
        std::fs::write(&file, DEMONSTRATION_TOML.replacen(was, is, 1)).unwrap();
        refused(&["quote", PART, "--shop", path], words);
    }
    let from = DEMONSTRATION_TOML.find("\nattended = {").unwrap();
    let to = from + 1 + DEMONSTRATION_TOML[from + 1..].find('\n').unwrap();
    let idle = format!(
        "{}\nattended = {{}}{}",
        &DEMONSTRATION_TOML[..from],
        &DEMONSTRATION_TOML[to..]
    );
    std::fs::write(&file, idle).unwrap();
    refused(&["quote", PART, "--shop", path], "no weekday has hours");
}

/// A folder of this test's own.
fn folder(name: &str) -> std::path::PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

#[test]
fn what_was_read_is_never_written_over_by_any_link() {
    let folder = folder("price_over");
    let shop = folder.join("shop.txt");
    std::fs::write(&shop, DEMONSTRATION_TOML).unwrap();
    let path = shop.to_str().unwrap();
    refused(
        &["quote", PART, "--shop", path, "--out", path],
        "that is the shop file",
    );
    let (part, link) = (folder.join("part.stl"), folder.join("link.txt"));
    std::fs::copy(Path::new(env!("CARGO_MANIFEST_DIR")).join(PART), &part).unwrap();
    std::fs::hard_link(&part, &link).unwrap();
    let before = std::fs::read(&part).unwrap();
    refused(
        &[
            "quote",
            part.to_str().unwrap(),
            "--out",
            link.to_str().unwrap(),
        ],
        "that is a part",
    );
    assert_eq!(std::fs::read(&part).unwrap(), before);
    assert_eq!(std::fs::read_to_string(&shop).unwrap(), DEMONSTRATION_TOML);
}

#[cfg(unix)]
#[test]
fn a_device_without_end_and_one_that_is_no_file_are_refused() {
    refused(&["shop", "check", "/dev/zero"], "longer than a shop file");
    let folder = folder("price_device");
    let device = folder.join("null.pdf");
    std::os::unix::fs::symlink("/dev/null", &device).unwrap();
    refused(
        &["quote", PART, "--out", device.to_str().unwrap()],
        "that is no plain file",
    );
}

/// 26 November 2026 is a Thursday: a print of nine hours that begins on Friday can't be sent the same day, but by the end of next week.
#[test]
fn a_due_day_is_held_against_the_calendar_and_its_holidays() {
    let quote = |more: &[&str]| {
        let mut args = vec![
            "quote",
            PART,
            "--layer-height",
            "0.3",
            "--date",
            "2026-11-26",
        ];
        args.extend(more);
        beadtally(&args)
    };
    assert_eq!(quote(&["--due", "2026-12-04"]).status.code(), Some(0));
    let shop = folder("price_due").join("shop.toml");
    let away = "holidays = [\"2026-11-26/2026-12-31\"]";
    let from = DEMONSTRATION_TOML.find("\nholidays = ").unwrap() + 1;
    let to = from + DEMONSTRATION_TOML[from..].find('\n').unwrap();
    let text = format!(
        "{}{away}{}",
        &DEMONSTRATION_TOML[..from],
        &DEMONSTRATION_TOML[to..]
    );
    std::fs::write(&shop, text).unwrap();
    let output = quote(&["--due", "2026-12-04", "--shop", shop.to_str().unwrap()]);
    let sentence = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(1), "{sentence}");
    assert!(sentence.contains("not met"), "{sentence}");
}
