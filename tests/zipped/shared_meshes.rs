//! Other people's 3MF files, in ../shared/meshes. Figures beside them in reference.json are those of trimesh 5.2, in the
//! file's own unit.

use std::path::PathBuf;

use super::*;

/// The shared 3MF files; none where the folder is not at hand.
fn shared() -> Vec<(String, Vec<u8>)> {
    let folder: PathBuf = [env!("CARGO_MANIFEST_DIR"), "..", "shared", "meshes"]
        .iter()
        .collect();
    let Ok(entries) = std::fs::read_dir(&folder) else {
        println!("skipped: {} is not here", folder.display());
        return Vec::new();
    };
    let mut files: Vec<(String, Vec<u8>)> = entries
        .map(|e| e.unwrap().path())
        .filter(|p| p.extension().is_some_and(|e| e.eq_ignore_ascii_case("3mf")))
        .map(|p| {
            let name = p.file_name().unwrap().to_string_lossy().into_owned();
            (name, std::fs::read(&p).unwrap())
        })
        .collect();
    files.sort();
    files
}

#[test]
fn consortium_files_that_must_fail_are_refused_and_the_others_are_read() {
    for (name, bytes) in shared() {
        let read = opened(bytes);
        let must_fail = name.contains("MUSTFAIL") || name.contains("encrypted");
        println!("{name}: {:?}", read.as_ref().map(|_| ()));
        assert_eq!(read.is_err(), must_fail, "{name}");
        if name.contains("encrypted") {
            let sentence = read.unwrap_err().to_string();
            assert!(
                sentence.contains("ask for the file without encryption"),
                "{sentence}"
            );
        }
    }
}

#[test]
fn figures_agree_with_trimesh() {
    let files = shared();
    let Some(folder) = files.first().map(|_| "../shared/meshes/reference.json") else {
        return;
    };
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(folder);
    let reference: serde_json::Value =
        serde_json::from_slice(&std::fs::read(path).unwrap()).unwrap();
    let mut compared = 0;
    for (name, bytes) in files {
        let expected = &reference[&name];
        // Support is not made here, and trimesh counts it.
        let with_support = name.contains("ExplicitSupport");
        let Ok(files) = opened(bytes) else { continue };
        if expected["is_watertight"] != true || with_support {
            continue;
        }
        let drawing = files[0].drawing.as_ref().unwrap();
        let volume: f64 = drawing.parts.iter().map(wound_volume).sum();
        let facets: usize = drawing
            .parts
            .iter()
            .map(|p| p.surface.triangles.len())
            .sum();
        let theirs = expected["volume"].as_f64().unwrap();
        assert!(
            (volume / theirs - 1.0).abs() < 1e-9,
            "{name}: {volume} against {theirs}"
        );
        assert_eq!(
            facets as u64,
            expected["triangles"].as_u64().unwrap(),
            "{name}"
        );
        compared += 1;
    }
    assert!(compared >= 6, "only {compared} were compared");
}
