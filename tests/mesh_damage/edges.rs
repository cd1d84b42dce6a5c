//! Holes, cracks, and edges of more than two facets.

use beadtally::mesh::{FindingKind, Grade, Mesh};
use nalgebra::{Point3, Vector3};

use super::meshes::inspected;
use super::meshes::solids::{block, prism, regular_polygon, sphere, square_tube};
use super::{apart, divided_on_one_side, measures_like, middle_of, near, solids, stands_at, the};

#[test]
fn a_missing_facet_is_put_back() {
    for (name, sound) in solids() {
        let mut mesh = sound.clone();
        mesh.triangles.remove(3);
        let part = inspected(mesh);
        measures_like(name, &part, &sound, Grade::Mended);
        let finding = the(&part, FindingKind::ClosedHoles);
        assert_eq!((finding.count, finding.mended), (1, true));
        stands_at(name, finding, middle_of(&sound, 3), 1e-9);
        assert_eq!(
            part.marks
                .iter()
                .filter(|m| m.kind == FindingKind::ClosedHoles)
                .count(),
            3,
            "{name}: the three edges of the hole are marked"
        );
    }
}

/// Without the facets that a test picks.
fn without(mesh: &Mesh, gone: impl Fn(&[Point3<f64>; 3]) -> bool) -> Mesh {
    let triangles = (0..mesh.triangles.len())
        .filter(|f| !gone(&mesh.corners(*f)))
        .map(|f| mesh.triangles[f])
        .collect();
    Mesh {
        vertices_mm: mesh.vertices_mm.clone(),
        triangles,
    }
}

#[test]
fn a_missing_flat_face_is_put_back_and_said() {
    let sound = prism(&regular_polygon(20.0, 64), 0.0, 30.0);
    let topless = without(&sound, |c| c.iter().all(|p| p.z == 30.0));
    let part = inspected(topless);
    measures_like("cylinder", &part, &sound, Grade::Mended);
    let finding = the(&part, FindingKind::ClosedHoles);
    stands_at("cylinder", finding, Point3::new(0.0, 0.0, 30.0), 1e-6);
    assert!(
        finding.detail.contains("taken as solid"),
        "{}",
        finding.detail
    );
}

#[test]
fn a_tube_without_its_ends_is_closed_as_a_tube() {
    let sound = square_tube(30.0, 20.0, 25.0);
    let endless = without(&sound, |c| c.iter().all(|p| p.z == c[0].z));
    let part = inspected(endless);
    measures_like("tube", &part, &sound, Grade::Mended);
    assert_eq!(the(&part, FindingKind::ClosedHoles).count, 2);
}

#[test]
fn a_concave_face_with_corners_along_its_sides_is_put_back() {
    // An L of two blocks' outline; the long side is divided in the middle.
    let ring = [
        [0.0, 0.0],
        [10.0, 0.0],
        [20.0, 0.0],
        [20.0, 8.0],
        [8.0, 8.0],
        [8.0, 20.0],
        [0.0, 20.0],
    ];
    let mut mesh = Mesh {
        vertices_mm: ring
            .iter()
            .map(|[x, y]| Point3::new(*x, *y, 0.0))
            .chain(ring.iter().map(|[x, y]| Point3::new(*x, *y, 10.0)))
            .collect(),
        triangles: Vec::new(),
    };
    for i in 0..7u32 {
        let j = (i + 1) % 7;
        mesh.triangles.push([i, j, j + 7]);
        mesh.triangles.push([i, j + 7, i + 7]);
    }
    let part = inspected(mesh);
    let area = 20.0 * 8.0 + 8.0 * 12.0;
    near("volume", part.mass.volume_mm3, 10.0 * area, 1e-12);
    near(
        "surface",
        part.mass.area_mm2,
        2.0 * area + 10.0 * 80.0,
        1e-12,
    );
    assert_eq!(part.trust.grade, Grade::Mended);
    assert!(part.watertight);
}

#[test]
fn a_large_round_hole_leaves_bounds_around_the_volume() {
    // A sphere without a lens-shaped patch that is neither flat nor small: a quarter of the way down from the top on one side.
    let sound = sphere(20.0, 24, 48);
    let right = inspected(sound.clone()).mass.volume_mm3;
    let holed = without(&sound, |c| {
        let middle = (c[0].coords + c[1].coords + c[2].coords) / 3.0;
        middle.x > 0.0 && middle.y.abs() < 7.0 && middle.z.abs() < 3.0 + 0.4 * middle.y
    });
    let part = inspected(holed);
    let [low, high] = part.trust.volume_bounds_mm3;
    assert_eq!(part.trust.grade, Grade::Bounded, "{:?}", part.findings);
    assert!(low <= right && right <= high, "{low} {right} {high}");
    assert!(part.trust.width() < 0.1, "{}", part.trust.width());
    assert!(!part.watertight && !part.caps.is_empty());
    let finding = the(&part, FindingKind::OpenEdges);
    assert!(!finding.mended && finding.detail.contains("around 1 hole"));
    stands_at("hole", finding, Point3::new(20.0, 0.0, 0.0), 10.0);
}

#[test]
fn corners_a_hair_apart_are_joined() {
    for (name, sound) in solids() {
        let mut mesh = apart(&sound);
        // Every facet's corners are moved by a thousandth of a millimetre, each its own way.
        for (i, v) in mesh.vertices_mm.iter_mut().enumerate() {
            let way = (i as f64 * 2.399).sin_cos();
            *v += Vector3::new(way.0, way.1, (i as f64).cos()) * 0.0005;
        }
        let part = inspected(mesh);
        assert!(part.watertight, "{name}: {:?}", part.findings);
        assert_eq!(part.trust.grade, Grade::Mended, "{name}");
        let right = inspected(sound).mass.volume_mm3;
        near(name, part.mass.volume_mm3, right, 3e-4);
        assert!(the(&part, FindingKind::Cracks).mended);
    }
}

#[test]
fn an_edge_divided_on_one_side_only_is_divided_on_the_other() {
    for (name, sound) in solids() {
        let (mesh, half) = divided_on_one_side(&sound);
        let part = inspected(mesh);
        measures_like(name, &part, &sound, Grade::Mended);
        let finding = the(&part, FindingKind::Cracks);
        stands_at(name, finding, half, 1e-9);
    }
}

#[test]
fn solids_that_touch_along_an_edge_keep_their_figures() {
    let one = block([0.0; 3], [10.0; 3]);
    let two = block([10.0, 10.0, 0.0], [20.0, 20.0, 10.0]);
    let part = inspected(welded(&super::meshes::together(&one, &two)));
    near("volume", part.mass.volume_mm3, 2000.0, 1e-12);
    let finding = the(&part, FindingKind::OverusedEdges);
    assert_eq!(finding.count, 1);
    stands_at("edge", finding, Point3::new(10.0, 10.0, 5.0), 1e-9);
    assert_eq!(part.trust.grade, Grade::Exact);
}

fn welded(mesh: &Mesh) -> Mesh {
    let surface = beadtally::mesh::Surface {
        points: mesh.vertices_mm.iter().map(|v| (*v).into()).collect(),
        triangles: mesh.triangles.clone(),
        distinct_singles: false,
    };
    beadtally::mesh::weld(surface, beadtally::mesh::Unit::Millimetre)
}

/// A strip turned by half a turn and joined to itself.
#[test]
fn a_surface_with_one_side_is_refused() {
    const STEPS: u32 = 40;
    let mut mesh = Mesh {
        vertices_mm: Vec::new(),
        triangles: Vec::new(),
    };
    for i in 0..STEPS {
        let u = std::f64::consts::TAU * f64::from(i) / f64::from(STEPS);
        for side in [-5.0, 5.0] {
            let r = 20.0 + side * (u / 2.0).cos();
            mesh.vertices_mm.push(Point3::new(
                r * u.cos(),
                r * u.sin(),
                side * (u / 2.0).sin(),
            ));
        }
    }
    for i in 0..STEPS {
        let [a, b] = [2 * i, 2 * i + 1];
        let [c, d] = if i + 1 < STEPS {
            [a + 2, b + 2]
        } else {
            [1, 0]
        };
        mesh.triangles.push([a, c, b]);
        mesh.triangles.push([b, c, d]);
    }
    let part = inspected(mesh);
    assert_eq!(part.trust.grade, Grade::Refused);
    assert!(
        part.findings
            .iter()
            .any(|f| f.kind == FindingKind::FlippedFacets && !f.mended)
    );
}
