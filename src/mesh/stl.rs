//! STL, binary and ASCII.
//!
//! Binary layout (Burns, *Automated Fabrication* 6.5): 80-byte header, little-endian facet count, 50 bytes a facet;
//! so the size is 84 + 50 n, and a header may begin with "solid". The text form is read here and not by `stl_io`,
//! which stops at the first of several solids and refuses upper case and normals that are not numbers, all of which
//! customers send.

use std::io::Cursor;

use super::facets::Facets;
use super::{Finding, FindingKind, MeshError};

const HEADER_BYTES: usize = 84;
const FACET_BYTES: usize = 50;

pub(super) fn read(bytes: Vec<u8>) -> Result<Facets, MeshError> {
    if is_text(&bytes) {
        read_text(&bytes)
    } else {
        read_binary(bytes)
    }
}

/// A file is text where it starts with "solid" and its size is not the one its binary header would promise, or where
/// it has no byte that text can't have.
fn is_text(bytes: &[u8]) -> bool {
    let start = bytes.trim_ascii_start();
    let says_solid = start
        .get(..5)
        .is_some_and(|s| s.eq_ignore_ascii_case(b"solid"));
    if !says_solid {
        return false;
    }
    match promised_facets(bytes) {
        Some(n) if bytes.len() == HEADER_BYTES + FACET_BYTES * n as usize => false,
        _ => !bytes.iter().take(4096).any(|b| *b == 0),
    }
}

fn promised_facets(bytes: &[u8]) -> Option<u32> {
    let count: [u8; 4] = bytes.get(80..HEADER_BYTES)?.try_into().ok()?;
    Some(u32::from_le_bytes(count))
}

fn read_binary(mut bytes: Vec<u8>) -> Result<Facets, MeshError> {
    let Some(promised) = promised_facets(&bytes) else {
        return Err(unknown(&bytes));
    };
    let held = bytes.len() as u64;
    let room = (held - HEADER_BYTES as u64) / FACET_BYTES as u64;
    let spare = held - HEADER_BYTES as u64 - room * FACET_BYTES as u64;
    if u64::from(promised) > room {
        // Any text has some number where a binary file has its count; only a file that is mostly a mesh was cut short.
        if looks_like_text(&bytes) {
            return Err(unknown(&bytes));
        }
        let needed = HEADER_BYTES as u64 + FACET_BYTES as u64 * u64::from(promised);
        return Err(MeshError::Truncated {
            promised,
            needed,
            held,
            room,
        });
    }
    if u64::from(promised) < room {
        return Err(MeshError::CountTooSmall { promised, room });
    }
    let mut notes = Vec::new();
    if spare > 0 {
        notes.push(Finding {
            kind: FindingKind::Remark,
            count: spare,
            detail: format!("{spare} bytes follow the last facet and were passed over"),
            mended: true,
        });
    }
    // `stl_io` takes any header that begins with "solid" for text; the size has already told us better.
    bytes[0] = b' ';
    let mut corners = Vec::with_capacity(promised as usize);
    let mut cursor = Cursor::new(bytes.as_slice());
    let facets = stl_io::create_stl_reader(&mut cursor).map_err(|_| unknown(&bytes))?;
    for facet in facets {
        let facet = facet.map_err(|_| MeshError::Truncated {
            promised,
            needed: HEADER_BYTES as u64 + FACET_BYTES as u64 * u64::from(promised),
            held,
            room,
        })?;
        corners.push(facet.vertices.map(<[f32; 3]>::from));
    }
    Ok(Facets { corners, notes })
}

fn looks_like_text(bytes: &[u8]) -> bool {
    std::str::from_utf8(&bytes[..bytes.len().min(512)])
        .map_or_else(|e| e.valid_up_to() + 4 >= bytes.len().min(512), |_| true)
        && !bytes.iter().take(512).any(|b| *b == 0)
}

fn unknown(bytes: &[u8]) -> MeshError {
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

fn read_text(bytes: &[u8]) -> Result<Facets, MeshError> {
    let mut words = Words::new(bytes);
    let mut corners = Vec::new();
    let mut open_solid = false;
    while let Some(word) = words.next_word() {
        if is(word, b"solid") || is(word, b"endsolid") {
            open_solid = is(word, b"solid");
            words.skip_line();
        } else if is(word, b"facet") {
            corners.push(read_facet(&mut words)?);
        } else if word.starts_with(b"#") {
            words.skip_line();
        } else {
            return Err(words.unexpected(Some(word), "\"facet\", \"solid\" or \"endsolid\""));
        }
    }
    let mut notes = Vec::new();
    if open_solid {
        notes.push(Finding {
            kind: FindingKind::Remark,
            count: 1,
            detail: "the text ends without \"endsolid\"; facets may be missing".into(),
            mended: false,
        });
    }
    Ok(Facets { corners, notes })
}

/// After the word "facet": the normal (whose numbers are not used and may be anything), then the loop of three.
fn read_facet(words: &mut Words<'_>) -> Result<[[f32; 3]; 3], MeshError> {
    words.expect(b"normal", "\"normal\"")?;
    loop {
        match words.next_word() {
            Some(word) if is(word, b"outer") => break,
            Some(word) if word.len() <= 64 && !is(word, b"vertex") && !is(word, b"facet") => {}
            other => return Err(words.unexpected(other, "\"outer loop\"")),
        }
    }
    words.expect(b"loop", "\"loop\"")?;
    let mut corners = [[0.0f32; 3]; 3];
    for corner in &mut corners {
        words.expect(b"vertex", "\"vertex\"")?;
        for coordinate in corner {
            *coordinate = words.number()?;
        }
    }
    words.expect(b"endloop", "\"endloop\" after three vertices")?;
    words.expect(b"endfacet", "\"endfacet\"")?;
    Ok(corners)
}

fn is(word: &[u8], keyword: &[u8]) -> bool {
    word.eq_ignore_ascii_case(keyword)
}

/// The words of a text with the line they stand on.
struct Words<'a> {
    bytes: &'a [u8],
    at: usize,
    line: usize,
}

impl<'a> Words<'a> {
    fn new(bytes: &'a [u8]) -> Self {
        Words {
            bytes,
            at: 0,
            line: 1,
        }
    }

    fn next_word(&mut self) -> Option<&'a [u8]> {
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

    fn skip_line(&mut self) {
        while self.bytes.get(self.at).is_some_and(|b| *b != b'\n') {
            self.at += 1;
        }
    }

    fn expect(&mut self, keyword: &[u8], expected: &'static str) -> Result<(), MeshError> {
        match self.next_word() {
            Some(word) if is(word, keyword) => Ok(()),
            other => Err(self.unexpected(other, expected)),
        }
    }

    fn number(&mut self) -> Result<f32, MeshError> {
        let word = self.next_word();
        word.and_then(|w| std::str::from_utf8(w).ok())
            .and_then(|w| w.parse::<f32>().ok())
            .ok_or_else(|| self.unexpected(word, "a number"))
    }

    fn unexpected(&self, word: Option<&[u8]>, expected: &'static str) -> MeshError {
        let found = match word {
            // What a stranger's file says must not steer the owner's terminal.
            Some(word) => String::from_utf8_lossy(&word[..word.len().min(40)])
                .chars()
                .map(|c| if c.is_control() { '?' } else { c })
                .collect(),
            None => "the end of the file".to_owned(),
        };
        MeshError::Text {
            line: self.line,
            found,
            expected,
        }
    }
}
