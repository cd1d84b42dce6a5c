//! Every closed-form solid, damaged in each of the ways in which customers' meshes are: the right finding at the right place, and
//! the right measures after mending or the right bounds.
//!
//! The truth of each check is the sound solid's own measure, which `closed_forms.rs` holds against its closed form.
#![allow(clippy::unwrap_used, clippy::expect_used)]

#[path = "../meshes/mod.rs"]
mod meshes;

mod as_is;
mod bodies;
mod edges;
mod facets;
mod walls;

use beadtally::mesh::{Finding, FindingKind, Grade, InspectedMesh, Mesh};
use nalgebra::Point3;

use meshes::inspected;
use meshes::solids::{
    block, cone, prism, regular_polygon, sphere, square_tube, tetrahedron, torus,
};

/// Solids with closed forms, each with its name.
fn solids() -> Vec<(&'static str, Mesh)> {
    vec![
        ("box", block([1.0, 2.0, 3.0], [21.3, 32.7, 43.9])),
        ("prism", prism(&regular_polygon(10.0, 6), 0.0, 25.0)),
        ("cylinder", prism(&regular_polygon(20.0, 64), 0.0, 30.0)),
        ("cone", cone(20.0, 30.0, 64)),
        ("sphere", sphere(20.0, 24, 48)),
        ("torus", torus(20.0, 6.0, 24, 48)),
        ("tube", square_tube(30.0, 20.0, 25.0)),
        (
            "tetrahedron",
            tetrahedron([
                [0.0, 0.0, 0.0],
                [20.0, 0.0, 0.0],
                [0.0, 30.0, 0.0],
                [0.0, 0.0, 40.0],
            ]),
        ),
    ]
}

fn near(what: &str, ours: f64, right: f64, share: f64) {
    assert!(
        (ours - right).abs() <= share * right.abs(),
        "{what}: {ours}, should be {right} within {share:e} of it"
    );
}

/// The one finding of a kind.
fn the(part: &InspectedMesh, kind: FindingKind) -> &Finding {
    let of_kind: Vec<&Finding> = part.findings.iter().filter(|f| f.kind == kind).collect();
    assert_eq!(of_kind.len(), 1, "{kind:?} in {:?}", part.findings);
    of_kind[0]
}

/// Holds a part to the measures of the sound solid, under a grade.
fn measures_like(what: &str, part: &InspectedMesh, sound: &Mesh, grade: Grade) {
    let right = inspected(sound.clone()).mass;
    near(
        &format!("{what}: volume"),
        part.mass.volume_mm3,
        right.volume_mm3,
        1e-9,
    );
    near(
        &format!("{what}: surface"),
        part.mass.area_mm2,
        right.area_mm2,
        1e-9,
    );
    assert!(part.watertight, "{what}");
    assert_eq!(part.trust.grade, grade, "{what}: {:?}", part.findings);
    let [low, high] = part.trust.volume_bounds_mm3;
    near(&format!("{what}: bounds"), low, right.volume_mm3, 1e-9);
    assert_eq!(low, high, "{what}");
}

/// Holds a finding to a place.
fn stands_at(what: &str, finding: &Finding, place: Point3<f64>, within_mm: f64) {
    let at = finding.at_mm.unwrap_or_else(|| panic!("{what}: no place"));
    assert!(
        (at - place).norm() <= within_mm,
        "{what}: {at} is not near {place}"
    );
}

/// A mesh with every facet's corners of its own, so that each can be moved alone.
fn apart(mesh: &Mesh) -> Mesh {
    Mesh {
        vertices_mm: (0..mesh.triangles.len())
            .flat_map(|f| mesh.corners(f))
            .collect(),
        triangles: (0..mesh.triangles.len() as u32)
            .map(|f| [3 * f, 3 * f + 1, 3 * f + 2])
            .collect(),
    }
}

/// A mesh with the first edge of its first facet divided in the middle, on that facet's side only; and the middle, whose corner is
/// the last.
fn divided_on_one_side(mesh: &Mesh) -> (Mesh, Point3<f64>) {
    let mut divided = mesh.clone();
    let [a, b, c] = mesh.triangles[0];
    let half = nalgebra::center(&mesh.vertices_mm[a as usize], &mesh.vertices_mm[b as usize]);
    let m = mesh.vertices_mm.len() as u32;
    divided.vertices_mm.push(half);
    divided.triangles[0] = [a, m, c];
    divided.triangles.push([m, b, c]);
    (divided, half)
}

fn middle_of(mesh: &Mesh, facet: usize) -> Point3<f64> {
    let [a, b, c] = mesh.corners(facet);
    Point3::from((a.coords + b.coords + c.coords) / 3.0)
}
