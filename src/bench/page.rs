//! A page of text: paragraphs, numbered steps and lines of a table, at most 98 characters wide.

const WIDTH: usize = 98;

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
        self.broken("", "  ", text.as_ref());
    }

    /// The next numbered step.
    pub fn step(&mut self, text: impl AsRef<str>) {
        self.steps += 1;
        let head = format!("{:2}. ", self.steps);
        self.broken(&head, "    ", text.as_ref());
    }

    /// An empty line.
    pub fn gap(&mut self) {
        self.line("");
    }

    /// The page.
    pub fn text(self) -> String {
        self.text
    }

    fn broken(&mut self, head: &str, indent: &str, text: &str) {
        let mut line = head.to_owned();
        let mut bare = true;
        for word in text.split_whitespace() {
            if !bare && line.chars().count() + 1 + word.chars().count() > WIDTH {
                self.line(std::mem::replace(&mut line, indent.to_owned()));
                bare = true;
            }
            if !bare {
                line.push(' ');
            }
            line.push_str(word);
            bare = false;
        }
        self.line(line);
    }
}
