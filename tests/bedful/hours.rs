//! The hours and grams of a bed, held against the estimator itself run on one mesh of all the copies at their places.

use beadtally::bedful::Bedful;
use beadtally::cost::{Starts, ledger, order_ledger};
use beadtally::estimate::{Ask, Beyond, OrderPart, bedfuls, estimate};
use beadtally::mesh::{InspectedMesh, Mesh, inspect};
use beadtally::pose::{Down, Pose, place};
use beadtally::shop::demonstration as demonstration_shop;

use crate::meshes::{demonstration, moved, scaled, together};

fn all_in_one(
    bed: &Bedful,
    parts: &[&InspectedMesh],
    down: &[beadtally::pose::Rest],
) -> InspectedMesh {
    let copies = bed.placements.iter().map(|placed| {
        let posed = place(
            &parts[placed.item].mesh,
            &Pose::new(down[placed.item], placed.turn_deg),
        );
        let ([x, y], _) = placed.outline.box_mm().unwrap();
        moved(&posed, [x, y, 0.0])
    });
    let nothing = Mesh {
        vertices_mm: Vec::new(),
        triangles: Vec::new(),
    };
    inspect(copies.fold(nothing, |all, copy| together(&all, &copy))).unwrap()
}

/// The greatest relative difference in seconds and in grams over all beds and nozzles of a machine.
fn differences(parts: &[(&InspectedMesh, u32)], ask: &Ask) -> (f64, f64) {
    let shop = demonstration_shop();
    let order: Vec<OrderPart<'_>> = parts
        .iter()
        .map(|(part, n)| OrderPart {
            part,
            count: Some(*n),
        })
        .collect();
    let answer = bedfuls(&order, &shop, ask, 5.0).unwrap();
    let (mut seconds, mut grams) = (0.0f64, 0.0f64);
    let meshes: Vec<&InspectedMesh> = parts.iter().map(|(part, _)| *part).collect();
    for machine in &answer.machines {
        for (kind, (bed, _)) in machine.beds.kinds.iter().enumerate() {
            let whole = all_in_one(bed, &meshes, &answer.down);
            let ask = Ask {
                machine: Some(machine.machine.clone()),
                down: Some(Down::ZMinus.into()),
                ..ask.clone()
            };
            let reference = estimate(&whole, &shop, &ask).unwrap();
            for (nozzle, made) in &machine.options {
                let Ok(made) = made else { continue };
                let option = reference
                    .options
                    .iter()
                    .find(|o| o.nozzle == *nozzle)
                    .unwrap();
                let one = option.made().unwrap();
                let bed = &made.beds[kind];
                let off = bed.seconds.whole_s() / one.seconds.whole_s() - 1.0;
                println!(
                    "{} x on {}/{nozzle}: {:.0} s, {:.0} s as one part, {:+.2} %; {:.2} g of {:.2} g, support {:.2} g of {:.2} g",
                    bed.copies,
                    machine.machine,
                    bed.seconds.whole_s(),
                    one.seconds.whole_s(),
                    100.0 * off,
                    bed.mass_g,
                    one.mass_g,
                    bed.support_g,
                    one.support_g
                );
                seconds = seconds.max(off.abs());
                grams = grams.max((bed.mass_g / one.mass_g - 1.0).abs());
            }
        }
    }
    (seconds, grams)
}

fn on(machine: &str) -> Ask {
    Ask {
        machine: Some(machine.to_owned()),
        ..Ask::default()
    }
}

#[test]
fn the_hours_of_a_bed_are_those_of_one_part_made_of_all_copies() {
    let cleat = demonstration("cleat_block.stl");
    let small = inspect(scaled(&cleat.mesh, 0.4)).unwrap();
    for (parts, machine) in [
        (vec![(&cleat, 2)], "fast"),
        (vec![(&cleat, 9)], "slow"),
        (vec![(&small, 3)], "fast"),
        (vec![(&small, 25)], "fast"),
        (vec![(&cleat, 2), (&small, 7)], "round"),
    ] {
        let (seconds, grams) = differences(&parts, &on(machine));
        assert!(seconds < 0.02, "{seconds}");
        assert!(grams < 1e-4, "{grams}");
    }
}

#[test]
fn a_purge_line_is_laid_once_and_a_brim_around_every_copy() {
    let small = inspect(scaled(&demonstration("cleat_block.stl").mesh, 0.4)).unwrap();
    let beyond = Beyond {
        brim_mm: Some(2.0),
        purge_line_mm: Some(200.0),
        ..Beyond::default()
    };
    let ask = Ask {
        beyond,
        ..on("fast")
    };
    let (seconds, grams) = differences(&[(&small, 6)], &ask);
    assert!(seconds < 0.02 && grams < 1e-4, "{seconds} {grams}");
}

#[test]
fn one_copy_on_a_bed_is_the_part_alone() {
    let cleat = demonstration("cleat_block.stl");
    let shop = demonstration_shop();
    let answer = bedfuls(
        &[OrderPart {
            part: &cleat,
            count: Some(1),
        }],
        &shop,
        &on("fast"),
        5.0,
    )
    .unwrap();
    let (_, _, made) = answer.picked().unwrap();
    assert!(
        (made.whole_s() / made.alone_s - 1.0).abs() < 0.01,
        "{} {}",
        made.whole_s(),
        made.alone_s
    );
    let removal = |l: &beadtally::cost::Ledger| l.line("removal").unwrap().amount;
    assert_eq!(removal(&made.ledger), removal(&made.alone));
}

#[test]
fn the_whole_bed_is_at_stake_and_a_last_bed_partly_filled_costs_its_own_start() {
    let cleat = demonstration("cleat_block.stl");
    let shop = demonstration_shop();
    let made = |count| {
        let order = [OrderPart {
            part: &cleat,
            count: Some(count),
        }];
        let answer = bedfuls(&order, &shop, &on("fast"), 5.0).unwrap();
        answer.picked().unwrap().2.clone()
    };
    let capacity = made(400).beds[0].copies;
    let (full, one_more) = (made(capacity), made(capacity + 1));
    assert_eq!((full.beds.len(), one_more.beds.len()), (1, 2));
    assert_eq!(one_more.beds[1].copies, 1);
    // The saw-tooth: a piece costs more again where a bed is begun for it.
    let start_s =
        |m: &beadtally::estimate::BedsMade| m.beds.iter().map(|b| b.seconds.start_s).sum::<f64>();
    assert!(start_s(&one_more) > 1.99 * start_s(&full));
    // Chance of failing by the published law: 1 - (1 - p0) e^(-lambda T), at the bed's hours.
    let failures = &shop.machine("fast").unwrap().failures;
    let bed = &full.beds[0];
    let chance =
        1.0 - (1.0 - failures.start_chance) * (-failures.rate_per_h * bed.seconds.hours()).exp();
    assert!((bed.risk.failure_probability - chance).abs() < 1e-4);
}

#[test]
fn one_piece_per_start_costs_what_it_did_to_the_word() {
    let shop = demonstration_shop();
    let made = estimate(&demonstration("cleat_block.stl"), &shop, &on("fast")).unwrap();
    let (option, made) = made.picked().unwrap();
    let run = beadtally::cost::Run {
        machine: shop.machine(&option.machine).unwrap(),
        nozzle: shop.nozzle(&option.nozzle).unwrap(),
        material: shop.material(&shop.default_material).unwrap(),
        seconds: made.seconds.whole_s(),
        start_seconds: made.seconds.start_s,
        part_g: made.mass_g,
        support_g: made.support_g,
        surface_mm2: made.surface_mm2,
        held_mm2: made.held_mm2,
    };
    let plain = ledger(&run, &shop.rates, &shop.attended, shop.currency, 13).unwrap();
    let of = |kinds: &[(u32, u32)]| {
        let starts: Vec<Starts<'_>> = kinds
            .iter()
            .map(|(pieces_per_start, starts)| Starts {
                run,
                pieces_per_start: *pieces_per_start,
                starts: *starts,
            })
            .collect();
        order_ledger(&starts, &shop.rates, &shop.attended, shop.currency)
    };
    assert_eq!(of(&[(1, 13)]).unwrap(), plain);
    // Six pieces a start: machine and failures per start, removal per piece, set-up once.
    let beds = of(&[(6, 2), (1, 1)]).unwrap();
    assert!(beds.adds_up());
    let amount = |l: &beadtally::cost::Ledger, line| l.line(line).unwrap().amount;
    assert_eq!(beds.quantity, 13);
    assert_eq!(amount(&beds, "set_up"), amount(&plain, "set_up"));
    assert_eq!(amount(&beds, "removal"), amount(&plain, "removal"));
    let three = ledger(&run, &shop.rates, &shop.attended, shop.currency, 3).unwrap();
    let cent = rust_decimal::Decimal::new(1, 2);
    for line in ["machine", "plastic", "failures", "energy"] {
        assert!(
            (amount(&beds, line) - amount(&three, line)).abs() <= cent,
            "{line}"
        );
    }
    assert!(of(&[]).is_err() && of(&[(0, 1)]).is_err() && of(&[(1, 0)]).is_err());
}
