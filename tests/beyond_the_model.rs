//! Settings beyond the model of `docs/model.md`: first layer, brim, purge line, clearance and contact layers; and that all of
//! them off leave the model as it is. Expected figures are closed forms, derived by hand beside them.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod meshes;

use beadtally::bead::{Bead, Columns, Contact};
use beadtally::estimate::{Ask, Beyond, Made, estimate};
use beadtally::mesh::InspectedMesh;
use beadtally::section::{Layers, Region};
use beadtally::shop::{Shop, demonstration};
use meshes::inspected;
use meshes::solids::block;

fn made(part: &InspectedMesh, shop: &Shop, beyond: Beyond, base_model: bool) -> Made {
    let ask = Ask {
        machine: Some("gantry".into()),
        nozzle: Some("0.6-hardened".into()),
        beyond,
        base_model,
        ..Ask::default()
    };
    let answer = estimate(part, shop, &ask).unwrap();
    let option = answer.options.iter().find(|o| o.made().is_some()).unwrap();
    option.made().unwrap().clone()
}

fn plate() -> InspectedMesh {
    inspected(block([0.0; 3], [40.0, 30.0, 3.6]))
}

#[test]
fn a_brim_is_closed_loops_a_spacing_apart_around_the_first_layer() {
    let (part, shop) = (plate(), demonstration());
    let without = made(&part, &shop, Beyond::default(), false);
    let with = made(
        &part,
        &shop,
        Beyond {
            brim_mm: Some(5.0),
            ..Beyond::default()
        },
        false,
    );
    let s = Bead::of_nozzle(0.6).unwrap().spacing_mm();
    // Mitred loops around a rectangle are rectangles: 2 (a + b) + 8 (i + 1/2) s.
    let loops = (5.0 / s).round();
    let length_mm = loops * 140.0 + 8.0 * s * loops * loops / 2.0;
    let laid_mm: f64 = with.bead_length_mm[5] - without.bead_length_mm[5];
    assert!((laid_mm - length_mm).abs() < 0.1, "{laid_mm} {length_mm}");
    let mm3 = length_mm * s * 0.36;
    assert!((with.support_mm3 - without.support_mm3 - mm3).abs() < 0.1);
    assert_eq!(with.deposited_mm3, without.deposited_mm3);
    assert!(with.seconds.whole_s() > without.seconds.whole_s());
}

#[test]
fn a_purge_line_costs_its_own_bead_and_its_time_at_the_first_layers_speed() {
    let (part, shop) = (plate(), demonstration());
    let without = made(&part, &shop, Beyond::default(), false);
    let asked = Beyond {
        purge_line_mm: Some(200.0),
        ..Beyond::default()
    };
    let with = made(&part, &shop, asked, false);
    let laid_mm = with.bead_length_mm[5] - without.bead_length_mm[5];
    assert!((laid_mm - 200.0).abs() < 1e-9, "{laid_mm}");
    let limits = &with.limits;
    let v = limits
        .speeds
        .support_mm_s
        .min(limits.speeds.first_layer_mm_s);
    // Rest to rest over a length long enough to cruise: d/v + v/a (textbook kinematics).
    let by_hand_s = 200.0 / v + v / limits.acceleration_mm_s2;
    let taken_s = with.seconds.laying_s[5] - without.seconds.laying_s[5];
    assert!((taken_s - by_hand_s).abs() < 1e-6, "{taken_s} {by_hand_s}");
}

#[test]
fn a_thin_first_layer_adds_the_layers_that_the_height_asks_for() {
    let (part, shop) = (plate(), demonstration());
    let asked = Beyond {
        first_layer_mm: Some(0.2),
        ..Beyond::default()
    };
    let thin = made(&part, &shop, asked, false);
    // 1 + floor((3.6 - 0.2)/0.36 + 1/2 - 1e-6) = 10 layers, 0.2 + 9 x 0.36 = 3.44 mm of plate.
    assert_eq!((thin.layers, thin.first_layer_mm), (10, 0.2));
    assert!(
        (thin.deposited_mm3 - 40.0 * 30.0 * 3.44).abs() < 0.5,
        "{}",
        thin.deposited_mm3
    );
}

#[test]
fn the_base_model_knows_none_of_the_shops_settings_and_all_of_those_asked() {
    let (part, plain) = (plate(), demonstration());
    let mut set = demonstration();
    set.process.brim_mm = 4.0;
    set.process.purge_line_mm = 100.0;
    set.process.first_layer_mm = Some(0.2);
    set.process.contact_layers = 2;
    set.process.support_clearance_mm = 0.3;
    let nothing = Beyond::default();
    let base = made(&part, &plain, nothing, true);
    let of_set = made(&part, &set, nothing, true);
    assert_eq!(base.bead_length_mm, of_set.bead_length_mm);
    assert_eq!(base.seconds, of_set.seconds);
    assert_ne!(made(&part, &set, nothing, false).seconds, base.seconds);
    let brim = Beyond {
        brim_mm: Some(4.0),
        ..nothing
    };
    assert_ne!(made(&part, &plain, brim, true).seconds, base.seconds);
}

/// A column 10 x 10 mm that stands on the bed and holds up a slab from layer 10 on.
fn slab_on_a_column(contact: Contact) -> Columns {
    let column = Region::rectangle([0.0, 0.0], [10.0, 10.0]);
    let slab = Region::rectangle([-5.0, -5.0], [20.0, 20.0]);
    let nothing = Region::default();
    let columns = [vec![column; 10], vec![nothing.clone(); 2]].concat();
    let sections = [vec![nothing; 10], vec![slab; 2]].concat();
    let layers = Layers::of(2.4, 0.2, 0.2);
    Columns::with_contact(columns, &sections, &layers, &contact)
}

#[test]
fn clearance_keeps_whole_layers_free_under_the_part() {
    let columns = slab_on_a_column(Contact {
        clearance_mm: 0.3,
        layers: 0,
    });
    let laid: Vec<bool> = columns.open.iter().map(|c| !c.is_empty()).collect();
    // 0.3 mm in layers of 0.2 are two layers: 8 and 9 stay free.
    assert_eq!(laid, [[true; 8].as_slice(), &[false; 4]].concat());
}

#[test]
fn contact_layers_are_laid_solid_below_the_gap() {
    let columns = slab_on_a_column(Contact {
        clearance_mm: 0.2,
        layers: 3,
    });
    let area =
        |regions: &[Region]| -> Vec<f64> { regions.iter().map(|r| r.area_mm2().round()).collect() };
    let solid = area(&columns.solid);
    assert_eq!(solid[6..10], [100.0, 100.0, 100.0, 0.0]);
    assert_eq!(
        area(&columns.open)[4..10],
        [100.0, 100.0, 0.0, 0.0, 0.0, 0.0]
    );
}
