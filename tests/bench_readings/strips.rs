//! What bent strips say.

use beadtally::bench::{Bonding, BondingPlan};
use beadtally::shop::demonstration;

use crate::setup;

/// The default plastic, 240 to 270 C, in five even steps to whole degrees (by hand).
const FIVE: [f64; 5] = [240.0, 248.0, 255.0, 263.0, 270.0];

fn judged(found: [bool; 5]) -> Bonding {
    let shop = demonstration();
    let plan = BondingPlan::of(&setup(&shop, "fast", None)).unwrap();
    assert_eq!(plan.temperatures_c, FIVE);
    let items = FIVE.iter().zip(found).map(|(c, whole)| {
        let did = if whole { "whole" } else { "broke" };
        format!("{c}:{did}")
    });
    plan.read(&items.collect::<Vec<_>>().join(","))
        .unwrap()
        .bonding
}

/// Expected: by hand, all 32 ways in which five storeys can end: 15 runs of neighbours hold, one holds nowhere, 16 have a gap.
#[test]
fn a_run_of_whole_storeys_is_the_range_and_a_gap_is_a_contradiction() {
    let mut counts = [0; 3];
    for way in 0..32u32 {
        let found: [bool; 5] = std::array::from_fn(|i| way >> i & 1 == 1);
        match judged(found) {
            Bonding::Between { low_c, high_c } => {
                counts[0] += 1;
                for (c, whole) in FIVE.iter().zip(found) {
                    assert_eq!(whole, low_c <= *c && *c <= high_c, "{found:?}");
                }
            }
            Bonding::Nowhere => {
                counts[1] += 1;
                assert_eq!(way, 0);
            }
            Bonding::Contradictory {
                below_c,
                broke_c,
                above_c,
            } => {
                counts[2] += 1;
                let whole = |c: f64| found[FIVE.iter().position(|five| *five == c).unwrap()];
                assert!(below_c < broke_c && broke_c < above_c, "{found:?}");
                assert!(
                    whole(below_c) && !whole(broke_c) && whole(above_c),
                    "{found:?}"
                );
            }
        }
    }
    assert_eq!(counts, [15, 1, 16]);
}
