//! The JSON answers to `measure` and `fit`, and the one for a bad file, read back by structs that refuse a key they do not
//! know (design.md section 7).

#![allow(clippy::unwrap_used, clippy::expect_used)]

mod json_keys;

use beadtally::mesh::{Finding, FindingKind};
use beadtally::pose::{Down, Footprints, fit_searched};
use beadtally::quote::{FitRow, bad_part_json, fit_json, measure_json};
use beadtally::shop::demonstration;
use json_keys::{BadPart, Fit, Measured, keys, parsed, part};

#[test]
fn a_measure_has_the_keys_of_the_design_and_the_mesh_s_figures() {
    let part = part();
    let line = measure_json("cleat_block.stl", &part);
    let told: Measured = parsed(&line);
    assert_eq!(
        keys(&line),
        [
            "format",
            "part",
            "unit_assumed",
            "triangles",
            "volume_mm3",
            "area_mm2",
            "box_mm",
            "centroid_mm",
            "bodies",
            "watertight",
            "findings",
            "trust",
            "file_format",
            "unit_stated",
            "copies"
        ]
    );
    assert_eq!(
        (told.part.as_str(), told.unit_assumed.as_str()),
        ("cleat_block.stl", "mm")
    );
    assert_eq!(told.triangles, part.facets_read);
    assert!((told.volume_mm3 / part.mass.volume_mm3 - 1.0).abs() < 1e-12);
    assert!((told.area_mm2 / part.mass.area_mm2 - 1.0).abs() < 1e-12);
    for axis in 0..3 {
        let size = told.box_mm.max[axis] - told.box_mm.min[axis];
        assert!((told.box_mm.size[axis] - size).abs() < 1e-9);
        assert!(told.box_mm.min[axis] < told.centroid_mm[axis]);
        assert!(told.centroid_mm[axis] < told.box_mm.max[axis]);
    }
    assert_eq!((told.bodies, told.watertight), (part.topology.bodies, true));
    assert!(told.findings.is_empty());
}

#[test]
fn a_finding_is_told_by_its_kind_in_snake_case() {
    let mut part = part();
    part.findings.push(Finding {
        kind: FindingKind::OverusedEdges,
        count: 2,
        detail: "two \"edges\"\nover two lines".to_owned(),
        mended: false,
        at_mm: None,
        body: None,
    });
    let told: Measured = parsed(&measure_json("a", &part));
    let finding = &told.findings[0];
    assert_eq!(
        (finding.kind.as_str(), finding.count, finding.mended),
        ("overused_edges", 2, false)
    );
    assert_eq!(finding.detail, "two \"edges\"\nover two lines");
}

#[test]
fn a_name_with_quotes_and_line_ends_stays_on_one_line() {
    let name = "left \"hand\"\r\nblock\u{0}.stl";
    let told: Measured = parsed(&measure_json(name, &part()));
    assert_eq!(told.part, name);
    let line = bad_part_json(name, "not a mesh\nat all", "Could you send it again?");
    let told: BadPart = parsed(&line);
    assert_eq!(keys(&line), ["format", "part", "error", "ask"]);
    assert_eq!(
        (told.part.as_str(), told.error.as_str(), told.ask.as_str()),
        (name, "not a mesh\nat all", "Could you send it again?")
    );
    assert_eq!(told.format, 1);
}

#[test]
fn a_fit_has_every_machine_and_proper_rotations() {
    let (part, shop) = (part(), demonstration());
    let footprints = Footprints::of(&part.mesh);
    let fits: Vec<_> = shop
        .machines
        .iter()
        .map(|machine| FitRow {
            machine: machine.id.clone(),
            space: machine.space.clone(),
            fit: fit_searched(&footprints, &machine.space),
        })
        .collect();
    let told: Fit = parsed(&fit_json("cleat_block.stl", &fits));
    assert_eq!((told.format, told.part.as_str()), (1, "cleat_block.stl"));
    assert_eq!(told.machines.len(), shop.machines.len());
    for (machine, row) in told.machines.iter().zip(&fits) {
        let fit = &row.fit;
        assert_eq!((&machine.machine, machine.fits), (&row.machine, fit.fits));
        assert_eq!(machine.poses.len(), fit.poses.len());
        assert_eq!(machine.why_not.is_none(), machine.fits);
        assert_eq!((machine.pieces_if_cut, machine.fits), (None, true));
        for pose in &machine.poses {
            let down: Down = pose.down.parse().unwrap();
            let [a, b, c] = pose.rotation;
            let cross = [
                a[1] * b[2] - a[2] * b[1],
                a[2] * b[0] - a[0] * b[2],
                a[0] * b[1] - a[1] * b[0],
            ];
            assert!(
                (0..3).all(|i| (cross[i] - c[i]).abs() < 1e-12),
                "rows of a proper rotation"
            );
            // The last row is what stands upright; a turn about the vertical leaves it alone.
            let upright = down.rotation().matrix().row(2).transpose();
            assert!(
                (0..3).all(|i| (c[i] - upright[i]).abs() < 1e-12),
                "{down} points down"
            );
            let sides = &pose.sides_mm;
            let least = [sides.left, sides.right, sides.front, sides.back];
            assert_eq!(
                least.into_iter().fold(f64::INFINITY, f64::min),
                pose.margin_mm
            );
            assert!(pose.best_margin_mm >= pose.margin_mm && pose.above_mm >= 0.0);
            assert!((0.0..360.0).contains(&pose.best_turn_deg));
            assert!(
                pose.turns_deg
                    .iter()
                    .any(|[from, to]| (*from..=*to).contains(&pose.turn_deg))
            );
            assert_eq!(pose.tilt_deg, 0.0);
            assert!(pose.size_mm.iter().all(|length| *length > 0.0));
        }
    }
}

#[test]
fn a_machine_that_is_too_small_says_why_not_and_how_many_pieces() {
    let (part, mut shop) = (part(), demonstration());
    shop.machines[0].space.height_mm = 5.0;
    let fit = fit_searched(&Footprints::of(&part.mesh), &shop.machines[0].space);
    let row = FitRow {
        machine: "slow".to_owned(),
        space: shop.machines[0].space.clone(),
        fit: fit.clone(),
    };
    let told: Fit = parsed(&fit_json("a", &[row]));
    let machine = &told.machines[0];
    assert!(!machine.fits && machine.poses.is_empty());
    assert_eq!(machine.pieces_if_cut, fit.pieces_if_cut);
    assert!(machine.pieces_if_cut.unwrap() > 1);
    assert_eq!(
        machine.why_not.as_deref(),
        Some(fit.nearest_miss.unwrap().words.as_str())
    );
}
