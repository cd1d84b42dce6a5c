//! A part is known again however it lies and was saved, and no other is taken for it.

use std::path::Path;

use beadtally::mesh::{InspectedMesh, Mesh, read};
use beadtally::store::Shape;
use nalgebra::{Point3, Rotation3, Vector3};
use rayon::prelude::*;

use crate::meshes::{DEMONSTRATION, demonstration, inspected, mapped, stl};

/// The demonstration parts, and the folder of shared meshes where it is there.
fn parts() -> Vec<(String, InspectedMesh)> {
    let mut all: Vec<(String, InspectedMesh)> = DEMONSTRATION
        .iter()
        .map(|file| ((*file).to_owned(), demonstration(file)))
        .collect();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/meshes");
    let Ok(entries) = std::fs::read_dir(folder) else {
        println!("no folder of shared meshes here: demonstration parts only");
        return all;
    };
    let mut paths: Vec<_> = entries.map(|entry| entry.unwrap().path()).collect();
    paths.retain(|path| path.is_file());
    paths.sort();
    let shared: Vec<(String, InspectedMesh)> = paths
        .par_iter()
        .filter_map(|path| {
            let part = read(std::fs::read(path).unwrap()).ok()?;
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            (part.mass.area_mm2 > 0.0).then_some((name, part))
        })
        .collect();
    all.extend(shared);
    all
}

fn turned(mesh: &Mesh) -> Mesh {
    let size = mesh.size_mm().norm();
    let turn = Rotation3::from_euler_angles(0.3, -1.1, 2.0);
    mapped(mesh, |p| turn * p + Vector3::new(0.7, -0.2, 0.4) * size)
}

/// Facets in another order, each begun at another corner.
fn renumbered(mesh: &Mesh) -> Mesh {
    let mut other = mesh.clone();
    let count = other.vertices_mm.len() as u32;
    other.vertices_mm.reverse();
    for facet in &mut other.triangles {
        let [a, b, c] = facet.map(|v| count - 1 - v);
        *facet = [b, c, a];
    }
    other.triangles.reverse();
    other
}

/// With six digits, as many programs write text.
fn as_text(mesh: &Mesh) -> Vec<u8> {
    let mut text = String::from("solid part\n");
    for t in 0..mesh.triangles.len() {
        text += " facet normal 0 0 0\n  outer loop\n";
        for p in mesh.corners(t) {
            text += &format!("   vertex {:.5e} {:.5e} {:.5e}\n", p.x, p.y, p.z);
        }
        text += "  endloop\n endfacet\n";
    }
    (text + "endsolid part\n").into_bytes()
}

fn as_obj(mesh: &Mesh) -> Vec<u8> {
    let mut text = String::new();
    for p in &mesh.vertices_mm {
        text += &format!("v {} {} {}\n", p.x as f32, p.y as f32, p.z as f32);
    }
    for [a, b, c] in &mesh.triangles {
        text += &format!("f {} {} {}\n", a + 1, b + 1, c + 1);
    }
    text.into_bytes()
}

#[test]
fn a_part_is_known_again_turned_moved_renumbered_and_saved_anew() {
    let parts = parts();
    let worst: Vec<(f64, String)> = parts
        .par_iter()
        .map(|(name, part)| {
            let shape = Shape::of(part);
            let moved = turned(&part.mesh);
            let again = [
                ("turned", Ok(inspected(moved.clone()))),
                ("renumbered", Ok(inspected(renumbered(&part.mesh)))),
                ("binary", read(stl(&moved))),
                ("text", read(as_text(&part.mesh))),
                ("OBJ", read(as_obj(&moved))),
            ];
            let mut worst = (0.0f64, String::new());
            for (how, other) in again {
                let other = Shape::of(&other.unwrap());
                let off = shape.off_by(&other);
                if off > worst.0 {
                    worst = (off, format!("{name}, {how}"));
                }
            }
            worst
        })
        .collect();
    let mut worst = worst;
    worst.sort_by(|a, b| b.0.total_cmp(&a.0));
    for (off, what) in worst.iter().take(8) {
        println!("{what}: off by {off:.1e}");
    }
    for (off, what) in &worst {
        assert!(*off <= 2e-4, "{what}: {off}");
    }
}

/// Left and right rudder cheeks are different parts. Parts that are their own mirror image are the same.
#[test]
fn a_mirrored_part_is_another_unless_it_is_its_own_mirror_image() {
    let mirrored = |part: &InspectedMesh| {
        let mut mesh = mapped(&part.mesh, |p| Point3::new(-p.x, p.y, p.z));
        for facet in &mut mesh.triangles {
            facet.swap(1, 2);
        }
        inspected(mesh)
    };
    let mut other = 0;
    for (name, part) in parts() {
        let (shape, mirror) = (Shape::of(&part), Shape::of(&mirrored(&part)));
        let same = shape.is_same(&mirror);
        println!(
            "{name}: {}",
            if same {
                "its own mirror image"
            } else {
                "handed"
            }
        );
        other += usize::from(!same);
    }
    assert!(other >= 1);
    // A bracket with arms of three lengths along x, y and z is handed.
    use crate::meshes::solids::block;
    use crate::meshes::together;
    let arms = [[30.0, 4.0, 4.0], [4.0, 20.0, 4.0], [4.0, 4.0, 12.0]];
    let [a, b, c] = arms.map(|size| block([0.0; 3], size));
    let bracket = inspected(together(&together(&a, &b), &c));
    assert!(!Shape::of(&bracket).is_same(&Shape::of(&mirrored(&bracket))));
    let cube = inspected(block([0.0; 3], [3.0, 4.0, 5.0]));
    assert!(Shape::of(&cube).is_same(&Shape::of(&mirrored(&cube))));
}

/// Sorted lengths of all sides of all facets, mm: what two meshes of one part have in common, computed without moments.
fn sides(mesh: &Mesh) -> Vec<f64> {
    let mut all: Vec<f64> = (0..mesh.triangles.len())
        .flat_map(|t| {
            let [a, b, c] = mesh.corners(t);
            [(b - a).norm(), (c - b).norm(), (a - c).norm()]
        })
        .collect();
    all.sort_by(f64::total_cmp);
    all
}

#[test]
fn no_two_different_parts_are_taken_for_one() {
    let parts = parts();
    let shapes: Vec<Shape> = parts.iter().map(|(_, part)| Shape::of(part)).collect();
    let mut nearest = f64::INFINITY;
    for i in 0..parts.len() {
        for j in 0..i {
            if !shapes[i].is_same(&shapes[j]) {
                nearest = nearest.min(shapes[i].off_by(&shapes[j]));
                continue;
            }
            let (a, b) = (&parts[i], &parts[j]);
            println!("{} is {}", a.0, b.0);
            let (x, y) = (sides(&a.1.mesh), sides(&b.1.mesh));
            let area = (a.1.mass.area_mm2 / b.1.mass.area_mm2 - 1.0).abs();
            assert!(area < 1e-4, "{} and {}", a.0, b.0);
            if x.len() == y.len() {
                let longest = x.last().unwrap();
                let off = x
                    .iter()
                    .zip(&y)
                    .map(|(a, b)| (a - b).abs())
                    .fold(0.0, f64::max);
                assert!(off < 1e-3 * longest, "{} and {}: {off}", a.0, b.0);
            }
        }
    }
    println!("the nearest two others differ by {nearest:.1e}");
}

/// A hole moved by half a millimetre in a plate of 60 makes another part.
#[test]
fn a_hole_moved_by_half_a_millimetre_makes_another_part() {
    let plate = |x: f64| {
        use crate::meshes::solids::block;
        use crate::meshes::together;
        let hole = crate::meshes::inside_out(&block([x, 20.0, 1.0], [x + 5.0, 25.0, 3.0]));
        inspected(together(&block([0.0; 3], [60.0, 40.0, 4.0]), &hole))
    };
    let (here, there) = (Shape::of(&plate(10.0)), Shape::of(&plate(10.5)));
    assert!(!here.is_same(&there), "{}", here.off_by(&there));
}
