//! Shop files that are broken, huge or hostile: refused in one sentence, never a panic.

#![allow(clippy::unwrap_used, clippy::expect_used)]

mod shop_file;

use beadtally::shop::{
    DEMONSTRATION_TOML, MAX_SHOP_BYTES, new_shop_file, read_shop, read_shop_bytes,
};
use proptest::prelude::*;
use shop_file::{refused, sentence, with};

#[test]
fn text_that_is_not_toml_is_refused_at_its_line() {
    refused(
        "wall_mm = 1.4 ",
        "wall_mm 1.4 ",
        "shop.toml, line LINE: not TOML here (",
        "write key = value",
    );
    refused(
        "price = 1350 ",
        "price = 1,350 ",
        "shop.toml, line LINE: not TOML here (",
        "",
    );
    refused(
        "height_mm = 330",
        "height_mm = 330\nheight_mm = 331",
        "shop.toml, line",
        "not TOML here (duplicate key",
    );
    assert!(sentence("\u{0}").starts_with("shop.toml, line 1: not TOML here ("));
    assert!(sentence("[shop").starts_with("shop.toml, line 1: not TOML here ("));
    assert!(sentence(&"[".repeat(100_000)).starts_with("shop.toml, line 1: not TOML here ("));
    assert!(sentence(&format!("a = {}", "[".repeat(100_000))).starts_with("shop.toml, line 1: "));
}

#[test]
fn a_file_that_is_too_long_or_no_text_is_refused() {
    let long = " ".repeat(MAX_SHOP_BYTES + 1);
    assert!(sentence(&long).starts_with("shop.toml: 1048577 bytes is no shop file"));
    let error = read_shop_bytes(long.as_bytes(), "shop.toml").unwrap_err();
    assert_eq!(error.line, None);
    let error = read_shop_bytes(b"[shop]\nname = \"\xff\"", "shop.toml").unwrap_err();
    assert_eq!(
        error.to_string(),
        "shop.toml, line 2: not UTF-8 text; save the shop file as plain UTF-8 text"
    );
    assert!(read_shop_bytes(DEMONSTRATION_TOML.as_bytes(), "shop.toml").is_ok());
}

#[test]
fn hostile_text_reaches_no_terminal() {
    let got = with(
        "name = \"Demonstration",
        "name = \"\\u001b[31mDemonstration",
    );
    assert!(
        got.contains("control character") && !got.contains('\u{1b}'),
        "{got}"
    );
    let got = with("wall_mm = 1.4", "\"wall\\u001b\\n\" = 1.4");
    assert!(!got.contains('\u{1b}'), "{got}");
    let got = with(
        "what = \"PLA, plain\"",
        &format!("what = \"{}\"", "x".repeat(5000)),
    );
    assert!(got.len() < 300, "{got}");
}

#[test]
fn every_value_made_nan_is_refused_at_its_own_line() {
    let lines: Vec<&str> = DEMONSTRATION_TOML.lines().collect();
    for (index, line) in lines.iter().enumerate() {
        let Some((key, _)) = line.split_once(" = ") else {
            continue;
        };
        if key.starts_with('#') {
            continue;
        }
        let mut changed = lines.clone();
        let wrong = format!("{key} = nan");
        changed[index] = &wrong;
        let error = read_shop(&changed.join("\n"), "shop.toml").expect_err(&wrong);
        // An id that is no text is complained of where it stands; whatever used the id comes later.
        assert_eq!(error.line, Some(index + 1), "{error}");
        assert!(error.key.contains(key.trim()), "{error}");
    }
}

#[test]
fn every_line_left_out_is_refused_or_gives_a_valid_shop() {
    let file = new_shop_file();
    let lines: Vec<&str> = file.lines().collect();
    for index in 0..lines.len() {
        let mut fewer = lines.clone();
        fewer.remove(index);
        if let Err(error) = read_shop(&fewer.join("\n"), "shop.toml") {
            assert!(
                error.message.contains(';'),
                "says what would be right: {error}"
            );
        }
    }
}

#[test]
fn a_truncated_file_never_panics() {
    let file = new_shop_file();
    for end in (0..file.len())
        .filter(|end| file.is_char_boundary(*end))
        .step_by(41)
    {
        let _ = read_shop(&file[..end], "shop.toml");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]

    #[test]
    fn any_bytes_give_an_error_and_no_panic(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        prop_assert!(read_shop_bytes(&bytes, "shop.toml").is_err());
    }

    #[test]
    fn any_byte_changed_gives_a_shop_or_an_error_and_no_panic(at in 0_usize..4000, byte in 32_u8..127) {
        let mut bytes = new_shop_file().into_bytes();
        let at = at % bytes.len();
        bytes[at] = byte;
        if let Err(error) = read_shop_bytes(&bytes, "shop.toml") {
            prop_assert!(!error.to_string().contains('\n'));
        }
    }
}
