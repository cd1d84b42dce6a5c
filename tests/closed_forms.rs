//! Volume, surface, centroid, sections, beads and layers against closed forms. Where a figure has a published source it is
//! named as the project's references mark it; the rest is elementary geometry, worked out beside the check.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod meshes;

use std::f64::consts::PI;

use beadtally::bead::{Bead, Exposed, LayerInput, Laying, Role, plan_layer, route_layer};
use beadtally::mesh::{FindingKind, InspectedMesh, Mesh, read};
use beadtally::motion::{Limits, time_layer};
use beadtally::section::{Layers, Region, sections_at};
use meshes::job::{bare_limits, cut, one_speed, walked};
use meshes::solids::{
    block, cone, polygon_area, prism, regular_polygon, sphere, sphere_profile, square_tube,
    tetrahedron, torus,
};
use meshes::{inside_out, inspected, mapped, moved, scaled, stl, together};
use nalgebra::{Point3, Rotation3, Vector3};

/// A loop's corners are rounded to the region's grid of 0.0001 mm, once for every inset on the way to it.
const GRID: f64 = 3e-5;

fn near(what: &str, ours: f64, right: f64, share: f64) {
    assert!(
        (ours - right).abs() <= share * right.abs(),
        "{what}: {ours}, should be {right} within {share:e} of it"
    );
}

fn at(what: &str, ours: Point3<f64>, right: [f64; 3], within_mm: f64) {
    let off = (ours - Point3::from(right)).norm();
    assert!(
        off <= within_mm,
        "{what}: {ours}, should be {right:?} within {within_mm} mm"
    );
}

fn measured(mesh: &Mesh) -> InspectedMesh {
    let part = inspected(mesh.clone());
    assert!(part.watertight);
    part
}

fn section_area(mesh: &Mesh, z: f64) -> f64 {
    let part = inspected(mesh.clone());
    sections_at(&part.mesh, &part.topology, &[z]).regions[0].area_mm2()
}

fn count_of(part: &InspectedMesh, kind: FindingKind) -> u64 {
    part.findings
        .iter()
        .filter(|f| f.kind == kind)
        .map(|f| f.count)
        .sum()
}

// --- Solids ---

#[test]
fn a_box_has_the_volume_of_its_sides() {
    let part = measured(&block([1.0, -2.0, 3.0], [21.0, 28.0, 43.0]));
    near("volume", part.mass.volume_mm3, 20.0 * 30.0 * 40.0, 1e-14);
    near(
        "area",
        part.mass.area_mm2,
        2.0 * (600.0 + 800.0 + 1200.0),
        1e-14,
    );
    at("centroid", part.mass.centroid_mm, [11.0, 13.0, 23.0], 1e-12);
    for z in [3.1, 23.0, 42.9] {
        near("section", section_area(&part.mesh, z), 600.0, 1e-9);
    }
    // A vertex on a plane counts as above it (design, Section): the bottom plane meets nothing, the top plane all.
    assert_eq!(section_area(&part.mesh, 3.0), 0.0);
    near(
        "section at the top",
        section_area(&part.mesh, 43.0),
        600.0,
        1e-9,
    );
}

#[test]
fn a_prism_has_base_times_height() {
    let (side, height) = (10.0, 25.0);
    let part = measured(&prism(&regular_polygon(side, 6), 0.0, height));
    let base = 1.5 * 3.0f64.sqrt() * side * side;
    near("volume", part.mass.volume_mm3, base * height, 1e-13);
    near(
        "area",
        part.mass.area_mm2,
        2.0 * base + 6.0 * side * height,
        1e-13,
    );
    at("centroid", part.mass.centroid_mm, [0.0, 0.0, 12.5], 1e-12);
    near("section", section_area(&part.mesh, 7.0), base, 1e-5);
}

/// A cylinder of n sides is `n/2 sin(2 pi/n)` in place of pi: 0.16 % short at 64.
#[test]
fn a_cylinder_of_flat_sides_is_short_by_its_chords() {
    let (r, h, n) = (20.0, 30.0, 64);
    let part = measured(&prism(&regular_polygon(r, n), 0.0, h));
    let base = polygon_area(n) * r * r;
    near("volume", part.mass.volume_mm3, base * h, 1e-13);
    near(
        "area",
        part.mass.area_mm2,
        2.0 * base + 2.0 * n as f64 * r * (PI / n as f64).sin() * h,
        1e-13,
    );
    near("section", section_area(&part.mesh, 11.0), base, 1e-5);
    let short = 1.0 - part.mass.volume_mm3 / (PI * r * r * h);
    near(
        "the part short of a round one",
        short,
        2.0 * PI * PI / 3.0 / (n * n) as f64,
        0.01,
    );
}

#[test]
fn a_cone_has_a_third_of_its_cylinder_and_squares_for_sections() {
    let (r, h, n) = (20.0, 30.0, 64);
    let part = measured(&cone(r, h, n));
    let base = polygon_area(n) * r * r;
    near("volume", part.mass.volume_mm3, base * h / 3.0, 1e-13);
    let slant = h.hypot(r * (PI / n as f64).cos());
    near(
        "area",
        part.mass.area_mm2,
        base + n as f64 * r * (PI / n as f64).sin() * slant,
        1e-13,
    );
    at(
        "centroid",
        part.mass.centroid_mm,
        [0.0, 0.0, h / 4.0],
        1e-12,
    );
    near(
        "volume of a round cone",
        part.mass.volume_mm3,
        PI * r * r * h / 3.0,
        0.002,
    );
    for share in [0.1, 0.5, 0.8] {
        let left: f64 = 1.0 - share;
        near(
            "section",
            section_area(&part.mesh, share * h),
            base * left * left,
            1e-3,
        );
    }
}

/// A turned sphere is a stack of pyramid stumps over regular polygons: `h/3 (A1 + A2 + sqrt(A1 A2))` each.
#[test]
fn a_sphere_of_flat_bands_is_a_stack_of_stumps_and_nears_the_round_one() {
    let (r, bands, n) = (20.0, 48, 96);
    let part = measured(&sphere(r, bands, n));
    let profile = sphere_profile(r, bands);
    let area = |radius: f64| polygon_area(n) * radius * radius;
    let stumps = profile.windows(2).map(|pair| {
        let [[r1, z1], [r2, z2]] = [pair[0], pair[1]];
        (z2 - z1) / 3.0 * (area(r1) + area(r2) + polygon_area(n) * r1 * r2)
    });
    near("volume", part.mass.volume_mm3, stumps.sum(), 1e-12);
    at("centroid", part.mass.centroid_mm, [0.0; 3], 1e-11);
    // 96 sides are 0.07 % short of round, 48 bands 0.11 % more.
    near(
        "volume of a round sphere",
        part.mass.volume_mm3,
        4.0 / 3.0 * PI * r.powi(3),
        0.002,
    );
    near(
        "area of a round sphere",
        part.mass.area_mm2,
        4.0 * PI * r * r,
        0.002,
    );
    for z in [-15.0, -3.3, 0.1, 12.0] {
        let band = profile.windows(2).find(|pair| pair[1][1] > z).unwrap();
        let along = (z - band[0][1]) / (band[1][1] - band[0][1]);
        let radius = band[0][0] + along * (band[1][0] - band[0][0]);
        near("section", section_area(&part.mesh, z), area(radius), 1e-3);
        near(
            "section of a round sphere",
            section_area(&part.mesh, z),
            PI * (r * r - z * z),
            0.005,
        );
    }
}

#[test]
fn twice_the_facets_leave_a_quarter_of_the_shortfall() {
    let round = 4.0 / 3.0 * PI * 1000.0;
    let short = |bands, n| 1.0 - measured(&sphere(10.0, bands, n)).mass.volume_mm3 / round;
    near("the ratio", short(16, 32) / short(32, 64), 4.0, 0.01);
}

/// Pappus' rule for a tube of m sides in a ring of n: `V = n sin(2 pi/n) R A_m`; round: `2 pi^2 R r^2` and `4 pi^2 R r`.
#[test]
fn a_torus_follows_pappus() {
    let (ring, tube, m, n) = (20.0, 6.0, 48, 96);
    let part = measured(&torus(ring, tube, m, n));
    let tube_area = polygon_area(m) * tube * tube;
    near(
        "volume",
        part.mass.volume_mm3,
        2.0 * polygon_area(n) * ring * tube_area,
        1e-12,
    );
    near(
        "volume of a round torus",
        part.mass.volume_mm3,
        2.0 * PI * PI * ring * tube * tube,
        0.004,
    );
    near(
        "area of a round torus",
        part.mass.area_mm2,
        4.0 * PI * PI * ring * tube,
        0.002,
    );
    at("centroid", part.mass.centroid_mm, [0.0; 3], 1e-11);
    let corners = regular_polygon(tube, m);
    for z in [-5.0, 0.3, 3.0f64] {
        // Between polygons of radius R + x and R - x: 4 R x of the polygon's own area; x on the tube's chord, or on its circle.
        let chord = corners
            .windows(2)
            .find(|c| c[0][0] > 0.0 && (c[0][1] - z) * (c[1][1] - z) <= 0.0)
            .unwrap();
        let along = (z - chord[0][1]) / (chord[1][1] - chord[0][1]);
        let x = chord[0][0] + along * (chord[1][0] - chord[0][0]);
        near(
            "section",
            section_area(&part.mesh, z),
            polygon_area(n) * 4.0 * ring * x,
            1e-3,
        );
        near(
            "section of a round torus",
            section_area(&part.mesh, z),
            PI * 4.0 * ring * (tube * tube - z * z).sqrt(),
            0.01,
        );
    }
}

/// F. Tonon 2005, J. Math. Stat. 1(1) 8-11 (references 4.4, SEEN quoted in public test suites): V 1873.233236, centroid
/// (15.92492, 0.78281, 3.72962); its corners are printed rounded, so 1e-7 and 5e-5 mm. Inertia is not computed here.
#[test]
fn tonons_tetrahedron_has_the_published_volume_and_centroid() {
    let corners = [
        [8.33220, -11.86875, 0.93355],
        [0.75523, 5.0, 16.37072],
        [52.61236, 5.0, -5.38580],
        [2.0, 5.0, 3.0],
    ];
    let part = measured(&tetrahedron(corners));
    near("volume", part.mass.volume_mm3, 1873.233236, 1e-7);
    at(
        "centroid",
        part.mass.centroid_mm,
        [15.92492, 0.78281, 3.72962],
        5e-5,
    );
}

/// B. Mirtich 1996, J. Graphics Tools 1(2): example solids (references 4.4, inputs SEEN, results DERIVED).
#[test]
fn mirtichs_solids_have_their_volumes_and_centroids() {
    let part = measured(&tetrahedron([
        [0.0, 0.0, 0.0],
        [5.0, 0.0, 0.0],
        [0.0, 4.0, 0.0],
        [0.0, 0.0, 3.0],
    ]));
    near("volume", part.mass.volume_mm3, 10.0, 1e-14);
    at("centroid", part.mass.centroid_mm, [1.25, 1.0, 0.75], 1e-13);
    // At height z the section is the base scaled by 1 - z/3.
    near(
        "section",
        section_area(&part.mesh, 1.0),
        10.0 * 4.0 / 9.0,
        1e-4,
    );
    let cube = measured(&block([-10.0; 3], [10.0; 3]));
    near("volume of the cube", cube.mass.volume_mm3, 8000.0, 1e-14);
    at(
        "centroid of the cube",
        cube.mass.centroid_mm,
        [0.0; 3],
        1e-13,
    );
}

// --- The same solids moved, turned, scaled, mirrored and doubled ---

fn solids() -> Vec<(&'static str, Mesh)> {
    let tonon = [
        [8.33220, -11.86875, 0.93355],
        [0.75523, 5.0, 16.37072],
        [52.61236, 5.0, -5.38580],
        [2.0, 5.0, 3.0],
    ];
    vec![
        ("box", block([1.0, 2.0, 3.0], [21.3, 32.7, 43.9])),
        ("prism", prism(&regular_polygon(10.0, 6), 0.0, 25.0)),
        ("cylinder", prism(&regular_polygon(20.0, 64), 0.0, 30.0)),
        ("cone", cone(20.0, 30.0, 64)),
        ("sphere", sphere(20.0, 24, 48)),
        ("torus", torus(20.0, 6.0, 24, 48)),
        ("tetrahedron", tetrahedron(tonon)),
    ]
}

/// Ten kilometres off, a double keeps 2e-9 mm.
#[test]
fn a_solid_ten_kilometres_off_measures_the_same() {
    let far = [1e7, -1e7, 1e7];
    for (name, mesh) in solids() {
        let (here, there) = (measured(&mesh), measured(&moved(&mesh, far)));
        near(name, there.mass.volume_mm3, here.mass.volume_mm3, 2e-9);
        near(name, there.mass.area_mm2, here.mass.area_mm2, 2e-9);
        let home = there.mass.centroid_mm - Vector3::from(far);
        at(name, home, here.mass.centroid_mm.into(), 1e-8);
    }
}

/// Ten metres off, a file's single precision steps by 2^-10 mm: the surface is rough by half a step, which bounds the volume.
#[test]
fn a_file_ten_metres_off_measures_within_its_rounding_and_says_so() {
    let step_mm = 2f64.powi(-10);
    for (name, mesh) in solids() {
        let here = read(stl(&mesh)).unwrap();
        let there = read(stl(&moved(&mesh, [10_000.0; 3]))).unwrap();
        let bound = 3f64.sqrt() * step_mm / 2.0 * here.mass.area_mm2 / here.mass.volume_mm3;
        near(name, there.mass.volume_mm3, here.mass.volume_mm3, bound);
        let home = there.mass.centroid_mm - Vector3::repeat(10_000.0);
        at(name, home, here.mass.centroid_mm.into(), 2.0 * step_mm);
        assert_eq!(
            count_of(&there, FindingKind::CoarseCoordinates),
            1,
            "{name}"
        );
        assert_eq!(count_of(&here, FindingKind::CoarseCoordinates), 0, "{name}");
        assert!(there.watertight, "{name}");
    }
}

#[test]
fn a_turned_solid_measures_the_same_and_its_centroid_turns_with_it() {
    let turn = Rotation3::from_euler_angles(0.3, -1.1, 2.5);
    for (name, mesh) in solids() {
        let (before, after) = (measured(&mesh), measured(&mapped(&mesh, |v| turn * v)));
        near(name, after.mass.volume_mm3, before.mass.volume_mm3, 1e-12);
        near(name, after.mass.area_mm2, before.mass.area_mm2, 1e-12);
        at(
            name,
            after.mass.centroid_mm,
            (turn * before.mass.centroid_mm).into(),
            1e-11,
        );
    }
}

#[test]
fn a_scaled_solid_grows_with_the_square_and_the_cube() {
    for k in [0.01, 1.0 / 25.4, 3.0, 1000.0] {
        for (name, mesh) in solids() {
            let (before, after) = (measured(&mesh), measured(&scaled(&mesh, k)));
            near(
                name,
                after.mass.volume_mm3,
                k * k * k * before.mass.volume_mm3,
                1e-12,
            );
            near(
                name,
                after.mass.area_mm2,
                k * k * before.mass.area_mm2,
                1e-12,
            );
            at(
                name,
                after.mass.centroid_mm,
                (before.mass.centroid_mm * k).into(),
                1e-11 * k,
            );
        }
    }
}

#[test]
fn a_mirrored_solid_is_inside_out_and_turned_with_a_finding() {
    for (name, mesh) in solids() {
        let (before, after) = (
            measured(&mesh),
            measured(&mapped(&mesh, |v| Point3::new(-v.x, v.y, v.z))),
        );
        near(name, after.mass.volume_mm3, before.mass.volume_mm3, 1e-12);
        near(name, after.mass.area_mm2, before.mass.area_mm2, 1e-12);
        let c = before.mass.centroid_mm;
        at(name, after.mass.centroid_mm, [-c.x, c.y, c.z], 1e-11);
        // Tonon's corners are wound either way as printed, so one of the two was turned.
        let turned = count_of(&before, FindingKind::FlippedBodies)
            + count_of(&after, FindingKind::FlippedBodies);
        assert_eq!(turned, 1, "{name}");
    }
}

#[test]
fn two_copies_apart_measure_double() {
    for (name, mesh) in solids() {
        let one = measured(&mesh);
        let two = measured(&together(&mesh, &moved(&mesh, [100.0, 0.0, 0.0])));
        near(name, two.mass.volume_mm3, 2.0 * one.mass.volume_mm3, 1e-12);
        near(name, two.mass.area_mm2, 2.0 * one.mass.area_mm2, 1e-12);
        at(
            name,
            two.mass.centroid_mm,
            (one.mass.centroid_mm + Vector3::new(50.0, 0.0, 0.0)).into(),
            1e-11,
        );
        assert_eq!(two.topology.bodies, 2, "{name}");
    }
}

#[test]
fn a_solid_whose_every_facet_comes_twice_measures_once_with_a_finding() {
    for (name, mesh) in solids() {
        let one = measured(&mesh);
        let twice = Mesh {
            vertices_mm: mesh.vertices_mm.clone(),
            triangles: mesh
                .triangles
                .iter()
                .chain(&mesh.triangles)
                .copied()
                .collect(),
        };
        let part = measured(&twice);
        near(name, part.mass.volume_mm3, one.mass.volume_mm3, 1e-12);
        assert_eq!(
            count_of(&part, FindingKind::DuplicateFacets),
            mesh.triangles.len() as u64,
            "{name}"
        );
        assert_eq!(part.topology.bodies, 1, "{name}");
    }
}

// --- Bodies and findings ---

#[test]
fn an_inside_out_body_is_turned_with_a_finding() {
    let part = measured(&inside_out(&block([0.0; 3], [10.0; 3])));
    near("volume", part.mass.volume_mm3, 1000.0, 1e-13);
    assert_eq!(count_of(&part, FindingKind::FlippedBodies), 1);
    assert!(
        part.findings
            .iter()
            .any(|f| f.kind == FindingKind::FlippedBodies
                && f.mended
                && f.detail.contains("turned"))
    );
}

#[test]
fn a_facet_against_its_neighbours_is_turned_with_a_finding() {
    let mut mesh = block([0.0; 3], [10.0; 3]);
    mesh.triangles[5].swap(0, 1);
    let part = measured(&mesh);
    near("volume", part.mass.volume_mm3, 1000.0, 1e-13);
    assert_eq!(count_of(&part, FindingKind::FlippedFacets), 1);
}

#[test]
fn a_cavity_stays_a_cavity_and_a_core_in_it_is_solid() {
    let outside = block([0.0; 3], [30.0; 3]);
    let cavity = inside_out(&block([5.0; 3], [25.0; 3]));
    let hollow = measured(&together(&outside, &cavity));
    near("volume", hollow.mass.volume_mm3, 27_000.0 - 8000.0, 1e-13);
    assert!(
        hollow
            .findings
            .iter()
            .all(|f| f.kind == FindingKind::Cavities),
        "{:?}",
        hollow.findings
    );
    near(
        "section",
        section_area(&hollow.mesh, 15.0),
        900.0 - 400.0,
        1e-9,
    );
    let core = block([10.0; 3], [20.0; 3]);
    let with_core = measured(&together(&together(&outside, &cavity), &core));
    near(
        "volume with a core",
        with_core.mass.volume_mm3,
        27_000.0 - 8000.0 + 1000.0,
        1e-13,
    );
    near(
        "section with a core",
        section_area(&with_core.mesh, 15.0),
        900.0 - 400.0 + 100.0,
        1e-9,
    );
}

#[test]
fn what_lies_inside_an_inside_out_body_turns_with_it() {
    let hollow = together(
        &block([0.0; 3], [30.0; 3]),
        &inside_out(&block([5.0; 3], [25.0; 3])),
    );
    let part = measured(&inside_out(&hollow));
    near("volume", part.mass.volume_mm3, 27_000.0 - 8000.0, 1e-13);
    assert_eq!(count_of(&part, FindingKind::FlippedBodies), 2);
    near("section", section_area(&part.mesh, 15.0), 500.0, 1e-9);
}

// --- Beads and layers ---

/// references 1, "Exact DERIVED checks for the time core".
#[test]
fn a_bead_is_a_rectangle_with_half_round_ends() {
    near(
        "0.45 x 0.20",
        Bead::new(0.4, 0.20, 0.45).unwrap().area_mm2(),
        0.081_415_9,
        1e-6,
    );
    near(
        "as high as wide",
        Bead::new(0.4, 0.4, 0.4).unwrap().area_mm2(),
        0.125_663_7,
        1e-6,
    );
    near(
        "flow at 100 mm/s",
        100.0 * Bead::new(0.4, 0.20, 0.45).unwrap().area_mm2(),
        8.141_59,
        1e-6,
    );
    let bead = Bead::new(0.6, 0.36, 0.72).unwrap();
    near(
        "spacing",
        bead.spacing_mm(),
        0.72 - 0.36 * (1.0 - PI / 4.0),
        1e-14,
    );
}

/// A square of side L has a loop of `4 (L - w)`, behind it of `4 (L - w - 2 s)` and `4 (L - w - 4 s)`; inside is a square of side
/// `a = L - w - 5 s`, whose lines end on one of side `b = a - 0.7 s`. A line c beside the diagonal is `sqrt(2) b - 2 c` long; from
/// line to line it is `sqrt(2) s` along a side and `s` round a corner. Worked by hand from design section 4.
#[test]
fn a_cube_has_the_beads_worked_out_by_hand() {
    let bead = Bead::of_nozzle(0.4).unwrap();
    let (side, w, s) = (20.0, bead.width_mm(), bead.spacing_mm());
    let section = Region::rectangle([0.0, 0.0], [side, side]);
    for layer in [0, 1] {
        let nothing = Region::default();
        let input = LayerInput {
            section: &section,
            support: &nothing,
            exposed: Exposed::Everything,
            thickness_mm: 0.24,
            layer,
        };
        let laying = Laying {
            bead,
            perimeters: 3,
            fill: 1.0,
            support_fraction: 0.2,
        };
        let plan = plan_layer(&input, &laying);
        let course = route_layer(&plan, &mut [0.0; 2]);
        let length = |role: Role| -> f64 {
            course
                .strokes
                .iter()
                .filter(|t| t.role == role)
                .flat_map(|t| &t.segments_mm)
                .sum()
        };
        near("outer", length(Role::Outer), 4.0 * (side - w), GRID);
        near(
            "inner",
            length(Role::Inner),
            4.0 * (side - w - 2.0 * s) + 4.0 * (side - w - 4.0 * s),
            GRID,
        );
        // Across the lines, counted from the part's corner, the square's own corners lie at these places.
        let b = side - w - 5.0 * s - 0.7 * s;
        let middle = if layer == 0 { 0.0 } else { side / 2f64.sqrt() };
        let half = b / 2f64.sqrt();
        let from_middle = (-200..200)
            .map(|j| ((f64::from(j) + 0.5) * s - middle).abs())
            .filter(|c| *c < half);
        let lines: Vec<f64> = from_middle.map(|c| 2.0 * (half - c)).collect();
        let joined = (lines.len() - 1) as f64 * 2f64.sqrt() * s;
        let fill = length(Role::Fill);
        let by_hand = lines.iter().sum::<f64>() + joined;
        assert!(
            fill <= by_hand + 1e-3,
            "layer {layer}: {fill} mm, by hand at most {by_hand}"
        );
        // One step goes round a corner and is shorter, by less than s; the last line may stand alone.
        assert!(
            fill >= by_hand - 3.0 * s,
            "layer {layer}: {fill} mm, by hand {by_hand}"
        );
        assert_eq!(
            length(Role::Sliver) + length(Role::Open) + length(Role::Support),
            0.0
        );
        assert_eq!(plan.lost_mm2, 0.0);
    }
}

/// M. P. Groover, Fundamentals of Modern Manufacturing (references 1.1 and 1.2, from memory): T_layer = A/(v w) + T_reposition.
/// A square tube, 100 outside, 90 inside, 80 high, layers of 0.10, spot 0.25, 500 mm/s, 10 s a layer: 800 layers, 1900 mm2,
/// 25.2 s a layer, 20 160 s. The process is a scanned one; its equation is used with its numbers on our own sections.
#[test]
fn the_textbook_layer_time_comes_out_of_our_sections() {
    let part = inspected(square_tube(100.0, 90.0, 80.0));
    let tube = cut(&part, 1.0, 0.10);
    assert_eq!(tube.layers.count, 800);
    let times = tube
        .regions
        .iter()
        .map(|region| region.area_mm2() / (500.0 * 0.25) + 10.0);
    let total: f64 = times.sum();
    near(
        "one layer's area",
        tube.regions[400].area_mm2(),
        1900.0,
        1e-9,
    );
    near("the build", total, 20_160.0, 1e-9);
    near("hours", total / 3600.0, 5.6, 1e-9);
}

/// The same tube on our own paths: beads 0.25 apart at 500 mm/s, with neither inertia nor way between paths, take A/(v s). The
/// first bead is wider than the spacing, so paths are not exactly A/s long: 1 %.
#[test]
fn beads_without_inertia_take_the_textbook_time() {
    let part = inspected(square_tube(100.0, 90.0, 2.0));
    let tube = cut(&part, 1.0, 0.10);
    let bead = Bead::new(0.25, 0.10, 0.25 + 0.10 * (1.0 - PI / 4.0)).unwrap();
    near("spacing", bead.spacing_mm(), 0.25, 1e-12);
    let limits = Limits {
        layer_change_s: 10.0,
        ..bare_limits(one_speed(500.0, 1e9), 1e12, None)
    };
    let (_, clocks) = walked(&tube, bead, 10, &[limits]);
    near("the build", clocks[0].seconds(), 20.0 * 25.2, 0.01);
}

#[test]
fn a_layer_is_the_sum_of_its_straights_between_rests() {
    // Four sides at 100 mm/s and 1000 mm/s2 with no deviation allowed: each from rest to rest, d/v + v/a.
    let section = Region::rectangle([0.0, 0.0], [50.48, 50.48]);
    let nothing = Region::default();
    let input = LayerInput {
        section: &section,
        support: &nothing,
        exposed: Exposed::Everything,
        thickness_mm: 0.24,
        layer: 0,
    };
    let laying = Laying {
        bead: Bead::of_nozzle(0.4).unwrap(),
        perimeters: 1,
        fill: 1.0,
        support_fraction: 0.2,
    };
    let course = route_layer(&plan_layer(&input, &laying), &mut [0.0; 2]);
    let limits = Limits {
        corner_deviation_mm: 0.0,
        ..bare_limits(one_speed(100.0, 100.0), 1000.0, None)
    };
    let time = time_layer(&course, &limits, false);
    near(
        "the loop",
        time.laying_s[Role::Outer.index()],
        4.0 * (50.0 / 100.0 + 100.0 / 1000.0),
        1e-5,
    );
}

/// N = 1 + floor((H - h1)/h + 1/2 - 1e-6), at least 1 (design, Layers), by hand.
#[test]
fn a_stack_is_the_nearest_whole_number_of_layers() {
    for (part, first, height, count) in [
        (20.0, 0.24, 0.24, 83),
        (20.0, 0.36, 0.36, 56),
        (10.0, 0.4, 0.2, 49),
        (0.05, 0.3, 0.3, 1),
    ] {
        assert_eq!(
            Layers::of(part, first, height).count,
            count,
            "{part} mm in layers of {height} mm"
        );
    }
}
