//! Bedfuls: what is promised of places, held against plain distances, brute force, known packings and a ledger.
#![allow(clippy::unwrap_used, clippy::expect_used)]

#[path = "../meshes/mod.rs"]
mod meshes;
mod command;
mod hours;
mod outlines;

use std::collections::BTreeMap;
use std::path::Path;
use std::time::Instant;

use beadtally::bedful::{Bedful, Item, MOST_COPIES, Turns, fill, fill_beds, gap_mm, lies_within};
use beadtally::pose::BuildSpace;
use beadtally::section::Region;
use outlines::{ring, ten};
use proptest::prelude::*;

fn item(outline: Region, wanted: Option<u32>) -> Item {
    Item {
        outline,
        wanted,
        turns: Turns::Any,
        known: None,
    }
}

fn bed(x: f64, y: f64) -> Region {
    Region::rectangle([0.0; 2], [x, y])
}

fn round_bed(diameter_mm: f64) -> Region {
    BuildSpace::circle(diameter_mm, 100.0).usable_region(50.0)
}

/// Distances between all sides of all rings, written anew and without any short cut.
fn least_gap(a: &Region, b: &Region) -> f64 {
    let sides = |region: &Region| -> Vec<[[f64; 2]; 2]> {
        region
            .rings()
            .flat_map(|r| {
                (0..r.len())
                    .map(|i| [r[i], r[(i + 1) % r.len()]])
                    .collect::<Vec<_>>()
            })
            .collect()
    };
    let to_side = |p: [f64; 2], s: [[f64; 2]; 2]| {
        let (dx, dy) = (s[1][0] - s[0][0], s[1][1] - s[0][1]);
        let t = ((p[0] - s[0][0]) * dx + (p[1] - s[0][1]) * dy) / (dx * dx + dy * dy);
        let t = t.clamp(0.0, 1.0);
        (p[0] - s[0][0] - t * dx).hypot(p[1] - s[0][1] - t * dy)
    };
    let (a, b) = (sides(a), sides(b));
    let mut least = f64::INFINITY;
    for one in &a {
        for other in &b {
            let ends = to_side(one[0], *other).min(to_side(other[0], *one));
            least = least.min(ends);
        }
    }
    least
}

/// The promises of a filled bed. Coordinates lie on a grid of 0.0001 mm.
fn holds_its_promises(full: &Bedful, usable: &Region, clearance_mm: f64) {
    let placed = &full.placements;
    for (i, one) in placed.iter().enumerate() {
        assert!(lies_within(&one.outline, usable), "{i} sticks out");
        for other in &placed[..i] {
            let gap = gap_mm(&one.outline, &other.outline).unwrap();
            assert!(
                gap >= clearance_mm - 0.0005,
                "{gap} between {i} and another"
            );
        }
    }
}

#[test]
fn no_two_outlines_are_nearer_than_the_clearance_by_plain_distances() {
    let parts = ten();
    for (usable, clearance) in [(bed(300.0, 280.0), 5.0), (round_bed(250.0), 2.0)] {
        for (name, outline) in &parts {
            let full = fill(&[item(outline.clone(), Some(7))], &usable, clearance).unwrap();
            holds_its_promises(&full, &usable, clearance);
            for (i, one) in full.placements.iter().enumerate() {
                for other in &full.placements[..i] {
                    let gap = least_gap(&one.outline, &other.outline);
                    assert!(gap >= clearance - 0.0005, "{name}: {gap}");
                }
            }
        }
    }
}

#[test]
fn a_placement_says_how_its_outline_came_there() {
    let (_, outline) = ten().swap_remove(5);
    let full = fill(&[item(outline.clone(), None)], &bed(200.0, 200.0), 3.0).unwrap();
    assert!(full.copies() > 4);
    for placed in &full.placements {
        let (sine, cosine) = placed.turn_deg.to_radians().sin_cos();
        let taken = |[x, y]: [f64; 2]| {
            let [u, v] = placed.at_mm;
            [x * cosine - y * sine + u, x * sine + y * cosine + v]
        };
        let there = Region::from_rings(outline.rings().map(|r| r.into_iter().map(taken).collect()));
        assert!(
            there.minus(&placed.outline).area_mm2() + placed.outline.minus(&there).area_mm2() < 0.1
        );
    }
}

/// The best plain grid by fine steps of the angle.
fn grid_by_steps(corners: &[[f64; 2]], room: [f64; 2], clearance: f64) -> u32 {
    let across = |angle: f64| {
        let (sine, cosine) = angle.sin_cos();
        let along = corners.iter().map(|[x, y]| x * cosine - y * sine);
        let (low, high) = along.fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
        high - low
    };
    let steps = (0..1800).map(|i| (f64::from(i) / 10.0).to_radians());
    let count = |size: f64, room: f64| ((room + clearance) / (size + clearance)).floor() as u32;
    steps
        .map(|a| {
            count(across(a), room[0]) * count(across(a - std::f64::consts::FRAC_PI_2), room[1])
        })
        .max()
        .unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]
    #[test]
    fn never_fewer_copies_than_the_best_plain_grid_over_all_turns(
        corners in prop::collection::vec((0.0..80.0f64, 0.0..50.0f64), 3..9),
        x in 90.0..260.0f64,
        y in 90.0..260.0f64,
        clearance in 0.0..8.0f64,
    ) {
        let corners: Vec<[f64; 2]> = corners.into_iter().map(|(x, y)| [x, y]).collect();
        let outline = Region::from_rings([corners.clone()]);
        prop_assume!(outline.area_mm2() > 200.0 && outline.pieces().len() == 1);
        let corners: Vec<[f64; 2]> = outline.rings().flatten().collect();
        let full = fill(&[item(outline, None)], &bed(x, y), clearance).unwrap();
        let by_steps = grid_by_steps(&corners, [x, y], clearance).min(MOST_COPIES);
        prop_assert!(full.copies() >= by_steps, "{} of {by_steps}", full.copies());
        holds_its_promises(&full, &bed(x, y), clearance);
    }
}

#[test]
fn circles_lie_as_dense_as_known_packings() {
    // From memory: circles of radius 1 in staggered rows stand sqrt 3 apart. A strip 2 + 2 sqrt 3 high takes three rows of
    // n, n - 1 and n where it is 2 n wide; seven circles of radius r fit a circle of radius 3 r.
    let circle = |radius: f64| Region::from_rings([ring(64, |_| radius)]);
    let strip = bed(100.5, 10.0 * (2.0 + 2.0 * 3.0_f64.sqrt()) + 0.5);
    let full = fill(&[item(circle(10.0), None)], &strip, 0.0).unwrap();
    assert_eq!(full.copies(), 14);
    holds_its_promises(&full, &strip, 0.0);
    let full = fill(&[item(circle(10.0), None)], &round_bed(60.9), 0.0).unwrap();
    assert_eq!(full.copies(), 7);
}

#[test]
fn triangles_lie_in_pairs() {
    // Two right triangles make the rectangle of their sides: 2 for each of the 3 x 4 rectangles that fit.
    let triangle = Region::from_rings([vec![[0.0, 0.0], [60.0, 0.0], [0.0, 40.0]]]);
    let full = fill(&[item(triangle, None)], &bed(200.0, 200.0), 1.0).unwrap();
    assert!(full.copies() >= 24, "{}", full.copies());
}

#[test]
fn rectangles_are_counted_as_the_exact_grid_has_them_to_the_last_tenth_of_a_micrometre() {
    let part = bed(40.0, 25.0);
    let copies = |x: f64, y: f64| {
        fill(&[item(part.clone(), None)], &bed(x, y), 5.0)
            .unwrap()
            .copies()
    };
    assert_eq!(copies(4.0 * 45.0 - 5.0, 3.0 * 30.0 - 5.0), 12);
    assert_eq!(copies(40.0, 25.0), 1);
    assert_eq!(copies(25.0, 40.0), 1);
    assert_eq!(copies(39.9, 24.9), 0);
    // Turned by 90 degrees one more goes in: 2 columns of 25 + 5 + 25 beside none of 40.
    assert_eq!(copies(55.0, 40.0), 2);
}

#[test]
fn a_part_that_goes_in_only_turned_goes_in_turned() {
    // From memory: a strip w x l fits a square of side (w + l)/sqrt 2 at 45 degrees only, where l is above the side.
    let side = (100.0 + 4.0) / 2.0_f64.sqrt() + 0.001;
    let full = fill(&[item(bed(100.0, 4.0), None)], &bed(side, side), 5.0).unwrap();
    assert_eq!(full.copies(), 1);
    let turn = full.placements[0].turn_deg;
    assert!((turn % 90.0 - 45.0).abs() < 0.1, "{turn}");
    let kept = Item {
        outline: bed(100.0, 4.0),
        wanted: None,
        turns: Turns::Only(vec![0.0, 90.0]),
        known: None,
    };
    assert_eq!(fill(&[kept], &bed(side, side), 5.0).unwrap().copies(), 0);
}

#[test]
fn a_small_part_stands_in_the_hole_of_a_large_one() {
    let frame = bed(100.0, 100.0).minus(&Region::rectangle([20.0; 2], [80.0; 2]));
    let items = [item(frame, Some(1)), item(bed(40.0, 40.0), Some(1))];
    let full = fill(&items, &bed(100.0, 100.0), 5.0).unwrap();
    assert_eq!(full.copies(), 2);
    holds_its_promises(&full, &bed(100.0, 100.0), 5.0);
}

#[test]
fn a_corner_that_is_taken_stays_free() {
    let usable = bed(100.0, 100.0).minus(&Region::rectangle([60.0, 60.0], [100.0, 100.0]));
    let full = fill(&[item(bed(38.0, 38.0), None)], &usable, 2.0).unwrap();
    assert_eq!(full.copies(), 3);
    holds_its_promises(&full, &usable, 2.0);
}

#[test]
fn an_order_is_used_up_in_full_beds_and_one_with_the_rest() {
    let items = [item(bed(40.0, 40.0), Some(13))];
    let beds = fill_beds(&items, &bed(130.0, 90.0), 5.0).unwrap();
    let counts: Vec<(u32, u32)> = beds
        .kinds
        .iter()
        .map(|(b, times)| (b.copies(), *times))
        .collect();
    assert_eq!(counts, [(6, 2), (1, 1)]);
    assert_eq!(
        (beds.count(), beds.copies(), &beds.left[..]),
        (3, 13, &[0][..])
    );
}

#[test]
fn a_mix_is_placed_to_the_last_piece_over_several_beds() {
    let parts = ten();
    let wanted = [9, 4, 14];
    let items: Vec<Item> = [5, 6, 7]
        .iter()
        .zip(wanted)
        .map(|(i, n)| item(parts[*i].1.clone(), Some(n)))
        .collect();
    let usable = bed(180.0, 180.0);
    let beds = fill_beds(&items, &usable, 4.0).unwrap();
    assert_eq!(beds.left, [0, 0, 0]);
    for (index, n) in wanted.iter().enumerate() {
        let placed: u32 = beds
            .kinds
            .iter()
            .map(|(b, times)| b.copies_of(index) * times)
            .sum();
        assert_eq!(placed, *n);
    }
    for (full, _) in &beds.kinds {
        holds_its_promises(full, &usable, 4.0);
    }
}

#[test]
fn what_is_wrong_is_said_and_nothing_is_placed_for_nothing() {
    let square = bed(10.0, 10.0);
    let copies = |wanted, usable: &Region| {
        fill(&[item(square.clone(), wanted)], usable, 5.0)
            .unwrap()
            .copies()
    };
    assert_eq!(copies(Some(0), &bed(100.0, 100.0)), 0);
    assert_eq!(copies(None, &Region::default()), 0);
    for clearance in [-1.0, f64::NAN, f64::INFINITY, 1e9] {
        let error = fill(&[item(square.clone(), None)], &square, clearance).unwrap_err();
        assert!(error.to_string().contains("clearance"), "{error}");
    }
    let error = fill(&[item(Region::default(), None)], &square, 1.0).unwrap_err();
    assert!(error.to_string().contains("covers nothing"), "{error}");
    let still = |turns| Item {
        outline: square.clone(),
        wanted: None,
        turns: Turns::Only(turns),
        known: None,
    };
    for turns in [vec![], vec![f64::NAN]] {
        assert!(fill(&[still(turns)], &square, 1.0).is_err());
    }
}

#[test]
fn a_thousand_tiny_parts_stop_at_the_cap_and_it_is_said() {
    let tiny = [item(bed(3.0, 3.0), None)];
    let full = fill(&tiny, &bed(300.0, 300.0), 2.0).unwrap();
    assert_eq!((full.copies(), full.capped), (MOST_COPIES, true));
    let beds = fill_beds(&[item(bed(3.0, 3.0), Some(1000))], &bed(300.0, 300.0), 2.0).unwrap();
    assert_eq!((beds.kinds.len(), beds.count()), (1, 2));
}

#[test]
fn the_same_input_gives_the_same_places() {
    let (_, outline) = ten().swap_remove(8);
    let again = || fill(&[item(outline.clone(), None)], &bed(300.0, 280.0), 5.0).unwrap();
    assert_eq!(again(), again());
}

/// `part, bed, copies`, tab separated; counts may only grow. WRITE_LEDGER=1 writes it anew where they did.
#[test]
fn the_counts_of_ten_outlines_never_fall() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bedful/ledger.tsv");
    let kept: BTreeMap<(String, String), u32> = std::fs::read_to_string(&path)
        .unwrap_or_default()
        .lines()
        .filter_map(|line| {
            let mut fields = line.split('\t');
            let (part, bed) = (fields.next()?.to_owned(), fields.next()?.to_owned());
            Some(((part, bed), fields.next()?.parse().ok()?))
        })
        .collect();
    let beds = [
        ("300 x 280", bed(300.0, 280.0)),
        ("400 x 400", bed(400.0, 400.0)),
        ("round 250", round_bed(250.0)),
    ];
    let (mut lines, mut grew) = (
        vec!["part\tbed, mm\tcopies at 5 mm clearance".to_owned()],
        false,
    );
    for (name, outline) in ten() {
        for (on, usable) in &beds {
            let begun = Instant::now();
            let full = fill(&[item(outline.clone(), None)], usable, 5.0).unwrap();
            println!(
                "{name} on {on}: {} in {:.2} s",
                full.copies(),
                begun.elapsed().as_secs_f64()
            );
            holds_its_promises(&full, usable, 5.0);
            let before = kept.get(&(name.to_owned(), (*on).to_owned())).copied();
            assert!(
                before.is_some() || std::env::var_os("WRITE_LEDGER").is_some(),
                "{name} on {on} is not in the ledger"
            );
            let before = before.unwrap_or(0);
            assert!(
                full.copies() >= before,
                "{name} on {on}: {} copies, {before} before",
                full.copies()
            );
            grew |= full.copies() > before;
            lines.push(format!("{name}\t{on}\t{}", full.copies()));
        }
    }
    if grew && std::env::var_os("WRITE_LEDGER").is_some() {
        std::fs::write(path, lines.join("\n") + "\n").unwrap();
    }
}
