//! Files that others made, where `../shared/meshes` is there.

use std::path::Path;

use beadtally::mesh::read;

/// Against `reference.json` beside the files, which holds what the Python library `trimesh` says of each. Compared are the
/// figures of meshes it found closed and turned one way, as the file has them or with equal points made one.
#[test]
fn the_shared_files_measure_as_a_general_purpose_library_says() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/meshes");
    let Ok(reference) = std::fs::read_to_string(folder.join("reference.json")) else {
        println!("../shared/meshes is not here: its OBJ, PLY and OFF files were not compared");
        return;
    };
    let reference: serde_json::Value = serde_json::from_str(&reference).unwrap();
    let mut compared = 0;
    for (file, of_file) in reference.as_object().unwrap() {
        if !["obj", "ply", "off"]
            .iter()
            .any(|e| file.ends_with(&format!(".{e}")))
        {
            continue;
        }
        let got = read(std::fs::read(folder.join(file)).unwrap());
        let joined = &of_file["merged_by_position_only"];
        let by = if joined.is_object() { joined } else { of_file };
        if by["is_watertight"] != true || by["is_winding_consistent"] != true || by["volume"] == 0.0
        {
            if let Err(error) = got {
                assert!(!error.to_string().contains('\n'), "{file}: {error}");
            }
            continue;
        }
        let got = got.unwrap_or_else(|e| panic!("{file}: {e}"));
        let volume = by["volume"].as_f64().unwrap();
        let area = of_file["area"].as_f64().unwrap();
        assert!(
            (got.mass.volume_mm3 / volume - 1.0).abs() < 1e-5,
            "{file}: {} {volume}",
            got.mass.volume_mm3
        );
        assert!(
            (got.mass.area_mm2 / area - 1.0).abs() < 1e-5,
            "{file}: {} {area}",
            got.mass.area_mm2
        );
        assert!(got.watertight, "{file}");
        compared += 1;
    }
    assert!(compared >= 10, "only {compared} files were compared");
}

/// Files that break their format, and where.
#[test]
fn the_shared_files_that_are_damaged_are_refused_where_they_are() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/meshes");
    if !folder.is_dir() {
        println!("../shared/meshes is not here: its damaged files were not read");
        return;
    }
    for (file, start) in [
        (
            "assimp__crash-30d6d0f7c529b3b66b4131700b7a4580cd7082df.ply",
            "PLY, line 7: \"",
        ),
        (
            "assimp__number_formats.obj",
            "OBJ, line 11: \"3.1+e2\" stands where a number should",
        ),
        ("draco__degenerate_mesh.obj", "the part is flat"),
        (
            "tinyobj__issue-140-zero-face-idx.obj",
            "OBJ, line 16: a face asks for vertex 0",
        ),
        (
            "tinyobj__test-nan.obj",
            "OBJ, line 12: \"nan\" stands where a finite number should",
        ),
    ] {
        let error = read(std::fs::read(folder.join(file)).unwrap())
            .map(|_| ())
            .unwrap_err()
            .to_string();
        assert!(error.starts_with(start), "{file}: {error}");
    }
}
