//! PLY: a text header that declares elements and their properties, then their values as text or binary.
//!
//! The grammar is that of Turk, *The PLY Polygon File Format* (1994). The values are read here and not by `ply-rs-bw`, which
//! was tried first: a header of 78 bytes that promises elements without properties takes 12 s and 2.4 GB with it, it puts
//! two properties of one name into one and so reads all that follows from the wrong place, and it refuses numbers such
//! as `1.` and `.5`, headers with CR line ends, and comments that are not UTF-8.

mod body;
mod header;

use super::polygon::{Triangulator, faces_passed_over, without_loose_points};
use crate::mesh::{Drawing, Finding, FindingKind, MeshError};
use body::{Binary, Body, Text};
use header::{Element, Encoding, Header, Kind};

const FORMAT: &str = "PLY";

/// Whether this is a PLY file: a first line of `ply`.
pub(super) fn is_ply(bytes: &[u8]) -> bool {
    header::after_magic(bytes).is_some()
}

/// Reads any of its three encodings.
pub(super) fn read(bytes: Vec<u8>) -> Result<Drawing, MeshError> {
    let header = Header::read(&bytes)?;
    let body = &bytes[header.body_at..];
    let shape = match header.encoding {
        Encoding::Text => Shape::read(&header, Text::new(body, header.lines))?,
        Encoding::LittleEndian => Shape::read(&header, Binary::<false>::new(body, header.body_at))?,
        Encoding::BigEndian => Shape::read(&header, Binary::<true>::new(body, header.body_at))?,
    };
    shape.drawing()
}

fn malformed(place: String, problem: String) -> MeshError {
    MeshError::Malformed {
        format: FORMAT,
        place,
        problem,
    }
}

/// What of the elements draws the solid. Faces are cut once all points are known, whichever come first.
#[derive(Default)]
struct Shape {
    points: Vec<[f64; 3]>,
    /// The corners of all faces, one face after another.
    corners: Vec<u32>,
    /// Where each face ends among the corners.
    face_ends: Vec<usize>,
    spare: Option<String>,
}

impl Shape {
    fn read(header: &Header, mut body: impl Body) -> Result<Shape, MeshError> {
        let mut shape = Shape::default();
        for element in &header.elements {
            body.check_room(element)?;
            match element.name.as_slice() {
                b"vertex" => shape.read_points(element, &mut body)?,
                b"face" | b"tristrips" => shape.read_faces(element, &mut body)?,
                _ => skip(element, &mut body)?,
            }
        }
        shape.spare = body.spare();
        Ok(shape)
    }

    fn read_points(&mut self, element: &Element, body: &mut impl Body) -> Result<(), MeshError> {
        let mut axes = Vec::with_capacity(element.properties.len());
        for property in &element.properties {
            axes.push(match (property.name.as_slice(), property.kind) {
                (b"x", Kind::Scalar(_)) => Some(0),
                (b"y", Kind::Scalar(_)) => Some(1),
                (b"z", Kind::Scalar(_)) => Some(2),
                _ => None,
            });
        }
        for (axis, name) in ["x", "y", "z"].iter().enumerate() {
            if !axes.contains(&Some(axis)) {
                return Err(malformed(
                    "header".into(),
                    format!(
                        "element \"vertex\" has no property \"{name}\" where x, y and z are needed"
                    ),
                ));
            }
        }
        for _ in 0..element.count {
            let mut point = [0.0; 3];
            body.start_element(element)?;
            for (property, axis) in element.properties.iter().zip(&axes) {
                match (property.kind, axis) {
                    (Kind::Scalar(scalar), Some(axis)) => point[*axis] = body.number(scalar)?,
                    (kind, _) => skip_property(kind, body)?,
                }
            }
            body.end_element()?;
            self.points.push(point);
        }
        Ok(())
    }

    fn read_faces(&mut self, element: &Element, body: &mut impl Body) -> Result<(), MeshError> {
        let strips = element.name == b"tristrips";
        let list = element.properties.iter().position(|p| {
            matches!(p.kind, Kind::List { .. })
                && matches!(p.name.as_slice(), b"vertex_indices" | b"vertex_index")
        });
        let Some(list) = list.filter(|_| element.count > 0) else {
            if element.count == 0 {
                return Ok(());
            }
            return Err(malformed(
                "header".into(),
                "the faces have no list \"vertex_indices\", which says where their corners are"
                    .into(),
            ));
        };
        for _ in 0..element.count {
            body.start_element(element)?;
            for (at, property) in element.properties.iter().enumerate() {
                match property.kind {
                    Kind::List { count, item } if at == list => {
                        let count = body.count(count, item)?;
                        if strips {
                            self.read_strip(count, item, body)?;
                        } else {
                            for _ in 0..count {
                                let corner = corner(body, item)?;
                                self.corners.push(corner);
                            }
                            self.face_ends.push(self.corners.len());
                        }
                    }
                    kind => skip_property(kind, body)?,
                }
            }
            body.end_element()?;
        }
        Ok(())
    }

    /// A strip of triangles, each of which shares its first two corners with the one before and turns the other way;
    /// -1 begins another strip.
    fn read_strip(
        &mut self,
        count: u64,
        item: header::Scalar,
        body: &mut impl Body,
    ) -> Result<(), MeshError> {
        let mut last: [Option<u32>; 2] = [None, None];
        let mut turned = false;
        for _ in 0..count {
            let number = body.number(item)?;
            if number == -1.0 {
                (last, turned) = ([None, None], false);
                continue;
            }
            let third = whole(number).ok_or_else(|| not_a_corner(body, number))?;
            if let [Some(first), Some(second)] = last {
                // Strips turn back on themselves through triangles without area, which draw nothing.
                if first != second && second != third && third != first {
                    let (a, b) = if turned {
                        (second, first)
                    } else {
                        (first, second)
                    };
                    self.corners.extend([a, b, third]);
                    self.face_ends.push(self.corners.len());
                }
                turned = !turned;
            }
            last = [last[1], Some(third)];
        }
        Ok(())
    }

    fn drawing(self) -> Result<Drawing, MeshError> {
        let holds = self.points.len();
        if self.face_ends.is_empty() {
            return Err(malformed(
                "header".into(),
                format!("the file holds {holds} points but no faces, so it draws no solid"),
            ));
        }
        let mut triangles = Vec::with_capacity(self.face_ends.len());
        let mut triangulator = Triangulator::default();
        let mut small = 0;
        let mut first_small = 0;
        let mut start = 0;
        for (face, end) in self.face_ends.iter().enumerate() {
            let polygon = &self.corners[start..*end];
            start = *end;
            for corner in polygon {
                let Some(point) = self.points.get(*corner as usize) else {
                    return Err(malformed(
                        format!("face {}", face + 1),
                        format!("it asks for point {corner} where {holds} are numbered from 0"),
                    ));
                };
                // Scanners write points without a place, which matter only where a face uses them.
                if !point.iter().all(|c| c.is_finite()) {
                    return Err(malformed(
                        format!("face {}", face + 1),
                        format!("a coordinate of its point {corner} is not a finite number"),
                    ));
                }
            }
            if polygon.len() < 3 {
                small += 1;
                first_small = if small == 1 { face + 1 } else { first_small };
            }
            triangulator.cut(&self.points, polygon, &mut triangles);
        }
        if triangles.is_empty() {
            return Err(malformed(
                "face 1".into(),
                "neither it nor any other face has three corners, so the file draws no solid"
                    .into(),
            ));
        }
        let mut notes = Vec::new();
        notes.extend(faces_passed_over(small, &format!("face {first_small}")));
        notes.extend(triangulator.remark());
        notes.extend(self.spare.map(|detail| Finding {
            kind: FindingKind::Remark,
            count: 1,
            detail,
            mended: false,
            at_mm: None,
            body: None,
        }));
        Ok(Drawing::of_one(
            FORMAT,
            without_loose_points(&self.points, triangles),
            notes,
        ))
    }
}

/// A number as an index; whether there is such a point is judged once all are known.
fn whole(number: f64) -> Option<u32> {
    let fits = number >= 0.0 && number < f64::from(u32::MAX) && number.fract() == 0.0;
    fits.then_some(number as u32)
}

fn corner(body: &mut impl Body, item: header::Scalar) -> Result<u32, MeshError> {
    let number = body.number(item)?;
    whole(number).ok_or_else(|| not_a_corner(body, number))
}

fn not_a_corner(body: &impl Body, number: f64) -> MeshError {
    malformed(
        body.place(),
        format!(
            "\"{}\" stands where the number of a point should",
            brief(number)
        ),
    )
}

/// A number in a sentence: not in hundreds of digits.
fn brief(number: f64) -> String {
    if number == 0.0 || (1e-6..1e15).contains(&number.abs()) {
        number.to_string()
    } else {
        format!("{number:e}")
    }
}

fn skip(element: &Element, body: &mut impl Body) -> Result<(), MeshError> {
    // Nothing stands in the file for elements without properties, whatever their number.
    if element.properties.is_empty() {
        return Ok(());
    }
    for _ in 0..element.count {
        body.start_element(element)?;
        for property in &element.properties {
            skip_property(property.kind, body)?;
        }
        body.end_element()?;
    }
    Ok(())
}

fn skip_property(kind: Kind, body: &mut impl Body) -> Result<(), MeshError> {
    match kind {
        Kind::Scalar(scalar) => body.skip(1, scalar),
        Kind::List { count, item } => {
            let count = body.count(count, item)?;
            body.skip(count, item)
        }
    }
}
