//! OFF: a count of points and faces, then each on a line of its own, as text.
//!
//! The grammar is that of the public description of the format (Geomview, *OFF Files*). No well-kept library reads it.

use super::lines::{Lines, parsed};
use super::polygon::{Triangulator, faces_passed_over, without_loose_points};
use super::text::{is, shown};
use crate::mesh::{Drawing, Finding, FindingKind, MeshError};

const FORMAT: &str = "OFF";

fn lines(bytes: &[u8]) -> Lines<'_> {
    Lines::new(FORMAT, bytes, 1).with_comments()
}

/// The word that begins the file: `OFF` with letters before it for what a vertex carries besides its place. Some exporters
/// write the first count right behind it.
struct Header<'a> {
    four_dimensional: bool,
    any_dimensional: bool,
    count: Option<&'a [u8]>,
}

fn header(word: &[u8]) -> Option<Header<'_>> {
    let mut rest = word;
    let mut take = |letters: &[u8]| {
        let there = rest
            .get(..letters.len())
            .is_some_and(|start| is(start, letters));
        if there {
            rest = &rest[letters.len()..];
        }
        there
    };
    // Texture, colours, normals, a fourth coordinate, any number of coordinates: always in this order.
    take(b"ST");
    take(b"C");
    let normals = take(b"N");
    let four_dimensional = take(b"4");
    // Only its case tells an "n" for any number of coordinates from one for normals.
    let small_n = word.contains(&b'n') && word.ends_with(b"OFF");
    let any_dimensional = take(b"n") || normals && small_n;
    if !take(b"OFF") || !rest.iter().all(u8::is_ascii_digit) {
        return None;
    }
    Some(Header {
        four_dimensional,
        any_dimensional,
        count: (!rest.is_empty()).then_some(rest),
    })
}

/// Whether this is an OFF file: its first word says so, and a number or nothing follows.
pub(super) fn is_off(bytes: &[u8]) -> bool {
    let mut lines = lines(bytes);
    if !lines.start_line() {
        return false;
    }
    let Some(header) = lines.word().and_then(header) else {
        return false;
    };
    if header.count.is_some() {
        return true;
    }
    let next = lines.word().or_else(|| {
        if lines.start_line() {
            lines.word()
        } else {
            None
        }
    });
    next.is_none_or(|word| parsed::<f64>(Some(word)).is_some() || is(word, b"BINARY"))
}

/// Reads it.
pub(super) fn read(bytes: Vec<u8>) -> Result<Drawing, MeshError> {
    let mut lines = lines(&bytes);
    let [point_count, face_count] = read_counts(&mut lines)?;
    let mut points: Vec<[f64; 3]> = Vec::new();
    while (points.len() as u64) < point_count {
        begin(&mut lines, points.len() as u64, point_count, "points")?;
        points.push([
            lines.coordinate()?,
            lines.coordinate()?,
            lines.coordinate()?,
        ]);
        // A normal, colours and a texture place may follow.
        lines.skip_words();
    }
    if face_count == 0 {
        return Err(lines.error(format!(
            "the file holds {point_count} points but no faces, so it draws no solid"
        )));
    }
    let mut triangles = Vec::new();
    let mut triangulator = Triangulator::default();
    let mut polygon = Vec::new();
    let mut small = 0;
    let mut first_small = 0;
    for face in 0..face_count {
        begin(&mut lines, face, face_count, "faces")?;
        read_polygon(&mut lines, points.len(), &mut polygon)?;
        if polygon.len() < 3 {
            small += 1;
            first_small = if small == 1 {
                lines.line()
            } else {
                first_small
            };
        }
        triangulator.cut(&points, &polygon, &mut triangles);
    }
    if triangles.is_empty() {
        return Err(
            lines.error("no face of the file has three corners, so it draws no solid".into())
        );
    }
    let mut notes = Vec::new();
    notes.extend(faces_passed_over(small, &format!("line {first_small}")));
    notes.extend(triangulator.remark());
    notes.extend(rest_passed_over(&mut lines));
    Ok(Drawing::of_one(
        FORMAT,
        without_loose_points(&points, triangles),
        notes,
    ))
}

/// The header and the counts of points and faces. The count of edges, which many leave out, is not used.
fn read_counts(lines: &mut Lines<'_>) -> Result<[u64; 2], MeshError> {
    lines.start_line();
    let word = lines.word();
    let Some(header) = word.and_then(header) else {
        return Err(lines.instead(word, "\"OFF\""));
    };
    if header.four_dimensional || header.any_dimensional {
        let name = if header.four_dimensional {
            "4OFF, with four"
        } else {
            "nOFF, with any number of"
        };
        return Err(lines.error(format!(
            "this is {name} coordinates a point where three are read"
        )));
    }
    let mut next = lines.word();
    if next.is_none() && header.count.is_none() {
        lines.start_line();
        next = lines.word();
    }
    if next.is_some_and(|w| is(w, b"BINARY")) {
        return Err(
            lines.error("this is the binary form of OFF where its text form is read".into())
        );
    }
    let (first, second) = match header.count {
        Some(count) => (Some(count), next),
        None => (next, lines.word()),
    };
    let point_count = parsed(first).ok_or_else(|| lines.instead(first, "the count of points"))?;
    let face_count = match second {
        Some(word) => {
            parsed(Some(word)).ok_or_else(|| lines.instead(second, "the count of faces"))?
        }
        None => {
            lines.start_line();
            lines.count("the count of faces")?
        }
    };
    lines.skip_words();
    Ok([point_count, face_count])
}

/// Goes to the line of the next point or face.
fn begin(lines: &mut Lines<'_>, held: u64, promised: u64, what: &str) -> Result<(), MeshError> {
    if lines.start_line() {
        return Ok(());
    }
    Err(lines.error(format!(
        "the file ends after {held} of the {promised} {what} it promises"
    )))
}

/// A count of corners and their points. Colours may follow.
fn read_polygon(
    lines: &mut Lines<'_>,
    points: usize,
    polygon: &mut Vec<u32>,
) -> Result<(), MeshError> {
    polygon.clear();
    let corners = lines.count("the count of a face's corners")?;
    for _ in 0..corners {
        let index = lines.count("the number of a point")?;
        match u32::try_from(index) {
            Ok(index) if (index as usize) < points => polygon.push(index),
            _ => {
                return Err(lines.error(format!(
                    "a face asks for point {index} where {points} are numbered from 0"
                )));
            }
        }
    }
    lines.skip_words();
    Ok(())
}

fn rest_passed_over(lines: &mut Lines<'_>) -> Option<Finding> {
    let mut count = 0;
    let mut start = None;
    while lines.start_line() {
        let word = lines.word();
        start.get_or_insert_with(|| (lines.line(), shown(word)));
        lines.skip_words();
        count += 1;
    }
    let (line, start) = start?;
    Some(Finding {
        kind: FindingKind::Remark,
        count,
        detail: format!("what follows the last face (line {line}, \"{start}\") was passed over"),
        mended: false,
        at_mm: None,
        body: None,
    })
}
