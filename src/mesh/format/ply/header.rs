//! The header of a PLY file: which elements follow, how many, and of which properties each is made.

use super::malformed;
use crate::mesh::MeshError;
use crate::mesh::format::lines::parsed;
use crate::mesh::format::text::shown;

/// How the values after the header are written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Encoding {
    Text,
    LittleEndian,
    BigEndian,
}

/// The type of a number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Scalar {
    I8,
    U8,
    I16,
    U16,
    I32,
    U32,
    F32,
    F64,
}

impl Scalar {
    fn of(name: &[u8]) -> Option<Scalar> {
        Some(match name {
            b"char" | b"int8" => Scalar::I8,
            b"uchar" | b"uint8" => Scalar::U8,
            b"short" | b"int16" => Scalar::I16,
            b"ushort" | b"uint16" => Scalar::U16,
            b"int" | b"int32" => Scalar::I32,
            b"uint" | b"uint32" => Scalar::U32,
            b"float" | b"float32" => Scalar::F32,
            b"double" | b"float64" => Scalar::F64,
            _ => return None,
        })
    }

    /// Its size in the binary encodings, bytes.
    pub(super) fn bytes(self) -> usize {
        match self {
            Scalar::I8 | Scalar::U8 => 1,
            Scalar::I16 | Scalar::U16 => 2,
            Scalar::I32 | Scalar::U32 | Scalar::F32 => 4,
            Scalar::F64 => 8,
        }
    }
}

/// What a property holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Kind {
    Scalar(Scalar),
    List { count: Scalar, item: Scalar },
}

pub(super) struct Property {
    pub(super) name: Vec<u8>,
    pub(super) kind: Kind,
}

/// A kind of element. What it promises is a claim: nothing may be reserved for it.
pub(super) struct Element {
    pub(super) name: Vec<u8>,
    pub(super) count: u64,
    pub(super) properties: Vec<Property>,
}

impl Element {
    /// The fewest bytes that one takes in the binary encodings.
    pub(super) fn least_bytes(&self) -> u64 {
        let property = |p: &Property| match p.kind {
            Kind::Scalar(scalar) | Kind::List { count: scalar, .. } => scalar.bytes() as u64,
        };
        self.properties.iter().map(property).sum()
    }
}

pub(super) struct Header {
    pub(super) encoding: Encoding,
    pub(super) elements: Vec<Element>,
    /// Where the values begin.
    pub(super) body_at: usize,
    /// Lines of the header.
    pub(super) lines: usize,
}

/// Where the second line begins and how lines end, if the first is `ply`. A CR ends a line only where the first line ends
/// so: after the header of a binary file an LF may be the first byte of a number.
pub(super) fn after_magic(bytes: &[u8]) -> Option<(usize, u8)> {
    let start = if bytes.starts_with(b"\xef\xbb\xbf") {
        3
    } else {
        0
    };
    let rest = bytes[start..].strip_prefix(b"ply")?;
    let blanks = rest
        .iter()
        .take_while(|b| matches!(b, b' ' | b'\t'))
        .count();
    let end = start + 3 + blanks;
    match (rest.get(blanks), rest.get(blanks + 1)) {
        (None, _) => Some((end, b'\n')),
        (Some(b'\n'), _) => Some((end + 1, b'\n')),
        (Some(b'\r'), Some(b'\n')) => Some((end + 2, b'\n')),
        (Some(b'\r'), _) => Some((end + 1, b'\r')),
        _ => None,
    }
}

impl Header {
    pub(super) fn read(bytes: &[u8]) -> Result<Header, MeshError> {
        let (mut at, line_end) = after_magic(bytes).unwrap_or((0, b'\n'));
        let mut lines = 1;
        let mut encoding = None;
        let mut elements: Vec<Element> = Vec::new();
        loop {
            if at >= bytes.len() {
                return Err(malformed(
                    format!("line {lines}"),
                    "the file ends where its header should go on to \"end_header\"".into(),
                ));
            }
            let rest = &bytes[at..];
            let length = rest.iter().position(|b| *b == line_end);
            let line = &rest[..length.unwrap_or(rest.len())];
            at += line.len() + usize::from(length.is_some());
            lines += 1;
            let place = || format!("line {lines}");
            let mut words = line
                .split(u8::is_ascii_whitespace)
                .filter(|w| !w.is_empty());
            let Some(keyword) = words.next() else {
                continue;
            };
            match keyword {
                b"comment" | b"obj_info" => {}
                b"end_header" => break,
                b"format" => encoding = Some(encoding_of(words.next(), place)?),
                b"element" => {
                    let name = words.next();
                    let count = words.next();
                    let Some(number) = parsed(count) else {
                        return Err(instead(count, "the count of an element", place()));
                    };
                    let name = name.unwrap_or_default().to_vec();
                    if name == b"vertex" && elements.iter().any(|e| e.name == name) {
                        return Err(malformed(
                            place(),
                            "element \"vertex\" comes a second time where one is right".into(),
                        ));
                    }
                    elements.push(Element {
                        name,
                        count: number,
                        properties: Vec::new(),
                    });
                }
                b"property" => {
                    let property = property_of(&mut words, place)?;
                    let Some(element) = elements.last_mut() else {
                        return Err(malformed(
                            place(),
                            "a property stands before any element where one should come first"
                                .into(),
                        ));
                    };
                    element.properties.push(property);
                }
                _ => {
                    return Err(instead(
                        Some(keyword),
                        "\"element\", \"property\", \"comment\" or \"end_header\"",
                        place(),
                    ));
                }
            }
        }
        let Some(encoding) = encoding else {
            return Err(malformed(
                format!("line {lines}"),
                "the header ends without a \"format\" where one should say how values are written"
                    .into(),
            ));
        };
        Ok(Header {
            encoding,
            elements,
            body_at: at,
            lines,
        })
    }
}

fn encoding_of(word: Option<&[u8]>, place: impl Fn() -> String) -> Result<Encoding, MeshError> {
    match word {
        Some(b"ascii") => Ok(Encoding::Text),
        Some(b"binary_little_endian") => Ok(Encoding::LittleEndian),
        Some(b"binary_big_endian") => Ok(Encoding::BigEndian),
        _ => Err(instead(
            word,
            "\"ascii\", \"binary_little_endian\" or \"binary_big_endian\"",
            place(),
        )),
    }
}

fn property_of<'a>(
    words: &mut impl Iterator<Item = &'a [u8]>,
    place: impl Fn() -> String,
) -> Result<Property, MeshError> {
    let scalar = |word: Option<&'a [u8]>| {
        word.and_then(Scalar::of)
            .ok_or_else(|| instead(word, "a type such as \"float\" or \"uchar\"", place()))
    };
    let first = words.next();
    let kind = if first == Some(b"list") {
        Kind::List {
            count: scalar(words.next())?,
            item: scalar(words.next())?,
        }
    } else {
        Kind::Scalar(scalar(first)?)
    };
    Ok(Property {
        name: words.next().unwrap_or_default().to_vec(),
        kind,
    })
}

fn instead(word: Option<&[u8]>, should: &str, place: String) -> MeshError {
    malformed(
        place,
        match word {
            Some(_) => format!("\"{}\" stands where {should} should", shown(word)),
            None => format!("the line ends where {should} should stand"),
        },
    )
}
