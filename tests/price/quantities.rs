//! The plan for each quantity.

use beadtally::bedful::USUAL_CLEARANCE_MM;
use beadtally::estimate::{Ask, Estimate, Lots, OrderPart, bedfuls, estimate, lots};
use beadtally::mesh::InspectedMesh;
use beadtally::shop::{Shop, demonstration};
use rust_decimal::Decimal;

use crate::block;

/// The demonstration shop without discounts, so that only the plans move the price.
fn plain_shop() -> Shop {
    let mut shop = demonstration();
    shop.rates.discounts.clear();
    shop
}

fn on(machine: &str) -> Ask {
    Ask {
        machine: Some(machine.to_owned()),
        ..Ask::default()
    }
}

fn answered(shop: &Shop, ask: &Ask, quantities: &[u32]) -> (InspectedMesh, Estimate, Lots) {
    let part = block();
    let answer = estimate(&part, shop, ask).unwrap();
    let found = lots(&part, shop, ask, &answer, quantities)
        .unwrap()
        .unwrap();
    (part, answer, found)
}

#[test]
fn one_piece_costs_what_the_estimate_says() {
    let shop = plain_shop();
    let (_, answer, found) = answered(&shop, &Ask::default(), &[1]);
    let (option, made) = answer.picked().unwrap();
    assert_eq!(found.plans[0].name(), option.name());
    assert_eq!(found.plans[0].ledger, made.ledger);
    assert_eq!(found.curve, [(1, made.ledger.unit_price)]);
}

#[test]
fn where_clearing_a_bed_costs_work_pieces_share_beds() {
    let mut shop = plain_shop();
    shop.rates.bed_clearing_min = 20.0;
    let (_, _, found) = answered(&shop, &on("fast"), &[12]);
    let plan = &found.plans[0];
    assert!(plan.prints() < 12, "{:?}", plan.starts);
    let pieces: u32 = plan.starts.iter().map(|s| s.pieces * s.times).sum();
    assert_eq!((pieces, plan.ledger.quantity), (12, 12));
}

/// What is told of a bed is what the bedful itself takes, walked copy by copy.
#[test]
fn a_bed_of_the_plan_takes_what_the_same_bedful_takes() {
    let mut shop = plain_shop();
    shop.rates.bed_clearing_min = 200.0;
    let (part, _, found) = answered(&shop, &on("fast"), &[9]);
    let [start] = &found.plans[0].starts[..] else {
        panic!("nine pieces go on one bed: {:?}", found.plans[0].starts);
    };
    let order = [OrderPart {
        part: &part,
        count: Some(9),
    }];
    let beds = bedfuls(&order, &shop, &on("fast"), USUAL_CLEARANCE_MM).unwrap();
    let nozzle = &found.plans[0].nozzle;
    let (_, made) = beds.machines[0]
        .options
        .iter()
        .find(|(id, _)| id == nozzle)
        .unwrap();
    let bed = &made.as_ref().unwrap().beds[0];
    assert_eq!((start.pieces, start.times), (9, 1));
    assert!((start.seconds - bed.seconds.whole_s()).abs() < 1e-6);
    assert!((start.grams - bed.mass_g - bed.support_g).abs() < 1e-6);
}

/// No plan that was tried is cheaper than the one told: here all bed sizes are tried again by hand.
#[test]
fn more_pieces_never_cost_less_in_all_without_discounts() {
    let shop = plain_shop();
    let (_, _, found) = answered(&shop, &on("fast"), &[30]);
    let totals: Vec<Decimal> = found
        .curve
        .iter()
        .map(|(quantity, price)| Decimal::from(*quantity) * price)
        .collect();
    assert_eq!(totals.len(), 30);
    // A price of a piece is rounded to the cent, so a total made of it may be off by half a cent a piece.
    let slack = Decimal::new(30, 2);
    assert!(
        totals.windows(2).all(|pair| pair[1] + slack >= pair[0]),
        "{totals:?}"
    );
    assert!(found.cheaper[0].is_none());
}

#[test]
fn a_larger_lot_that_costs_less_in_all_is_told() {
    let mut shop = plain_shop();
    shop.rates.least_order = Decimal::ZERO;
    shop.rates.margin = 0.6;
    shop.rates.discounts = vec![(20, 0.4)];
    let (_, _, found) = answered(&shop, &on("fast"), &[19, 20]);
    let [nineteen, twenty] = [0, 1].map(|i| found.plans[i].ledger.total);
    assert!(twenty < nineteen);
    assert_eq!(found.cheaper[0], Some((20, twenty)));
    assert_eq!(found.cheaper[1], None);
}

#[test]
fn every_quantity_up_to_the_largest_is_on_the_curve_or_evenly_spread() {
    let shop = plain_shop();
    let (_, _, found) = answered(&shop, &on("fast"), &[7, 1000]);
    let quantities: Vec<u32> = found.curve.iter().map(|(quantity, _)| *quantity).collect();
    assert!(quantities.len() <= 121 && quantities[0] == 1);
    assert_eq!(quantities.last(), Some(&1000));
    let last = found.curve.last().unwrap().1;
    assert_eq!(last, found.plans[1].ledger.unit_price);
}

/// With failures so frequent that a full bed would practically never end, pieces are planned one at a time.
#[test]
fn a_bed_that_would_never_end_well_is_no_plan_and_stops_none() {
    let mut shop = plain_shop();
    let machine = shop.machines.iter_mut().find(|m| m.id == "fast").unwrap();
    machine.failures.rate_per_h = 1.0;
    machine.start_s = 0.0;
    machine.correction = 10.0;
    let (_, _, found) = answered(&shop, &on("fast"), &[60]);
    let plan = &found.plans[0];
    assert_eq!(
        plan.starts.iter().map(|s| s.pieces * s.times).sum::<u32>(),
        60
    );
    let longest_h = plan.starts[0].seconds / 3600.0;
    assert!(longest_h < 50.0, "{longest_h}");
}
