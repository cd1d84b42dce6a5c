//! What text formats share: words with their lines, and what a file that is no mesh turns out to be.

use crate::mesh::MeshError;

/// The words of a text with the line they stand on.
pub(super) struct Words<'a> {
    bytes: &'a [u8],
    at: usize,
    line: usize,
}

impl<'a> Words<'a> {
    /// Starts at the beginning.
    pub(super) fn new(bytes: &'a [u8]) -> Self {
        Words {
            bytes,
            at: 0,
            line: 1,
        }
    }

    /// The next word on this line or a later one.
    pub(super) fn next_word(&mut self) -> Option<&'a [u8]> {
        while let Some(byte) = self.bytes.get(self.at).filter(|b| b.is_ascii_whitespace()) {
            self.line += usize::from(*byte == b'\n');
            self.at += 1;
        }
        let rest = &self.bytes[self.at..];
        let end = rest
            .iter()
            .position(u8::is_ascii_whitespace)
            .unwrap_or(rest.len());
        self.at += end;
        (end > 0).then(|| &rest[..end])
    }

    /// Passes over the rest of this line.
    pub(super) fn skip_line(&mut self) {
        while self.bytes.get(self.at).is_some_and(|b| *b != b'\n') {
            self.at += 1;
        }
    }

    /// The line of the word read last, from 1.
    pub(super) fn line(&self) -> usize {
        self.line
    }
}

/// A word of a stranger's file as it may be shown: short, and without characters that steer the owner's terminal.
pub(super) fn shown(word: Option<&[u8]>) -> String {
    match word {
        Some(word) => {
            crate::mesh::plain_text(&String::from_utf8_lossy(&word[..word.len().min(40)]))
        }
        None => "the end of the file".to_owned(),
    }
}

/// Whether a word is a keyword, in upper or lower case.
pub(super) fn is(word: &[u8], keyword: &[u8]) -> bool {
    word.eq_ignore_ascii_case(keyword)
}

/// What a file is that is known to be no mesh, in the words of the error.
pub(super) fn known_other(bytes: &[u8]) -> Option<&'static str> {
    const STARTS: [(&[u8], &str); 9] = [
        (b"ISO-10303-21", "a STEP file: curved faces, not yet a mesh"),
        (b"%PDF", "a PDF document"),
        (b"\x89PNG", "a picture (PNG)"),
        (b"\xff\xd8\xff", "a picture (JPEG)"),
        (b"GIF8", "a picture (GIF)"),
        (b"glTF", "a binary scene file (glTF)"),
        (b"Rar!", "a RAR archive; zip is read"),
        (b"7z\xbc\xaf\x27\x1c", "a 7z archive; zip is read"),
        (b"<!DOCTYPE html", "a web page"),
    ];
    let start = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let start = start.trim_ascii_start();
    STARTS
        .iter()
        .find(|(magic, _)| start.get(..magic.len()).is_some_and(|s| is(s, magic)))
        .map(|(_, what)| *what)
}

/// The error for bytes that no reader takes.
pub(super) fn unknown(bytes: &[u8]) -> MeshError {
    let start: String = bytes
        .iter()
        .take(24)
        .map(|b| {
            if b.is_ascii_graphic() || *b == b' ' {
                *b as char
            } else {
                '.'
            }
        })
        .collect();
    MeshError::UnknownFormat { start }
}
