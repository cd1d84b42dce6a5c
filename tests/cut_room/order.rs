//! The pieces of a part priced as one order.

use beadtally::cost::{Joints, elsewhere, joining_lines};
use beadtally::cut::{CutPlan, plan};
use beadtally::estimate::{Ask, EstimateError, Together, estimate, estimate_pieces};
use beadtally::shop::{DEMONSTRATION_TOML, Joining, Shop, demonstration, with_changes};
use rust_decimal::Decimal;

use super::meshes::inspected;
use super::meshes::solids::block;

const MACHINE: &str = "fast";

/// A bar half as long again as the machine's bed, and how it is cut.
fn bar(shop: &Shop) -> CutPlan {
    let part = inspected(block([0.0; 3], [500.0, 30.0, 12.0]));
    plan(&part, &shop.machine(MACHINE).unwrap().space).unwrap()
}

fn priced(shop: &Shop, quantity: u32) -> Together {
    let ask = Ask {
        quantity,
        ..Ask::default()
    };
    estimate_pieces(&bar(shop), shop, &ask, MACHINE).unwrap()
}

fn changed(changes: &[&str]) -> Shop {
    let changes: Vec<String> = changes.iter().map(|c| (*c).to_owned()).collect();
    with_changes(DEMONSTRATION_TOML, "demonstration.toml", &changes).unwrap()
}

#[test]
fn the_lines_of_an_order_of_pieces_add_up_and_none_is_negative() {
    let shop = demonstration();
    for quantity in [1, 7] {
        let together = priced(&shop, quantity);
        let order = &together.order;
        let sum: Decimal = order.lines.iter().map(|line| line.amount).sum();
        assert_eq!(sum, order.total);
        assert_eq!(order.subtotal + order.tax, order.total);
        assert!(order.lines.iter().all(|line| line.amount >= Decimal::ZERO));
        assert!(order.lines.iter().all(|line| line.amount.scale() == 2));
        for name in [
            "joining", "adhesive", "hardware", "set_up", "overhead", "tax",
        ] {
            let count = order.lines.iter().filter(|line| line.line == name).count();
            assert_eq!(count, 1, "{name}");
        }
    }
}

/// By hand: the bar takes one cut, 30 x 12 mm = 3.6 cm2; the table is 12 min a joint, 15 min and 1.60 per 100 cm2, 0.80 a joint, and
/// labour 36 an hour.
#[test]
fn joining_is_charged_as_worked_out_by_hand() {
    let shop = demonstration();
    let together = priced(&shop, 1);
    let amount = |name: &str| together.order.line(name).unwrap().amount.to_string();
    // 12 min + 0.036 x 15 min = 12.54 min at 0.60 a minute.
    assert_eq!(amount("joining"), "7.52");
    assert_eq!(amount("adhesive"), "0.06");
    assert_eq!(amount("hardware"), "0.80");
    assert_eq!(amount("set_up"), "7.20"); // 12 min
    let per_kg = together.elsewhere[0].amount;
    let grams = Decimal::from_f64_retain(together.mass_g)
        .unwrap()
        .round_dp(2);
    assert_eq!(per_kg, (grams * Decimal::new(140, 3)).round_dp(2));
}

#[test]
fn the_order_has_the_hours_and_grams_of_its_pieces_and_their_own_lines() {
    let shop = demonstration();
    let cut = bar(&shop);
    let together = priced(&shop, 1);
    let ask = Ask {
        machine: Some(MACHINE.to_owned()),
        nozzle: Some(together.pieces[0].nozzle.clone()),
        ..Ask::default()
    };
    let (mut hours, mut grams, mut plastic) = (0.0, 0.0, Decimal::ZERO);
    for piece in &cut.pieces {
        let alone = estimate(&piece.part, &shop, &ask).unwrap();
        let made = alone.picked().unwrap().1;
        hours += made.seconds.hours();
        grams += made.mass_g;
        plastic += made.ledger.line("plastic").unwrap().amount;
    }
    assert!((together.hours - hours).abs() < 1e-9);
    assert!((together.mass_g - grams).abs() < 1e-9);
    assert_eq!(together.order.line("plastic").unwrap().amount, plastic);
}

#[test]
fn more_minutes_money_or_faces_never_lower_the_price() {
    let least = priced(&changed(&["rates.least_order=0"]), 1).order.total;
    let mut last = Decimal::ZERO;
    for minutes in [0, 1, 5, 12, 40, 200] {
        let change = format!("joining.min_per_joint={minutes}");
        let total = priced(&changed(&["rates.least_order=0", &change]), 1)
            .order
            .total;
        assert!(total >= last);
        last = total;
    }
    assert!(last > least);
    for change in [
        "joining.min_per_100cm2=90",
        "joining.adhesive_per_100cm2=30",
        "joining.hardware_per_joint=5",
    ] {
        let total = priced(&changed(&["rates.least_order=0", change]), 1)
            .order
            .total;
        assert!(total > least, "{change}");
    }
}

#[test]
fn a_shop_that_says_nothing_of_joining_is_told_the_defaults() {
    let text = DEMONSTRATION_TOML.split("[joining]").next().unwrap();
    let shop = beadtally::shop::read_shop(text, "shop.toml").unwrap();
    assert_eq!(shop.joining, Joining::default());
    let said = shop.joining.assumed_in_words().unwrap();
    assert!(said.contains("min_per_joint") && said.contains("default"));
    assert!(beadtally::shop::describe(&shop).contains("(default)"));
    let joints = Joints {
        faces: 2,
        area_mm2: 20_000.0,
    };
    let lines = joining_lines(&joints, &shop.joining, &shop.rates, 2, 1).unwrap();
    // 2 x 10 min + 2 x 15 min at 36 an hour.
    assert_eq!(lines[0].amount.to_string(), "30.00");
    assert!(lines[0].detail.contains("(default)"));
    assert!(demonstration().joining.assumed_in_words().is_none());
    let none = elsewhere(&shop.joining, 100.0, 3600.0, shop.currency, 1).unwrap();
    assert!(none.is_empty());
}

#[test]
fn wrong_keys_under_joining_are_refused_with_what_would_be_right() {
    for (line, part) in [
        ("min_per_joint = -1", "is negative"),
        ("min_per_joints = 1", "did you mean min_per_joint?"),
        ("adhesive_per_100cm2 = \"dear\"", "0 or more"),
        ("elsewhere_per_h = nan", "0 or more"),
    ] {
        let text = DEMONSTRATION_TOML.split("[joining]").next().unwrap();
        let text = format!("{text}[joining]\n{line}\n");
        let refused = beadtally::shop::read_shop(&text, "shop.toml").unwrap_err();
        let sentence = refused.to_string();
        assert!(sentence.contains(part), "{sentence}");
        assert!(sentence.contains("joining"), "{sentence}");
    }
}

#[test]
fn a_machine_that_cannot_lay_the_plastic_says_so() {
    let shop = demonstration();
    let ask = Ask {
        material: Some("nothing".to_owned()),
        ..Ask::default()
    };
    let refused = estimate_pieces(&bar(&shop), &shop, &ask, MACHINE).unwrap_err();
    assert!(matches!(refused, EstimateError::Unknown { .. }));
}
