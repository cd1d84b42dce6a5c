//! The built-in shop and the file that `shop new` writes.

#![allow(clippy::unwrap_used, clippy::expect_used)]

use beadtally::pose::Bed;
use beadtally::shop::{
    DEMONSTRATION_TOML, NozzleMetal, Shop, demonstration, describe, new_shop_file, read_shop,
    refusals,
};
use rust_decimal::Decimal;

fn changed(from: &str, to: &str) -> Shop {
    assert!(DEMONSTRATION_TOML.contains(from), "{from} is in the file");
    read_shop(&DEMONSTRATION_TOML.replacen(from, to, 1), "shop.toml").expect("still a valid shop")
}

#[test]
fn the_built_in_file_is_a_valid_shop() {
    let read = read_shop(DEMONSTRATION_TOML, "demonstration.toml").unwrap();
    assert!(!read.demonstration);
    assert_eq!(
        demonstration(),
        Shop {
            demonstration: true,
            ..read
        }
    );
}

#[test]
fn the_four_machines_are_as_the_issue_asks() {
    let shop = demonstration();
    let rectangle = |id: &str| match &shop.machine(id).unwrap().space.bed {
        Bed::Rectangle { x_mm, y_mm } => [*x_mm, *y_mm, shop.machine(id).unwrap().space.height_mm],
        _ => panic!("{id} has a rectangular bed"),
    };
    assert_eq!(rectangle("slow"), [420.0, 420.0, 480.0]);
    assert_eq!(rectangle("fast"), [310.0, 290.0, 330.0]);
    assert_eq!(rectangle("gantry"), [1100.0, 900.0, 700.0]);
    let round = shop.machine("round").unwrap();
    assert_eq!(round.space.bed, Bed::Circle { diameter_mm: 260.0 });
    assert!(!shop.machine("slow").unwrap().enclosed && shop.machine("fast").unwrap().enclosed);
}

#[test]
fn slow_and_fast_move_as_the_check_on_hours_says() {
    // design.md section 8: common practice, no source; accelerations are assumptions.
    let shop = demonstration();
    let slow = shop.machine("slow").unwrap();
    assert_eq!(
        (slow.speeds.outer_mm_s, slow.speeds.inner_mm_s),
        (25.0, 30.0)
    );
    assert_eq!(slow.acceleration_mm_s2, 500.0);
    let fast = shop.machine("fast").unwrap();
    let speeds = fast.speeds;
    assert_eq!(
        [speeds.outer_mm_s, speeds.inner_mm_s, speeds.fill_mm_s],
        [120.0, 180.0, 200.0]
    );
    assert_eq!(fast.acceleration_mm_s2, 8000.0);
}

#[test]
fn nozzles_come_in_three_bores_in_brass_and_hardened_steel() {
    let shop = demonstration();
    for bore in [0.4, 0.6, 0.8] {
        for metal in [NozzleMetal::Brass, NozzleMetal::HardenedSteel] {
            assert!(
                shop.nozzles
                    .iter()
                    .any(|n| n.diameter_mm == bore && n.metal == metal),
                "{bore} in {}",
                metal.name()
            );
        }
    }
}

#[test]
fn densities_of_filled_plastics_agree_with_the_rule_of_mixtures() {
    // 1/rho = w/rho_f + (1-w)/rho_m, references.md 6.2 (derived); fibre densities from memory: carbon 1.78, E-glass
    // 2.55; plain densities from references.md 6.1: PETG, PA6, PA12, PPS and PET seen, ASA from memory.
    let (carbon, glass) = (1.78, 2.55);
    let filled = [
        ("petg-cf", 1.27, carbon, 0.20),
        ("asa-cf", 1.07, carbon, 0.15),
        ("pet-cf", 1.37, carbon, 0.20),
        ("pa6-cf", 1.13, carbon, 0.20),
        ("pa12-cf", 1.01, carbon, 0.15),
        ("pa6-gf", 1.13, glass, 0.25),
        ("pps-cf", 1.35, carbon, 0.10),
    ];
    let shop = demonstration();
    for (id, plain, fibre, share) in filled {
        let material = shop.material(id).unwrap();
        assert!(material.abrasive, "{id}");
        let share_in_words = format!("{} %", (share * 100.0_f64).round());
        assert!(
            material.what.contains(&share_in_words),
            "{id}: {}",
            material.what
        );
        let mixture = 1.0 / (share / fibre + (1.0 - share) / plain);
        let off = (material.density_g_cm3 / mixture - 1.0).abs();
        assert!(
            off < 0.001,
            "{id}: {} against {mixture:.4}",
            material.density_g_cm3
        );
    }
    let abrasive = shop
        .materials
        .iter()
        .filter(|material| material.abrasive)
        .count();
    assert_eq!(abrasive, filled.len());
    assert!(shop.materials.len() >= 8);
}

#[test]
fn plain_densities_lie_in_the_tables_ranges() {
    // references.md 6.1: PLA thermal table, PETG M, ABS H, ASA C to from memory, PC B; all seen but the ASA upper end.
    let shop = demonstration();
    for (id, low, high) in [
        ("pla", 1.21, 1.43),
        ("petg", 1.20, 1.30),
        ("abs", 1.02, 1.08),
        ("asa", 1.05, 1.07),
        ("pc", 1.20, 1.24),
    ] {
        let density = shop.material(id).unwrap().density_g_cm3;
        assert!((low..=high).contains(&density), "{id} {density}");
    }
}

#[test]
fn every_plastic_prints_on_some_machine_and_the_defaults_on_several() {
    let shop = demonstration();
    let printable = |material: &str| {
        let material = shop.material(material).unwrap();
        let mut machines = Vec::new();
        for machine in &shop.machines {
            let prints = machine
                .nozzles
                .iter()
                .any(|id| refusals(machine, shop.nozzle(id).unwrap(), material, false).is_empty());
            if prints {
                machines.push(machine.id.as_str());
            }
        }
        machines
    };
    for material in &shop.materials {
        assert!(!printable(&material.id).is_empty(), "{}", material.id);
    }
    assert_eq!(
        printable(&shop.default_material),
        ["slow", "fast", "gantry", "round"]
    );
    for machine in &shop.machines {
        assert!(
            machine.nozzles.contains(&shop.default_nozzle),
            "{}",
            machine.id
        );
    }
}

#[test]
fn every_number_of_the_built_in_file_carries_its_basis() {
    for (index, line) in DEMONSTRATION_TOML.lines().enumerate() {
        let Some((key, rest)) = line.split_once(" = ") else {
            continue;
        };
        let holds_text = rest.starts_with('"') || rest.starts_with("[\"");
        if key.starts_with('#') || key == "attended" || holds_text {
            continue;
        }
        let comment = rest.split_once('#').map(|(_, comment)| comment.trim());
        assert!(
            comment.is_some_and(|comment| !comment.is_empty()),
            "line {}: {line}",
            index + 1
        );
    }
}

#[test]
fn some_options_have_measured_rows_and_others_borrow() {
    let shop = demonstration();
    let (mut own, mut borrowed) = (0, 0);
    for machine in &shop.machines {
        for nozzle in &machine.nozzles {
            for material in &shop.materials {
                match shop.row_for(machine, shop.nozzle(nozzle).unwrap(), material) {
                    Some(row) if row.borrowed.is_none() => own += 1,
                    Some(_) => borrowed += 1,
                    None => panic!("{} has rows", machine.id),
                }
            }
        }
    }
    assert_eq!(own, shop.measured.len());
    assert!(borrowed > own);
}

#[test]
fn one_changed_line_changes_just_that_value() {
    let mut expected = read_shop(DEMONSTRATION_TOML, "shop.toml").unwrap();
    assert_eq!(
        changed("acceleration_mm_s2 = 8000 ", "acceleration_mm_s2 = 7321.5 "),
        {
            expected.machines[1].acceleration_mm_s2 = 7321.5;
            expected.clone()
        }
    );

    let mut expected = read_shop(DEMONSTRATION_TOML, "shop.toml").unwrap();
    expected.materials[5].price_per_kg = Decimal::new(4_210, 2);
    assert_eq!(
        changed("price_per_kg = 42 ", "price_per_kg = 42.10 "),
        expected
    );

    let mut expected = read_shop(DEMONSTRATION_TOML, "shop.toml").unwrap();
    expected.measured[4].margin = 0.15;
    assert_eq!(changed("margin = 0.20  ", "margin = 0.15  "), expected);

    let mut expected = read_shop(DEMONSTRATION_TOML, "shop.toml").unwrap();
    expected.machines[0].correction = 1.12;
    assert_eq!(changed("correction = 1 ", "correction = 1.12 "), expected);

    let mut expected = read_shop(DEMONSTRATION_TOML, "shop.toml").unwrap();
    expected.attended.days[5] = vec![(600, 720)];
    assert_eq!(
        changed("sat = \"9:00-12:00\"", "sat = \"10:00-12:00\""),
        expected
    );

    let mut expected = read_shop(DEMONSTRATION_TOML, "shop.toml").unwrap();
    expected.rates.tax_name = "tax".to_owned();
    assert_eq!(
        changed("tax_name = \"VAT\"", "tax_name = \"tax\""),
        expected
    );
}

#[test]
fn the_new_shop_file_is_a_valid_shop_that_says_what_it_assumes() {
    let shop = read_shop(&new_shop_file(), "shop.toml").unwrap();
    for machine in &shop.machines {
        assert!(machine.assumed.contains(&"speeds_mm_s.outer".to_owned()));
        assert!(machine.assumed.contains(&"failures.clearing_h".to_owned()));
        assert!(machine.failures.by_default);
    }
    assert!(
        demonstration()
            .machines
            .iter()
            .all(|machine| machine.assumed.is_empty())
    );
}

#[test]
fn the_commented_values_of_the_new_shop_file_are_those_of_its_kind() {
    let file = new_shop_file();
    let mut filled = String::new();
    for line in file.lines() {
        // Only the first machine's block has keys behind a mark and a space that [[machine]] knows.
        let key = line
            .strip_prefix("# ")
            .and_then(|rest| rest.split_once(" = "));
        let known = key.is_some_and(|(key, _)| {
            ![
                "machine",
                "nozzle",
                "material",
                "melt_limit_mm3_s",
                "margin",
                "layer_height_mm",
            ]
            .contains(&key)
                && !["bead_width_mm", "outer_mm_s"].contains(&key)
                && !key.contains(' ')
        });
        filled.push_str(if known {
            line.trim_start_matches("# ")
        } else {
            line
        });
        filled.push('\n');
    }
    let (kept, given) = (
        read_shop(&file, "a").unwrap().machines,
        read_shop(&filled, "b").unwrap().machines,
    );
    assert!(given[0].assumed.is_empty(), "{:?}", given[0].assumed);
    assert!(!given[0].failures.by_default);
    let mut same = given[0].clone();
    same.assumed = kept[0].assumed.clone();
    same.failures.by_default = true;
    assert_eq!(same, kept[0]);
}

#[test]
fn a_described_shop_fits_100_columns_and_names_everything() {
    for shop in [
        demonstration(),
        read_shop(&new_shop_file(), "shop.toml").unwrap(),
    ] {
        let text = describe(&shop);
        for line in text.lines() {
            assert!(line.chars().count() <= 100, "{line}");
            assert_eq!(line.trim_end(), line);
        }
        let ids = shop.machines.iter().map(|machine| &machine.id);
        let ids = ids.chain(shop.nozzles.iter().map(|nozzle| &nozzle.id));
        for id in ids.chain(shop.materials.iter().map(|material| &material.id)) {
            assert!(text.contains(id.as_str()), "{id}");
        }
        assert_eq!(text.contains("invented"), shop.demonstration);
        assert_eq!(text.contains("assumed"), !shop.demonstration);
        let unfolded = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(unfolded.contains("defaults by judgement, no record"));
    }
}
