//! Holds measures, sections and offsets against general-purpose geometry libraries (trimesh, shapely, manifold3d; SEEN, the
//! versions stand in `tests/reference/values.json`). `tests/reference/README.md` says how the figures were made.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use beadtally::mesh::{self, InspectedMesh};
use beadtally::section::{Region, sections_at};
use rayon::prelude::*;
use serde::Deserialize;

/// Volume, area; box and centroid against the size (issue 2, "It must show").
const MEASURE_SHARE: f64 = 1e-5;
/// Section areas (issue 2).
const SECTION_SHARE: f64 = 0.001;
/// Section outlines. Thinning to 0.01 mm cuts corners of curved outlines short, more of the length than of the area.
const OUTLINE_SHARE: f64 = 0.001;
/// Areas of insets. Sections and insets are thinned to 0.01 mm, so an inset's border may lie that far off.
const INSET_BORDER_MM: f64 = 0.01;
/// In a section with `notches` the mitre passes its limit at that many corners, and the two reference tools cut those
/// differently themselves: a cut corner is off by at most the triangle between the two cuts, this share of the inset squared.
const NOTCH_SHARE: f64 = 3.0;

#[derive(Deserialize)]
struct Values {
    parts: BTreeMap<String, Reference>,
}

#[derive(Deserialize)]
struct Reference {
    area_mm2: f64,
    bodies: usize,
    box_mm: ReferenceBox,
    centroid_mm: [f64; 3],
    sections: Vec<ReferenceSection>,
    triangles: usize,
    volume_mm3: f64,
    other_volume_mm3: f64,
    watertight: bool,
}

#[derive(Deserialize)]
struct ReferenceBox {
    min: [f64; 3],
    max: [f64; 3],
    size: [f64; 3],
}

#[derive(Deserialize)]
struct ReferenceSection {
    z_mm: f64,
    area_mm2: f64,
    perimeter_mm: f64,
    pieces: usize,
    holes: usize,
    notches: usize,
    insets: Vec<ReferenceInset>,
}

#[derive(Deserialize)]
struct ReferenceInset {
    by_mm: f64,
    area_mm2: f64,
    other_area_mm2: f64,
    perimeter_mm: f64,
    other_perimeter_mm: f64,
    perimeter_range_mm: [f64; 2],
}

fn values() -> BTreeMap<String, Reference> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/values.json");
    let values: Values = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    values.parts
}

/// Parts whose names begin with a folder's, with where they lie.
fn parts(folder: &str, at: &Path) -> Vec<(String, PathBuf, Reference)> {
    let named = values().into_iter().filter_map(|(name, reference)| {
        let file = name.strip_prefix(folder)?.to_owned();
        Some((file.clone(), at.join(file), reference))
    });
    named.collect()
}

#[test]
fn the_demonstration_parts_measure_as_general_purpose_libraries_say() {
    let at = Path::new(env!("CARGO_MANIFEST_DIR")).join("models");
    let parts = parts("models/", &at);
    assert_eq!(parts.len(), 6);
    check_all(parts);
}

/// The shared meshes are other people's and no part of this repository. Where they are at hand all of them must be there.
#[test]
fn the_shared_meshes_measure_as_general_purpose_libraries_say() {
    let at = Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/meshes");
    if !at.is_dir() {
        println!("../shared/meshes is not here: the seventeen shared meshes were not compared");
        return;
    }
    let parts = parts("meshes/", &at);
    assert_eq!(parts.len(), 17);
    check_all(parts);
}

fn check_all(parts: Vec<(String, PathBuf, Reference)>) {
    let checked: Vec<Check> = parts
        .par_iter()
        .map(|(name, path, reference)| check(name, path, reference))
        .collect();
    println!("{} parts compared", checked.len());
    for what in checked
        .iter()
        .flat_map(|check| check.worst.keys())
        .collect::<std::collections::BTreeSet<_>>()
    {
        let mut shares: Vec<f64> = checked
            .iter()
            .filter_map(|c| c.worst.get(*what).copied())
            .collect();
        shares.sort_by(f64::total_cmp);
        println!(
            "{what}: median of parts {:.2e}, worst {:.2e}",
            shares[shares.len() / 2],
            shares[shares.len() - 1]
        );
    }
    let failures: Vec<String> = checked
        .into_iter()
        .flat_map(|check| check.failures)
        .collect();
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}

/// What one part's figures are off by.
struct Check {
    name: String,
    /// The worst difference of each kind.
    worst: BTreeMap<&'static str, f64>,
    failures: Vec<String>,
}

impl Check {
    fn hold(&mut self, what: &'static str, place: &str, off: f64, most: f64) {
        let worst = self.worst.entry(what).or_insert(0.0);
        *worst = worst.max(off.abs());
        // NaN fails.
        let within = off.abs() <= most;
        if !within {
            self.failures.push(format!(
                "{} {place}: {what} is off by {off:.3e}, at most {most:.3e}",
                self.name
            ));
        }
    }

    fn same<T: PartialEq + std::fmt::Debug>(&mut self, what: &str, ours: T, theirs: T) {
        if ours != theirs {
            self.failures.push(format!(
                "{}: {what} is {ours:?}, should be {theirs:?}",
                self.name
            ));
        }
    }
}

fn check(name: &str, path: &Path, reference: &Reference) -> Check {
    let mut check = Check {
        name: name.to_owned(),
        worst: BTreeMap::new(),
        failures: Vec::new(),
    };
    let bytes = match std::fs::read(path) {
        Ok(bytes) => bytes,
        Err(error) => {
            check.failures.push(format!("{name}: {error}"));
            return check;
        }
    };
    let part = mesh::read(bytes).unwrap();
    check_measures(&mut check, &part, reference);
    let planes: Vec<f64> = reference.sections.iter().map(|s| s.z_mm).collect();
    let cut = sections_at(&part.mesh, &part.topology, &planes);
    check.same("contours joined", cut.joined_contours, 0);
    for (section, reference) in cut.regions.iter().zip(&reference.sections) {
        check_section(&mut check, section, reference);
    }
    check
}

fn check_measures(check: &mut Check, part: &InspectedMesh, reference: &Reference) {
    check.same(
        "the number of facets",
        part.mesh.triangles.len(),
        reference.triangles,
    );
    check.same(
        "the number of bodies",
        part.topology.bodies,
        reference.bodies,
    );
    check.same("closed", part.watertight, reference.watertight);
    for volume_mm3 in [reference.volume_mm3, reference.other_volume_mm3] {
        check.hold(
            "volume",
            "",
            part.mass.volume_mm3 / volume_mm3 - 1.0,
            MEASURE_SHARE,
        );
    }
    check.hold(
        "area",
        "",
        part.mass.area_mm2 / reference.area_mm2 - 1.0,
        MEASURE_SHARE,
    );
    let size = reference.box_mm.size.into_iter().fold(0.0, f64::max);
    let (low, high) = part.mesh.box_mm();
    for axis in 0..3 {
        check.hold(
            "box",
            "",
            (low[axis] - reference.box_mm.min[axis]) / size,
            MEASURE_SHARE,
        );
        check.hold(
            "box",
            "",
            (high[axis] - reference.box_mm.max[axis]) / size,
            MEASURE_SHARE,
        );
        check.hold(
            "centroid",
            "",
            (part.mass.centroid_mm[axis] - reference.centroid_mm[axis]) / size,
            MEASURE_SHARE,
        );
    }
}

fn check_section(check: &mut Check, section: &Region, reference: &ReferenceSection) {
    let place = format!("at {} mm", reference.z_mm);
    check.hold(
        "section area",
        &place,
        section.area_mm2() / reference.area_mm2 - 1.0,
        SECTION_SHARE,
    );
    check.hold(
        "section outline",
        &place,
        section.outline_mm() / reference.perimeter_mm - 1.0,
        OUTLINE_SHARE,
    );
    let pieces = section.pieces();
    let rings: usize = pieces.iter().map(|piece| piece.rings().count()).sum();
    check.same("pieces of a section", pieces.len(), reference.pieces);
    check.same("holes of a section", rings - pieces.len(), reference.holes);
    for inset in &reference.insets {
        check_inset(check, &section.inset(inset.by_mm), inset, reference);
    }
}

fn check_inset(
    check: &mut Check,
    inset: &Region,
    reference: &ReferenceInset,
    section: &ReferenceSection,
) {
    let place = format!("inset {} at {} mm", reference.by_mm, section.z_mm);
    let notches_mm2 = NOTCH_SHARE * section.notches as f64 * reference.by_mm * reference.by_mm;
    // Whichever of the two tools is nearer: where they differ, neither is right by itself.
    let [one, other] =
        [reference.area_mm2, reference.other_area_mm2].map(|area_mm2| inset.area_mm2() - area_mm2);
    let off_mm2 = if one.abs() < other.abs() { one } else { other };
    let border_mm = reference
        .perimeter_mm
        .max(reference.other_perimeter_mm)
        .max(reference.perimeter_range_mm[1]);
    let most_mm2 = SECTION_SHARE * reference.area_mm2 + INSET_BORDER_MM * border_mm;
    check.hold(
        "inset area of the section",
        &place,
        off_mm2 / section.area_mm2,
        (most_mm2 + notches_mm2) / section.area_mm2,
    );
    // An outline may end between the least and the greatest of the insets 0.01 mm less and more.
    let [least, greatest] = reference.perimeter_range_mm;
    let (least, greatest) = (
        least.min(reference.other_perimeter_mm),
        greatest.max(reference.other_perimeter_mm),
    );
    let ours = inset.outline_mm();
    let off_mm = (least - ours).max(ours - greatest).max(0.0);
    let notches_mm = 4.0 * section.notches as f64 * reference.by_mm;
    let most_mm = OUTLINE_SHARE * greatest + 0.2;
    check.hold(
        "inset outline of the section's",
        &place,
        off_mm / section.perimeter_mm,
        (most_mm + notches_mm) / section.perimeter_mm,
    );
}
