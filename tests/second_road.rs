//! Holds the program against an independent computation of the base model (design, section 4), written in Python from the
//! text alone: `tests/second_road/`. `results.json` holds its figures and settings; `write_results.py` beside it makes them.
//!
//! Where the text leaves a choice of roles (its README, choice 14: slivers of narrow fill) the second road was run in the
//! program's reading, so every role is compared by itself.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::collections::BTreeMap;
use std::path::PathBuf;

use beadtally::bead::{Bead, Laying, Overhang, Role, support_regions};
use beadtally::estimate::{Laid, Way, walk};
use beadtally::mesh;
use beadtally::motion::{Clock, Limits, Speeds};
use beadtally::pose::{Down, Pose, place};
use beadtally::section::{Layers, Region, sections};
use rayon::prelude::*;
use serde::Deserialize;

/// Issue 2, "It must show": the same bounds as for meshes not seen before.
const SECTION_SHARE: f64 = 0.001;
const LENGTH_SHARE: f64 = 0.03;
const SMALL_ROLE: f64 = 0.02;
const SECONDS_SHARE: f64 = 0.05;
/// Sections of these end in tips sharper than 60 degrees: crescents of 1 to 2 mm, and what is left between ribs and bosses.
/// There a mitre passes its limit and the two polygon libraries cut it differently (the road's README, choice 4; the same in
/// `tests/reference`, `notches`): a loop ends up to a bead further out, and what it leaves is sliver or not. A role of theirs
/// may be off by 3 % of itself or by this share of the whole.
const SHARP_TIPS: [&str; 2] = ["binnacle.stl x 0.5", "pump_mount.stl x 0.5"];
const SHARP_TIPS_SHARE: f64 = 0.006;

#[derive(Deserialize)]
struct Results {
    runs: Vec<RoadRun>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RoadRun {
    file: String,
    scale: f64,
    settings_name: String,
    settings: Settings,
    result: Road,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Settings {
    d: f64,
    h: f64,
    w: f64,
    perimeters: u32,
    #[serde(rename = "wall_mm")]
    _wall_mm: f64,
    fill: f64,
    floor_roof_mm: f64,
    support: bool,
    overhang_deg: f64,
    support_fraction: f64,
    speed: BTreeMap<String, f64>,
    first_layer_speed: f64,
    acceleration: f64,
    corner_deviation: f64,
    melt_limit_mm3_s: Option<f64>,
    melt_margin: f64,
    least_layer_s: f64,
    retraction_s: f64,
    layer_change_s: f64,
    start_s: f64,
    #[serde(rename = "step_reading")]
    _step_reading: String,
    narrow_sliver_role: String,
    #[serde(rename = "sharing")]
    _sharing: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Road {
    layers: usize,
    deposited_mm3: f64,
    support_mm3_by_length: f64,
    detail_lost_mm3: f64,
    bead_length_mm: BTreeMap<String, f64>,
    travel_mm: f64,
    seconds_by: BTreeMap<String, f64>,
    seconds: f64,
    section_area_mm2: Vec<f64>,
}

/// The program's answer to one run.
struct Own {
    regions: Vec<Region>,
    layers: Layers,
    laid: Laid,
    clock: Clock,
}

/// How far the program is off in one run, each as a share.
struct Differences {
    name: String,
    section: f64,
    lengths: Vec<(Role, f64)>,
    /// The same as shares of the whole length.
    of_whole: Vec<(Role, f64)>,
    seconds: f64,
    travel: f64,
    deposited: f64,
    lost_of_part: f64,
}

#[test]
fn an_independent_computation_of_the_base_model_gives_the_same_part() {
    let here = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/second_road");
    let text = std::fs::read_to_string(here.join("results.json")).unwrap();
    let results: Results = serde_json::from_str(&text).unwrap();
    assert!(
        results.runs.len() >= 20,
        "results.json holds {} runs only",
        results.runs.len()
    );
    let all: Vec<Differences> = results
        .runs
        .par_iter()
        .map(|run| differences(run, &own(run)))
        .collect();
    report(&all);
    let failures: Vec<String> = all.iter().flat_map(failures).collect();
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}

fn own(run: &RoadRun) -> Own {
    let settings = &run.settings;
    assert_eq!(
        settings.narrow_sliver_role, "sliver",
        "{}: run write_results.py again",
        run.file
    );
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR"));
    let folder = if run.file.starts_with("parts/") {
        root.join("tests/second_road")
    } else {
        root
    };
    let mut part = mesh::read(std::fs::read(folder.join(&run.file)).unwrap()).unwrap();
    for vertex in &mut part.mesh.vertices_mm {
        *vertex *= run.scale;
    }
    let posed = place(&part.mesh, &Pose::new(Down::ZMinus, 0.0));
    let layers = Layers::of(posed.box_mm().1.z, settings.h, settings.h);
    let regions = sections(&posed, &part.topology, &layers).regions;
    let support = if settings.support {
        let base = Overhang {
            angle_deg: settings.overhang_deg,
            free_span_mm: 0.0,
            free_hole_mm: 0.0,
        };
        support_regions(&regions, &layers, &base)
    } else {
        vec![Region::default(); regions.len()]
    };
    let (laid, clocks) = walk(
        &regions,
        &support,
        &layers,
        &way(settings),
        &[limits(settings)],
    );
    Own {
        regions,
        layers,
        laid,
        clock: clocks[0],
    }
}

fn way(settings: &Settings) -> Way {
    Way {
        laying: Laying {
            bead: Bead::new(settings.d, settings.h, settings.w).unwrap(),
            perimeters: settings.perimeters,
            fill: settings.fill,
            support_fraction: settings.support_fraction,
        },
        floor_mm: settings.floor_roof_mm,
        roof_mm: settings.floor_roof_mm,
        apron: Default::default(),
    }
}

fn limits(settings: &Settings) -> Limits {
    let of = |role: &str| settings.speed[role];
    Limits {
        speeds: Speeds {
            outer_mm_s: of("outer"),
            inner_mm_s: of("inner"),
            fill_mm_s: of("fill"),
            open_mm_s: of("open"),
            sliver_mm_s: of("sliver"),
            support_mm_s: of("support"),
            travel_mm_s: of("travel"),
            first_layer_mm_s: settings.first_layer_speed,
        },
        acceleration_mm_s2: settings.acceleration,
        corner_deviation_mm: settings.corner_deviation,
        melt_cap_mm3_s: settings
            .melt_limit_mm3_s
            .map(|limit| limit * (1.0 - settings.melt_margin)),
        retraction_s: settings.retraction_s,
        least_layer_s: settings.least_layer_s,
        layer_change_s: settings.layer_change_s,
        start_s: settings.start_s,
    }
}

fn differences(run: &RoadRun, own: &Own) -> Differences {
    let road = &run.result;
    let name = format!("{} x {:?} {}", run.file, run.scale, run.settings_name);
    assert_eq!(own.layers.count, road.layers, "{name}: layers");
    assert_eq!(
        own.regions.len(),
        road.section_area_mm2.len(),
        "{name}: sections"
    );
    let whole_mm: f64 = road.bead_length_mm.values().sum();
    let lengths = Role::ALL.map(|role| {
        let (ours, theirs) = (
            own.clock.layers.laid_mm[role.index()],
            road.bead_length_mm[role.name()],
        );
        // A role under 2 % of the whole is held to 2 % of the whole: 0.03 on this scale is that bound.
        let share = if theirs < SMALL_ROLE * whole_mm {
            (ours - theirs) / (SMALL_ROLE * whole_mm) * LENGTH_SHARE
        } else {
            ours / theirs - 1.0
        };
        (role, share)
    });
    assert!(
        (road.seconds_by.values().sum::<f64>() / road.seconds - 1.0).abs() < 1e-6,
        "{name}: parts of seconds"
    );
    let of_whole = Role::ALL.map(|role| {
        let off_mm = own.clock.layers.laid_mm[role.index()] - road.bead_length_mm[role.name()];
        (role, off_mm / whole_mm)
    });
    let section = own
        .regions
        .iter()
        .zip(&road.section_area_mm2)
        .map(|(region, theirs)| {
            // Where nothing is there, nothing may be here.
            (region.area_mm2() - theirs).abs() / theirs.max(0.01)
        });
    let deposited = own.laid.deposited_mm3 + own.laid.support_mm3;
    Differences {
        section: section.fold(0.0, f64::max),
        lengths: lengths.to_vec(),
        of_whole: of_whole.to_vec(),
        seconds: own.clock.seconds() / road.seconds - 1.0,
        travel: own.clock.layers.travel_mm / road.travel_mm - 1.0,
        deposited: deposited / (road.deposited_mm3 + road.support_mm3_by_length) - 1.0,
        lost_of_part: (own.laid.lost_mm3 - road.detail_lost_mm3) / road.deposited_mm3,
        name,
    }
}

fn failures(run: &Differences) -> Vec<String> {
    let mut failures = Vec::new();
    let mut hold = |what: &str, share: f64, most: f64| {
        // NaN fails.
        let within = share.abs() <= most;
        if !within {
            failures.push(format!(
                "{}: {what} is off by {:.3} % (at most {:.1} %)",
                run.name,
                100.0 * share,
                100.0 * most
            ));
        }
    };
    hold("a section area", run.section, SECTION_SHARE);
    let sharp = SHARP_TIPS.iter().any(|part| run.name.contains(part));
    for ((role, share), (_, of_whole)) in run.lengths.iter().zip(&run.of_whole) {
        if !(sharp && of_whole.abs() <= SHARP_TIPS_SHARE) {
            hold(
                &format!("the length of {}", role.name()),
                *share,
                LENGTH_SHARE,
            );
        }
    }
    hold("the time", run.seconds, SECONDS_SHARE);
    hold("the plastic laid", run.deposited, 0.002);
    hold("the detail lost, of the part,", run.lost_of_part, 0.001);
    failures
}

/// Printed for `docs/checks.md`; seen with `cargo test -- --nocapture`.
fn report(all: &[Differences]) {
    for run in all {
        let lengths: Vec<String> = run
            .lengths
            .iter()
            .map(|(r, s)| format!("{} {:+.2}", r.name(), 100.0 * s))
            .collect();
        println!(
            "{}: section {:.4} %, seconds {:+.2} %, travel {:+.1} %, plastic {:+.3} %, lost {:+.4} %, lengths % {}",
            run.name,
            100.0 * run.section,
            100.0 * run.seconds,
            100.0 * run.travel,
            100.0 * run.deposited,
            100.0 * run.lost_of_part,
            lengths.join(", ")
        );
    }
    spread(
        "section area, worst of each run",
        all.iter().map(|r| r.section).collect(),
    );
    spread(
        "length of a role",
        all.iter()
            .flat_map(|r| r.lengths.iter().map(|(_, s)| s.abs()))
            .collect(),
    );
    spread(
        "the same of the whole",
        all.iter()
            .flat_map(|r| r.of_whole.iter().map(|(_, s)| s.abs()))
            .collect(),
    );
    spread("seconds", all.iter().map(|r| r.seconds.abs()).collect());
}

fn spread(what: &str, mut shares: Vec<f64>) {
    shares.sort_by(f64::total_cmp);
    println!(
        "{what}: median {:.4} %, worst {:.4} %",
        100.0 * shares[shares.len() / 2],
        100.0 * shares[shares.len() - 1]
    );
}
