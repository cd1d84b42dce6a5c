//! Input that can't be costed ends in a typed error, never in a panic or a quiet number.

use beadtally::cost::{CostError, price_breaks};
use iso_currency::Currency;
use rust_decimal::Decimal;

use crate::fixture::{Order, dec, free_order};

type Bend = (&'static str, fn(&mut Order, f64));

/// Every measured number that a ledger reads.
const NUMBERS: [Bend; 21] = [
    ("seconds", |o, x| o.seconds = x),
    ("start_seconds", |o, x| o.start_seconds = x),
    ("part_g", |o, x| o.part_g = x),
    ("support_g", |o, x| o.support_g = x),
    ("life_h", |o, x| o.machine.life_h = x),
    ("heating_w", |o, x| o.machine.heating_w = x),
    ("printing_w", |o, x| o.machine.printing_w = x),
    ("start_chance", |o, x| o.machine.failures.start_chance = x),
    ("start_lost_h", |o, x| o.machine.failures.start_lost_h = x),
    ("rate_per_h", |o, x| o.machine.failures.rate_per_h = x),
    ("clearing_h", |o, x| o.machine.failures.clearing_h = x),
    ("life_plain_g", |o, x| o.nozzle.life_plain_g = x),
    ("waste", |o, x| o.material.waste = x),
    ("set_up_min", |o, x| o.rates.set_up_min = x),
    ("removal_min", |o, x| o.rates.removal_min = x),
    ("finishing_min", |o, x| o.rates.finishing_min = x),
    ("support_removal", |o, x| {
        o.rates.support_removal_min_per_100g = x
    }),
    ("purge_g", |o, x| o.rates.purge_g = x),
    ("overhead", |o, x| o.rates.overhead = x),
    ("margin", |o, x| o.rates.margin = x),
    ("tax", |o, x| o.rates.tax = x),
];

type BendMoney = (&'static str, fn(&mut Order, Decimal));

/// Every price that a ledger reads.
const PRICES: [BendMoney; 7] = [
    ("machine price", |o, x| o.machine.price = x),
    ("upkeep", |o, x| o.machine.upkeep_per_h = x),
    ("nozzle price", |o, x| o.nozzle.price = x),
    ("plastic price", |o, x| o.material.price_per_kg = x),
    ("labour", |o, x| o.rates.labour_per_h = x),
    ("energy", |o, x| o.rates.energy_per_kwh = x),
    ("least order", |o, x| o.rates.least_order = x),
];

#[test]
fn a_number_that_is_none_is_refused_wherever_it_stands() {
    for (what, bend) in NUMBERS {
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1.0] {
            let mut order = free_order();
            bend(&mut order, bad);
            let error = order.ledger().expect_err(what);
            assert!(
                matches!(error, CostError::NotAQuantity { .. }),
                "{what} {bad}: {error}"
            );
        }
    }
}

#[test]
fn a_number_beyond_reason_is_an_error_and_not_a_panic() {
    for (what, bend) in NUMBERS {
        for huge in [1e27, f64::MAX] {
            let mut order = free_order();
            order.machine.price = Decimal::MAX;
            order.material.price_per_kg = Decimal::MAX;
            order.rates.labour_per_h = Decimal::MAX;
            order.quantity = u32::MAX;
            bend(&mut order, huge);
            assert!(order.ledger().is_err(), "{what} {huge}");
        }
    }
}

#[test]
fn a_negative_price_is_refused_and_a_huge_one_is_no_panic() {
    for (what, bend) in PRICES {
        let mut order = free_order();
        (order.part_g, order.support_g, order.rates.set_up_min) = (10.0, 10.0, 1.0);
        (order.rates.removal_min, order.machine.printing_w) = (1.0, 100.0);
        bend(&mut order, dec("-0.01"));
        let error = order.ledger().expect_err(what);
        assert!(
            matches!(error, CostError::Negative { .. }),
            "{what}: {error}"
        );
        bend(&mut order, Decimal::MAX);
        order.quantity = u32::MAX;
        order.rates.margin = 0.5;
        order.rates.tax = 1.0;
        let error = order.ledger().expect_err(what);
        assert!(
            matches!(error, CostError::TooLarge { .. }),
            "{what}: {error}"
        );
    }
}

#[test]
fn what_cannot_be_divided_by_is_refused() {
    let zeros: [Bend; 3] = [
        ("seconds", |o, x| o.seconds = x),
        ("life_h", |o, x| o.machine.life_h = x),
        ("life_plain_g", |o, x| o.nozzle.life_plain_g = x),
    ];
    for (what, bend) in zeros {
        let mut order = free_order();
        bend(&mut order, 0.0);
        assert!(
            matches!(order.ledger(), Err(CostError::Zero { .. })),
            "{what}"
        );
    }
}

#[test]
fn a_margin_or_a_start_chance_of_one_is_refused() {
    for bad in [1.0, 1.5, 1.0 - 1e-12] {
        let mut order = free_order();
        order.rates.margin = bad;
        assert!(
            matches!(order.ledger(), Err(CostError::NotBelowOne { .. })),
            "{bad}"
        );
    }
    let mut order = free_order();
    order.machine.failures.start_chance = 1.0;
    assert!(matches!(order.ledger(), Err(CostError::NotBelowOne { .. })));
}

#[test]
fn an_order_that_makes_no_sense_is_refused() {
    let mut order = free_order();
    order.quantity = 0;
    assert_eq!(order.ledger(), Err(CostError::NoPieces));
    let order = free_order();
    let breaks = price_breaks(
        &order.run(),
        &order.rates,
        &order.week,
        order.currency,
        &[1, 0],
    );
    assert_eq!(breaks, Err(CostError::NoPieces));
    let mut order = free_order();
    order.start_seconds = 3601.0;
    assert!(matches!(
        order.ledger(),
        Err(CostError::HeatingLongerThanRun { .. })
    ));
    let mut order = free_order();
    order.currency = Currency::XAU;
    assert_eq!(order.ledger(), Err(CostError::NoMinorUnit { code: "XAU" }));
    let mut order = free_order();
    order.week.days = Default::default();
    assert_eq!(order.ledger(), Err(CostError::NeverAttended));
    let mut order = free_order();
    order.seconds = 3600.0 * 20_000.0;
    order.machine.failures.rate_per_h = 0.003;
    assert!(matches!(
        order.ledger(),
        Err(CostError::NeverFinishes { .. })
    ));
}

#[test]
fn a_print_of_hundreds_of_hours_is_costed() {
    let mut order = free_order();
    order.seconds = 3600.0 * 900.0;
    order.machine.failures.rate_per_h = 0.05; // 45 failures expected
    order.machine.price = dec("0.01");
    order.machine.life_h = 10_000.0;
    let ledger = order.ledger().unwrap();
    assert!(ledger.adds_up());
    assert!(ledger.line("failures").unwrap().amount > dec("100000000"));
}
