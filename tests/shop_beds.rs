//! Beds of the shop file: what is read, and one sentence for what is wrong.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod shop_file;

use beadtally::pose::{Bed, Narrowing, Place};
use beadtally::shop::{DEMONSTRATION_TOML, Shop, read_shop};
use shop_file::{refused, with};

const BED: &str = "bed_mm = [310, 290]";
const KEEP_OUT: &str = "keep_out_mm = [[[288, 274], [310, 290]]]";

fn read_with(from: &str, to: &str) -> Shop {
    read_shop(&DEMONSTRATION_TOML.replacen(from, to, 1), "shop.toml").expect("a good shop file")
}

#[test]
fn every_kind_of_bed_is_read_as_it_is_written() {
    let shop = read_with(
        BED,
        "bed_corners_mm = [[0, 0], [0, 290], [310, 290], [300, 0]]\nreach_mm = [[310, 280], [5, 0]]\n\
         narrower_above = [{ from_mm = 200, inset_mm = 20 }, { from_mm = 250.5, inset_mm = 40 }]",
    );
    let space = &shop.machine("fast").unwrap().space;
    let corners_mm = vec![[0.0, 0.0], [0.0, 290.0], [310.0, 290.0], [300.0, 0.0]];
    assert_eq!(space.bed, Bed::Polygon { corners_mm });
    let keep_out = vec![
        [288.0, 274.0],
        [310.0, 274.0],
        [310.0, 290.0],
        [288.0, 290.0],
    ];
    assert_eq!(space.keep_out_mm, [keep_out]);
    let reach = Place {
        from_mm: [5.0, 0.0],
        to_mm: [310.0, 280.0],
    };
    assert_eq!(space.reach, Some(reach));
    let steps =
        [(200.0, 20.0), (250.5, 40.0)].map(|(from_mm, inset_mm)| Narrowing { from_mm, inset_mm });
    assert_eq!(space.narrower_above, steps);
}

#[test]
fn a_bed_that_crosses_itself_is_refused_by_the_name_of_its_key() {
    let place = "shop.toml, line LINE, machine \"fast\" key bed_corners_mm: ";
    for (corners, says) in [
        (
            "[[0, 0], [100, 100], [100, 0], [0, 100]]",
            "crosses or touches itself at its edges 1 and 3",
        ),
        (
            "[[0, 0], [100, 0], [100, 100], [50, 0], [0, 100]]",
            "crosses or touches itself",
        ),
        (
            "[[0, 0], [100, 0], [50, 0], [50, 100]]",
            "crosses or touches itself at its edges 1 and 2",
        ),
        (
            "[[0, 0], [100, 0], [100, 0], [50, 100]]",
            "crosses or touches itself",
        ),
        ("[[0, 0], [100, 0]]", "has 2 corners; give at least 3"),
        ("[]", "has 0 corners"),
        ("[[0, 0], [50, 50], [100, 100]]", "encloses nothing"),
        ("[[0, 0], [50], [100, 100]]", "is not a point [x, y]"),
        ("[[0, 0], [\"a\", 1], [100, 100]]", "is not a number"),
        ("[[0, 0], [nan, 1], [100, 100]]", "is not a finite number"),
        ("[[0, 0], [1e9, 1], [100, 100]]", "too large"),
        ("7", "7 is not a list; give the bed's corners"),
    ] {
        refused(BED, &format!("bed_corners_mm = {corners}"), place, says);
    }
    let twice = format!("{BED}\nbed_corners_mm = [[0, 0], [9, 0], [0, 9]]");
    assert!(with(BED, &twice).contains("the bed is given twice"));
    let many = vec!["[0, 0]"; 501].join(", ");
    refused(
        BED,
        &format!("bed_corners_mm = [{many}]"),
        place,
        "more than the 500 allowed",
    );
}

#[test]
fn a_margin_wider_than_a_polygon_is_refused() {
    let got = with(BED, "bed_corners_mm = [[0, 0], [100, 0], [0, 5]]");
    assert!(
        got.contains("key edge_margin_mm: the edge margin leaves nothing of the bed"),
        "{got}"
    );
}

#[test]
fn keep_outs_that_make_no_sense_are_refused() {
    let place = "shop.toml, line LINE, machine \"fast\" key keep_out_mm: ";
    for (places, says) in [
        (
            "[[[0, 0], [310, 290]]]",
            "cover all that is left of the bed",
        ),
        (
            "[[[0, 0], [310, 150]], [[0, 140], [310, 290]]]",
            "cover all that is left of the bed",
        ),
        (
            "[[[400, 0], [450, 50]]]",
            "keep-out 1 lies wholly outside the bed",
        ),
        (
            "[[[0, 0], [5, 5]], [[0, 0], [9, 9], [9, 0], [0, 9]]]",
            "keep-out 2 crosses or touches itself",
        ),
        ("[[[0, 0], [5, 0]]]", "keep-out 1 has 2 corners"),
        ("[[0, 0], [5, 5]]", "0 is not a point [x, y]"),
        ("[3]", "3 is not a list"),
        ("{ x = 1 }", "a table is not a list"),
    ] {
        refused(KEEP_OUT, &format!("keep_out_mm = {places}"), place, says);
    }
}

#[test]
fn a_reach_or_a_step_that_makes_no_sense_is_refused() {
    let machine = "shop.toml, line LINE, machine \"fast\" key ";
    for (key, value, says) in [
        ("reach_mm", "[[400, 0], [500, 100]]", "misses the bed"),
        ("reach_mm", "[[0, 0], [0, 100]]", "enclose nothing"),
        (
            "reach_mm",
            "[[0, 0], [9, 100], [9, 200]]",
            "3 corners; give two opposite corners",
        ),
        (
            "narrower_above",
            "[{ from_mm = 400, inset_mm = 5 }]",
            "step 1 is not above",
        ),
        (
            "narrower_above",
            "[{ from_mm = 200, inset_mm = 5 }, { from_mm = 150, inset_mm = 9 }]",
            "step 2 is not above",
        ),
        (
            "narrower_above",
            "[{ from_mm = 200, inset_mm = 5 }, { from_mm = 250, inset_mm = 5 }]",
            "step 2 is no narrower",
        ),
        (
            "narrower_above",
            "[{ from_mm = 200, inset_mm = 145 }]",
            "step 1 leaves nothing",
        ),
        ("narrower_above", "[[200, 5]]", "a list is not a step"),
        (
            "narrower_above.inset",
            "",
            "the unit is missing from this key; write inset_mm",
        ),
    ] {
        let line = match value {
            "" => "narrower_above = [{ from_mm = 9, inset = 9 }]".to_owned(),
            value => format!("{key} = {value}"),
        };
        refused(KEEP_OUT, &line, &format!("{machine}{key}"), says);
    }
}
