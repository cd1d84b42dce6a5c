//! Bodies inside, over and beside each other, and surfaces that run through themselves.

use beadtally::health::examine;
use beadtally::mesh::{FindingKind, Grade, InspectedMesh, Mesh};
use nalgebra::Point3;

use super::meshes::solids::{block, prism, sphere};
use super::meshes::{inside_out, inspected, mapped, moved, scaled, together};
use super::{measures_like, near, solids, stands_at, the};

/// The narrowest wall asked about, mm.
const THIN_MM: f64 = 0.34;

fn examined(mesh: Mesh) -> InspectedMesh {
    examine(inspected(mesh), THIN_MM)
}

/// Holds the bounds to a volume, and to a width.
fn bounds_hold(what: &str, part: &InspectedMesh, right_mm3: f64, width: f64) {
    let [low, high] = part.trust.volume_bounds_mm3;
    assert_eq!(
        part.trust.grade,
        Grade::Bounded,
        "{what}: {:?}",
        part.findings
    );
    assert!(
        low <= right_mm3 && right_mm3 <= high,
        "{what}: {low} {right_mm3} {high}"
    );
    assert!(part.trust.width() < width, "{what}: {low} to {high}");
}

#[test]
fn sound_solids_stay_exact_when_examined_in_full() {
    for (name, sound) in solids() {
        let part = examined(sound.clone());
        measures_like(name, &part, &sound, Grade::Exact);
        assert!(
            part.examined && part.findings.is_empty(),
            "{name}: {:?}",
            part.findings
        );
    }
}

#[test]
fn a_body_that_comes_twice_counts_once() {
    for (name, sound) in solids() {
        // The second copy lies a hair beside the first, as two programs would round it.
        let again = moved(&sound, [1e-5, -2e-5, 1e-5]);
        let part = inspected(together(&sound, &again));
        measures_like(name, &part, &sound, Grade::Mended);
        let finding = the(&part, FindingKind::DoubledBodies);
        assert_eq!((finding.count, finding.body), (1, Some(1)), "{name}");
    }
}

/// Two boxes that share a box: 20 x 20 x 20 twice, less 10 x 10 x 10.
#[test]
fn overlapping_boxes_measure_as_their_union() {
    let one = block([0.0; 3], [20.0; 3]);
    let two = block([10.0; 3], [30.0; 3]);
    let part = examined(together(&one, &two));
    bounds_hold("boxes", &part, 15_000.0, 0.01);
    near("volume", part.mass.volume_mm3, 15_000.0, 0.003);
    near("as drawn", part.volume_as_drawn_mm3, 16_000.0, 1e-12);
    let finding = the(&part, FindingKind::OverlappingBodies);
    assert_eq!(finding.count, 1);
    let at = finding.at_mm.unwrap();
    assert!((0..3).all(|i| (9.9..20.1).contains(&at[i])), "{at}");
}

/// Two boxes moved along one axis only: their faces lie in the same planes, and no edge passes through the inside of a facet.
#[test]
fn boxes_that_overlap_in_common_planes_measure_as_their_union() {
    let one = block([0.0; 3], [20.0; 3]);
    let two = block([12.0, 0.0, 0.0], [32.0, 20.0, 20.0]);
    let part = examined(together(&one, &two));
    bounds_hold("boxes", &part, 32.0 * 400.0, 0.001);
    assert!(
        the(&part, FindingKind::OverlappingBodies)
            .detail
            .contains("union")
    );
}

/// Two spheres of radius r at a distance r share a lens of 5 pi r^3 / 12 (elementary geometry: two caps of height r/2, each
/// pi h^2 (3 r - h) / 3).
#[test]
fn overlapping_spheres_share_a_lens() {
    let one = sphere(20.0, 96, 192);
    let two = moved(&one, [20.0, 0.0, 0.0]);
    let alone = inspected(one.clone()).mass.volume_mm3;
    let lens = 5.0 / 12.0 * std::f64::consts::PI * 8000.0;
    let part = examined(together(&one, &two));
    // The flat steps of the spheres hold 0.1 % less than round ones.
    near("union", part.mass.volume_mm3, 2.0 * alone - lens, 1.5e-3);
}

#[test]
fn a_solid_within_a_solid_counts_once() {
    let outside = block([0.0; 3], [30.0; 3]);
    let inside = block([10.0; 3], [20.0; 3]);
    let part = examined(together(&outside, &inside));
    bounds_hold("boxes", &part, 27_000.0, 0.001);
}

#[test]
fn a_cavity_is_kept_and_said() {
    for (name, sound) in solids() {
        let (low, high) = sound.box_mm();
        if name == "torus" || name == "tube" {
            // Their middles are outside of them.
            continue;
        }
        let heart = nalgebra::center(&low, &high);
        let heart = if name == "tetrahedron" {
            Point3::new(4.0, 5.0, 6.0)
        } else {
            heart
        };
        let hollow = inside_out(&mapped(&sound, |v| {
            heart + (v - nalgebra::center(&low, &high)) * 0.05
        }));
        let part = examined(together(&sound, &hollow));
        let right = inspected(sound).mass.volume_mm3 * (1.0 - 0.05f64.powi(3));
        near(name, part.mass.volume_mm3, right, 1e-9);
        assert_eq!(
            part.trust.grade,
            Grade::Exact,
            "{name}: {:?}",
            part.findings
        );
        let finding = the(&part, FindingKind::Cavities);
        assert_eq!(finding.count, 1);
        stands_at(name, finding, heart, 1.0);
    }
}

#[test]
fn bodies_apart_are_asked_about() {
    for (name, sound) in solids() {
        let part = inspected(together(&sound, &moved(&sound, [100.0, 0.0, 0.0])));
        let finding = the(&part, FindingKind::SeparateBodies);
        assert_eq!(finding.count, 2, "{name}");
        let (low, high) = sound.box_mm();
        let second = nalgebra::center(&low, &high) + nalgebra::Vector3::new(100.0, 0.0, 0.0);
        stands_at(name, finding, second, 1e-9);
    }
}

#[test]
fn specks_are_told_of() {
    for (name, sound) in solids() {
        let speck = moved(&scaled(&sphere(1.0, 4, 6), 0.1), [0.0, 0.0, 90.0]);
        let part = inspected(together(&sound, &speck));
        let finding = the(&part, FindingKind::LooseSpecks);
        assert_eq!((finding.count, finding.body), (1, Some(1)), "{name}");
        stands_at(name, finding, Point3::new(0.0, 0.0, 90.0), 0.1);
    }
}

/// A five-pointed star drawn in one line counts its middle twice. With the circumradius R its inner corners lie at
/// r = R cos 72 / cos 36 degrees; the star covers ten triangles of R r sin 36 / 2 (elementary geometry).
#[test]
fn a_star_drawn_in_one_line_measures_as_its_outline() {
    const R: f64 = 20.0;
    const HEIGHT: f64 = 10.0;
    let ring: Vec<[f64; 2]> = (0..5)
        .map(|i| f64::from(2 * i) * std::f64::consts::TAU / 5.0)
        .map(|u| [R * u.cos(), R * u.sin()])
        .collect();
    let part = examined(prism(&ring, 0.0, HEIGHT));
    let degrees = |d: f64| d.to_radians();
    let inner = R * degrees(72.0).cos() / degrees(36.0).cos();
    let star = 5.0 * R * inner * degrees(36.0).sin();
    bounds_hold("star", &part, star * HEIGHT, 1e-4);
    let wound = 2.5 * R * R * degrees(144.0).sin() * HEIGHT;
    near("as drawn", part.volume_as_drawn_mm3, wound, 1e-12);
    let crossing = part
        .findings
        .iter()
        .find(|f| f.at_mm.is_some() && f.kind == FindingKind::SelfIntersection)
        .expect("the sides cross");
    let at = crossing.at_mm.unwrap();
    assert!(
        ((at.x.hypot(at.y)) - inner).abs() < 1e-6,
        "{at} is no inner corner"
    );
}
