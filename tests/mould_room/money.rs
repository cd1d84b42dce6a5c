//! Where the answer flips.

use beadtally::cost::{CostError, Run, break_even_quantity, ledger};
use beadtally::shop::{Moulding, Shop, demonstration};
use beadtally::tooling::{Flip, Laminate, Totals, flip};
use rust_decimal::Decimal;

/// A shop whose price is its cost, and a run in it.
fn plain_shop() -> Shop {
    let mut shop = demonstration();
    shop.rates.margin = 0.0;
    shop.rates.overhead = 0.0;
    shop.rates.set_up_min = 0.0;
    shop.rates.least_order = Decimal::ZERO;
    shop.rates.file_check_min = 0.0;
    shop.rates.packing_per_order = Decimal::ZERO;
    shop.rates.drying_w = 0.0;
    shop.rates.drying_min = 0.0;
    shop.rates.discounts.clear();
    shop
}

fn run(shop: &Shop) -> Run<'_> {
    let machine = &shop.machines[0];
    Run {
        machine,
        nozzle: shop.nozzle(&machine.nozzles[0]).unwrap(),
        material: &shop.materials[0],
        seconds: 7200.0,
        start_seconds: 300.0,
        part_g: 50.0,
        support_g: 0.0,
        surface_mm2: 0.0,
        held_mm2: 0.0,
    }
}

/// The price of so many printed pieces of the run, each by a start of its own.
fn printed(shop: &Shop) -> impl Fn(u32) -> Result<Decimal, CostError> + '_ {
    move |quantity| {
        let run = run(shop);
        let ledger = ledger(&run, &shop.rates, &shop.attended, shop.currency, quantity)?;
        Ok(ledger.subtotal)
    }
}

fn totals<'a>(
    shop: &'a Shop,
    print: &'a dyn Fn(u32) -> Result<Decimal, CostError>,
    tool: i64,
    share_of_print: (u32, u32),
    life_pieces: u32,
) -> Totals<'a> {
    let mut totals = Totals {
        shop,
        print,
        tool_cost: Decimal::from(tool),
        piece_cost: Decimal::ZERO,
        life_pieces,
    };
    let piece = totals.printed(1).unwrap() * Decimal::from(share_of_print.0)
        / Decimal::from(share_of_print.1);
    totals.piece_cost = piece.round_dp(2);
    totals
}

#[test]
fn the_published_mould_breaks_even_at_6453_pieces() {
    // Hopkinson & Dickens 2003, Proc. IMechE C 217, 31-39, the lever by fused deposition; from memory.
    let tool = Decimal::from(27_360);
    let quantity = break_even_quantity(tool, "4.47".parse().unwrap(), "0.23".parse().unwrap())
        .unwrap()
        .unwrap();
    assert_eq!(quantity.ceil(), Decimal::from(6_453));
}

#[test]
fn a_mould_that_lasts_pays_from_the_next_whole_piece_after_its_break_even() {
    let shop = plain_shop();
    let print = printed(&shop);
    for tool in [10, 100, 1_000, 20_000] {
        let totals = totals(&shop, &print, tool, (1, 4), 500_000);
        let found = flip(&totals).unwrap();
        let each = totals.printed(1_000).unwrap() / Decimal::from(1_000);
        let closed = break_even_quantity(Decimal::from(tool), each, totals.piece_cost)
            .unwrap()
            .unwrap();
        let closed: f64 = closed.try_into().unwrap();
        let first = f64::from(found.first().unwrap());
        // Lines of an order are rounded, so a piece's price moves by parts of a minor unit.
        assert!(
            (first - closed).abs() <= 1.0 + 0.001 * closed,
            "{tool}: {first} {closed}"
        );
        assert_eq!(found.cheaper.len(), 1);
    }
}

#[test]
fn found_ranges_are_those_that_counting_every_quantity_finds() {
    let shop = plain_shop();
    let print = printed(&shop);
    // A mould that lasts 20 pieces and costs 12.5 printed ones; a piece on it costs a fifth.
    let each: f64 = totals(&shop, &print, 0, (1, 5), 20)
        .printed(1)
        .unwrap()
        .try_into()
        .unwrap();
    for pieces_a_tool in [3.0, 12.5, 15.6, 15.95, 17.0] {
        let totals = totals(&shop, &print, (pieces_a_tool * each) as i64, (1, 5), 20);
        let found = flip(&totals).unwrap();
        for quantity in 1..=200 {
            let cheaper = totals.moulded(quantity).unwrap() < totals.printed(quantity).unwrap();
            let said = found
                .cheaper
                .iter()
                .any(|(from, to)| *from <= quantity && to.is_none_or(|to| quantity <= to));
            assert_eq!(said, cheaper, "{pieces_a_tool} {quantity} {found:?}");
        }
    }
}

#[test]
fn a_mould_whose_pieces_cost_more_than_printed_ones_never_pays() {
    let shop = plain_shop();
    let print = printed(&shop);
    assert_eq!(
        flip(&totals(&shop, &print, 100, (5, 4), 50)).unwrap(),
        Flip::default()
    );
}

#[test]
fn a_new_mould_is_due_after_the_last_ones_life() {
    let shop = plain_shop();
    let print = printed(&shop);
    let totals = totals(&shop, &print, 100, (1, 4), 50);
    assert_eq!(
        [1, 50, 51, 100, 101].map(|n| totals.moulds(n)),
        [1, 1, 2, 2, 3]
    );
    let step = totals.moulded(51).unwrap() - totals.moulded(50).unwrap();
    assert_eq!(step, Decimal::from(100) + totals.piece_cost);
}

#[test]
fn a_laminate_is_the_mass_of_its_fibre_over_its_share() {
    // 2 layers of 200 g/m2 on 0.5 m2, half of the mass: 200 g fibre, 200 g resin; 800 g/m2 at 1.6 g/cm3 are 0.5 mm.
    let moulding = Moulding {
        fibre_g_m2: 200.0,
        fibre_layers: 2,
        fibre_share: 0.5,
        laminate_g_cm3: 1.6,
        ..Moulding::default()
    };
    let laminate = Laminate::on(5e5, &moulding);
    assert!((laminate.fibre_g - 200.0).abs() < 1e-9 && (laminate.resin_g - 200.0).abs() < 1e-9);
    assert!((laminate.thick_mm - 0.5).abs() < 1e-12);
}
