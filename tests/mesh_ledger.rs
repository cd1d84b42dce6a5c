//! The ledger of other people's meshes: what this project says of every one, beside what trimesh and manifold3d say
//! (`reference/ledger.json`, written by `reference/mesh_ledger.py`).
//!
//! The meshes lie in `../shared/meshes`, which a stranger's clone does not have: the tests then say so and pass. Where the folder is
//! there, they fail if they ran on fewer than all of its meshes.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod meshes;

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use beadtally::health::examine;
use beadtally::mesh::{
    InspectedMesh, Mending, Source, UNPACKED_LIMIT_BYTES, Unit, inspect_part, open,
};
use meshes::shared;
use rayon::prelude::*;
use serde::Deserialize;

/// What the reference libraries say of a mesh, in its file's own unit.
#[derive(Deserialize)]
struct Said {
    read: bool,
    #[serde(default)]
    closed: bool,
    #[serde(default)]
    consistent: bool,
    #[serde(default)]
    volume: f64,
    #[serde(default)]
    area: f64,
    #[serde(default)]
    bodies: usize,
    manifold3d_volume: Option<f64>,
}

/// Where this project and the libraries disagree, and why. The list may only shrink.
const DISAGREEMENTS: [(&str, &str); 2] = [
    (
        "3mfs__MUSTFAIL_Chapter2.1.2_PartsRelationships_MoreThanOne3DModelPart.3mf",
        "the 3MF suite says that it must be refused; trimesh reads the first model part",
    ),
    (
        "3mfs__MUSTFAIL_Chapter2.3.2b_DataTypeDefinitionInXMLMarkup.3mf",
        "the 3MF suite says that it must be refused; trimesh reads over the type definition",
    ),
];

/// Objects of type "support" are not made (3MF core specification); trimesh measures them with the part.
const WITHOUT_SUPPORT: &str = "3mfs__MUSTPASS_Chapter4.1_ExplicitSupport.3mf";

fn reference() -> BTreeMap<String, Said> {
    serde_json::from_str(include_str!("reference/ledger.json")).unwrap()
}

/// The parts of a file, read in the file's own numbers, with their copies; or the sentence that refuses it.
fn parts(path: &Path) -> Result<Vec<(InspectedMesh, f64)>, String> {
    let opened = open(fs::read(path).unwrap(), UNPACKED_LIMIT_BYTES).map_err(|e| e.to_string())?;
    let mut parts = Vec::new();
    for file in opened {
        let drawing = file.drawing.map_err(|e| e.to_string())?;
        for part in drawing.parts {
            let source = Source {
                format: drawing.format,
                unit: Unit::Millimetre,
                unit_stated: drawing.unit.is_some(),
                copies: part.copies,
            };
            let copies = f64::from(part.copies);
            let part = inspect_part(part, source, Mending::Safe).map_err(|e| e.to_string())?;
            parts.push((part, copies));
        }
    }
    Ok(parts)
}

#[test]
fn volume_surface_closedness_and_bodies_agree_with_the_reference_libraries() {
    let Some(folder) = shared() else { return };
    let reference = reference();
    let names: Vec<&String> = reference.keys().collect();
    let faults: Vec<String> = names
        .par_iter()
        .flat_map_iter(|name| {
            let known = DISAGREEMENTS.iter().any(|(file, _)| file == *name);
            let faults = disagreements(&folder, name, &reference[*name]);
            match (known, faults.is_empty()) {
                (false, _) => faults,
                (true, false) => Vec::new(),
                (true, true) => vec![format!("{name}: agrees now; take it off the list")],
            }
        })
        .collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    let closed = reference
        .values()
        .filter(|s| s.read && s.closed && s.consistent);
    assert!(closed.count() >= 70);
}

fn disagreements(folder: &Path, name: &str, said: &Said) -> Vec<String> {
    let sound = said.read && said.closed && said.consistent;
    let parts = match parts(&folder.join(name)) {
        Ok(parts) => parts,
        Err(_) if !sound => return Vec::new(),
        Err(error) => return vec![format!("{name}: refused: {error}")],
    };
    if !sound || name == WITHOUT_SUPPORT {
        return Vec::new();
    }
    let sum = |of: fn(&InspectedMesh) -> f64| -> f64 {
        parts.iter().map(|(part, copies)| copies * of(part)).sum()
    };
    let mut faults = Vec::new();
    let mut hold = |what: &str, ours: f64, right: f64, share: f64| {
        if (ours - right).abs() > share * right.abs() {
            faults.push(format!("{name}: {what} {ours}, the libraries say {right}"));
        }
    };
    hold(
        "volume",
        sum(|p| p.mass.volume_mm3),
        said.volume.abs(),
        1e-5,
    );
    hold("surface", sum(|p| p.mass.area_mm2), said.area, 1e-5);
    if let Some(volume) = said.manifold3d_volume {
        hold("volume", sum(|p| p.mass.volume_mm3), volume.abs(), 1e-5);
    }
    if parts.len() == 1 && parts[0].1 == 1.0 {
        hold(
            "bodies",
            sum(|p| p.topology.bodies as f64),
            said.bodies as f64,
            0.0,
        );
    }
    if parts.iter().any(|(part, _)| !part.watertight) {
        faults.push(format!("{name}: not closed, the libraries say it is"));
    }
    faults
}

/// Grade and findings of every mesh, as they were when they were last looked through one by one. With `WRITE_LEDGER=1` in the
/// environment the file is written anew; read the difference before keeping it.
#[test]
fn grades_and_findings_are_those_of_the_ledger() {
    let Some(folder) = shared() else { return };
    let names: Vec<String> = reference().into_keys().collect();
    let lines: Vec<String> = names
        .par_iter()
        .map(|name| format!("{name}\t{}\n", verdict(&folder.join(name))))
        .collect();
    let ours = lines.concat();
    let ledger = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/ledger.tsv");
    if std::env::var_os("WRITE_LEDGER").is_some() {
        fs::write(&ledger, &ours).unwrap();
    }
    let right = fs::read_to_string(&ledger).unwrap();
    for (ours, right) in ours.lines().zip(right.lines()) {
        assert_eq!(ours, right);
    }
    assert_eq!(ours.lines().count(), right.lines().count());
}

/// One line: the grades of the parts and the kinds of their findings, or the beginning of the refusal.
fn verdict(path: &Path) -> String {
    let parts = match parts(path) {
        Ok(parts) => parts,
        Err(error) => return format!("no part\t{}", error.split([';', ':']).next().unwrap()),
    };
    let mut grades: Vec<&str> = Vec::new();
    let mut kinds: Vec<String> = Vec::new();
    for (part, _) in parts {
        // Walls are judged in millimetres, which these files may not be in: nothing is narrower than nothing.
        let part = examine(part, 0.0);
        grades.push(part.trust.grade.name());
        for finding in &part.findings {
            let mended = if finding.mended { " mended" } else { "" };
            kinds.push(format!("{}{mended}", finding.kind.name()));
        }
    }
    kinds.sort();
    kinds.dedup();
    format!("{}\t{}", grades.join(", "), kinds.join(", "))
}

#[test]
fn the_ledger_holds_every_shared_mesh() {
    let Some(folder) = shared() else { return };
    let formats = ["stl", "obj", "ply", "off", "amf", "3mf"];
    let reference = reference();
    let mut here = 0;
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let ending = path.extension().map(|e| e.to_string_lossy().to_lowercase());
        if ending.is_some_and(|e| formats.contains(&e.as_str())) {
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            assert!(
                reference.contains_key(&name),
                "{name} is not in ledger.json"
            );
            here += 1;
        }
    }
    assert_eq!(here, reference.len());
}
