//! Which measured row serves an option, and why an option is refused.

#![allow(clippy::unwrap_used, clippy::expect_used)]

use beadtally::shop::{
    Machine, Material, Nozzle, NozzleMetal, RowUsed, Shop, demonstration, no_row, refusals,
};

fn row(shop: &Shop, machine: &str, nozzle: &str, material: &str) -> RowUsed {
    shop.row_for(
        shop.machine(machine).unwrap(),
        shop.nozzle(nozzle).unwrap(),
        shop.material(material).unwrap(),
    )
    .expect("the machine has rows")
}

fn lender(used: &RowUsed) -> String {
    format!(
        "{}/{}/{}",
        used.row.machine, used.row.nozzle, used.row.material
    )
}

#[test]
fn an_option_with_its_own_row_borrows_nothing() {
    let used = row(&demonstration(), "fast", "0.6-hardened", "petg-cf");
    assert_eq!(used.borrowed, None);
    assert_eq!(
        (used.row.layer_height_mm, used.row.bead_width_mm),
        (Some(0.30), Some(0.65))
    );
    // design.md section 8: 19 mm3/s after a margin of 20 %.
    assert!((used.row.melt_limit_mm3_s * (1.0 - used.row.margin) - 19.0).abs() < 1e-12);
}

#[test]
fn the_same_nozzle_with_another_plastic_lends_its_whole_row() {
    let used = row(&demonstration(), "fast", "0.6-hardened", "asa-cf");
    assert_eq!(lender(&used), "fast/0.6-hardened/petg-cf");
    assert_eq!(used.row.layer_height_mm, Some(0.30));
    assert_eq!(
        used.borrowed.unwrap(),
        "no measured row for fast/0.6-hardened/asa-cf, borrowed from fast/0.6-hardened/petg-cf"
    );
}

#[test]
fn of_two_plastics_in_the_same_nozzle_the_one_of_nearer_temperature_lends() {
    let shop = demonstration();
    // Middles of the windows: pa12-cf 260 C, petg-cf 255 C, asa-cf 260 C, petg 242.5 C.
    assert_eq!(
        lender(&row(&shop, "fast", "0.4-hardened", "asa-cf")),
        "fast/0.4-hardened/pa12-cf"
    );
    assert_eq!(
        lender(&row(&shop, "fast", "0.4-hardened", "petg")),
        "fast/0.4-hardened/petg-cf"
    );
}

#[test]
fn another_nozzle_lends_its_melt_limit_and_margin_only() {
    let used = row(&demonstration(), "gantry", "0.6-hardened", "petg-cf");
    assert_eq!(lender(&used), "gantry/0.8-hardened/petg-cf");
    assert_eq!((used.row.melt_limit_mm3_s, used.row.margin), (45.0, 0.20));
    assert_eq!(
        (used.row.layer_height_mm, used.row.bead_width_mm),
        (None, None)
    );
    assert!(
        used.borrowed
            .unwrap()
            .ends_with("only its melt limit and margin are taken over")
    );
}

#[test]
fn the_same_bore_in_another_metal_is_another_nozzle() {
    let used = row(&demonstration(), "fast", "0.6-brass", "petg-cf");
    assert_eq!(lender(&used), "fast/0.6-hardened/petg-cf");
    assert_eq!(used.row.bead_width_mm, None);
}

#[test]
fn the_same_plastic_in_the_nearest_bore_lends_before_other_plastics() {
    let used = row(&demonstration(), "fast", "0.8-hardened", "petg-cf");
    assert_eq!(lender(&used), "fast/0.6-hardened/petg-cf");
    let used = row(&demonstration(), "fast", "0.8-hardened", "pa12-cf");
    assert_eq!(lender(&used), "fast/0.4-hardened/pa12-cf");
}

#[test]
fn rows_are_never_borrowed_from_another_machine() {
    let mut shop = demonstration();
    shop.measured.retain(|row| row.machine != "round");
    let round = shop.machine("round").unwrap();
    let nozzle = shop.nozzle("0.4-brass").unwrap();
    assert_eq!(
        shop.row_for(round, nozzle, shop.material("pla").unwrap()),
        None
    );
    assert!(no_row(round).starts_with("machine round has no measured row"));
    assert!(beadtally::shop::describe(&shop).contains("no measured row"));
}

#[test]
fn the_lender_does_not_depend_on_the_order_of_the_file_where_distances_differ() {
    let shop = demonstration();
    let mut turned = shop.clone();
    turned.measured.reverse();
    for machine in &shop.machines {
        for nozzle in &machine.nozzles {
            for material in &shop.materials {
                let nozzle = shop.nozzle(nozzle).unwrap();
                let one = shop.row_for(machine, nozzle, material);
                assert_eq!(one, turned.row_for(machine, nozzle, material));
            }
        }
    }
}

/// Reasons for an option of the demonstration shop, with something about it changed.
fn reasons(
    ids: [&str; 3],
    change: impl FnOnce(&mut Machine, &mut Nozzle, &mut Material),
    forced: bool,
) -> Vec<String> {
    let shop = demonstration();
    let mut machine = shop.machine(ids[0]).unwrap().clone();
    let mut nozzle = shop.nozzle(ids[1]).unwrap().clone();
    let mut material = shop.material(ids[2]).unwrap().clone();
    change(&mut machine, &mut nozzle, &mut material);
    refusals(&machine, &nozzle, &material, forced)
}

fn as_it_is(_: &mut Machine, _: &mut Nozzle, _: &mut Material) {}

#[test]
fn an_option_that_has_what_it_needs_is_not_refused() {
    assert_eq!(
        reasons(["fast", "0.6-hardened", "pps-cf"], as_it_is, false),
        [""; 0]
    );
    assert_eq!(
        reasons(["slow", "0.4-brass", "petg"], as_it_is, false),
        [""; 0]
    );
}

#[test]
fn a_brass_nozzle_is_refused_for_an_abrasive_plastic_unless_forced() {
    let option = ["fast", "0.6-brass", "petg-cf"];
    assert_eq!(
        reasons(option, as_it_is, false),
        ["petg-cf is abrasive and wears the soft brass nozzle 0.6-brass"]
    );
    assert_eq!(reasons(option, as_it_is, true), [""; 0]);
}

#[test]
fn only_soft_metals_are_refused_for_an_abrasive_plastic() {
    for (metal, refused) in [
        (NozzleMetal::Brass, 1),
        (NozzleMetal::StainlessSteel, 1),
        (NozzleMetal::HardenedSteel, 0),
        (NozzleMetal::TungstenCarbide, 0),
        (NozzleMetal::MineralTip, 0),
    ] {
        let got = reasons(
            ["fast", "0.6-brass", "petg-cf"],
            |_, n, _| n.metal = metal,
            false,
        );
        assert_eq!(got.len(), refused, "{}", metal.name());
    }
}

#[test]
fn temperatures_out_of_reach_are_refused_with_both_figures() {
    let option = ["round", "0.6-hardened", "pet-cf"];
    assert_eq!(
        reasons(option, as_it_is, false),
        ["pet-cf needs the nozzle at 270 to 300 C; round reaches 260 C"]
    );
    assert_eq!(
        reasons(option, |m, _, _| m.nozzle_max_c = 270.0, false),
        [""; 0]
    );
    assert_eq!(
        reasons(
            ["fast", "0.4-brass", "pla"],
            |m, _, _| m.nozzle_min_c = 230.0,
            false
        ),
        ["pla needs the nozzle at 190 to 220 C; fast holds no less than 230 C"]
    );
    assert_eq!(
        reasons(
            ["fast", "0.4-brass", "abs"],
            |m, _, _| m.bed_max_c = 90.0,
            false
        ),
        ["abs needs the bed at 100 C; fast reaches 90 C"]
    );
    assert_eq!(
        reasons(
            ["fast", "0.4-brass", "pla"],
            |m, _, _| m.bed_min_c = 70.0,
            false
        ),
        ["pla needs the bed at 60 C; fast holds no less than 70 C"]
    );
}

#[test]
fn a_missing_enclosure_a_wrong_feedstock_and_a_nozzle_not_taken_are_refused() {
    assert_eq!(
        reasons(["gantry", "0.6-brass", "asa"], as_it_is, false),
        ["asa needs an enclosed machine; gantry is open"]
    );
    assert_eq!(
        reasons(
            ["fast", "0.6-hardened", "petg-cf"],
            |m, _, _| m.feedstock_mm = 2.85,
            false
        ),
        ["petg-cf is stocked in 1.75 mm; fast takes 2.85 mm"]
    );
    assert_eq!(
        reasons(["round", "0.8-brass", "pla"], as_it_is, false),
        [
            "round does not take nozzle 0.8-brass; it takes 0.4-brass, 0.4-hardened, 0.6-brass, 0.6-hardened"
        ]
    );
}

#[test]
fn every_reason_is_given_and_not_only_the_first() {
    let got = reasons(["round", "0.4-brass", "pps-cf"], as_it_is, false);
    assert_eq!(got.len(), 4, "{got:?}");
}

#[test]
fn forcing_lets_nothing_else_through() {
    assert_eq!(
        reasons(["round", "0.4-brass", "pps-cf"], as_it_is, true).len(),
        3
    );
}
