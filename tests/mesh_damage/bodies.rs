//! Bodies inside, over and beside each other, and surfaces that run through themselves.

use beadtally::health::examine;
use beadtally::mesh::{FindingKind, Grade, InspectedMesh, Mesh};
use nalgebra::Point3;

use super::meshes::solids::{block, sphere, torus};
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

/// A torus whose tube is wider than its ring runs through itself: around the middle it covers a lemon twice.
#[test]
fn a_torus_that_runs_through_itself_measures_as_its_outside() {
    let part = examined(torus(5.0, 8.0, 64, 96));
    let finding = part
        .findings
        .iter()
        .find(|f| f.kind == FindingKind::SelfIntersection)
        .expect("it runs through itself");
    assert!(!finding.mended);
    // By the shell method: the outside of the spindle torus is the body of revolution of the part of the circle beyond the axis,
    // integral of 2 pi x * 2 sqrt(r^2 - (x - R)^2) over x from 0 to R + r, here by Simpson's rule.
    let (ring, tube) = (5.0f64, 8.0f64);
    let steps = 20_000;
    let f = |x: f64| {
        4.0 * std::f64::consts::PI * x * (tube * tube - (x - ring).powi(2)).max(0.0).sqrt()
    };
    let h = (ring + tube) / f64::from(steps);
    let sum: f64 = (0..=steps)
        .map(|i| {
            let weight = if i == 0 || i == steps {
                1.0
            } else if i % 2 == 1 {
                4.0
            } else {
                2.0
            };
            weight * f(f64::from(i) * h)
        })
        .sum();
    near("volume", part.mass.volume_mm3, sum * h / 3.0, 4e-3);
}
