//! STL, binary and ASCII.
//!
//! Binary layout (Burns, *Automated Fabrication* 6.5): 80-byte header, little-endian facet count, 50 bytes a facet;
//! so the size is 84 + 50 n, and a header may begin with "solid". The text form is read here and not by `stl_io`,
//! which stops at the first of several solids and refuses upper case and normals that are not numbers, all of which
//! customers send.

use std::io::Cursor;

use super::text::{Words, is, shown, unknown};
use crate::mesh::weld::join_equal;
use crate::mesh::{Drawing, Finding, FindingKind, MeshError};

const HEADER_BYTES: usize = 84;
const FACET_BYTES: usize = 50;

/// Whether this is an STL file, whole or damaged.
pub(super) fn is_stl(bytes: &[u8]) -> bool {
    is_text(bytes) || promised_facets(bytes).is_some() && !looks_like_text(bytes)
}

/// Reads either form.
pub(super) fn read(bytes: Vec<u8>) -> Result<Drawing, MeshError> {
    let Facets { corners, notes } = if is_text(&bytes) {
        read_text(&bytes)?
    } else {
        read_binary(bytes)?
    };
    Ok(Drawing::of_one("STL", join_equal(&corners), notes))
}

/// Facets as the file holds them, each with its own three corners.
struct Facets {
    corners: Vec<[[f32; 3]; 3]>,
    notes: Vec<Finding>,
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
        notes.push(
            Finding::new(
                FindingKind::Remark,
                spare as usize,
                format!("{spare} bytes follow the last facet and were passed over"),
            )
            .mended(),
        );
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
            return Err(unexpected(
                &words,
                Some(word),
                "\"facet\", \"solid\" or \"endsolid\"",
            ));
        }
    }
    let mut notes = Vec::new();
    if open_solid {
        notes.push(Finding::new(
            FindingKind::Remark,
            1,
            "the text ends without \"endsolid\"; facets may be missing",
        ));
    }
    Ok(Facets { corners, notes })
}

/// After the word "facet": the normal (whose numbers are not used and may be anything), then the loop of three.
fn read_facet(words: &mut Words<'_>) -> Result<[[f32; 3]; 3], MeshError> {
    expect(words, b"normal", "\"normal\"")?;
    loop {
        match words.next_word() {
            Some(word) if is(word, b"outer") => break,
            Some(word) if word.len() <= 64 && !is(word, b"vertex") && !is(word, b"facet") => {}
            other => return Err(unexpected(words, other, "\"outer loop\"")),
        }
    }
    expect(words, b"loop", "\"loop\"")?;
    let mut corners = [[0.0f32; 3]; 3];
    for corner in &mut corners {
        expect(words, b"vertex", "\"vertex\"")?;
        for coordinate in corner {
            *coordinate = number(words)?;
        }
    }
    expect(words, b"endloop", "\"endloop\" after three vertices")?;
    expect(words, b"endfacet", "\"endfacet\"")?;
    Ok(corners)
}

fn expect(words: &mut Words<'_>, keyword: &[u8], expected: &'static str) -> Result<(), MeshError> {
    match words.next_word() {
        Some(word) if is(word, keyword) => Ok(()),
        other => Err(unexpected(words, other, expected)),
    }
}

fn number(words: &mut Words<'_>) -> Result<f32, MeshError> {
    let word = words.next_word();
    word.and_then(|w| std::str::from_utf8(w).ok())
        .and_then(|w| w.parse::<f32>().ok())
        .ok_or_else(|| unexpected(words, word, "a number"))
}

fn unexpected(words: &Words<'_>, word: Option<&[u8]>, expected: &'static str) -> MeshError {
    MeshError::Text {
        line: words.line(),
        found: shown(word),
        expected,
    }
}
