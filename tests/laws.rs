//! Laws that hold whatever the part: of time, of scale, of adding up, of price, of threads and of volume. They are consequences
//! of the model's own definitions (design, section 4); the kinematics are any textbook's.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod meshes;

use std::fmt::Debug;

use beadtally::bead::{
    Bead, Corner, Course, Exposed, LayerInput, Laying, Role, Stroke, plan_layer, route_layer,
};
use beadtally::cost::{Run, ledger};
use beadtally::estimate::{Ask, estimate};
use beadtally::mesh::{InspectedMesh, read};
use beadtally::motion::{Clock, Limits, Speeds, time_layer};
use beadtally::section::Region;
use beadtally::shop::{Shop, demonstration as demonstration_shop};
use meshes::job::{Cut, bare_limits, cut, walked};
use meshes::solids::{block, sphere, square_tube};
use meshes::{demonstration, inspected, moved, stl, together};
use proptest::prelude::*;
use rayon::ThreadPoolBuilder;

// --- Time ---

/// Limits with different speeds for every role, overheads, and a melt cap that holds some beads.
fn limits() -> Limits {
    let speeds = Speeds {
        outer_mm_s: 60.0,
        inner_mm_s: 90.0,
        fill_mm_s: 120.0,
        open_mm_s: 150.0,
        sliver_mm_s: 50.0,
        support_mm_s: 100.0,
        travel_mm_s: 200.0,
        first_layer_mm_s: 30.0,
    };
    Limits {
        retraction_s: 0.4,
        layer_change_s: 0.8,
        start_s: 200.0,
        ..bare_limits(speeds, 2000.0, Some(9.0))
    }
}

/// The same limits with one of them raised, for each that can be.
fn raised(limits: &Limits, by: f64) -> Vec<(&'static str, Limits)> {
    let speeds = |change: &dyn Fn(&mut Speeds)| {
        let mut speeds = limits.speeds;
        change(&mut speeds);
        Limits { speeds, ..*limits }
    };
    vec![
        ("outer", speeds(&|s| s.outer_mm_s *= by)),
        ("inner", speeds(&|s| s.inner_mm_s *= by)),
        ("fill", speeds(&|s| s.fill_mm_s *= by)),
        ("open", speeds(&|s| s.open_mm_s *= by)),
        ("sliver", speeds(&|s| s.sliver_mm_s *= by)),
        ("support", speeds(&|s| s.support_mm_s *= by)),
        ("travel", speeds(&|s| s.travel_mm_s *= by)),
        ("first layer", speeds(&|s| s.first_layer_mm_s *= by)),
        (
            "acceleration",
            Limits {
                acceleration_mm_s2: limits.acceleration_mm_s2 * by,
                ..*limits
            },
        ),
        (
            "deviation",
            Limits {
                corner_deviation_mm: limits.corner_deviation_mm * by,
                ..*limits
            },
        ),
        (
            "melt",
            Limits {
                melt_cap_mm3_s: limits.melt_cap_mm3_s.map(|cap| cap * by),
                ..*limits
            },
        ),
        (
            "no melt",
            Limits {
                melt_cap_mm3_s: None,
                ..*limits
            },
        ),
    ]
}

/// A stroke through points, mm; equal neighbours are passed over.
fn stroke(role: Role, points: &[[f64; 2]], bead_mm2: f64, travel_mm: f64) -> Option<Stroke> {
    let vectors = points
        .windows(2)
        .map(|p| [p[1][0] - p[0][0], p[1][1] - p[0][1]]);
    let vectors: Vec<[f64; 2]> = vectors.filter(|v| v[0].hypot(v[1]) > 1e-6).collect();
    let corners = vectors
        .windows(2)
        .map(|v| Corner::between(v[0], v[1]))
        .collect();
    let segments_mm: Vec<f64> = vectors.iter().map(|v| v[0].hypot(v[1])).collect();
    (!segments_mm.is_empty()).then_some(Stroke {
        role,
        bead_mm2,
        travel_mm,
        points_mm: points.to_vec(),
        segments_mm,
        corners,
    })
}

fn strokes() -> impl Strategy<Value = Course> {
    let point = (-20.0..20.0f64, -20.0..20.0f64).prop_map(|(x, y)| [x, y]);
    // Fine steps beside coarse ones, as curved outlines have them.
    let fine = (-0.2..0.2f64, -0.2..0.2f64).prop_map(|(x, y)| [x, y]);
    let points = prop::collection::vec(prop_oneof![point, fine], 2..30);
    let one = (0..6usize, points, 0.03..0.4f64, 0.0..50.0f64);
    prop::collection::vec(one, 1..6).prop_map(|all| {
        let strokes = all.iter().filter_map(|(role, points, bead, travel)| {
            stroke(Role::ALL[*role], points, *bead, *travel)
        });
        Course {
            strokes: strokes.collect(),
        }
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_stroke_takes_no_less_than_its_length_at_top_speed(course in strokes(), first in any::<bool>()) {
        let limits = limits();
        let time = time_layer(&course, &limits, first);
        for role in Role::ALL {
            let least_s = time.laid_mm[role.index()] / limits.speeds.of(role);
            prop_assert!(time.laying_s[role.index()] >= least_s * (1.0 - 1e-12));
        }
        prop_assert!(time.travel_s >= time.travel_mm / limits.speeds.travel_mm_s * (1.0 - 1e-12));
    }

    #[test]
    fn raising_any_one_limit_never_costs_time(course in strokes(), first in any::<bool>(), by in 1.0..5.0f64) {
        let limits = limits();
        let before_s = time_layer(&course, &limits, first).seconds();
        for (what, raised) in raised(&limits, by) {
            let after_s = time_layer(&course, &raised, first).seconds();
            prop_assert!(after_s <= before_s * (1.0 + 1e-12), "{what} raised {by} times: {before_s} s to {after_s} s");
        }
    }

    #[test]
    fn a_least_layer_time_is_kept_and_never_shortens(course in strokes(), least_layer_s in 0.0..60.0f64) {
        let free = time_layer(&course, &limits(), false).seconds();
        let held = time_layer(&course, &Limits { least_layer_s, ..limits() }, false).seconds();
        prop_assert!((held - free.max(least_layer_s)).abs() <= 1e-9);
    }
}

/// A real part: the pump mount at half its size in beads of a 0.6 mm nozzle.
fn real_part() -> (Cut, Bead) {
    let bead = Bead::of_nozzle(0.6).unwrap();
    (
        cut(&demonstration("pump_mount.stl"), 0.5, bead.height_mm()),
        bead,
    )
}

#[test]
fn raising_any_one_limit_never_costs_a_real_part_time() {
    let (cut, bead) = real_part();
    let base = Limits {
        least_layer_s: 20.0,
        ..limits()
    };
    let (names, mut all): (Vec<&str>, Vec<Limits>) = raised(&base, 1.5).into_iter().unzip();
    all.push(base);
    let (_, clocks) = walked(&cut, bead, 2, &all);
    let (before, after) = clocks.split_last().unwrap();
    for (what, clock) in names.iter().zip(after) {
        assert!(
            clock.seconds() <= before.seconds() * (1.0 + 1e-12),
            "{what}: {} s to {} s",
            before.seconds(),
            clock.seconds()
        );
    }
    // Some limits must have held, or nothing was tried.
    let gains = after
        .iter()
        .filter(|clock| clock.seconds() < 0.999 * before.seconds())
        .count();
    assert!(gains >= 4, "{gains} of the raised limits made a difference");
    for role in Role::ALL {
        let least_s = before.layers.laid_mm[role.index()] / base.speeds.of(role);
        assert!(
            before.layers.laying_s[role.index()] >= least_s * (1.0 - 1e-12),
            "{}",
            role.name()
        );
    }
}

// --- Adding up ---

#[test]
fn a_job_is_the_sum_of_its_layers_and_overheads() {
    let (cut, bead) = real_part();
    let limits = Limits {
        least_layer_s: 20.0,
        ..limits()
    };
    let (_, clocks) = walked(&cut, bead, 2, &[limits]);
    let laying = Laying {
        bead,
        perimeters: 2,
        fill: 1.0,
        support_fraction: 0.2,
    };
    let nothing = Region::default();
    let mut nozzle_mm = [0.0; 2];
    let mut seconds = limits.start_s;
    for (layer, section) in cut.regions.iter().enumerate() {
        let thickness_mm = cut.layers.thickness_mm(layer);
        let input = LayerInput {
            section,
            support: &nothing,
            exposed: Exposed::Everything,
            thickness_mm,
            layer,
        };
        let course = route_layer(&plan_layer(&input, &laying), &mut nozzle_mm);
        seconds += time_layer(&course, &limits, layer == 0).seconds() + limits.layer_change_s;
    }
    let clock = &clocks[0];
    assert!(
        (clock.seconds() / seconds - 1.0).abs() < 1e-12,
        "{} s, layer by layer {seconds} s",
        clock.seconds()
    );
    let shares: f64 = clock.shares().iter().sum();
    assert!((shares - 1.0).abs() < 1e-12);
    assert_eq!(clock.count, cut.layers.count);
}

// --- Scale ---

/// A part, its bead and its machine all scaled by k: as many layers, lengths k times, areas k^2, volumes k^3, the same time. Grid
/// and thinning (0.01 mm) do not scale with it, which is what the bounds are for.
#[test]
fn scaling_part_bead_and_machine_scales_lengths_areas_and_volumes() {
    let part = inspected(together(
        &square_tube(30.0, 22.0, 6.0),
        &moved(&sphere(4.0, 24, 48), [15.0, 15.0, 4.0]),
    ));
    let made = |k: f64| {
        let bead = Bead::new(0.4 * k, 0.24 * k, 0.48 * k).unwrap();
        let limits = Limits {
            acceleration_mm_s2: 2000.0 * k,
            corner_deviation_mm: 0.02 * k,
            melt_cap_mm3_s: None,
            ..limits()
        };
        let speeds = limits.speeds.times(k);
        // No retractions: they come with travels over 2 mm, which do not scale.
        let limits = Limits {
            speeds,
            retraction_s: 0.0,
            ..limits
        };
        let cut = cut(&part, k, bead.height_mm());
        let (laid, clocks) = walked(&cut, bead, 2, &[limits]);
        (cut.regions, laid, clocks[0])
    };
    let (sections, laid, clock) = made(1.0);
    for k in [0.5, 3.0] {
        let (sections_k, laid_k, clock_k) = made(k);
        assert_eq!(sections_k.len(), sections.len());
        for (one, other) in sections.iter().zip(&sections_k) {
            near("a section", other.area_mm2(), k * k * one.area_mm2(), 2e-3);
        }
        near(
            "deposited",
            laid_k.deposited_mm3,
            k.powi(3) * laid.deposited_mm3,
            2e-3,
        );
        near(
            "beads",
            clock_k.layers.bead_mm3,
            k.powi(3) * clock.layers.bead_mm3,
            5e-3,
        );
        let whole = |clock: &Clock| clock.layers.laid_mm.iter().sum::<f64>();
        near("length", whole(&clock_k), k * whole(&clock), 5e-3);
        near("time", clock_k.seconds(), clock.seconds(), 2e-2);
    }
}

fn near(what: &str, ours: f64, right: f64, share: f64) {
    assert!(
        (ours - right).abs() <= share * right.abs(),
        "{what}: {ours}, should be {right} within {share:e} of it"
    );
}

// --- Price ---

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn more_margin_is_never_a_lower_price(
        margins in (0.0..0.9f64, 0.0..0.9f64),
        hours in 0.1..60.0f64,
        grams in 1.0..3000.0f64,
        quantity in 1..50u32,
    ) {
        let shop = demonstration_shop();
        let (low, high) = (margins.0.min(margins.1), margins.0.max(margins.1));
        let (lower, higher) = (priced(&shop, low, hours, grams, quantity), priced(&shop, high, hours, grams, quantity));
        prop_assert!(lower.total <= higher.total, "{} at {low}, {} at {high}", lower.total, higher.total);
        prop_assert!(lower.unit_price <= higher.unit_price);
        prop_assert!(lower.subtotal <= higher.subtotal);
        prop_assert_eq!(lower.cost, higher.cost);
        prop_assert!(lower.adds_up() && higher.adds_up());
    }
}

fn priced(
    shop: &Shop,
    margin: f64,
    hours: f64,
    grams: f64,
    quantity: u32,
) -> beadtally::cost::Ledger {
    let run = Run {
        machine: &shop.machines[0],
        nozzle: &shop.nozzles[0],
        material: &shop.materials[0],
        seconds: 3600.0 * hours,
        start_seconds: 200.0,
        part_g: grams,
        support_g: 0.1 * grams,
        surface_mm2: 0.0,
        held_mm2: 0.0,
    };
    let mut rates = shop.rates.clone();
    rates.margin = margin;
    rates.discounts.clear();
    ledger(&run, &rates, &shop.attended, shop.currency, quantity).unwrap()
}

// --- Threads ---

/// Debug output prints every bit of a double (the shortest text that reads back as the same number).
fn on_threads<T: Debug + Send>(threads: usize, work: impl Fn() -> T + Send + Sync) -> String {
    let pool = ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()
        .unwrap();
    format!("{:?}", pool.install(work))
}

#[test]
fn one_thread_or_many_give_the_same_estimate() {
    let bytes = stl(&together(
        &block([0.0; 3], [30.0, 20.0, 6.0]),
        &sphere(6.0, 12, 24),
    ));
    let shop = demonstration_shop();
    for fill in [1.0, 0.3] {
        let ask = Ask {
            fill,
            ..Ask::default()
        };
        let work = || estimate(&read(bytes.clone()).unwrap(), &shop, &ask).unwrap();
        let one = on_threads(1, work);
        assert!(one.contains("Ok(Made"), "nothing was made");
        for threads in [2, 4] {
            assert!(
                one == on_threads(threads, work),
                "fill {fill}: {threads} threads give another estimate"
            );
        }
    }
}

/// Sums over more facets than one partial sum holds (16 384), and layers of a real outline.
#[test]
fn one_thread_or_many_give_the_same_measures_and_clock() {
    let bytes = stl(&sphere(20.0, 100, 200));
    let bead = Bead::of_nozzle(0.8).unwrap();
    let work = || {
        let part = read(bytes.clone()).unwrap();
        assert!(part.mesh.triangles.len() > 2 * 16_384);
        let cut = cut(&part, 1.0, bead.height_mm());
        let (laid, clocks) = walked(&cut, bead, 2, &[limits()]);
        (part.mass, cut.regions, laid, clocks)
    };
    assert!(
        on_threads(1, work) == on_threads(4, work),
        "four threads give another answer than one"
    );
}

// --- Volume ---

/// Parts that are laid quite differently: bulk, thin walls, ribs, a curved skin.
fn parts() -> Vec<(&'static str, InspectedMesh, f64)> {
    vec![
        ("a cube", inspected(block([0.0; 3], [20.0; 3])), 1.0),
        (
            "a tube of 4 mm",
            inspected(square_tube(40.0, 32.0, 5.0)),
            1.0,
        ),
        ("a sphere", inspected(sphere(10.0, 32, 64)), 1.0),
        (
            "the pump mount at half size",
            demonstration("pump_mount.stl"),
            0.5,
        ),
        (
            "the cleat block at half size",
            demonstration("cleat_block.stl"),
            0.5,
        ),
        (
            "the binnacle at half size",
            demonstration("binnacle.stl"),
            0.5,
        ),
    ]
}

/// "deposited_mm3 = sum over layers of (section area - lost area) x h" (design, Volume), and the beads hold as much: within 4 % for a
/// part's beads as a whole. They hold less where lines end 0.35 spacings short of a border, more where they join.
#[test]
fn deposited_volume_is_section_times_height_and_the_beads_hold_it() {
    let bead = Bead::of_nozzle(0.6).unwrap();
    for (name, part, scale) in parts() {
        let cut = cut(&part, scale, bead.height_mm());
        let (laid, clocks) = walked(&cut, bead, 2, &[limits()]);
        let areas = cut.regions.iter().enumerate();
        let section_mm3: f64 = areas
            .map(|(k, region)| region.area_mm2() * cut.layers.thickness_mm(k))
            .sum();
        near(name, laid.section_mm3, section_mm3, 1e-6);
        near(name, laid.deposited_mm3, section_mm3 - laid.lost_mm3, 1e-6);
        let beads = clocks[0].layers.bead_mm3 / laid.deposited_mm3 - 1.0;
        let volume = laid.section_mm3 / (part.mass.volume_mm3 * scale.powi(3)) - 1.0;
        println!(
            "{name}: beads {:+.2} % of deposited, sections {:+.2} % of the part, lost {:.2} mm3",
            100.0 * beads,
            100.0 * volume,
            laid.lost_mm3
        );
        assert!(
            beads.abs() < 0.04,
            "{name}: beads hold {:+.2} % more than is deposited",
            100.0 * beads
        );
        // The stack is up to half a layer higher or lower than the part.
        let half_layer = 0.5 / cut.layers.count as f64;
        assert!(
            volume.abs() < 4.0 * half_layer,
            "{name}: sections hold {:+.2} % more than the part",
            100.0 * volume
        );
    }
}
