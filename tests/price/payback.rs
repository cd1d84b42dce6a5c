//! Whether a purchase pays, against sums by hand.

use beadtally::estimate::Ask;
use beadtally::payback::{Work, bought, payback};
use beadtally::shop::{DEMONSTRATION_TOML, demonstration};
use rust_decimal::prelude::ToPrimitive;
use toml_edit::{ArrayOfTables, DocumentMut, Item};

use crate::block;

/// A twin of the demonstration shop's fast machine with its measured rows, so that everything on it is the same.
fn twin() -> String {
    let shop: DocumentMut = DEMONSTRATION_TOML.parse().unwrap();
    let mut purchase = DocumentMut::new();
    for (list, key) in [("machine", "id"), ("measured", "machine")] {
        let mut tables = ArrayOfTables::new();
        for table in shop[list].as_array_of_tables().unwrap() {
            if table[key].as_str() == Some("fast") {
                let mut table = table.clone();
                table[key] = toml_edit::value("twin");
                tables.push(table);
            }
        }
        purchase[list] = Item::ArrayOfTables(tables);
    }
    purchase.to_string()
}

#[test]
fn a_twin_of_a_machine_saves_nothing_and_sells_every_hour_it_frees() {
    let purchase = bought(DEMONSTRATION_TOML, &twin(), "twin.toml", &[]).unwrap();
    let shop = demonstration();
    let part = block();
    let work = [Work {
        name: "block",
        part: &part,
        monthly: 10,
    }];
    let ask = Ask {
        nozzle: Some("0.6-hardened".to_owned()),
        machine: Some("fast".to_owned()),
        ..Ask::default()
    };
    // The ask holds both shops to the fast machine, so the twin stays idle.
    let idle = payback(&work, &shop, &purchase, &ask, false).unwrap();
    assert_eq!((idle.months, idle.months_if_sold), (None, None));
    let used = payback(&work, &shop, &purchase, &ask, true).unwrap();
    let [before, after] = &used.parts[0];
    assert_eq!(
        (after.plan.machine.as_str(), before.unit_cost),
        ("twin", after.unit_cost)
    );
    assert!(used.saved_per_month.is_zero() && used.months.is_none());
    // All of the month's hours are freed, so what they bring in is the month's price less what is spent on it: months are price over that.
    let ledger = &before.plan.ledger;
    let profit = (ledger.subtotal - before.spent).to_f64().unwrap();
    let overhead = ledger.line("overhead").unwrap().amount;
    let machine = demonstration().machine("fast").unwrap().clone();
    let written_off =
        machine.price.to_f64().unwrap() / machine.life_h * ledger.machine_hours.to_f64().unwrap();
    let spent = (ledger.cost - overhead).to_f64().unwrap() - written_off;
    assert!((before.spent.to_f64().unwrap() - spent).abs() < 0.0051);
    assert_eq!(used.overbooked, [vec![], vec![]]);
    let price = purchase.price.to_f64().unwrap();
    assert!((used.months_if_sold.unwrap() - price / profit).abs() < 1e-9);
    let hours = ledger.machine_hours.to_f64().unwrap();
    assert!((used.hours_on_present[0] - hours).abs() < 1e-9);
    assert_eq!(used.hours_on_present[1], 0.0);
    assert!((used.hours_on_bought - hours).abs() < 1e-9);
    assert!(
        used.assumption.what.contains("sold"),
        "{}",
        used.assumption.what
    );
}

#[test]
fn a_machine_without_a_measured_row_is_the_largest_assumption() {
    let purchase = "[[machine]]\nid = \"new\"\nwhat = \"an invented machine\"\nkind = \"enclosed fast\"\nbed_mm = [250, 250]\n\
                    height_mm = 250\nnozzles = [\"0.6-hardened\"]\nprice = 900\n";
    let purchase = bought(DEMONSTRATION_TOML, purchase, "new.toml", &[]).unwrap();
    let part = block();
    let work = [Work {
        name: "block",
        part: &part,
        monthly: 10,
    }];
    let found = payback(&work, &demonstration(), &purchase, &Ask::default(), true).unwrap();
    assert!(
        found
            .assumption
            .what
            .contains("nothing is known of its melt limit"),
        "{}",
        found.assumption.what
    );
}

#[test]
fn a_nozzle_goes_onto_the_machine_named_and_onto_no_other() {
    let nozzle = "[[nozzle]]\nid = \"1.0\"\ndiameter_mm = 1.0\nmetal = \"hardened steel\"\nprice = 32\nlife_plain_g = 60000\n\
                  life_abrasive_g = 18000\n";
    let purchase = bought(DEMONSTRATION_TOML, nozzle, "n.toml", &["slow".to_owned()]).unwrap();
    let takes = |id: &str| {
        let machine = purchase.shop.machine(id).unwrap();
        machine.nozzles.iter().any(|nozzle| nozzle == "1.0")
    };
    assert!(takes("slow") && !takes("fast"));
    assert_eq!(purchase.price.to_string(), "32");
    assert!(purchase.is_used_by("slow", "1.0") && !purchase.is_used_by("slow", "0.6-hardened"));
}

#[test]
fn a_purchase_that_is_none_says_what_would_be_one() {
    let told =
        |text: &str, on: &[String]| bought(DEMONSTRATION_TOML, text, "buy.toml", on).unwrap_err();
    let nozzle = "[[nozzle]]\nid = \"1.0\"\ndiameter_mm = 1.0\nmetal = \"hardened steel\"\nprice = 32\nlife_plain_g = 60000\n\
                  life_abrasive_g = 18000\n";
    for (text, on, part) in [
        ("", vec![], "nothing is bought"),
        (
            "[rates]\ntax = 1\n",
            vec![],
            "\"rates\" is nothing that is bought",
        ),
        ("machine = 3\n", vec![], "machine is no list"),
        ("]", vec![], "not TOML"),
        (nozzle, vec![], "goes on no machine; say which with --on"),
        (
            nozzle,
            vec!["none".to_owned()],
            "the shop has no such machine",
        ),
        (
            &nozzle.replace("1.0\"", "0.6-brass\""),
            vec!["slow".to_owned()],
            "already the id",
        ),
        (
            &nozzle.replace("price = 32", "price = -1"),
            vec!["slow".to_owned()],
            "is negative",
        ),
    ] {
        let got = told(text, &on);
        assert!(got.starts_with("buy.toml: ") && got.contains(part), "{got}");
        assert_eq!(got.lines().count(), 1, "{got}");
    }
}

#[test]
fn hours_that_a_machine_does_not_have_are_told_and_not_sold() {
    let purchase = bought(DEMONSTRATION_TOML, &twin(), "twin.toml", &[]).unwrap();
    let shop = demonstration();
    let part = block();
    let ask = Ask {
        nozzle: Some("0.6-hardened".to_owned()),
        machine: Some("fast".to_owned()),
        ..Ask::default()
    };
    let month = |monthly| {
        let work = [Work {
            name: "block",
            part: &part,
            monthly,
        }];
        payback(&work, &shop, &purchase, &ask, true).unwrap()
    };
    let found = month(100_000);
    let (machine, asked_h, possible_h) = &found.overbooked[0][0];
    assert_eq!(machine, "fast");
    // A month has 730.5 hours.
    assert!(
        asked_h > possible_h && *possible_h < 730.5,
        "{asked_h} {possible_h}"
    );
    assert!(found.months_if_sold.unwrap() > 0.0);
}
