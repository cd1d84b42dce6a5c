//! Breaking text into lines, for every room that writes pages.

/// Columns that text may take.
pub const WIDTH: usize = 98;

/// Text broken into lines of at most `width` characters; the first keeps its own indent, later lines get `indent`.
pub fn wrap(text: &str, width: usize, indent: &str) -> String {
    let mut lines: Vec<String> = Vec::new();
    let mut line = text[..text.len() - text.trim_start().len()].to_owned();
    for word in text.split_whitespace() {
        let room = if line.is_empty() { 0 } else { 1 };
        if !line.trim().is_empty() && line.chars().count() + room + word.chars().count() > width {
            lines.push(std::mem::replace(&mut line, indent.to_owned()));
        }
        if !line.is_empty() && !line.ends_with(' ') {
            line.push(' ');
        }
        line.push_str(word);
    }
    lines.push(line);
    lines.join("\n")
}
