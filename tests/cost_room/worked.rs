//! One whole order, recomputed outside the project in exact fractions; its mean wait by summing 400 000 steps.

use beadtally::cost::Ledger;
use beadtally::shop::Failures;

use crate::fixture::{Order, dec, free_order};

/// Three pieces of 12.2 h on an invented machine, started at 9:00 in an office week.
pub fn three_pieces() -> Order {
    let mut order = free_order();
    order.quantity = 3;
    (order.seconds, order.start_seconds) = (43_920.0, 600.0);
    (order.part_g, order.support_g, order.rates.purge_g) = (412.30, 30.0, 15.0);
    (
        order.machine.price,
        order.machine.life_h,
        order.machine.upkeep_per_h,
    ) = (dec("4800"), 8000.0, dec("0.35"));
    (order.machine.heating_w, order.machine.printing_w) = (800.0, 250.0);
    order.machine.failures = Failures {
        start_chance: 0.02,
        start_lost_h: 0.5,
        rate_per_h: 0.003,
        clearing_h: 0.25,
        by_default: true,
    };
    (
        order.material.price_per_kg,
        order.material.waste,
        order.material.abrasive,
    ) = (dec("32"), 0.08, true);
    order.nozzle.price = dec("25");
    (order.rates.labour_per_h, order.rates.energy_per_kwh) = (dec("24"), dec("0.28"));
    (
        order.rates.set_up_min,
        order.rates.removal_min,
        order.rates.finishing_min,
    ) = (20.0, 5.0, 12.0);
    order.rates.support_removal_min_per_100g = 10.0;
    (order.rates.overhead, order.rates.margin, order.rates.tax) = (0.15, 0.25, 0.20);
    (order.rates.least_order, order.rates.tax_name) = (dec("25"), "VAT".into());
    order
}

fn amounts(ledger: &Ledger) -> Vec<(&str, String)> {
    ledger
        .lines
        .iter()
        .map(|line| (line.line, line.amount.to_string()))
        .collect()
}

#[test]
fn every_line_of_an_order_is_what_exact_fractions_give() {
    let ledger = three_pieces().ledger().unwrap();
    let expected = [
        ("plastic", "47.30"),
        ("spool_rest", "0.00"),
        ("drying", "0.00"),
        ("machine", "21.96"),
        ("upkeep", "12.81"),
        ("energy", "2.64"),
        ("file_check", "0.00"),
        ("set_up", "8.00"),
        ("bed_clearing", "0.00"),
        ("spool_changes", "0.00"),
        ("removal", "6.00"),
        ("finishing", "14.40"),
        ("support_removal", "3.60"),
        ("inspection", "0.00"),
        ("packing", "0.00"),
        ("nozzle", "8.57"),
        ("bought_in", "0.00"),
        ("failures", "2.71"),
        ("overhead", "19.20"),
        ("margin", "49.06"),
        ("least_order", "0.00"),
        ("rush", "0.00"),
        ("tax", "39.25"),
    ];
    assert_eq!(
        amounts(&ledger),
        expected.map(|(line, amount)| (line, amount.to_string()))
    );
    let written = |amount: rust_decimal::Decimal| amount.to_string();
    assert_eq!(written(ledger.cost), "147.19");
    assert_eq!(written(ledger.subtotal), "196.25");
    assert_eq!(written(ledger.tax), "39.25");
    assert_eq!(written(ledger.total), "235.50");
    assert_eq!(
        (written(ledger.unit_price), written(ledger.unit_rounding)),
        ("65.42".into(), "-0.01".into())
    );
    assert_eq!(written(ledger.unit_cost), "49.06");
    assert_eq!(written(ledger.earned_per_machine_hour), "1.88");
    assert!(
        (ledger.risk.machine_h - 12.743_942_061_324).abs() < 1e-9,
        "{:?}",
        ledger.risk
    );
    assert!(
        (ledger.risk.lost_heating_h - 0.009_697_948_277).abs() < 1e-9,
        "{:?}",
        ledger.risk
    );
    assert!(
        (ledger.risk.lost_printing_h - 0.226_895_399_448).abs() < 1e-9,
        "{:?}",
        ledger.risk
    );
}

#[test]
fn every_line_shows_the_numbers_it_was_made_of() {
    let ledger = three_pieces().ledger().unwrap();
    let told: Vec<&str> = ledger
        .lines
        .iter()
        .map(|line| line.detail.as_str())
        .collect();
    assert_eq!(
        told,
        [
            "3 x (442.3 g (of it 30 g support) x 1.08 with waste + 15 g purge) at 32.00/kg",
            "1478.05 g are 1.478 spools of 1000 g, each of which leaves 0 g",
            "m needs none",
            "3 x 43920 s (12.2 h) at 4800.00 over a life of 8000 h (0.60/h)",
            "3 x 43920 s (12.2 h) at 0.35/h",
            "3 x (600 s heating at 800 W + 43320 s printing at 250 W) = 9.425 kWh at 0.28/kWh",
            "0 min once per order at 24.00/h",
            "20 min once per order at 24.00/h",
            "3 x 0 min at 24.00/h",
            "3 x 0 changes x 0 min at 24.00/h",
            "3 x 5 min at 24.00/h",
            "3 x 12 min at 24.00/h",
            "3 x 30 g of support at 10 min per 100 g at 24.00/h",
            "3 x 0 min at 24.00/h",
            "3 x 0 min at 24.00/h + 0.00 per order",
            "3 x 457.3 g through a nozzle of 25.00 that lasts 4000 g of abrasive plastic",
            "nothing",
            "1.0584 starts per good piece: p0 = 2 % of starts fail early, then lambda = 0.3 % an hour of printing (both \
             are the stated defaults, a judgement without source); 3 x (0.5439 h more on the machine, clearing and waiting for \
             somebody among them, at 0.95/h, 0.064 kWh at 0.28/kWh, 9.73 g of plastic lost with waste and purge at 32.00/kg, and its nozzle wear)",
            "15 % of 127.99 costs",
            "25 % of the price: 147.19 / 0.75 - 147.19",
            "least order 25.00 is reached",
            "the order goes in its turn",
            "VAT 20 % of 196.25",
        ]
    );
}

#[test]
fn a_small_order_is_topped_up_to_the_least_order() {
    let mut order = three_pieces();
    order.rates.least_order = dec("300.005");
    let ledger = order.ledger().unwrap();
    let top_up = ledger.line("least_order").unwrap();
    assert_eq!(top_up.amount.to_string(), "103.75");
    assert_eq!(
        top_up.detail,
        "least order 300.00, of which 196.25 is reached"
    );
    assert_eq!(ledger.subtotal.to_string(), "300.00");
    assert_eq!(ledger.tax.to_string(), "60.00");
}

#[test]
fn a_plain_plastic_wears_the_nozzle_by_its_plain_life() {
    let mut order = three_pieces();
    order.material.abrasive = false;
    let ledger = order.ledger().unwrap();
    let wear = ledger.line("nozzle").unwrap();
    assert_eq!(wear.amount.to_string(), "1.71"); // 3 x 457.3 g x 25 / 20 000 g = 1.714875
    assert!(wear.detail.ends_with("lasts 20000 g of plain plastic"));
}

#[test]
fn a_machine_with_a_record_is_not_called_a_default() {
    let mut order = three_pieces();
    order.machine.failures.by_default = false;
    let ledger = order.ledger().unwrap();
    let detail = &ledger.line("failures").unwrap().detail;
    assert!(
        detail.contains("both are this machine's own") && !detail.contains("default"),
        "{detail}"
    );
}

#[test]
fn failures_of_a_long_print_weigh_more_than_in_proportion() {
    let failures = |hours: f64| {
        let mut order = three_pieces();
        order.quantity = 1;
        order.seconds = hours * 3600.0;
        order.ledger().unwrap().line("failures").unwrap().amount
    };
    assert!(failures(120.0) > failures(12.0) * dec("10"));
}
