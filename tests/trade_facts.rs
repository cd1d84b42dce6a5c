//! What the trade tells of its machines (design, section 8): predictions told by a practitioner, not clock times. Common
//! practice, no source. Machine values stand in the design; nothing here is tuned.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod meshes;

use beadtally::bead::{Bead, perimeters_for_wall};
use beadtally::mesh::InspectedMesh;
use beadtally::motion::{Limit, Limits, Speeds};
use beadtally::section::Layers;
use meshes::demonstration;
use meshes::job::{Cut, bare_limits, cut, one_speed, walked};

/// Wall the perimeters follow from, mm (issue 2).
const WALL_MM: f64 = 1.4;
/// "within 16 % of what is told on all three, and that is how close the check should be" (design, section 8).
const WITHIN: f64 = 0.16;
const SLOW_04_H: f64 = 21.0;
const SLOW_06_H: f64 = 10.0;
const FAST_04_H: f64 = 4.5;
/// "just under 4 h" is taken as 3.9.
const FAST_06_H: f64 = 3.9;
/// How near a part is scaled to the first figure. A layer more or less of a flat part is nearly 1 % of it.
const FIRST_WITHIN: f64 = 0.01;

/// What is not told, taken as the demonstration shop has it for its slow and its fast machine (judgements, made apart from this
/// test): travel and first layer in mm/s, seconds of a retraction, between layers, and before the first. No least layer time.
struct Untold {
    travel_mm_s: f64,
    first_layer_mm_s: f64,
    retraction_s: f64,
    layer_change_s: f64,
    start_s: f64,
}

const UNTOLD_SLOW: Untold = Untold {
    travel_mm_s: 100.0,
    first_layer_mm_s: 20.0,
    retraction_s: 0.5,
    layer_change_s: 1.0,
    start_s: 900.0,
};
const UNTOLD_FAST: Untold = Untold {
    travel_mm_s: 400.0,
    first_layer_mm_s: 50.0,
    retraction_s: 0.3,
    layer_change_s: 0.6,
    start_s: 420.0,
};

fn limits(
    speeds: Speeds,
    acceleration_mm_s2: f64,
    melt_cap_mm3_s: Option<f64>,
    untold: &Untold,
) -> Limits {
    let speeds = Speeds {
        travel_mm_s: untold.travel_mm_s,
        first_layer_mm_s: untold.first_layer_mm_s,
        ..speeds
    };
    Limits {
        retraction_s: untold.retraction_s,
        layer_change_s: untold.layer_change_s,
        start_s: untold.start_s,
        ..bare_limits(speeds, acceleration_mm_s2, melt_cap_mm3_s)
    }
}

/// Held by its motion: 27.5 mm/s, 500 mm/s2.
fn slow() -> Limits {
    limits(one_speed(27.5, 27.5), 500.0, None, &UNTOLD_SLOW)
}

/// Outer 120, inner 180, fill 200 mm/s, 8000 mm/s2; slivers as outer.
fn fast(melt_cap_mm3_s: f64) -> Limits {
    let speeds = Speeds {
        outer_mm_s: 120.0,
        inner_mm_s: 180.0,
        sliver_mm_s: 120.0,
        ..one_speed(200.0, 200.0)
    };
    limits(speeds, 8000.0, Some(melt_cap_mm3_s), &UNTOLD_FAST)
}

/// Hours of a fully solid part without support.
fn hours(cut: &Cut, bead: Bead, limits: &[Limits]) -> Vec<(f64, Limit)> {
    let (_, clocks) = walked(cut, bead, perimeters_for_wall(WALL_MM, &bead), limits);
    clocks
        .iter()
        .map(|clock| (clock.seconds() / 3600.0, clock.limit()))
        .collect()
}

/// Scales a part until the first figure is met; gives the scale and both machines' hours with that bead.
/// `from_scale` only saves time: it is where the search begins.
fn scaled_to_the_first_figure(
    part: &InspectedMesh,
    bead: Bead,
    from_scale: f64,
) -> (f64, Vec<(f64, Limit)>) {
    let mut scale = from_scale;
    for _ in 0..12 {
        let found = hours(
            &cut(part, scale, bead.height_mm()),
            bead,
            &[slow(), fast(0.8 * 19.0)],
        );
        if (found[0].0 / SLOW_04_H - 1.0).abs() < FIRST_WITHIN {
            return (scale, found);
        }
        scale *= (SLOW_04_H / found[0].0).cbrt();
    }
    panic!("no scale gives {SLOW_04_H} h");
}

fn hold(part: &str, what: &str, found_h: f64, told_h: f64) {
    let off = found_h / told_h - 1.0;
    println!(
        "{part}, {what}: {found_h:.2} h, told {told_h} h ({:+.1} %)",
        100.0 * off
    );
    assert!(
        off.abs() <= WITHIN,
        "{part}, {what}: {found_h:.2} h, told {told_h} h"
    );
}

fn told_hours(file: &str, from_scale: f64) {
    let part = demonstration(file);
    let (scale, with_04) =
        scaled_to_the_first_figure(&part, Bead::new(0.4, 0.24, 0.48).unwrap(), from_scale);
    println!(
        "{file} scaled by {scale:.3}, {:.0} cm3",
        part.mass.volume_mm3 * scale.powi(3) / 1000.0
    );
    hold(file, "slow, 0.4 mm", with_04[0].0, SLOW_04_H);
    hold(file, "fast, 0.4 mm", with_04[1].0, FAST_04_H);
    let slow_06 = Bead::new(0.6, 0.35, 0.72).unwrap();
    let with_06 = hours(&cut(&part, scale, slow_06.height_mm()), slow_06, &[slow()]);
    hold(file, "slow, 0.6 mm", with_06[0].0, SLOW_06_H);
    let fast_06 = Bead::new(0.6, 0.30, 0.65).unwrap();
    let with_fast_06 = hours(
        &cut(&part, scale, fast_06.height_mm()),
        fast_06,
        &[fast(19.0)],
    );
    hold(file, "fast, 0.6 mm", with_fast_06[0].0, FAST_06_H);
    assert_eq!(
        [with_04[0].1, with_06[0].1],
        [Limit::Motion; 2],
        "{file}: the slow machine is held by its motion"
    );
    assert_eq!(
        with_fast_06[0].1,
        Limit::Melt,
        "{file}: the fast machine is held by its melt"
    );
    let gains = [
        with_04[0].0 / with_06[0].0,
        with_04[1].0 / with_fast_06[0].0,
    ];
    println!(
        "{file}: the wider nozzle is {:.2} times faster on the slow machine, {:.2} on the fast one",
        gains[0], gains[1]
    );
    assert!(
        gains[0] > gains[1],
        "{file}: a machine held by its melt gains less from a wider nozzle"
    );
}

/// Mostly walls.
#[test]
fn the_told_hours_come_out_for_a_binnacle() {
    told_hours("binnacle.stl", 1.253);
}

/// Mostly bulk.
#[test]
fn the_told_hours_come_out_for_a_cleat_block() {
    told_hours("cleat_block.stl", 0.882);
}

/// Ribs and bosses.
#[test]
fn the_told_hours_come_out_for_a_pump_mount() {
    told_hours("pump_mount.stl", 1.09);
}

/// "19 mm3/s after the margin, walls then at 100 to 110 mm/s, which is a bead of about 0.30 x 0.65."
#[test]
fn the_melt_cap_puts_walls_at_the_told_speed() {
    let speed = 19.0 / Bead::new(0.6, 0.30, 0.65).unwrap().area_mm2();
    assert!((100.0..=110.0).contains(&speed), "{speed} mm/s");
}

/// "a larger nozzle at the same wall needs fewer perimeters, and the same floor thickness fewer layers".
#[test]
fn a_larger_nozzle_needs_fewer_perimeters_and_fewer_floor_layers() {
    let beads = [0.4, 0.6, 0.8].map(|d| Bead::of_nozzle(d).unwrap());
    let perimeters = beads.map(|bead| perimeters_for_wall(WALL_MM, &bead));
    assert_eq!(perimeters, [3, 2, 2]);
    let floor_layers = beads.map(|bead| Layers::of(1.2, bead.height_mm(), bead.height_mm()).count);
    assert_eq!(floor_layers, [5, 3, 2]);
    for wall_mm in [2.4, 3.0, 5.0] {
        let counts = beads.map(|bead| perimeters_for_wall(wall_mm, &bead));
        assert!(
            counts[0] > counts[1] && counts[1] > counts[2],
            "{wall_mm} mm: {counts:?}"
        );
    }
    for floor_mm in [1.8, 2.4, 4.8] {
        let counts =
            beads.map(|bead| Layers::of(floor_mm, bead.height_mm(), bead.height_mm()).count);
        assert!(
            counts[0] > counts[1] && counts[1] > counts[2],
            "{floor_mm} mm: {counts:?}"
        );
    }
}
