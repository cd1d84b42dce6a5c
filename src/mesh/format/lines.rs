//! Text whose lines matter: words with the end of their line. OBJ, OFF and the text form of PLY are such.

use super::text::shown;
use crate::mesh::MeshError;

/// The words of a text line by line. A line ends with LF, CR LF or CR.
pub(super) struct Lines<'a> {
    format: &'static str,
    bytes: &'a [u8],
    at: usize,
    line: usize,
    comments: bool,
    continued: bool,
}

impl<'a> Lines<'a> {
    /// Starts at the beginning of a text without comments; `first_line` is the number of its first line.
    pub(super) fn new(format: &'static str, bytes: &'a [u8], first_line: usize) -> Self {
        let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
        Lines {
            format,
            bytes,
            at: 0,
            line: first_line,
            comments: false,
            continued: false,
        }
    }

    /// A `#` begins a comment.
    pub(super) fn with_comments(mut self) -> Self {
        self.comments = true;
        self
    }

    /// A backslash at the end of a line joins it to the next.
    pub(super) fn with_continuation(mut self) -> Self {
        self.continued = true;
        self
    }

    /// The next word of this line; none at its end.
    pub(super) fn word(&mut self) -> Option<&'a [u8]> {
        loop {
            match self.bytes.get(self.at)? {
                b'\n' | b'\r' => return None,
                byte if byte.is_ascii_whitespace() => self.at += 1,
                b'#' if self.comments => {
                    self.skip_line();
                    return None;
                }
                b'\\' if self.joins_next() => {
                    self.at += 1;
                    self.pass_line_end();
                }
                _ => break,
            }
        }
        let start = self.at;
        // The first byte belongs to the word whatever it is.
        self.at += 1;
        while let Some(byte) = self.bytes.get(self.at)
            && !byte.is_ascii_whitespace()
            && !(self.comments && *byte == b'#')
            && !(*byte == b'\\' && self.joins_next())
        {
            self.at += 1;
        }
        Some(&self.bytes[start..self.at])
    }

    /// Goes on to the next line that has a word, or the same line where none of its words was taken; whether there is one.
    pub(super) fn start_line(&mut self) -> bool {
        loop {
            match self.bytes.get(self.at) {
                None => return false,
                Some(b'\n' | b'\r') => self.pass_line_end(),
                Some(byte) if byte.is_ascii_whitespace() => self.at += 1,
                Some(b'#') if self.comments => self.skip_line(),
                Some(b'\\') if self.joins_next() => self.at += 1,
                Some(_) => return true,
            }
        }
    }

    /// Passes over the rest of the line, and over the lines joined to it.
    pub(super) fn skip_words(&mut self) {
        while self.word().is_some() {}
    }

    /// Passes over the rest of the line up to its end, whatever stands there.
    pub(super) fn skip_line(&mut self) {
        let rest = &self.bytes[self.at..];
        let end = rest.iter().position(|b| matches!(b, b'\n' | b'\r'));
        self.at += end.unwrap_or(rest.len());
    }

    /// The line of the word read last.
    pub(super) fn line(&self) -> usize {
        self.line
    }

    /// Reads a finite number.
    pub(super) fn coordinate(&mut self) -> Result<f64, MeshError> {
        let word = self.word();
        let number = parsed::<f64>(word).ok_or_else(|| self.instead(word, "a number"))?;
        if number.is_finite() {
            Ok(number)
        } else {
            Err(self.instead(word, "a finite number"))
        }
    }

    /// Reads a whole number that is not negative.
    pub(super) fn count(&mut self, what: &str) -> Result<u64, MeshError> {
        let word = self.word();
        parsed(word).ok_or_else(|| self.instead(word, what))
    }

    /// The error for a word that stands where something else should.
    pub(super) fn instead(&self, word: Option<&[u8]>, should: &str) -> MeshError {
        self.error(match word {
            Some(_) => format!("\"{}\" stands where {should} should", shown(word)),
            None if self.at >= self.bytes.len() => {
                format!("the file ends where {should} should stand")
            }
            None => format!("the line ends where {should} should stand"),
        })
    }

    /// An error on this line.
    pub(super) fn error(&self, problem: String) -> MeshError {
        MeshError::Malformed {
            format: self.format,
            place: format!("line {}", self.line),
            problem,
        }
    }

    fn joins_next(&self) -> bool {
        self.continued && matches!(self.bytes.get(self.at + 1), Some(b'\n' | b'\r'))
    }

    fn pass_line_end(&mut self) {
        let both = self.bytes[self.at..].starts_with(b"\r\n");
        self.at += 1 + usize::from(both);
        self.line += 1;
    }
}

/// A word as a number.
pub(super) fn parsed<N: std::str::FromStr>(word: Option<&[u8]>) -> Option<N> {
    std::str::from_utf8(word?).ok()?.parse().ok()
}
