//! What a 3MF package asks to be made: the objects that its build names, with everything put in its place.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use rustc_hash::FxHashMap;

use super::super::affine::Affine;
use super::super::archive::refusal;
use super::super::xml::{malformed, shown};
use super::model::{Body, Kind, Model, Object, Reference};
use super::{FORMAT, part_path};
use crate::mesh::{Drawing, DrawnPart, Finding, FindingKind, MeshError, Surface};

/// How deep components may hold components.
const MOST_DEPTH: usize = 64;
/// A file may repeat what it holds up to this many facets…
const ALWAYS_ALLOWED: u64 = 4_000_000;
/// …or this many times over…
const REPEATS_ALLOWED: u64 = 24;
/// …but never beyond this.
const NEVER_ALLOWED: u64 = 50_000_000;
/// In how many different sizes or mirrorings one object may be placed.
const MOST_SHAPES: usize = 256;

/// Loads a model part by its path.
type Load<'l> = dyn FnMut(&str) -> Result<Option<Model>, MeshError> + 'l;

/// An object: the number of its model part, and its id there.
type Key = (usize, u32);

/// What an object is when everything in it is put in its place.
#[derive(Clone, Copy, Default)]
struct Extent {
    /// Facets.
    facets: u64,
    /// Points.
    points: u64,
    /// Objects that are gone through to reach them.
    objects: u64,
    /// Components inside components.
    height: usize,
}

impl Extent {
    /// Both, put side by side.
    fn with(self, other: &Extent) -> Extent {
        Extent {
            facets: self.facets.saturating_add(other.facets),
            points: self.points.saturating_add(other.points),
            objects: self.objects.saturating_add(other.objects),
            height: self.height,
        }
    }
}

/// Placements of one object that differ only by where they lie.
struct Group {
    key: Key,
    transform: Affine,
    copies: u32,
}

struct Build<'l> {
    models: Vec<Rc<Model>>,
    by_path: FxHashMap<String, usize>,
    load: &'l mut Load<'l>,
    /// None while an object is being measured.
    extents: FxHashMap<Key, Option<Extent>>,
    not_made: BTreeMap<Kind, BTreeSet<Key>>,
}

/// Draws what the build of `root` names.
pub(super) fn draw<'l>(root: Model, load: &'l mut Load<'l>) -> Result<Drawing, MeshError> {
    let unit = root.unit;
    let root = Rc::new(root);
    let mut build = Build {
        models: vec![Rc::clone(&root)],
        by_path: FxHashMap::from_iter([(root.path.to_lowercase(), 0)]),
        load,
        extents: FxHashMap::default(),
        not_made: BTreeMap::new(),
    };
    let groups = build.groups(&root)?;
    if groups.is_empty() {
        let problem = match build.not_made.is_empty() {
            true => "the build names no object, so there is nothing to make",
            false => {
                "the build names no object of type model, only support, surfaces or other things"
            }
        };
        return Err(malformed(FORMAT, &root.path, root.line, problem));
    }
    build.refuse_too_many(&groups)?;
    let notes = build.notes();
    let several = groups.len() > 1;
    let mut named: FxHashMap<String, usize> = FxHashMap::default();
    let mut parts = Vec::with_capacity(groups.len());
    for group in groups {
        let extent = build.extent(group.key);
        let mut surface = Surface {
            points: Vec::with_capacity(extent.points as usize),
            triangles: Vec::with_capacity(extent.facets as usize),
            distinct_singles: false,
        };
        build.put(group.key, &group.transform, &mut surface);
        parts.push(DrawnPart {
            name: several.then(|| build.name(group.key, &mut named)),
            copies: group.copies,
            surface,
            notes: notes.clone(),
        });
    }
    Ok(Drawing {
        format: FORMAT,
        unit: Some(unit),
        parts,
    })
}

impl Build<'_> {
    /// The build's items, those of one shape together.
    fn groups(&mut self, root: &Rc<Model>) -> Result<Vec<Group>, MeshError> {
        let mut groups: Vec<Group> = Vec::new();
        let mut of_object: FxHashMap<Key, Vec<usize>> = FxHashMap::default();
        for item in &root.items {
            let key = self.resolve(0, item)?;
            if !self.is_made(key, item, 0)? {
                continue;
            }
            self.measure(key, 0)?;
            let shapes = of_object.entry(key).or_default();
            let same = shapes
                .iter()
                .find(|g| groups[**g].transform.same_but_rigid(&item.transform));
            if let Some(same) = same {
                groups[*same].copies = groups[*same].copies.saturating_add(1);
                continue;
            }
            if shapes.len() == MOST_SHAPES {
                return Err(malformed(
                    FORMAT,
                    &root.path,
                    item.line,
                    format!(
                        "object {} is placed in more than {MOST_SHAPES} different sizes",
                        item.object
                    ),
                ));
            }
            shapes.push(groups.len());
            groups.push(Group {
                key,
                transform: item.transform,
                copies: 1,
            });
        }
        Ok(groups)
    }

    /// The object that a reference in a model part means.
    fn resolve(&mut self, from: usize, reference: &Reference) -> Result<Key, MeshError> {
        let Some(name) = &reference.path else {
            return Ok((from, reference.object));
        };
        let model = Rc::clone(&self.models[from]);
        let wrong = |problem: String| Err(malformed(FORMAT, &model.path, reference.line, problem));
        let Some(path) = part_path(name) else {
            return wrong(format!(
                "the path \"{}\" leads out of the package",
                shown(name)
            ));
        };
        if let Some(known) = self.by_path.get(&path.to_lowercase()) {
            return Ok((*known, reference.object));
        }
        let Some(loaded) = (self.load)(&path)? else {
            return wrong(format!(
                "the model part \"{}\" is named here but is not in the package",
                shown(name)
            ));
        };
        if loaded.unit != self.models[0].unit {
            return wrong(format!(
                "the model part \"{}\" is in another unit ({}) than the one it is used in ({})",
                shown(name),
                loaded.unit.sign(),
                self.models[0].unit.sign()
            ));
        }
        let index = self.models.len();
        self.models.push(Rc::new(loaded));
        self.by_path.insert(path.to_lowercase(), index);
        Ok((index, reference.object))
    }

    /// Whether an object is made; remembers those that are not.
    fn is_made(&mut self, key: Key, reference: &Reference, from: usize) -> Result<bool, MeshError> {
        let Some(object) = self.models[key.0].objects.get(&key.1) else {
            return Err(malformed(
                FORMAT,
                &self.models[from].path,
                reference.line,
                format!("there is no object with the id {}", key.1),
            ));
        };
        if object.kind == Kind::Made {
            return Ok(true);
        }
        self.not_made.entry(object.kind).or_default().insert(key);
        Ok(false)
    }

    /// Measures an object before anything is put in its place.
    fn measure(&mut self, key: Key, depth: usize) -> Result<Extent, MeshError> {
        let model = Rc::clone(&self.models[key.0]);
        let Some(object) = model.objects.get(&key.1) else {
            return Ok(Extent::default());
        };
        let wrong = |problem: &str| {
            let problem = format!("object {} {problem}", key.1);
            malformed(FORMAT, &model.path, object.line, problem)
        };
        match self.extents.get(&key) {
            Some(Some(known)) => return Ok(*known),
            Some(None) => return Err(wrong("is a component of itself")),
            None => {}
        }
        let too_deep = || wrong("holds components inside components more than 64 deep");
        if depth > MOST_DEPTH {
            return Err(too_deep());
        }
        self.extents.insert(key, None);
        let mut extent = Extent {
            objects: 1,
            ..Extent::default()
        };
        match &object.body {
            Body::Nothing => return Err(self.without_body(&model, key, object)),
            Body::Mesh(surface) => {
                let (points, facets) = (surface.points.len(), surface.triangles.len());
                if points < 3 || facets == 0 {
                    return Err(self.without_body(&model, key, object));
                }
                extent.facets = facets as u64;
                extent.points = points as u64;
            }
            Body::Components(components) => {
                for component in components {
                    let inner = self.resolve(key.0, component)?;
                    if !self.is_made(inner, component, key.0)? {
                        continue;
                    }
                    let inner = self.measure(inner, depth + 1)?;
                    extent = extent.with(&inner);
                    extent.height = extent.height.max(inner.height + 1);
                }
                if extent.height == 0 {
                    return Err(wrong("holds no components that are made"));
                }
                if extent.height > MOST_DEPTH {
                    return Err(too_deep());
                }
            }
        }
        self.extents.insert(key, Some(extent));
        Ok(extent)
    }

    /// The error for an object that holds nothing that is read.
    fn without_body(&self, model: &Model, key: Key, object: &Object) -> MeshError {
        let extensions = extensions(model.required.iter().chain(&model.foreign));
        if !extensions.is_empty() {
            return refusal(
                format!(
                    "the 3MF file holds no triangles for object {} ({}, line {}); it uses what is not read: {extensions}",
                    key.1,
                    shown(&model.path),
                    object.line
                ),
                "the part as plain triangles",
            );
        }
        let found = match &object.body {
            Body::Mesh(surface) => format!(
                "a mesh of {} vertices and {} triangles, which encloses nothing",
                surface.points.len(),
                surface.triangles.len()
            ),
            _ => "neither a mesh nor components".to_owned(),
        };
        malformed(
            FORMAT,
            &model.path,
            object.line,
            format!("object {} holds {found}", key.1),
        )
    }

    fn refuse_too_many(&self, groups: &[Group]) -> Result<(), MeshError> {
        let held: usize = self
            .models
            .iter()
            .flat_map(|m| m.objects.values())
            .map(|o| match &o.body {
                Body::Mesh(surface) => surface.triangles.len(),
                _ => 0,
            })
            .sum();
        let most = (held as u64 * REPEATS_ALLOWED).clamp(ALWAYS_ALLOWED, NEVER_ALLOWED);
        let all = groups.iter().fold(Extent::default(), |all, group| {
            all.with(&self.extent(group.key))
        });
        let asked = all.facets.max(all.points).max(all.objects);
        if asked > most {
            return Err(refusal(
                format!(
                    "the 3MF file repeats its {held} facets to {}, more than the {most} that are read",
                    if asked == u64::MAX {
                        "an endless number".to_owned()
                    } else {
                        asked.to_string()
                    }
                ),
                "its parts in a file each",
            ));
        }
        Ok(())
    }

    /// What was measured; nothing where the object is left out.
    fn extent(&self, key: Key) -> Extent {
        self.extents
            .get(&key)
            .copied()
            .flatten()
            .unwrap_or_default()
    }

    /// Adds an object's facets. Depth, size and every reference were checked by measuring.
    fn put(&self, key: Key, transform: &Affine, surface: &mut Surface) {
        let model = &self.models[key.0];
        match model.objects.get(&key.1).map(|o| &o.body) {
            Some(Body::Mesh(mesh)) => {
                let first = surface.points.len() as u32;
                surface
                    .points
                    .extend(mesh.points.iter().map(|p| transform.point(*p)));
                // A mirrored surface is inside out until its facets are turned.
                let turn = transform.mirrors();
                surface.triangles.extend(mesh.triangles.iter().map(|t| {
                    let [a, b, c] = t.map(|v| first + v);
                    if turn { [a, c, b] } else { [a, b, c] }
                }));
            }
            Some(Body::Components(components)) => {
                for component in components {
                    let inner = match &component.path {
                        None => Some((key.0, component.object)),
                        Some(name) => part_path(name)
                            .and_then(|path| self.by_path.get(&path.to_lowercase()))
                            .map(|model| (*model, component.object)),
                    };
                    // What was left out when measuring has no extent.
                    if let Some(inner) = inner.filter(|i| self.extents.contains_key(i)) {
                        self.put(inner, &component.transform.then(transform), surface);
                    }
                }
            }
            Some(Body::Nothing) | None => {}
        }
    }

    fn name(&self, key: Key, named: &mut FxHashMap<String, usize>) -> String {
        let object = self.models[key.0].objects.get(&key.1);
        let name = object
            .and_then(|o| o.name.clone())
            .unwrap_or_else(|| format!("object {}", key.1));
        let times = named.entry(name.clone()).or_default();
        *times += 1;
        if *times > 1 {
            format!("{name} ({times})")
        } else {
            name
        }
    }

    fn notes(&self) -> Vec<Finding> {
        let mut notes = Vec::new();
        let mut remark = |count: usize, detail: String| {
            notes.push(Finding {
                kind: FindingKind::Remark,
                count: count as u64,
                detail,
                mended: false,
                at_mm: None,
                body: None,
            });
        };
        for (kind, objects) in &self.not_made {
            let of = match kind {
                Kind::Support => "support left out; support is worked out anew",
                Kind::Surface => "surface left out; a surface has no inside",
                Kind::Made | Kind::Other => "other left out; it is no part",
            };
            let count = objects.len();
            let objects = match count {
                1 => "1 object".to_owned(),
                many => format!("{many} objects"),
            };
            remark(count, format!("{objects} of type {of}"));
        }
        let required: BTreeSet<&String> = self.models.iter().flat_map(|m| &m.required).collect();
        if !required.is_empty() {
            remark(
                required.len(),
                format!(
                    "the file requires what is not read: {}; the figures are those of its triangles alone",
                    extensions(required.iter().copied())
                ),
            );
        }
        let foreign = self.models.iter().flat_map(|m| &m.foreign);
        let foreign: BTreeSet<&String> = foreign.filter(|f| !required.contains(f)).collect();
        if !foreign.is_empty() {
            remark(
                foreign.len(),
                format!(
                    "passed over in the file: {}",
                    extensions(foreign.iter().copied())
                ),
            );
        }
        let unknown = &self.models[0].unknown;
        if !unknown.is_empty() {
            let names: Vec<&str> = unknown.iter().map(String::as_str).collect();
            remark(
                unknown.len(),
                format!(
                    "words about the build that 3MF does not define were passed over: {}",
                    names.join(", ")
                ),
            );
        }
        notes
    }
}

/// What namespaces are about, in words where they are known.
fn extensions<'n>(namespaces: impl Iterator<Item = &'n String>) -> String {
    const KNOWN: [(&str, &str); 9] = [
        ("/material/", "materials and colours"),
        ("/slice/", "slices"),
        ("/beamlattice/", "beam lattice"),
        ("/volumetric/", "volumetric data"),
        ("/implicit/", "implicit functions"),
        ("/displacement/", "displacement"),
        ("/booleanoperations/", "boolean operations"),
        ("/trianglesets/", "sets of triangles"),
        ("/securecontent/", "encryption"),
    ];
    let words: BTreeSet<String> = namespaces
        .filter(|n| !n.is_empty())
        .map(|n| {
            KNOWN
                .iter()
                .find(|(part, _)| n.contains(part))
                .map_or_else(|| shown(n), |(_, words)| (*words).to_owned())
        })
        .collect();
    Vec::from_iter(words).join(", ")
}
