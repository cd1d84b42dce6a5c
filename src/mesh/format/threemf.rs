//! 3MF (3MF Consortium, core specification 1.x, and its production extension): a zip package whose model parts are XML.

mod build;
mod model;

use super::archive::{Budget, Package, refusal};
use super::xml::{self, Xml, shown};
use crate::mesh::{Drawing, MeshError};
use model::Model;

const FORMAT: &str = "3MF";
const START: &str = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel";
const RELATIONSHIPS: &str = "_rels/.rels";

/// The path of the model part that a package starts with; none where the archive is no 3MF package.
pub(super) fn find_model(
    package: &mut Package,
    budget: &mut Budget,
) -> Result<Option<String>, MeshError> {
    let models = package.files_in("3d/", ".model");
    let usual = models
        .iter()
        .map(|i| package.path(*i))
        .find(|path| path.eq_ignore_ascii_case("3D/3dmodel.model"))
        .or_else(|| models.first().map(|i| package.path(*i)))
        .map(str::to_owned);
    let Some(relationships) = package.find(RELATIONSHIPS) else {
        return Ok(usual);
    };
    let targets = package
        .unpack(relationships, budget)
        .and_then(|bytes| start_parts(&xml::text(bytes)));
    match targets {
        Ok(mut targets) if targets.len() < 2 => Ok(targets.pop().or(usual)),
        Ok(targets) => Err(MeshError::Malformed {
            format: FORMAT,
            place: RELATIONSHIPS.to_owned(),
            problem: format!(
                "{} model parts are named as the start of the package where one should be",
                targets.len()
            ),
        }),
        Err(over @ MeshError::OverLimit { .. }) => Err(over),
        // Other formats are packages too.
        Err(_) if usual.is_none() => Ok(None),
        Err(problem) => Err(problem),
    }
}

/// Targets of the relationships that name a package's first model part.
fn start_parts(text: &str) -> Result<Vec<String>, MeshError> {
    let mut xml = Xml::new(FORMAT, RELATIONSHIPS, text);
    xml.root()?;
    let mut targets = Vec::new();
    while let Some(element) = xml.child()? {
        if element.name() == "Relationship" && element.attribute("Type").is_some_and(|t| t == START)
        {
            let target = element.attribute("Target").unwrap_or_default();
            let outside = element
                .attribute("TargetMode")
                .is_some_and(|mode| mode.eq_ignore_ascii_case("external"));
            match part_path(&target).filter(|_| !outside) {
                Some(path) => targets.push(path),
                None => {
                    return Err(xml.wrong(format!(
                        "the model part is said to lie at \"{}\", outside the package",
                        shown(&target)
                    )));
                }
            }
        }
        xml.skip()?;
    }
    Ok(targets)
}

/// A part name as a path from the package's root; none where it leads out of it.
fn part_path(name: &str) -> Option<String> {
    let mut parts = Vec::new();
    for part in name.trim().split('/') {
        match part {
            "" | "." => {}
            ".." => return None,
            part => parts.push(part),
        }
    }
    (!name.contains("://")).then(|| parts.join("/"))
}

/// Reads the package that starts with `model`.
pub(super) fn read(
    package: &mut Package,
    model: &str,
    budget: &mut Budget,
) -> Result<Drawing, MeshError> {
    let mut load = |path: &str| load(package, path, budget);
    let root = load(model)?;
    let Some(root) = root else {
        return Err(MeshError::Malformed {
            format: FORMAT,
            place: RELATIONSHIPS.to_owned(),
            problem: format!(
                "the model part \"{}\" is named here but is not in the package",
                shown(model)
            ),
        });
    };
    build::draw(root, &mut load)
}

/// Reads a model part; none where the package has no such part.
fn load(
    package: &mut Package,
    path: &str,
    budget: &mut Budget,
) -> Result<Option<Model>, MeshError> {
    let found = package
        .find(path)
        .or_else(|| package.find(&without_percents(path)));
    let Some(index) = found else {
        return Ok(None);
    };
    let path = package.path(index).to_owned();
    let bytes = package.unpack(index, budget)?;
    // The start of an encrypted part (3MF secure content extension, "EncryptedFile").
    if bytes.starts_with(b"%3McF") {
        return Err(refusal(
            format!("the 3MF file is encrypted (\"{path}\" in it can't be read)"),
            "the file without encryption",
        ));
    }
    model::read(&path, &xml::text(bytes)).map(Some)
}

/// A part name with its percent-encoded bytes put in (RFC 3986, 2.1).
fn without_percents(name: &str) -> String {
    let mut bytes = Vec::with_capacity(name.len());
    let mut rest = name.as_bytes();
    while let [first, after @ ..] = rest {
        let decoded = after
            .get(..2)
            .filter(|_| *first == b'%')
            .and_then(|two| std::str::from_utf8(two).ok())
            .and_then(|two| u8::from_str_radix(two, 16).ok());
        bytes.push(decoded.unwrap_or(*first));
        rest = if decoded.is_some() {
            &after[2..]
        } else {
            after
        };
    }
    String::from_utf8_lossy(&bytes).into_owned()
}
