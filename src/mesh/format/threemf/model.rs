//! One model part of a 3MF package: its objects and what its build names, as written.

use std::collections::BTreeSet;

use rustc_hash::FxHashMap;

use super::super::affine::Affine;
use super::super::xml::{Element, Xml, number, shown};
use super::FORMAT;
use crate::mesh::{MeshError, Surface, Unit};

/// Namespace of the production extension, the one that is understood.
const PRODUCTION: &str = "http://schemas.microsoft.com/3dmanufacturing/production/2015/06";

/// A model part.
pub(super) struct Model {
    /// Its path in the package.
    pub(super) path: String,
    /// The unit of its coordinates.
    pub(super) unit: Unit,
    /// Its objects by their ids.
    pub(super) objects: FxHashMap<u32, Object>,
    /// What its build names.
    pub(super) items: Vec<Reference>,
    /// Line of the root element.
    pub(super) line: usize,
    /// Extensions it requires that are not understood.
    pub(super) required: Vec<String>,
    /// Namespaces of what was passed over.
    pub(super) foreign: BTreeSet<String>,
    /// Attributes of the core without a meaning in it.
    pub(super) unknown: BTreeSet<String>,
}

/// An object resource.
pub(super) struct Object {
    /// Line it begins on.
    pub(super) line: usize,
    /// Its name.
    pub(super) name: Option<String>,
    /// What it is for.
    pub(super) kind: Kind,
    /// What it is made of.
    pub(super) body: Body,
}

/// What an object is for (3MF core specification, 4.1).
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Kind {
    /// A part, or a solid that supports one and is drawn as such.
    Made,
    /// Support, which is worked out anew and not taken from the file.
    Support,
    /// A surface without an inside.
    Surface,
    /// Anything else.
    Other,
}

/// What an object is made of.
pub(super) enum Body {
    /// Nothing that is read.
    Nothing,
    /// Triangles.
    Mesh(Surface),
    /// Other objects.
    Components(Vec<Reference>),
}

/// An object put somewhere.
#[derive(Clone)]
pub(super) struct Reference {
    /// Line it stands on.
    pub(super) line: usize,
    /// The model part that holds the object; none where it is the one that holds the reference.
    pub(super) path: Option<String>,
    /// The object's id there.
    pub(super) object: u32,
    /// Where it goes.
    pub(super) transform: Affine,
}

/// Reads a model part.
pub(super) fn read(path: &str, text: &str) -> Result<Model, MeshError> {
    let mut xml = Xml::new(FORMAT, path, text);
    let root = xml.root()?;
    if root.name() != "model" {
        let found = shown(root.name());
        return Err(xml.wrong(format!("<{found}> stands where <model> should")));
    }
    let unit = match root.attribute("unit") {
        None => Unit::Millimetre,
        Some(name) => match Unit::of_standard_name(&name) {
            Some(unit) => unit,
            None => return Err(xml.wrong(format!(
                "the unit is \"{}\" where micron, millimeter, centimeter, inch, foot or meter should stand",
                shown(&name)
            ))),
        },
    };
    let mut model = Model {
        path: path.to_owned(),
        unit,
        objects: FxHashMap::default(),
        items: Vec::new(),
        line: xml.line(),
        required: required_extensions(&root, &xml),
        foreign: BTreeSet::new(),
        unknown: BTreeSet::new(),
    };
    while let Some(element) = xml.child()? {
        match element.name() {
            "resources" => model.read_resources(&mut xml)?,
            "build" => model.read_build(&mut xml)?,
            _ => xml.skip()?,
        }
    }
    model.foreign = xml.into_foreign();
    Ok(model)
}

/// Those listed that are not understood. Colours and names of facets don't change a shape and so need no understanding.
fn required_extensions(root: &Element<'_>, xml: &Xml<'_>) -> Vec<String> {
    let Some(prefixes) = root.attribute("requiredextensions") else {
        return Vec::new();
    };
    prefixes
        .split_whitespace()
        .map(|prefix| {
            xml.namespace_of(prefix)
                .unwrap_or_else(|| prefix.to_owned())
        })
        .filter(|n| n != PRODUCTION && !n.contains("/material/") && !n.contains("/trianglesets/"))
        .take(8)
        .collect()
}

impl Model {
    fn read_resources(&mut self, xml: &mut Xml<'_>) -> Result<(), MeshError> {
        while let Some(element) = xml.child()? {
            if element.name() != "object" {
                xml.skip()?;
                continue;
            }
            let line = xml.line();
            let (id, object) = self.read_object(xml, &element)?;
            if self.objects.insert(id, object).is_some() {
                return Err(super::super::xml::malformed(
                    FORMAT,
                    &self.path,
                    line,
                    format!(
                        "the id {id} is given to a second object where every object should have its own"
                    ),
                ));
            }
        }
        Ok(())
    }

    fn read_object<'a>(
        &mut self,
        xml: &mut Xml<'a>,
        element: &Element<'a>,
    ) -> Result<(u32, Object), MeshError> {
        let id = id(xml, element, "id")?;
        let kind = match element.attribute("type").as_deref() {
            None | Some("model" | "solidsupport") => Kind::Made,
            Some("support") => Kind::Support,
            Some("surface") => Kind::Surface,
            Some("other") => Kind::Other,
            Some(kind) => {
                let kind = shown(kind);
                return Err(xml.wrong(format!(
                    "object {id} is of type \"{kind}\" where model, solidsupport, support, surface or other should stand"
                )));
            }
        };
        xml.foreign_attribute(element, PRODUCTION, "path");
        let mut object = Object {
            line: xml.line(),
            name: element
                .attribute("name")
                .map(|n| shown(&n))
                .filter(|n| !n.is_empty()),
            kind,
            body: Body::Nothing,
        };
        while let Some(inner) = xml.child()? {
            let body = match inner.name() {
                "mesh" => Body::Mesh(read_mesh(xml)?),
                "components" => Body::Components(read_components(xml)?),
                _ => {
                    xml.skip()?;
                    continue;
                }
            };
            if !matches!(object.body, Body::Nothing) {
                return Err(xml.wrong(format!(
                    "object {id} holds a second mesh or list of components where one should stand"
                )));
            }
            object.body = body;
        }
        Ok((id, object))
    }

    fn read_build(&mut self, xml: &mut Xml<'_>) -> Result<(), MeshError> {
        while let Some(element) = xml.child()? {
            if element.name() == "item" {
                self.items.push(reference(xml, &element)?);
                for (name, _) in element.attributes() {
                    if !matches!(name, "objectid" | "transform" | "partnumber")
                        && self.unknown.len() < 8
                    {
                        self.unknown.insert(shown(name));
                    }
                }
            }
            xml.skip()?;
        }
        Ok(())
    }
}

fn read_components(xml: &mut Xml<'_>) -> Result<Vec<Reference>, MeshError> {
    let mut components = Vec::new();
    while let Some(element) = xml.child()? {
        if element.name() == "component" {
            components.push(reference(xml, &element)?);
        }
        xml.skip()?;
    }
    Ok(components)
}

fn read_mesh(xml: &mut Xml<'_>) -> Result<Surface, MeshError> {
    let mut surface = Surface::default();
    while let Some(element) = xml.child()? {
        match element.name() {
            "vertices" => read_vertices(xml, &mut surface)?,
            "triangles" => read_triangles(xml, &mut surface)?,
            _ => xml.skip()?,
        }
    }
    Ok(surface)
}

fn read_vertices(xml: &mut Xml<'_>, surface: &mut Surface) -> Result<(), MeshError> {
    while let Some(element) = xml.child()? {
        if element.name() == "vertex" {
            if surface.points.len() == u32::MAX as usize {
                return Err(xml.wrong("the mesh has more vertices than 32 bits can count"));
            }
            let mut point = [f64::NAN; 3];
            for (name, word) in element.attributes() {
                let axis = match name {
                    "x" => 0,
                    "y" => 1,
                    "z" => 2,
                    _ => continue,
                };
                let Some(coordinate) = number(&word) else {
                    return Err(xml.wrong(format!(
                        "{name} of a vertex is \"{}\" where a finite number such as 12.5 should stand",
                        shown(&word)
                    )));
                };
                point[axis] = coordinate;
            }
            if point.iter().any(|c| c.is_nan()) {
                return Err(xml.wrong("a vertex lacks one of x, y and z"));
            }
            surface.points.push(point);
        }
        xml.skip()?;
    }
    Ok(())
}

fn read_triangles(xml: &mut Xml<'_>, surface: &mut Surface) -> Result<(), MeshError> {
    let count = surface.points.len() as u32;
    while let Some(element) = xml.child()? {
        if element.name() == "triangle" {
            let mut triangle = [None; 3];
            for (name, word) in element.attributes() {
                let corner = match name {
                    "v1" => 0,
                    "v2" => 1,
                    "v3" => 2,
                    _ => continue,
                };
                match word.trim().parse::<u32>() {
                    Ok(index) if index < count => triangle[corner] = Some(index),
                    _ => {
                        return Err(xml.wrong(format!(
                            "{name} of a triangle is \"{}\" where one of the mesh's {count} vertices, counted from 0, should stand",
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
        xml.skip()?;
    }
    Ok(())
}

/// An item or a component.
fn reference<'a>(xml: &mut Xml<'a>, element: &Element<'a>) -> Result<Reference, MeshError> {
    let object = id(xml, element, "objectid")?;
    let transform = match element.attribute("transform") {
        None => Affine::IDENTITY,
        Some(words) => transform(&words).ok_or_else(|| {
            xml.wrong(format!(
                "the transform is \"{}\" where 12 finite numbers should stand",
                shown(&words)
            ))
        })?,
    };
    Ok(Reference {
        line: xml.line(),
        path: xml.foreign_attribute(element, PRODUCTION, "path"),
        object,
        transform,
    })
}

fn transform(words: &str) -> Option<Affine> {
    let mut words = words.split_whitespace();
    let mut matrix = [0.0; 12];
    for m in &mut matrix {
        *m = number(words.next()?)?;
    }
    words.next().is_none().then(|| Affine::of_row_major(matrix))
}

fn id(xml: &mut Xml<'_>, element: &Element<'_>, name: &str) -> Result<u32, MeshError> {
    let word = element.attribute(name);
    let found = word
        .as_deref()
        .map_or("missing".to_owned(), |w| format!("\"{}\"", shown(w)));
    word.and_then(|w| w.trim().parse::<u32>().ok())
        .ok_or_else(|| {
            xml.wrong(format!(
                "{name} is {found} where a whole number from 1 should stand"
            ))
        })
}
