//! Hulls, centroids and resting poses beside what scipy's Qhull and trimesh say (`reference/resting.json`, written by
//! `reference/resting.py`), on the demonstration parts and, where `../shared/meshes` is there, on its closed STL meshes.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use beadtally::mesh::{InspectedMesh, read};
use beadtally::pose::{Footprints, RestingPoses, resting_poses};
use nalgebra::{Point3, Vector3};
use serde::Deserialize;

#[derive(Deserialize)]
struct Reference {
    parts: BTreeMap<String, Said>,
}

#[derive(Deserialize)]
struct Said {
    centroid_mm: [f64; 3],
    size_mm: f64,
    rests: Vec<SaidRest>,
    trimesh_rests: Option<usize>,
}

#[derive(Deserialize)]
struct SaidRest {
    down: [f64; 3],
    contact_mm2: f64,
    to_edge_mm: f64,
    centroid_height_mm: f64,
    close: bool,
}

/// Every part of the reference that is here, read.
fn parts() -> Vec<(String, Said, InspectedMesh)> {
    let reference: Reference =
        serde_json::from_str(include_str!("../reference/resting.json")).unwrap();
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let shared = root.join("../shared/meshes");
    if !shared.is_dir() {
        println!("skipped: ../shared/meshes is not here, the demonstration parts only");
    }
    let path = |name: &str| -> Option<PathBuf> {
        let own = root.join("models").join(name);
        let path = if own.is_file() {
            own
        } else {
            shared.join(name)
        };
        path.is_file().then_some(path)
    };
    let here = reference.parts.into_iter().filter_map(|(name, said)| {
        let part = read(fs::read(path(&name)?).unwrap()).unwrap();
        Some((name, said, part))
    });
    let here: Vec<_> = here.collect();
    assert!(here.len() >= if shared.is_dir() { 50 } else { 3 });
    here
}

/// A reference rest is the same as one of ours: to a thousandth of a radian, area to a thousandth, lengths to a ten-thousandth
/// of the part's size. Faces that are nearly level with each other are one face for one tool and two for the other.
fn has(found: &RestingPoses, said: &SaidRest, size_mm: f64) -> bool {
    found.poses.iter().any(|pose| {
        (pose.rest.direction() - Vector3::from(said.down)).norm() < 1e-3
            && (pose.contact_mm2 - said.contact_mm2).abs()
                <= 1e-3 * said.contact_mm2 + 1e-6 * size_mm * size_mm
            && (pose.to_edge_mm - said.to_edge_mm).abs() <= 1e-4 * size_mm
            && (pose.centroid_height_mm - said.centroid_height_mm).abs() <= 1e-4 * size_mm
    })
}

#[test]
fn resting_poses_are_those_of_qhull_s_faces_on_every_part() {
    let (mut compared, mut differs) = (0, Vec::new());
    for (name, said, part) in parts() {
        let found = resting_poses(&Footprints::of(&part.mesh));
        // A mesh that was mended or whose bodies were turned weighs otherwise than as drawn.
        let centroid = (found.centroid_mm - Point3::from(said.centroid_mm)).norm();
        if centroid > 1e-5 * said.size_mm {
            differs.push(format!("{name}: centroid {centroid} mm off"));
            continue;
        }
        assert!(found.by_volume, "{name}");
        for rest in said.rests.iter().filter(|rest| !rest.close) {
            compared += 1;
            if !has(&found, rest, said.size_mm) {
                differs.push(format!(
                    "{name}: not found: {:?} {} mm2",
                    rest.down, rest.contact_mm2
                ));
            }
        }
        for pose in found
            .poses
            .iter()
            .filter(|pose| pose.to_edge_mm > 1.1e-3 * said.size_mm)
        {
            let theirs =
                |rest: &SaidRest| (pose.rest.direction() - Vector3::from(rest.down)).norm() < 1e-3;
            if !said.rests.iter().any(theirs) {
                differs.push(format!("{name}: not theirs: {pose:?}"));
            }
        }
    }
    for line in &differs {
        println!("{line}");
    }
    assert!(compared >= 18, "{compared}");
    assert!(
        differs.is_empty(),
        "{} of {compared}:\n{}",
        differs.len(),
        differs.join("\n")
    );
}

/// trimesh's own stable poses, where no pose is close to tipping and trimesh finds as many as Qhull has faces.
#[test]
fn resting_poses_are_as_many_as_trimesh_finds() {
    let mut alike = 0;
    for (name, said, part) in parts() {
        if said.rests.iter().any(|rest| rest.close) || said.trimesh_rests != Some(said.rests.len())
        {
            continue;
        }
        let found = resting_poses(&Footprints::of(&part.mesh));
        assert_eq!(
            found.poses.len() + found.left_out,
            said.rests.len(),
            "{name}"
        );
        alike += 1;
    }
    assert!(alike >= 3, "{alike}");
}
