//! Shop files that are wrong: one sentence with file, line and key, and what would be right.

#![allow(clippy::unwrap_used, clippy::expect_used)]

mod shop_file;

use beadtally::shop::{DEMONSTRATION_TOML, read_shop};
use shop_file::{line_of, refused, sentence, with};

#[test]
fn a_negative_price_is_refused_in_one_sentence() {
    let expected = format!(
        "shop.toml, line {}, machine \"fast\" key price: -300 is negative; give what the machine cost, 0 or more",
        line_of("price = 1350")
    );
    assert_eq!(with("price = 1350", "price = -300"), expected);
    refused(
        "price = 6.50",
        "price = -0.01",
        "shop.toml, line LINE, nozzle \"0.4-brass\" key price: -0.01",
        "negative",
    );
    refused(
        "price_per_kg = 22",
        "price_per_kg = \"-1\"",
        "shop.toml, line LINE, material \"pla\"",
        "negative",
    );
    refused(
        "labour_per_h = 36",
        "labour_per_h = -36",
        "shop.toml, line LINE, [rates] key labour_per_h",
        "negative",
    );
}

#[test]
fn an_unknown_key_is_refused_with_the_nearest_known_one() {
    refused(
        "height_mm = 330",
        "heigth_mm = 330",
        "shop.toml, line LINE, machine \"fast\" key heigth_mm: ",
        "did you mean height_mm?",
    );
    refused(
        "wall_mm = 1.4",
        "walls_mm = 1.4",
        "shop.toml, line LINE, [process] key walls_mm: ",
        "wall_mm?",
    );
    refused(
        "outer = 120",
        "outre = 120",
        "shop.toml, line LINE, machine \"fast\" key speeds_mm_s.outre: ",
        "outer?",
    );
    refused(
        "tax = 0.20",
        "colour = 0.20",
        "shop.toml, line LINE, [rates] key colour: ",
        "the keys are labour_per_h",
    );
    refused(
        "hours = 4",
        "time = 4",
        "shop.toml, line LINE, material \"pla\" key drying.time: ",
        "hours",
    );
}

#[test]
fn an_unknown_table_is_refused_with_the_nearest_known_one() {
    refused(
        "[rates]",
        "[rate]",
        "shop.toml, line LINE, key rate: ",
        "did you mean [rates]?",
    );
    refused(
        "[shop]",
        "colour = 1\n[shop]",
        "shop.toml, line LINE, key colour: a key outside any table",
        "[[machine]]",
    );
}

#[test]
fn a_key_without_its_unit_is_told_the_unit() {
    refused(
        "height_mm = 330",
        "height = 330",
        "shop.toml, line LINE",
        "write height_mm",
    );
    refused(
        "bed_c = 80",
        "bed = 80",
        "shop.toml, line LINE",
        "the unit is missing from this key; write bed_c",
    );
    refused(
        "density_g_cm3 = 1.24",
        "density = 1.24",
        "shop.toml, line LINE",
        "write density_g_cm3",
    );
    refused(
        "height_mm = 330",
        "height_mm = \"330 mm\"",
        "shop.toml, line LINE, machine \"fast\" key height_mm: the text \"330 mm\" is not a number; ",
        "give the usable height, 1 to 20000 mm as a plain number",
    );
}

#[test]
fn a_nozzle_no_machine_takes_is_refused() {
    let extra = "[[nozzle]]\nid = \"1.0-brass\"\ndiameter_mm = 1.0\nmetal = \"brass\"\nprice = 7\n\
                 life_plain_g = 1000\nlife_abrasive_g = 100\n\n[[nozzle]]\nid = \"0.6-brass\"";
    let got = with("[[nozzle]]\nid = \"0.6-brass\"", extra);
    let line = line_of("[[nozzle]]\nid = \"0.6-brass\"") + 1;
    let start = format!(
        "shop.toml, line {line}, nozzle \"1.0-brass\" key id: no machine takes this nozzle; "
    );
    assert!(got.starts_with(&start), "{got}");
}

#[test]
fn a_machine_naming_an_unknown_nozzle_is_refused() {
    refused(
        "nozzles = [\"0.6-brass\", \"0.6-hardened\", \"0.8-brass\", \"0.8-hardened\"]",
        "nozzles = [\"0.6-brass\", \"0.6-hardend\", \"0.8-brass\", \"0.8-hardened\"]",
        "shop.toml, line LINE, machine \"gantry\" key nozzles: \"0.6-hardend\" is not the id of a [[nozzle]]",
        "did you mean \"0.6-hardened\"?",
    );
    refused(
        "nozzles = [\"0.6-brass\"",
        "nozzles = [\"0.6-brass\", \"0.6-brass\"",
        "shop.toml, line LINE, machine \"gantry\" key nozzles: ",
        "listed twice",
    );
    refused(
        "nozzles = [\"0.6-brass\", \"0.6-hardened\", \"0.8-brass\", \"0.8-hardened\"]",
        "nozzles = []",
        "shop.toml, line LINE, machine \"gantry\" key nozzles: empty",
        "list the ids",
    );
}

#[test]
fn a_layer_higher_than_the_nozzle_is_refused() {
    refused(
        "layer_height_mm = 0.24",
        "layer_height_mm = 0.7",
        "shop.toml, line LINE, measured row slow/0.4-hardened/petg-cf key layer_height_mm: \
         a layer of 0.7 mm is higher than the nozzle's 0.4 mm; ",
        "give at most 0.4, 0.24 is usual",
    );
}

#[test]
fn a_bead_narrower_than_its_layer_or_absurdly_wide_is_refused() {
    refused(
        "bead_width_mm = 0.48",
        "bead_width_mm = 0.2",
        "shop.toml, line LINE, measured row slow/0.4-hardened/petg-cf key bead_width_mm: a bead 0.2 mm wide",
        "give at least 0.24",
    );
    refused(
        "bead_width_mm = 0.48",
        "bead_width_mm = 1.3",
        "shop.toml, line LINE",
        "more than three times",
    );
}

#[test]
fn a_bead_width_is_judged_against_the_usual_layer_where_none_is_given() {
    // 0.6 of a 0.4 mm bore is 0.24 mm.
    let got = with(
        "melt_limit_mm3_s = 19 ",
        "bead_width_mm = 0.23\nmelt_limit_mm3_s = 19 ",
    );
    assert!(
        got.contains("a bead 0.23 mm wide is narrower than its layer of 0.24 mm"),
        "{got}"
    );
}

#[test]
fn measured_rows_naming_what_is_not_there_are_refused() {
    let row = |machine: &str, nozzle: &str, material: &str| {
        format!(
            "[[measured]]\nmachine = \"{machine}\"\nnozzle = \"{nozzle}\"\nmaterial = \"{material}\""
        )
    };
    let from = row("gantry", "0.8-hardened", "petg-cf");
    for (to, place, part) in [
        (
            row("gantri", "0.8-hardened", "petg-cf"),
            "measured 8 key machine",
            "did you mean \"gantry\"?",
        ),
        (
            row("gantry", "2", "petg-cf"),
            "measured 8 key nozzle",
            "the file has ",
        ),
        (
            row("gantry", "0.8-hardened", "petg-fc"),
            "measured 8 key material",
            "is not the id of a [[material]]",
        ),
        (
            row("gantry", "0.4-brass", "petg-cf"),
            "measured row gantry/0.4-brass/petg-cf key nozzle",
            "machine \"gantry\" does not take nozzle \"0.4-brass\"; it takes 0.6-brass",
        ),
        (
            row("fast", "0.6-hardened", "petg-cf"),
            "measured row fast/0.6-hardened/petg-cf key machine",
            "an earlier",
        ),
    ] {
        let got = with(&from, &to);
        assert!(got.contains(place) && got.contains(part), "{got}");
    }
}

#[test]
fn ids_are_short_and_their_own() {
    refused(
        "id = \"fast\"",
        "id = \"slow\"",
        "shop.toml, line LINE, machine \"slow\" key id: ",
        "already the id",
    );
    refused(
        "id = \"abs\"",
        "id = \"pla\"",
        "shop.toml, line LINE, material \"pla\" key id: ",
        "already the id",
    );
    refused(
        "id = \"fast\"",
        "id = \"a/b\"",
        "shop.toml, line LINE, machine \"a/b\" key id: ",
        "short id",
    );
    refused(
        "id = \"fast\"",
        "id = \"\"",
        "shop.toml, line LINE, machine \"\" key id: ",
        "empty; give a short id",
    );
    refused(
        "id = \"fast\"",
        "id = 7",
        "shop.toml, line LINE, machine 2 key id: 7 is not text; ",
        "short id",
    );
    let got = with("id = \"fast\"\n", "");
    assert!(
        got.contains("machine 2 key id: missing; give a short id"),
        "{got}"
    );
}

#[test]
fn missing_keys_and_tables_are_named_with_what_to_give() {
    let got = with("height_mm = 330 ", "#");
    let head = line_of("[[machine]]\nid = \"fast\"");
    let expected = format!(
        "shop.toml, line {head}, machine \"fast\" key height_mm: missing; give the usable height, 1 to 20000 mm"
    );
    assert_eq!(got, expected);
    for (line, part) in [
        (
            "acceleration_mm_s2 = 8000",
            "name the machine's kind to start from that kind's value",
        ),
        ("enclosed = true", "write true for an enclosed machine"),
        ("outer = 120", "key speeds_mm_s.outer: missing"),
        ("currency = \"EUR\"", "give an ISO 4217 code"),
        ("default_material", "give the id of a [[material]]"),
        (
            "bed_diameter_mm = 260",
            "bed_mm = [width, depth], bed_diameter_mm",
        ),
        (
            "nozzle_c = [190, 220]",
            "give the nozzle temperature as [least, greatest] in C",
        ),
        (
            "abrasive = false",
            "write true for a fibre- or mineral-filled plastic",
        ),
        ("tax_name", "give what the tax is called"),
        ("attended = ", "give the hours at which somebody is there"),
    ] {
        let got = with(line, &format!("# {line}"));
        assert!(got.contains("missing; ") && got.contains(part), "{got}");
    }
    let got = with("[rates]", "[[measured]]");
    assert!(got.contains("[[measured]]"), "{got}");
    assert_eq!(
        sentence("[shop]\nname = \"x\"\n"),
        "shop.toml, [[nozzle]]: missing; add at least one [[nozzle]] (`shop new` writes one to fill in)"
    );
    assert!(sentence("").contains("missing; add at least one"));
}

#[test]
fn values_of_the_wrong_type_are_refused() {
    refused(
        "enclosed = true",
        "enclosed = \"yes\"",
        "shop.toml, line LINE, machine \"fast\" key enclosed: the text \"yes\" is neither true nor false",
        "write true",
    );
    refused(
        "bed_mm = [310, 290]",
        "bed_mm = 310",
        "shop.toml, line LINE, machine \"fast\" key bed_mm: 310 is not a list",
        "[width, depth]",
    );
    refused(
        "bed_mm = [310, 290]",
        "bed_mm = [310]",
        "shop.toml, line LINE",
        "a list of 1 is not two",
    );
    refused(
        "bed_mm = [310, 290]",
        "bed_mm = [310, \"b\"]",
        "shop.toml, line LINE",
        "the text \"b\" is not a number",
    );
    refused(
        "price = 1350",
        "price = true",
        "shop.toml, line LINE",
        "true is not money; give what the machine cost",
    );
    refused(
        "price = 1350",
        "price = \"1.350,00\"",
        "shop.toml, line LINE",
        "written with digits and a decimal point",
    );
    refused(
        "life_h = 12000",
        "life_h = 2026-01-01",
        "shop.toml, line LINE",
        "the date \"2026-01-01\" is not a number",
    );
    refused(
        "what = \"PLA, plain\"",
        "what = 3",
        "shop.toml, line LINE",
        "3 is not text",
    );
    refused(
        "cautions = [\"softens from about 55 C: not for a deck in the sun or a closed car\"]",
        "cautions = \"hot\"",
        "shop.toml, line LINE",
        "is not a list",
    );
    refused(
        "drying = { at_c = 50, hours = 4 }",
        "drying = 50",
        "shop.toml, line LINE",
        "write drying = { at_c = … }",
    );
    refused(
        "[rates]",
        "[[rates]]",
        "shop.toml, line LINE, [rates]",
        "a list of tables where a table [rates] belongs",
    );
    assert!(sentence("nozzle = 1").contains("write [[nozzle]] with two brackets"));
    assert!(sentence("[nozzle]\nid = \"a\"").contains("write [[nozzle]] with two brackets"));
}

#[test]
fn absurd_values_are_refused_with_the_range_that_makes_sense() {
    refused(
        "acceleration_mm_s2 = 8000",
        "acceleration_mm_s2 = 0",
        "shop.toml, line LINE",
        "0 is too small; give the acceleration, 1 to 100000 mm/s2",
    );
    refused(
        "outer = 120",
        "outer = 50000",
        "shop.toml, line LINE",
        "50000 is too large; give the speed of the outermost perimeter",
    );
    refused(
        "density_g_cm3 = 1.24",
        "density_g_cm3 = 1240",
        "shop.toml, line LINE",
        "1240 is too large; give the density as printed, 0.1 to 20 g/cm3",
    );
    refused(
        "overhang_deg = 45",
        "overhang_deg = 90",
        "shop.toml, line LINE",
        "1 to 89 degrees",
    );
    refused(
        "support_fraction = 0.2",
        "support_fraction = 20",
        "shop.toml, line LINE",
        "0.2 is 20 %",
    );
    refused(
        "correction = 1 ",
        "correction = -1 ",
        "shop.toml, line LINE",
        "-1 is negative; give measured hours over estimated hours",
    );
    refused(
        "start_chance = 0.04",
        "start_chance = 1",
        "shop.toml, line LINE",
        "0.02 is 2 %",
    );
    refused(
        "margin = 0.25",
        "margin = 1",
        "shop.toml, line LINE, [rates] key margin: 1 is too large",
        "the part of the price that is profit, below 1",
    );
    refused(
        "tax = 0.20",
        "tax = 20",
        "shop.toml, line LINE, [rates] key tax: 20 is too large",
        "0.20 is 20 %",
    );
    refused(
        "price = 1350",
        "price = 1e15",
        "shop.toml, line LINE",
        "is too large",
    );
    refused(
        "edge_margin_mm = 15",
        "edge_margin_mm = 450",
        "shop.toml, line LINE",
        "leaves nothing of a bed of 900 mm",
    );
}

#[test]
fn nan_and_infinity_are_refused() {
    for odd in ["nan", "-nan", "inf", "-inf", "1e999"] {
        let got = with("height_mm = 330", &format!("height_mm = {odd}"));
        assert!(
            got.contains(&format!("line {}", line_of("height_mm = 330"))),
            "{got}"
        );
        let got = with("price = 1350", &format!("price = {odd}"));
        assert!(
            got.contains(&format!("line {}", line_of("price = 1350"))),
            "{got}"
        );
    }
}

#[test]
fn values_that_contradict_each_other_are_refused() {
    refused(
        "nozzle_max_c = 320",
        "nozzle_max_c = 160",
        "shop.toml, line LINE",
        "nozzle_max_c 160 C lies below nozzle_min_c 170 C",
    );
    refused(
        "nozzle_c = [190, 220]",
        "nozzle_c = [220, 190]",
        "shop.toml, line LINE",
        "220 C comes before 190 C; give the cooler one first",
    );
    refused(
        "bed_diameter_mm = 260",
        "bed_mm = [1, 2]\nbed_diameter_mm = 260",
        "shop.toml",
        "the bed is given twice",
    );
    refused(
        "rate_per_h = 0.004",
        "#",
        "shop.toml, line",
        "key failures.rate_per_h: missing",
    );
    let without_chance = with("start_chance = 0.04", "#");
    assert!(
        without_chance.contains("or leave out both chances"),
        "{without_chance}"
    );
}

#[test]
fn defaults_must_name_what_is_there() {
    refused(
        "default_material = \"petg-cf\"",
        "default_material = \"petgcf\"",
        "shop.toml, line LINE, [shop] key default_material: ",
        "did you mean \"petg-cf\"?",
    );
    refused(
        "default_nozzle = \"0.6-hardened\"",
        "default_nozzle = \"3\"",
        "shop.toml, line LINE, [shop] key default_nozzle: ",
        "is not the id of a [[nozzle]]",
    );
}

#[test]
fn kinds_and_metals_are_known_words() {
    refused(
        "metal = \"brass\"",
        "metal = \"bras\"",
        "shop.toml, line LINE, nozzle \"0.4-brass\" key metal: ",
        "did you mean \"brass\"?",
    );
    refused(
        "metal = \"brass\"",
        "metal = \"cheese\"",
        "shop.toml, line LINE",
        "give one of \"brass\", \"hardened steel\"",
    );
    refused(
        "height_mm = 330",
        "kind = \"gantri\"\nheight_mm = 330",
        "shop.toml, line LINE, machine \"fast\" key kind: ",
        "did you mean \"gantry\"?",
    );
}

#[test]
fn currencies_are_of_iso_4217_and_can_be_paid_with() {
    refused(
        "currency = \"EUR\"",
        "currency = \"EUX\"",
        "shop.toml, line LINE, [shop] key currency: \"EUX\" is not an ISO 4217 code",
        "such as \"EUR\"",
    );
    refused(
        "currency = \"EUR\"",
        "currency = \"eur\"",
        "shop.toml, line LINE",
        "write \"EUR\"",
    );
    refused(
        "currency = \"EUR\"",
        "currency = \"XAU\"",
        "shop.toml, line LINE",
        "no money one pays with",
    );
    for code in ["JPY", "KWD", "USD"] {
        let text = DEMONSTRATION_TOML.replacen("\"EUR\"", &format!("\"{code}\""), 1);
        assert_eq!(read_shop(&text, "shop.toml").unwrap().currency.code(), code);
    }
}

#[test]
fn attended_hours_make_sense_or_are_refused() {
    let sat = "sat = \"9:00-12:00\"";
    refused(
        sat,
        "sat = \"12:00-9:00\"",
        "shop.toml, line LINE, [shop] key attended.sat: 12:00-9:00 ends before it begins",
        "",
    );
    refused(
        sat,
        "sat = \"9:00-12:00, 11:00-13:00\"",
        "shop.toml, line LINE",
        "9:00-12:00 overlaps 11:00-13:00",
    );
    refused(
        sat,
        "sat = \"nine\"",
        "shop.toml, line LINE",
        "give the hours as \"8:00-12:00, 13:00-18:00\"",
    );
    refused(
        sat,
        "saturday = \"9:00-12:00\"",
        "shop.toml, line LINE, [shop] key attended.saturday: ",
        "",
    );
    let start = DEMONSTRATION_TOML.find("attended = ").unwrap();
    let end = start + DEMONSTRATION_TOML[start..].find('\n').unwrap();
    let text = format!(
        "{}attended = {{}}{}",
        &DEMONSTRATION_TOML[..start],
        &DEMONSTRATION_TOML[end..]
    );
    assert!(sentence(&text).contains("key attended: no weekday has hours"));
}
