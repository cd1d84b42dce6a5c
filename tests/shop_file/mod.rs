//! Demonstration shop files with one thing changed, and the sentence that answers them.

#![allow(clippy::expect_used)]

use beadtally::shop::{DEMONSTRATION_TOML, read_shop};

/// The line on which a text first stands in the demonstration file, from 1.
pub fn line_of(text: &str) -> usize {
    let at = DEMONSTRATION_TOML
        .find(text)
        .unwrap_or_else(|| panic!("{text} is in the file"));
    DEMONSTRATION_TOML[..at].matches('\n').count() + 1
}

/// The sentence for a demonstration file with one text replaced.
pub fn with(from: &str, to: &str) -> String {
    line_of(from);
    sentence(&DEMONSTRATION_TOML.replacen(from, to, 1))
}

/// The one sentence that refuses a shop file.
pub fn sentence(text: &str) -> String {
    let error = read_shop(text, "shop.toml").expect_err("a wrong shop file is refused");
    let sentence = error.to_string();
    assert!(!sentence.contains('\n'), "{sentence}");
    sentence
}

/// Holds a change to the start of its sentence, with `LINE` for the line of the changed text, and to a part of it.
pub fn refused(from: &str, to: &str, start: &str, part: &str) {
    let got = with(from, to);
    let start = start.replace("LINE", &line_of(from).to_string());
    assert!(got.starts_with(&start), "{got}\nshould start with\n{start}");
    assert!(got.contains(part), "{got}\nshould say\n{part}");
}
