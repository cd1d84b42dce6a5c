//! AMF (ISO/ASTM 52915).

use std::borrow::Cow;

use rustc_hash::FxHashMap;

use super::affine::Affine;
use super::xml::{self, Element, Xml, malformed, number, shown};
use crate::mesh::{Drawing, DrawnPart, Finding, FindingKind, MeshError, Surface, Unit};

const FORMAT: &str = "AMF";

/// Whether this is an AMF file: its first element is `<amf`.
pub(super) fn is_amf(bytes: &[u8]) -> bool {
    if bytes.starts_with(b"\xff\xfe") || bytes.starts_with(b"\xfe\xff") {
        let start = bytes[..bytes.len().min(4096)].to_vec();
        return starts_amf(xml::text(start).as_bytes());
    }
    starts_amf(bytes)
}

fn starts_amf(bytes: &[u8]) -> bool {
    let mut rest = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    loop {
        rest = rest.trim_ascii_start();
        let (start, end): (&[u8], &[u8]) = if rest.starts_with(b"<?") {
            (b"<?", b"?>")
        } else if rest.starts_with(b"<!--") {
            (b"<!--", b"-->")
        } else {
            break;
        };
        rest = &rest[start.len()..];
        let Some(at) = rest.windows(end.len()).position(|w| w == end) else {
            return false;
        };
        rest = &rest[at + end.len()..];
    }
    if let Some(document_type) = rest.strip_prefix(b"<!DOCTYPE") {
        return document_type.trim_ascii_start().starts_with(b"amf");
    }
    rest.get(..4)
        .is_some_and(|s| s.eq_ignore_ascii_case(b"<amf"))
        && rest
            .get(4)
            .is_some_and(|b| b.is_ascii_whitespace() || matches!(b, b'>' | b'/'))
}

/// Reads it.
pub(super) fn read(bytes: Vec<u8>) -> Result<Drawing, MeshError> {
    let text = xml::text(bytes);
    let mut xml = Xml::new(FORMAT, "", &text);
    let root = xml.root()?;
    let unit = match root.attribute("unit") {
        None => Unit::Millimetre,
        Some(name) => match Unit::of_standard_name(&name) {
            Some(unit) => unit,
            None => {
                return Err(xml.wrong(format!(
                    "the unit is \"{}\" where millimeter, inch, feet, meter or micron should stand",
                    shown(&name)
                )));
            }
        },
    };
    let mut file = File::default();
    while let Some(element) = xml.child()? {
        match element.name() {
            "object" => file.read_object(&mut xml, &element)?,
            "constellation" => file.read_constellation(&mut xml, &element)?,
            _ => xml.skip()?,
        }
    }
    drop(xml);
    drop(text);
    Ok(Drawing {
        format: FORMAT,
        unit: Some(unit),
        parts: file.parts()?,
    })
}

/// What a file holds.
#[derive(Default)]
struct File {
    things: Vec<Thing>,
    by_id: FxHashMap<String, usize>,
    curved: u64,
    support: u64,
    unknown: u64,
}

/// An object or a constellation.
struct Thing {
    line: usize,
    id: String,
    name: Option<String>,
    body: Body,
}

enum Body {
    Object(Surface),
    Constellation(Vec<Instance>),
}

/// A thing put somewhere.
struct Instance {
    line: usize,
    id: String,
    transform: Affine,
}

impl File {
    fn add(&mut self, xml: &mut Xml<'_>, thing: Thing) -> Result<(), MeshError> {
        let index = self.things.len();
        if self.by_id.insert(thing.id.clone(), index).is_some() {
            return Err(xml.wrong(format!(
                "the id \"{}\" is given to a second thing where each should have its own",
                shown(&thing.id)
            )));
        }
        self.things.push(thing);
        Ok(())
    }

    fn read_object(&mut self, xml: &mut Xml<'_>, element: &Element<'_>) -> Result<(), MeshError> {
        let line = xml.line();
        let id = id(xml, element, "id")?;
        let mut name = None;
        let mut surface = Surface::default();
        while let Some(inner) = xml.child()? {
            match inner.name() {
                "metadata" if inner.attribute("type").is_some_and(|t| t == "name") => {
                    name = Some(shown(&xml.content()?)).filter(|n| !n.is_empty());
                }
                "mesh" => self.read_mesh(xml, &mut surface)?,
                _ => xml.skip()?,
            }
        }
        let body = Body::Object(surface);
        self.add(
            xml,
            Thing {
                line,
                id,
                name,
                body,
            },
        )
    }

    /// Adds a mesh; each counts its vertices from 0.
    fn read_mesh(&mut self, xml: &mut Xml<'_>, surface: &mut Surface) -> Result<(), MeshError> {
        let first = surface.points.len();
        while let Some(element) = xml.child()? {
            match element.name() {
                "vertices" => self.read_vertices(xml, surface)?,
                "volume" if element.attribute("type").is_some_and(|t| t == "support") => {
                    self.support += 1;
                    xml.skip()?;
                }
                // One object's volumes are made together: one part.
                "volume" => self.read_volume(xml, surface, first)?,
                _ => xml.skip()?,
            }
        }
        Ok(())
    }

    fn read_vertices(&mut self, xml: &mut Xml<'_>, surface: &mut Surface) -> Result<(), MeshError> {
        while let Some(element) = xml.child()? {
            match element.name() {
                "vertex" => {
                    let point = self.read_vertex(xml)?;
                    if surface.points.len() == u32::MAX as usize {
                        return Err(xml.wrong("the mesh has more vertices than 32 bits can count"));
                    }
                    surface.points.push(point);
                }
                "edge" => {
                    self.curved += 1;
                    xml.skip()?;
                }
                _ => xml.skip()?,
            }
        }
        Ok(())
    }

    fn read_vertex(&mut self, xml: &mut Xml<'_>) -> Result<[f64; 3], MeshError> {
        let mut point = [None; 3];
        while let Some(element) = xml.child()? {
            match element.name() {
                "coordinates" => {
                    while let Some(axis) = xml.child()? {
                        let at = match axis.name() {
                            "x" => 0,
                            "y" => 1,
                            "z" => 2,
                            _ => {
                                xml.skip()?;
                                continue;
                            }
                        };
                        point[at] = Some(number_here(xml, axis.name())?);
                    }
                }
                "normal" => {
                    self.curved += 1;
                    xml.skip()?;
                }
                _ => xml.skip()?,
            }
        }
        match point {
            [Some(x), Some(y), Some(z)] => Ok([x, y, z]),
            _ => Err(xml.wrong("a vertex lacks one of x, y and z")),
        }
    }

    fn read_volume(
        &mut self,
        xml: &mut Xml<'_>,
        surface: &mut Surface,
        first: usize,
    ) -> Result<(), MeshError> {
        let count = surface.points.len() - first;
        while let Some(element) = xml.child()? {
            if element.name() != "triangle" {
                xml.skip()?;
                continue;
            }
            let mut triangle = [None; 3];
            while let Some(inner) = xml.child()? {
                let corner = match inner.name() {
                    "v1" => 0,
                    "v2" => 1,
                    "v3" => 2,
                    _ => {
                        xml.skip()?;
                        continue;
                    }
                };
                let word = xml.content()?;
                match word.trim().parse::<usize>() {
                    Ok(index) if index < count => triangle[corner] = Some((first + index) as u32),
                    _ => {
                        return Err(xml.wrong(format!(
                            "{} of a triangle is \"{}\" where one of the mesh's {count} vertices, counted from 0, should stand",
                            inner.name(),
                            shown(&word)
                        )));
                    }
                }
            }
            let [Some(a), Some(b), Some(c)] = triangle else {
                return Err(xml.wrong("a triangle lacks one of v1, v2 and v3"));
            };
            surface.triangles.push([a, b, c]);
        }
        Ok(())
    }

    fn read_constellation(
        &mut self,
        xml: &mut Xml<'_>,
        element: &Element<'_>,
    ) -> Result<(), MeshError> {
        let line = xml.line();
        let id = id(xml, element, "id")?;
        let mut instances = Vec::new();
        while let Some(inner) = xml.child()? {
            if inner.name() == "instance" {
                instances.push(self.read_instance(xml, &inner)?);
            } else {
                xml.skip()?;
            }
        }
        let (name, body) = (None, Body::Constellation(instances));
        self.add(
            xml,
            Thing {
                line,
                id,
                name,
                body,
            },
        )
    }

    fn read_instance(
        &mut self,
        xml: &mut Xml<'_>,
        element: &Element<'_>,
    ) -> Result<Instance, MeshError> {
        let line = xml.line();
        let id = id(xml, element, "objectid")?;
        let (mut turns, mut shift) = ([0.0; 3], [0.0; 3]);
        while let Some(inner) = xml.child()? {
            let value = match inner.name() {
                "deltax" => &mut shift[0],
                "deltay" => &mut shift[1],
                "deltaz" => &mut shift[2],
                "rx" => &mut turns[0],
                "ry" => &mut turns[1],
                "rz" => &mut turns[2],
                _ => {
                    self.unknown += 1;
                    xml.skip()?;
                    continue;
                }
            };
            *value = number_here(xml, inner.name())?;
        }
        Ok(Instance {
            line,
            id,
            transform: Affine::of_turns(turns, shift),
        })
    }

    /// What is to be made: each object that stands on its own or in a constellation, as often as it comes.
    fn parts(self) -> Result<Vec<DrawnPart>, MeshError> {
        let placed = self.placed()?;
        let notes = self.notes();
        let mut parts = Vec::new();
        for (thing, placed) in self.things.into_iter().zip(placed) {
            let (Body::Object(mut surface), Some((copies, transform))) = (thing.body, placed)
            else {
                continue;
            };
            if surface.triangles.is_empty() {
                return Err(malformed(
                    FORMAT,
                    "",
                    thing.line,
                    format!("object \"{}\" holds no triangles", shown(&thing.id)),
                ));
            }
            if transform != Affine::IDENTITY {
                for point in &mut surface.points {
                    *point = transform.point(*point);
                }
            }
            parts.push(DrawnPart {
                name: thing
                    .name
                    .or_else(|| Some(format!("object {}", shown(&thing.id)))),
                copies: u32::try_from(copies).unwrap_or(u32::MAX),
                surface,
                notes: notes.clone(),
            });
        }
        if parts.is_empty() {
            return Err(malformed(FORMAT, "", 1, "the file holds no object to make"));
        }
        if let [only] = parts.as_mut_slice() {
            only.name = None;
        }
        Ok(parts)
    }

    /// For each thing how often it comes, and where it lies the first time. Constellations only turn and shift, so copies are
    /// alike. Things are gone through from the outermost inwards, each when all that hold it are done.
    fn placed(&self) -> Result<Vec<Option<(u64, Affine)>>, MeshError> {
        let mut holders = vec![0usize; self.things.len()];
        let mut instances: Vec<Vec<(usize, &Affine)>> = Vec::with_capacity(self.things.len());
        for thing in &self.things {
            let mut held = Vec::new();
            if let Body::Constellation(inner) = &thing.body {
                for instance in inner {
                    let Some(index) = self.by_id.get(&instance.id) else {
                        return Err(malformed(
                            FORMAT,
                            "",
                            instance.line,
                            format!("there is no object with the id \"{}\"", shown(&instance.id)),
                        ));
                    };
                    holders[*index] += 1;
                    held.push((*index, &instance.transform));
                }
            }
            instances.push(held);
        }
        let mut ready: Vec<usize> = (0..self.things.len())
            .filter(|i| holders[*i] == 0)
            .collect();
        let mut placed = vec![None; self.things.len()];
        for outermost in &ready {
            placed[*outermost] = Some((1u64, Affine::IDENTITY));
        }
        let mut done = 0;
        while let Some(outer) = ready.pop() {
            done += 1;
            let Some((times, place)) = placed[outer] else {
                continue;
            };
            for (inner, transform) in &instances[outer] {
                let first = (0, transform.then(&place));
                let inner_placed = placed[*inner].get_or_insert(first);
                inner_placed.0 = inner_placed.0.saturating_add(times);
                holders[*inner] -= 1;
                if holders[*inner] == 0 {
                    ready.push(*inner);
                }
            }
        }
        let circle = (0..self.things.len()).find(|i| holders[*i] > 0);
        match circle.filter(|_| done < self.things.len()) {
            Some(circle) => Err(malformed(
                FORMAT,
                "",
                self.things[circle].line,
                format!(
                    "\"{}\" is held by constellations that hold each other in a circle",
                    shown(&self.things[circle].id)
                ),
            )),
            None => Ok(placed),
        }
    }

    fn notes(&self) -> Vec<Finding> {
        let remarks = [
            (
                self.curved,
                "edges or normals for curved facets; the facets are taken as flat",
            ),
            (
                self.support,
                "volumes of support, which is worked out anew; they are left out",
            ),
            (
                self.unknown,
                "words about where an instance lies that are not read were passed over",
            ),
        ];
        remarks
            .into_iter()
            .filter(|(count, _)| *count > 0)
            .map(|(count, what)| Finding {
                kind: FindingKind::Remark,
                count,
                detail: format!("{count} {what}"),
                mended: false,
                at_mm: None,
                body: None,
            })
            .collect()
    }
}

fn number_here(xml: &mut Xml<'_>, name: &str) -> Result<f64, MeshError> {
    let word: Cow<'_, str> = xml.content()?;
    number(&word).ok_or_else(|| {
        xml.wrong(format!(
            "{name} is \"{}\" where a finite number such as 12.5 should stand",
            shown(&word)
        ))
    })
}

fn id(xml: &mut Xml<'_>, element: &Element<'_>, name: &str) -> Result<String, MeshError> {
    match element.attribute(name).as_deref().map(str::trim) {
        Some(id) if !id.is_empty() => Ok(id.to_owned()),
        _ => Err(xml.wrong(format!("{name} is missing or empty"))),
    }
}
