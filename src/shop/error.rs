//! What is wrong with a shop file, and where.

use thiserror::Error;

/// One thing wrong with a shop file. Shown as one sentence that names the file, the line and the key, and says what
/// would be right.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", sentence(.file, *.line, .key, .message))]
pub struct ShopError {
    /// The file as its reader named it.
    pub file: String,
    /// Line in the file, from 1; `None` where the fault is the whole file's.
    pub line: Option<usize>,
    /// The table and key, in words: `machine "fast" key price`. Empty where the fault is the whole file's.
    pub key: String,
    /// What is wrong and what would be right.
    pub message: String,
}

fn sentence(file: &str, line: Option<usize>, key: &str, message: &str) -> String {
    let line = line
        .map(|line| format!(", line {line}"))
        .unwrap_or_default();
    let key = if key.is_empty() {
        String::new()
    } else {
        format!(", {key}")
    };
    format!("{file}{line}{key}: {message}")
}
