//! The lines beyond the first fourteen, each reckoned by hand on the three pieces of `worked`, and discounts, rush and spools.

use beadtally::cost::{CostError, Ledger};
use beadtally::shop::{BoughtIn, LifeBasis};

use crate::fixture::{Order, dec};
use crate::worked::three_pieces;

fn amount(order: &Order, line: &str) -> String {
    told(&order.ledger().unwrap(), line).0
}

fn told(ledger: &Ledger, line: &str) -> (String, String) {
    let line = ledger.line(line).unwrap();
    (line.amount.to_string(), line.detail.clone())
}

#[test]
fn the_rest_of_a_spool_is_charged_with_what_is_used_of_it() {
    let mut order = three_pieces();
    order.material.spool_rest_g = 40.0;
    // 3 x (442.3 x 1.08 + 15) = 1478.052 g at 960 g a spool are 1.5396375 spools of 1000 g: 49.2684, of which 47.30 is plastic.
    assert_eq!(amount(&order, "plastic"), "47.30");
    assert_eq!(amount(&order, "spool_rest"), "1.97");
}

#[test]
fn a_plastic_bought_for_the_order_is_paid_by_the_spool() {
    let mut order = three_pieces();
    order.material.stocked = false;
    order.material.spool_g = 750.0;
    let ledger = order.ledger().unwrap();
    let expected = "bought for this order: 2 x 750 g, of which 1478.05 g are used";
    assert_eq!(
        told(&ledger, "spool_rest"),
        ("0.70".into(), expected.into())
    ); // 1.5 kg x 32 - 47.30
    order.quantity = 4;
    assert_eq!(amount(&order, "plastic"), "63.06");
    assert_eq!(amount(&order, "spool_rest"), "8.94"); // a third spool: 72.00
}

#[test]
fn every_spool_that_is_begun_is_dried_once() {
    let mut order = three_pieces();
    order.material.drying = Some((65.0, 6.0));
    (order.rates.drying_w, order.rates.drying_min) = (600.0, 3.0);
    // 2 spools x 6 h x 0.6 kW = 7.2 kWh at 0.28, and 6 min at 24/h: 2.016 + 2.40.
    assert_eq!(amount(&order, "drying"), "4.42");
}

#[test]
fn work_is_charged_by_order_by_start_and_by_piece() {
    let mut order = three_pieces();
    let rates = &mut order.rates;
    (rates.file_check_min, rates.bed_clearing_min) = (15.0, 4.0);
    (rates.inspection_min, rates.packing_min) = (5.0, 2.0);
    rates.packing_per_order = dec("1.75");
    assert_eq!(amount(&order, "file_check"), "6.00");
    assert_eq!(amount(&order, "bed_clearing"), "4.80"); // 3 x 4 min
    assert_eq!(amount(&order, "inspection"), "6.00");
    assert_eq!(amount(&order, "packing"), "4.15");
}

#[test]
fn a_start_that_takes_three_spools_is_changed_twice() {
    let mut order = three_pieces();
    order.rates.spool_change_min = 2.0;
    order.material.spool_g = 200.0; // 457.3 g go through the nozzle
    let expected = "3 x 2 changes x 2 min at 24.00/h";
    let ledger = order.ledger().unwrap();
    assert_eq!(
        told(&ledger, "spool_changes"),
        ("4.80".into(), expected.into())
    );
    order.material.spool_g = 457.3;
    assert_eq!(amount(&order, "spool_changes"), "0.00");
}

#[test]
fn finishing_and_support_removal_may_be_charged_by_area() {
    let mut order = three_pieces();
    (order.surface_mm2, order.held_mm2) = (25_000.0, 4_000.0);
    order.rates.finishing_min_per_100cm2 = 4.0;
    order.rates.support_removal_min_per_100cm2 = 15.0;
    assert_eq!(amount(&order, "finishing"), "26.40"); // 36 min and 750 cm2 at 4 min per 100 cm2
    assert_eq!(amount(&order, "support_removal"), "10.80"); // 9 min and 120 cm2 at 15 min per 100 cm2
}

#[test]
fn what_is_bought_in_is_charged_for_every_piece() {
    let mut order = three_pieces();
    let part = |what: &str, price| BoughtIn {
        what: what.into(),
        price: dec(price),
    };
    order.rates.job.bought_in = vec![part("four brass inserts", "1.60"), part("O-ring", "0.85")];
    let expected = "3 x (four brass inserts 1.60 + O-ring 0.85)";
    let ledger = order.ledger().unwrap();
    assert_eq!(told(&ledger, "bought_in"), ("7.35".into(), expected.into()));
}

#[test]
fn a_mark_up_is_on_the_cost_and_has_its_own_line() {
    let mut order = three_pieces();
    (order.rates.margin, order.rates.mark_up) = (0.0, Some(0.33));
    let ledger = order.ledger().unwrap();
    let expected = ("48.57".into(), "33 % of 147.19 costs".into());
    assert_eq!(told(&ledger, "mark_up"), expected);
    assert!(ledger.line("margin").is_none() && ledger.adds_up());
}

#[test]
fn a_discount_is_taken_off_the_list_price_and_out_of_the_profit() {
    let mut order = three_pieces();
    order.rates.discounts = vec![(3, 0.10), (10, 0.20)];
    let ledger = order.ledger().unwrap();
    // 147.19 / 0.75 = 196.2533; 10 % of it is 19.6253; 49.0633 - 19.6253 = 29.4380.
    let expected = "25 % of the price: 147.19 / 0.75 - 147.19 = 49.06, less a discount of 10 % on 196.25 = 19.62";
    assert_eq!(told(&ledger, "margin"), ("29.44".into(), expected.into()));
    assert_eq!(ledger.discount.to_string(), "19.62");
    assert_eq!(ledger.subtotal.to_string(), "176.63");
    order.quantity = 2;
    assert_eq!(order.ledger().unwrap().discount.to_string(), "0.00");
    order.rates.job.discount = Some(0.05);
    assert_ne!(order.ledger().unwrap().discount.to_string(), "0.00");
}

#[test]
fn a_discount_beyond_the_profit_is_refused() {
    let mut order = three_pieces();
    order.rates.job.discount = Some(0.25);
    assert_eq!(
        order
            .ledger()
            .unwrap()
            .line("margin")
            .unwrap()
            .amount
            .to_string(),
        "0.00"
    );
    order.rates.job.discount = Some(0.26);
    let refused = order.ledger().unwrap_err();
    assert!(matches!(refused, CostError::BelowCost { .. }));
    assert!(
        refused.to_string().starts_with("a discount of 26 %"),
        "{refused}"
    );
}

#[test]
fn rush_is_charged_on_the_price_where_the_job_asks_for_it() {
    let mut order = three_pieces();
    order.rates.rush = 0.30;
    assert_eq!(amount(&order, "rush"), "0.00");
    order.rates.job.rush = true;
    assert_eq!(amount(&order, "rush"), "58.88"); // 30 % of 196.25 = 58.875, half to even
}

#[test]
fn plastic_and_nozzle_multiply_the_failures_per_hour() {
    let mut order = three_pieces();
    let alone = order.ledger().unwrap();
    (order.material.failure_factor, order.nozzle.failure_factor) = (1.5, 2.0);
    let worse = order.ledger().unwrap();
    // Starts per good piece are e^(lambda T)/(1 - p0), lambda three times as high.
    let expected = (3.0 * 0.003 * 12.2_f64).exp() / 0.98;
    assert!((worse.risk.starts - expected).abs() < 1e-12);
    assert!(worse.total > alone.total);
    let (_, detail) = told(&worse, "failures");
    assert!(
        detail.contains("times 3 for the plastic and the nozzle"),
        "{detail}"
    );
}

/// The extrusion column of Hopkinson & Dickens 2003 (from memory): 90 % of 8760 h a year over eight years.
#[test]
fn a_life_in_years_and_use_is_one_in_hours() {
    let basis = LifeBasis {
        years: 8.0,
        utilisation: 0.9,
    };
    assert!((basis.hours() - 8.0 * 7884.0).abs() < 1e-9);
    let mut order = three_pieces();
    (order.machine.life_h, order.machine.life_basis) = (basis.hours(), Some(basis));
    order.machine.price = dec("101280");
    let ledger = order.ledger().unwrap();
    let (amount, detail) = told(&ledger, "machine");
    assert_eq!(amount, "58.77"); // 36.6 h x 12 660 / 7884 a year
    assert!(detail.contains("63072 h, 8 years at 90 % use"), "{detail}");
}
