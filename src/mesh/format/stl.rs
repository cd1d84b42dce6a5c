//! STL, binary and ASCII.
//!
//! Binary layout (Burns, *Automated Fabrication* 6.5): 80-byte header, little-endian facet count, 50 bytes a facet;
//! so the size is 84 + 50 n, and a header may begin with "solid". Neither form is read by `stl_io`: of text it stops at the first
//! of several solids and refuses upper case and normals that are not numbers, all of which customers send; of binary see
//! [`read_binary`]. The tests hold what is read here against it.

use super::text::{Words, is, shown, unknown};
use crate::mesh::weld::join_equal;
use crate::mesh::{Drawing, Finding, FindingKind, MeshError, Surface};

/// The header's text ends and the facet count stands at this byte.
const COUNT_AT: usize = 80;
const FACET_BYTES: usize = 50;
/// A facet begins with its normal, which is not used: the corners say which way it faces.
const NORMAL_BYTES: usize = 12;

/// Whether this is an STL file, whole or damaged.
pub(super) fn is_stl(bytes: &[u8]) -> bool {
    is_text(bytes) || count_at(bytes, COUNT_AT).is_some() && !looks_like_text(bytes)
}

/// Reads either form.
pub(super) fn read(bytes: Vec<u8>) -> Result<Drawing, MeshError> {
    let (surface, notes) = if is_text(&bytes) {
        read_text(&bytes)?
    } else {
        read_binary(&bytes)?
    };
    Ok(Drawing::of_one("STL", surface, notes))
}

/// A file is text where it starts with "solid", after comments if there are any, and its size is not the one its binary header
/// would promise, or where it has no byte that text can't have.
fn is_text(bytes: &[u8]) -> bool {
    let mut start = bytes.trim_ascii_start();
    while start.first() == Some(&b'#') {
        let end = start.iter().position(|b| *b == b'\n');
        start = start[end.unwrap_or(start.len())..].trim_ascii_start();
    }
    let says_solid = start
        .get(..5)
        .is_some_and(|s| s.eq_ignore_ascii_case(b"solid"));
    if !says_solid {
        return false;
    }
    match count_at(bytes, COUNT_AT) {
        Some(n) if is_whole(bytes, COUNT_AT, n) => false,
        _ => !bytes.iter().take(4096).any(|b| *b == 0),
    }
}

/// The facet count where a header of that many bytes has it.
fn count_at(bytes: &[u8], header_bytes: usize) -> Option<u32> {
    let count = bytes.get(header_bytes..header_bytes + 4)?;
    Some(u32::from_le_bytes(count.try_into().ok()?))
}

/// Whether the file ends with the last facet that its header promises.
fn is_whole(bytes: &[u8], header_bytes: usize, facets: u32) -> bool {
    bytes.len() as u64 == header_bytes as u64 + 4 + FACET_BYTES as u64 * u64::from(facets)
}

/// Where the facets of a binary file lie.
struct Layout {
    first_byte: usize,
    facets: usize,
    note: Option<Finding>,
}

fn layout(bytes: &[u8]) -> Result<Layout, MeshError> {
    let Some(promised) = count_at(bytes, COUNT_AT) else {
        return Err(unknown(bytes));
    };
    let first_byte = COUNT_AT + 4;
    let held = bytes.len() as u64;
    let room = (held - first_byte as u64) / FACET_BYTES as u64;
    let spare = held - first_byte as u64 - room * FACET_BYTES as u64;
    let remark = |count: u64, detail: String| {
        Some(Finding::new(FindingKind::Remark, count as usize, detail).mended())
    };
    if is_whole(bytes, COUNT_AT, promised) {
        return Ok(Layout {
            first_byte,
            facets: promised as usize,
            note: None,
        });
    }
    if let Some((header_bytes, facets)) = moved_header(bytes) {
        return Ok(Layout {
            first_byte: header_bytes + 4,
            facets: facets as usize,
            note: remark(
                1,
                format!(
                    "the file's header has {header_bytes} bytes where 80 are due; its {facets} facets are whole"
                ),
            ),
        });
    }
    if u64::from(promised) > room {
        // Any text has some number where a binary file has its count; only a file that is mostly a mesh was cut short.
        if looks_like_text(bytes) {
            return Err(unknown(bytes));
        }
        let needed = first_byte as u64 + FACET_BYTES as u64 * u64::from(promised);
        return Err(MeshError::Truncated {
            promised,
            needed,
            held,
            room,
        });
    }
    // Whole facets to the last byte: the count is wrong, not the facets.
    if spare == 0 {
        return Ok(Layout {
            first_byte,
            facets: room as usize,
            note: remark(
                room - u64::from(promised),
                format!(
                    "the header promises {promised} facets but the file holds {room}, and all were read"
                ),
            ),
        });
    }
    if promised == 0 {
        return Err(MeshError::CountTooSmall { promised, room });
    }
    let behind = held - first_byte as u64 - FACET_BYTES as u64 * u64::from(promised);
    Ok(Layout {
        first_byte,
        facets: promised as usize,
        note: remark(
            behind,
            format!("{behind} bytes follow the last facet and were passed over"),
        ),
    })
}

/// A header that lost or gained some bytes on its way (a program took the file for text), told by a count that fits the file's
/// size to the byte.
fn moved_header(bytes: &[u8]) -> Option<(usize, u32)> {
    (COUNT_AT - 16..=COUNT_AT + 16)
        .filter_map(|header_bytes| Some((header_bytes, count_at(bytes, header_bytes)?)))
        .find(|(header_bytes, facets)| *facets > 0 && is_whole(bytes, *header_bytes, *facets))
}

/// The binary form is read here and not by `stl_io`, which takes 300 ms and more for a million facets: one pass over the bytes
/// finds the corners, and each thread joins the equal corners of its own run of facets.
fn read_binary(bytes: &[u8]) -> Result<(Surface, Vec<Finding>), MeshError> {
    let layout = layout(bytes)?;
    let facets = &bytes[layout.first_byte..layout.first_byte + FACET_BYTES * layout.facets];
    Ok((
        join_equal(layout.facets, |facet| {
            // The slice holds whole facets, so there are always as many bytes.
            let bytes: &[u8; 36] = facets[FACET_BYTES * facet + NORMAL_BYTES..]
                .first_chunk()
                .unwrap_or(&[0; 36]);
            std::array::from_fn(|corner| {
                std::array::from_fn(|axis| {
                    let at = 4 * (3 * corner + axis);
                    f32::from_le_bytes([bytes[at], bytes[at + 1], bytes[at + 2], bytes[at + 3]])
                })
            })
        }),
        layout.note.into_iter().collect(),
    ))
}

fn looks_like_text(bytes: &[u8]) -> bool {
    std::str::from_utf8(&bytes[..bytes.len().min(512)])
        .map_or_else(|e| e.valid_up_to() + 4 >= bytes.len().min(512), |_| true)
        && !bytes.iter().take(512).any(|b| *b == 0)
}

fn read_text(bytes: &[u8]) -> Result<(Surface, Vec<Finding>), MeshError> {
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
    Ok((join_equal(corners.len(), |facet| corners[facet]), notes))
}

/// After the word "facet": the normal (whose numbers are not used and may be anything, or missing), then the loop of three.
fn read_facet(words: &mut Words<'_>) -> Result<[[f32; 3]; 3], MeshError> {
    loop {
        match next_word(words) {
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

/// The next word that is no comment.
fn next_word<'a>(words: &mut Words<'a>) -> Option<&'a [u8]> {
    loop {
        let word = words.next_word()?;
        if !word.starts_with(b"#") {
            return Some(word);
        }
        words.skip_line();
    }
}

fn expect(words: &mut Words<'_>, keyword: &[u8], expected: &'static str) -> Result<(), MeshError> {
    match next_word(words) {
        Some(word) if is(word, keyword) => Ok(()),
        other => Err(unexpected(words, other, expected)),
    }
}

fn number(words: &mut Words<'_>) -> Result<f32, MeshError> {
    let word = next_word(words);
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
