//! Published cost examples, worked through the room's own functions and ledger.

use beadtally::cost::{
    break_even_quantity, decimal::round_money, labour_cost, machine_rate_per_h, margin_on,
    plastic_cost, share_of,
};
use rust_decimal::Decimal;

use crate::fixture::{dec, free_order};

const HOURS_PER_YEAR: &str = "7884"; // 90 % of 8760

/// Extrusion column of Hopkinson & Dickens 2003, Proc. IMechE Part C 217, 31-39 (references 2.1): from memory,
/// arithmetic check. A build of 75 small levers; the part's plastic at 400 a kilogram, its support's at 216.
#[test]
fn the_extrusion_column_of_2003_comes_out_to_the_cent() {
    let parts = dec("75");
    let cents = |amount: Decimal| round_money(amount, 2).to_string();

    let upkeep_per_h = dec("10560") / dec(HOURS_PER_YEAR);
    let rate =
        machine_rate_per_h(dec("101280"), dec("8") * dec(HOURS_PER_YEAR), upkeep_per_h).unwrap();
    assert_eq!(
        round_money(rate.for_hours(dec(HOURS_PER_YEAR)).unwrap(), 0),
        dec("23220")
    );
    let machine = rate.for_hours(dec("67.27")).unwrap() / parts;
    assert_eq!(cents(machine), "2.64");

    let labour_per_build = labour_cost(dec("10") + dec("60"), dec("5.30")).unwrap();
    assert_eq!(cents(labour_per_build), "6.18");
    assert_eq!(cents(labour_per_build / parts), "0.08");

    let plastic = plastic_cost(dec("3.5"), dec("400")).unwrap()
        + plastic_cost(dec("1.6"), dec("216")).unwrap();
    assert_eq!(plastic, dec("1.7456"));
    assert_eq!(cents(plastic), "1.75");

    let rest = labour_per_build / parts + plastic;
    assert_eq!(cents(machine + rest), "4.47");
    // the paper divides a year's cost by a whole number of parts a year, which moves the fifth decimal
    let by_the_year = rate.for_hours(dec(HOURS_PER_YEAR)).unwrap() / dec("8790");
    assert_eq!(round_money(by_the_year + rest, 5), dec("4.46968"));
}

/// The same column through the ledger: one run is the build of 75. The ledger knows one plastic, so the support's
/// plastic is added from a ledger of its own. From memory, arithmetic check.
#[test]
fn the_extrusion_column_of_2003_comes_out_of_the_ledger() {
    let mut build = free_order();
    build.seconds = 67.27 * 3600.0;
    build.machine.price = dec("101280");
    build.machine.life_h = 8.0 * 7884.0;
    build.machine.upkeep_per_h = dec("10560") / dec(HOURS_PER_YEAR);
    build.part_g = 75.0 * 3.5;
    build.material.price_per_kg = dec("400");
    build.rates.labour_per_h = dec("5.30");
    build.rates.set_up_min = 10.0;
    build.rates.finishing_min = 60.0;
    let mut support = free_order();
    support.support_g = 75.0 * 1.6;
    support.material.price_per_kg = dec("216");

    let (build, support) = (build.ledger().unwrap(), support.ledger().unwrap());
    let per_part = |amount: Decimal| round_money(amount / dec("75"), 2).to_string();
    let line = |name: &str| build.line(name).unwrap().amount;
    assert_eq!(per_part(line("machine") + line("upkeep")), "2.64");
    assert_eq!((line("set_up") + line("finishing")).to_string(), "6.18");
    assert_eq!(per_part(line("plastic") + support.total), "1.75");
    assert_eq!(per_part(build.total + support.total), "4.47");
}

/// Break-even against moulding, same paper (references 2.1): from memory, arithmetic check. It rounds to the nearest.
#[test]
fn the_mould_of_2003_breaks_even_where_the_paper_says() {
    for (unit, pieces) in [("5.25", "5450"), ("4.47", "6453"), ("2.20", "13888")] {
        let quantity = break_even_quantity(dec("27360"), dec(unit), dec("0.23"))
            .unwrap()
            .unwrap();
        assert_eq!(quantity.round(), dec(pieces), "{unit}");
    }
    assert_eq!(
        break_even_quantity(dec("27360"), dec("0.23"), dec("0.23")).unwrap(),
        None
    );
}

/// Cost per piece after Groover, Fundamentals of Modern Manufacturing (references 1.3): from memory, arithmetic check
/// (the inputs were reconstructed). 0.152 L at 120 a litre is 152 g of a plastic of 1 g/cm3 at 120 a kilogram; a
/// quarter of an operator over 336 min is 84 min of attendance.
#[test]
fn the_textbook_cost_per_piece_comes_out_to_the_cent() {
    let mut order = free_order();
    order.seconds = 20_160.0;
    order.machine.price = dec("100000");
    order.machine.life_h = 8000.0;
    order.part_g = 152.0;
    order.material.price_per_kg = dec("120");
    order.rates.labour_per_h = dec("24");
    order.rates.set_up_min = 0.25 * 336.0;
    order.rates.finishing_min = 6.0;
    let ledger = order.ledger().unwrap();
    let line = |name: &str| ledger.line(name).unwrap().amount.to_string();
    assert_eq!(line("plastic"), "18.24");
    assert_eq!(line("machine"), "70.00");
    assert_eq!(line("set_up"), "33.60");
    assert_eq!(line("finishing"), "2.40");
    assert_eq!(ledger.total.to_string(), "124.24");
    assert_eq!(ledger.unit_cost, ledger.unit_price);
}

/// References 2 (DERIVED): the same 25 % of a cost of 100 is 133.33 as a margin and 125.00 as a mark-up.
#[test]
fn a_margin_is_a_share_of_the_price_and_not_of_the_cost() {
    let mut order = free_order();
    order.part_g = 1000.0;
    order.material.price_per_kg = dec("100");
    order.rates.margin = 0.25;
    let by_margin = order.ledger().unwrap();
    assert_eq!(by_margin.unit_price.to_string(), "133.33");
    assert_eq!(by_margin.unit_cost.to_string(), "100.00");
    order.rates.margin = 0.0;
    order.rates.overhead = 0.25;
    assert_eq!(order.ledger().unwrap().unit_price.to_string(), "125.00");
    assert_eq!(
        round_money(margin_on(dec("100"), dec("0.25")).unwrap(), 2),
        dec("33.33")
    );
    assert_eq!(share_of(dec("100"), dec("0.25")).unwrap(), dec("25"));
}
