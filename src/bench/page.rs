//! A page of text: paragraphs, numbered steps and lines of a table, at most 98 characters wide.

use crate::wrap::{WIDTH, wrap};

/// A page that grows line by line.
#[derive(Debug, Default)]
pub(super) struct Page {
    text: String,
    steps: usize,
}

impl Page {
    /// A line as it is.
    pub fn line(&mut self, line: impl AsRef<str>) {
        self.text.push_str(line.as_ref());
        self.text.push('\n');
    }

    /// A paragraph, broken between words.
    pub fn say(&mut self, text: impl AsRef<str>) {
        self.line(wrap(text.as_ref().trim_start(), WIDTH, "  "));
    }

    /// The next numbered step.
    pub fn step(&mut self, text: impl AsRef<str>) {
        self.steps += 1;
        let step = format!("{:2}. {}", self.steps, text.as_ref());
        self.line(wrap(&step, WIDTH, "    "));
    }

    /// An empty line.
    pub fn gap(&mut self) {
        self.line("");
    }

    /// The page.
    pub fn text(self) -> String {
        self.text
    }
}
