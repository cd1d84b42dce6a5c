//! Laws over random orders: lines add up, nothing is negative, nothing dearer makes the price lower.

use beadtally::cost::price_breaks;
use iso_currency::Currency;
use proptest::prelude::*;
use rust_decimal::Decimal;

use crate::fixture::{Order, free_order};

/// A random order is these many numbers, each 0 to 1.
const NUMBERS: usize = 38;

/// What a price must not fall with: each is one of the numbers.
const RAISES: [&str; 38] = [
    "seconds",
    "part_g",
    "support_g",
    "purge_g",
    "waste",
    "machine price",
    "upkeep",
    "nozzle price",
    "plastic price",
    "labour",
    "energy",
    "set_up",
    "removal",
    "finishing",
    "support_removal",
    "printing_w",
    "heating_w",
    "overhead",
    "margin",
    "least_order",
    "tax",
    "start_chance",
    "start_lost_h",
    "rate_per_h",
    "clearing_h",
    "file_check",
    "bed_clearing",
    "spool_change",
    "finishing by area",
    "support removal by area",
    "inspection",
    "packing",
    "packing material",
    "drying power",
    "drying work",
    "spool rest",
    "failure factor",
    "rush",
];

fn money(part: f64, most: f64) -> Decimal {
    Decimal::new((part * most * 10_000.0) as i64, 4)
}

fn order(parts: &[f64], abrasive: bool, quantity: u32, currency: Currency) -> Order {
    let mut order = free_order();
    order.currency = currency;
    order.quantity = quantity;
    order.start_seconds = 900.0;
    order.seconds = 1000.0 + parts[0] * 700_000.0;
    order.part_g = parts[1] * 5000.0;
    order.support_g = parts[2] * 500.0;
    order.rates.purge_g = parts[3] * 30.0;
    order.material.waste = parts[4] * 0.3;
    order.material.abrasive = abrasive;
    order.machine.price = money(parts[5], 60_000.0);
    order.machine.life_h = 12_345.0;
    order.machine.upkeep_per_h = money(parts[6], 3.0);
    order.nozzle.price = money(parts[7], 90.0);
    order.material.price_per_kg = money(parts[8], 150.0);
    order.rates.labour_per_h = money(parts[9], 60.0);
    order.rates.energy_per_kwh = money(parts[10], 1.0);
    order.rates.set_up_min = parts[11] * 60.0;
    order.rates.removal_min = parts[12] * 30.0;
    order.rates.finishing_min = parts[13] * 120.0;
    order.rates.support_removal_min_per_100g = parts[14] * 60.0;
    order.machine.printing_w = parts[15] * 1500.0;
    order.machine.heating_w = parts[16] * 3000.0;
    order.rates.overhead = parts[17];
    order.rates.margin = parts[18] * 0.45;
    order.rates.least_order = money(parts[19], 100.0);
    order.rates.tax = parts[20] * 0.3;
    order.machine.failures.start_chance = parts[21] * 0.4;
    order.machine.failures.start_lost_h = parts[22] * 3.0;
    order.machine.failures.rate_per_h = parts[23] * 0.02;
    order.machine.failures.clearing_h = parts[24] * 4.0;
    order.rates.file_check_min = parts[25] * 40.0;
    order.rates.bed_clearing_min = parts[26] * 20.0;
    order.rates.spool_change_min = parts[27] * 10.0;
    order.rates.finishing_min_per_100cm2 = parts[28] * 10.0;
    order.rates.support_removal_min_per_100cm2 = parts[29] * 10.0;
    order.rates.inspection_min = parts[30] * 20.0;
    order.rates.packing_min = parts[31] * 10.0;
    order.rates.packing_per_order = money(parts[32], 9.0);
    order.rates.drying_w = parts[33] * 900.0;
    order.rates.drying_min = parts[34] * 10.0;
    order.material.spool_rest_g = parts[35] * 400.0;
    order.material.failure_factor = 0.5 + parts[36];
    order.rates.rush = parts[37];
    order.rates.job.rush = true;
    order.surface_mm2 = 30_000.0;
    order.held_mm2 = 2_000.0;
    order.material.stocked = abrasive;
    order.material.drying = Some((65.0, 4.0));
    order
}

fn any_currency() -> impl Strategy<Value = Currency> {
    prop_oneof![
        Just(Currency::JPY),
        Just(Currency::EUR),
        Just(Currency::KWD)
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn the_lines_add_up_to_the_total_exactly(
        parts in proptest::collection::vec(0.0..1.0_f64, NUMBERS), abrasive: bool, quantity in 1_u32..5000,
        currency in any_currency(),
    ) {
        let order = order(&parts, abrasive, quantity, currency);
        let ledger = order.ledger().unwrap();
        prop_assert!(ledger.adds_up(), "{ledger:#?}");
        let sum: Decimal = ledger.lines.iter().map(|line| line.amount).sum();
        prop_assert_eq!(sum, ledger.total);
        prop_assert!(ledger.lines.iter().all(|line| line.amount >= Decimal::ZERO && !line.detail.is_empty()));
        prop_assert!(ledger.cost <= ledger.subtotal && ledger.subtotal <= ledger.total);
        let least_order = order.rates.least_order.round_dp(ledger.total.scale());
        prop_assert!(ledger.subtotal >= least_order);
        let pieces = Decimal::from(quantity);
        prop_assert_eq!(ledger.unit_price * pieces + ledger.unit_rounding, ledger.subtotal);
        let half_unit = Decimal::new(5, ledger.total.scale() + 1);
        prop_assert!(ledger.unit_rounding.abs() <= half_unit * pieces);
        prop_assert!(ledger.unit_cost <= ledger.unit_price);
    }

    #[test]
    fn nothing_dearer_longer_or_heavier_lowers_the_price(
        parts in proptest::collection::vec(0.0..0.5_f64, NUMBERS), raised in 0..NUMBERS, by in 1.001..2.0_f64,
        abrasive: bool, quantity in 1_u32..200, currency in any_currency(),
    ) {
        let before = order(&parts, abrasive, quantity, currency).ledger().unwrap();
        let mut parts = parts;
        parts[raised] *= by;
        let after = order(&parts, abrasive, quantity, currency).ledger().unwrap();
        prop_assert!(after.subtotal >= before.subtotal, "{}", RAISES[raised]);
        prop_assert!(after.total >= before.total, "{}", RAISES[raised]);
        prop_assert!(after.cost >= before.cost, "{}", RAISES[raised]);
        prop_assert!(after.unit_price >= before.unit_price, "{}", RAISES[raised]);
    }

    #[test]
    fn more_pieces_never_cost_less_in_all_and_set_up_is_shared(
        parts in proptest::collection::vec(0.0..1.0_f64, NUMBERS), quantity in 1_u32..400, currency in any_currency(),
    ) {
        let order = order(&parts, false, 1, currency);
        let breaks =
            price_breaks(&order.run(), &order.rates, &order.week, currency, &[quantity, quantity + 1]).unwrap();
        prop_assert!(breaks[1].total >= breaks[0].total);
        prop_assert_eq!(&breaks[0].line("set_up"), &breaks[1].line("set_up"));
    }

    #[test]
    fn without_margin_and_least_order_an_hour_earns_its_write_off(
        parts in proptest::collection::vec(0.0..1.0_f64, NUMBERS), quantity in 1_u32..400, currency in any_currency(),
    ) {
        let mut order = order(&parts, false, quantity, currency);
        order.rates.margin = 0.0;
        order.rates.job.rush = false;
        order.rates.least_order = Decimal::ZERO;
        let ledger = order.ledger().unwrap();
        let per_h = order.machine.price / Decimal::from(12_345);
        prop_assert_eq!(ledger.earned_per_machine_hour, per_h.round_dp(ledger.total.scale()));
        prop_assert_eq!(ledger.unit_price, ledger.unit_cost);
    }
}
