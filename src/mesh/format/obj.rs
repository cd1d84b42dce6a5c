//! OBJ: vertices and faces as text.
//!
//! The grammar is that of the format's public description (Wavefront, *Advanced Visualizer Manual*, appendix B1), of which
//! only `v` and `f` draw a solid. It is read here and not by `tobj`, which was tried first: its errors tell no line, it
//! refuses lines joined by a backslash, comments after a face, comments that are not UTF-8, `usemtl` without a name and
//! colours on only some of the vertices, and it takes a text with CR line ends for a single line. Customers send all of these.

use super::lines::{Lines, parsed};
use super::polygon::{Triangulator, faces_passed_over, without_loose_points};
use super::text::{is, shown};
use crate::mesh::{Drawing, Finding, FindingKind, MeshError};

const FORMAT: &str = "OBJ";
/// How far into a file its first vertex is looked for.
const START_BYTES: usize = 1 << 20;
/// Statements that name things; a backslash at their end is part of a path.
const NAMES: [&str; 7] = ["o", "g", "s", "mg", "mtllib", "usemtl", "usemap"];
/// Statements about looks and about texture, normals and parameters: they draw nothing.
const LOOKS: [&str; 15] = [
    "vt",
    "vn",
    "vp",
    "vc",
    "maplib",
    "bevel",
    "c_interp",
    "d_interp",
    "lod",
    "shadow_obj",
    "trace_obj",
    "ctech",
    "stech",
    "call",
    "csh",
];
/// Points, lines, and curved surfaces with what belongs to them.
const NOT_FACES: [&str; 20] = [
    "p", "l", "cstype", "deg", "bmat", "step", "curv", "curv2", "surf", "parm", "trim", "hole",
    "scrv", "sp", "end", "con", "bsp", "bzp", "cdc", "res",
];

fn is_one_of(word: &[u8], keywords: &[&str]) -> bool {
    keywords.iter().any(|k| is(word, k.as_bytes()))
}

fn lines(bytes: &[u8]) -> Lines<'_> {
    Lines::new(FORMAT, bytes, 1)
        .with_comments()
        .with_continuation()
}

/// Whether this is an OBJ file: text in which nothing but statements of OBJ comes before the first vertex.
pub(super) fn is_obj(bytes: &[u8]) -> bool {
    let start = &bytes[..bytes.len().min(START_BYTES)];
    if start.iter().take(4096).any(|b| *b == 0) {
        return false;
    }
    let mut lines = lines(start);
    while lines.start_line() {
        match lines.word() {
            Some(word) if is(word, b"v") => {
                return lines.word().is_some_and(|w| {
                    parsed::<f64>(Some(w)).is_some()
                        || w[0].is_ascii_digit()
                        || b"+-.".contains(&w[0])
                });
            }
            Some(word) if is_one_of(word, &NAMES) => lines.skip_line(),
            Some(word)
                if is(word, b"f") || is_one_of(word, &LOOKS) || is_one_of(word, &NOT_FACES) =>
            {
                lines.skip_words();
            }
            _ => return false,
        }
    }
    false
}

/// Reads it. All its groups and objects together are one part: they say what belongs together in a drawing, not what is
/// made by itself.
pub(super) fn read(bytes: Vec<u8>) -> Result<Drawing, MeshError> {
    let points = read_points(&bytes)?;
    let mut faces = Faces::default();
    let mut lines = lines(&bytes);
    let mut known = 0;
    while lines.start_line() {
        let Some(keyword) = lines.word() else {
            continue;
        };
        if is(keyword, b"v") {
            known += 1;
            lines.skip_words();
        } else if is(keyword, b"f") {
            faces.read_one(&mut lines, &points, known)?;
        } else if is_one_of(keyword, &NAMES) {
            lines.skip_line();
        } else {
            if is_one_of(keyword, &NOT_FACES) {
                faces.other.add(&lines);
            } else if !is_one_of(keyword, &LOOKS) {
                faces.unknown.get_or_insert_with(|| shown(Some(keyword)));
                faces.strange.add(&lines);
            }
            lines.skip_words();
        }
    }
    let notes = faces.notes();
    if faces.triangles.is_empty() {
        return Err(MeshError::Malformed {
            format: FORMAT,
            place: format!("line {}", lines.line()),
            problem: format!(
                "the file ends with {} points but no faces, so it draws no solid",
                points.len()
            ),
        });
    }
    Ok(Drawing::of_one(
        FORMAT,
        without_loose_points(&points, faces.triangles),
        notes,
    ))
}

/// All vertices. They are read before any face because a face may name a vertex that comes after it.
fn read_points(bytes: &[u8]) -> Result<Vec<[f64; 3]>, MeshError> {
    let mut points = Vec::new();
    let mut lines = lines(bytes);
    while lines.start_line() {
        match lines.word() {
            Some(keyword) if is(keyword, b"v") => {
                points.push([
                    lines.coordinate()?,
                    lines.coordinate()?,
                    lines.coordinate()?,
                ]);
                // A weight, which is for curves only, or colours may follow.
                lines.skip_words();
            }
            Some(keyword) if is_one_of(keyword, &NAMES) => lines.skip_line(),
            _ => lines.skip_words(),
        }
    }
    Ok(points)
}

/// Lines of a kind that was passed over.
#[derive(Default)]
struct Skipped {
    count: u64,
    first_line: usize,
}

impl Skipped {
    fn add(&mut self, lines: &Lines<'_>) {
        if self.count == 0 {
            self.first_line = lines.line();
        }
        self.count += 1;
    }

    fn remark(&self, what: &str) -> Option<Finding> {
        let (number, were) = match self.count {
            0 => return None,
            1 => ("1 line".to_owned(), "was"),
            many => (format!("{many} lines"), "were"),
        };
        Some(Finding {
            kind: FindingKind::Remark,
            count: self.count,
            detail: format!(
                "{number} {what} (from line {} on) {were} passed over",
                self.first_line
            ),
            mended: false,
            at_mm: None,
            body: None,
        })
    }
}

#[derive(Default)]
struct Faces {
    triangles: Vec<[u32; 3]>,
    triangulator: Triangulator,
    polygon: Vec<u32>,
    small: Skipped,
    other: Skipped,
    strange: Skipped,
    unknown: Option<String>,
}

impl Faces {
    /// After the word `f`: a corner a word, as `v`, `v/vt`, `v//vn` or `v/vt/vn`. `known` vertices came before.
    fn read_one(
        &mut self,
        lines: &mut Lines<'_>,
        points: &[[f64; 3]],
        known: usize,
    ) -> Result<(), MeshError> {
        self.polygon.clear();
        while let Some(word) = lines.word() {
            let number = word.split(|b| *b == b'/').next();
            let Some(number) = parsed::<i64>(number) else {
                return Err(lines.instead(Some(word), "the number of a vertex"));
            };
            let index = match number {
                1.. => number - 1,
                0 => {
                    return Err(
                        lines.error("a face asks for vertex 0 where they count from 1".into())
                    );
                }
                _ => known as i64 + number,
            };
            match u32::try_from(index) {
                Ok(index) if (index as usize) < points.len() => self.polygon.push(index),
                _ if number < 0 => {
                    return Err(lines.error(format!(
                        "a face asks for vertex {number} where {known} come before it"
                    )));
                }
                _ => {
                    return Err(lines.error(format!(
                        "a face asks for vertex {number} where the file holds {}",
                        points.len()
                    )));
                }
            }
        }
        if self.polygon.len() < 3 {
            self.small.add(lines);
        }
        self.triangulator
            .cut(points, &self.polygon, &mut self.triangles);
        Ok(())
    }

    fn notes(&self) -> Vec<Finding> {
        let strange = format!(
            "that begin with no word of OBJ, such as \"{}\"",
            self.unknown.as_deref().unwrap_or_default()
        );
        [
            faces_passed_over(self.small.count, &format!("line {}", self.small.first_line)),
            self.triangulator.remark(),
            self.other.remark("of points, curves and curved surfaces"),
            self.strange.remark(&strange),
        ]
        .into_iter()
        .flatten()
        .collect()
    }
}
