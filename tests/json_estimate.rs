//! The JSON answers to `estimate` and `quote`, read back by structs that refuse a key they do not know (design.md
//! section 7).

#![allow(clippy::unwrap_used, clippy::expect_used)]

mod json_keys;

use std::sync::LazyLock;

use beadtally::estimate::{Ask, Estimate, LeadTime, estimate, lead_time, lots};
use beadtally::mesh::InspectedMesh;
use beadtally::pose::Rest;
use beadtally::quote::{Lot, Offer, Subject, estimate_json, quote_json};
use beadtally::service::{Service, service_notes};
use beadtally::shop::{Shop, demonstration};
use json_keys::{Estimated, Quoted, is_money, keys, parsed, part};

/// A quick estimate of three pieces: tall layers, few of them.
fn ask() -> Ask {
    Ask {
        layer_height_mm: Some(0.3),
        quantity: 3,
        ..Ask::default()
    }
}

/// The answer most tests look at, computed once.
fn estimated() -> &'static (InspectedMesh, Shop, Estimate) {
    static ANSWER: LazyLock<(InspectedMesh, Shop, Estimate)> = LazyLock::new(|| {
        let (part, shop) = (part(), demonstration());
        let answer = estimate(&part, &shop, &ask()).unwrap();
        (part, shop, answer)
    });
    &ANSWER
}

/// A quote of the answer for some quantities.
fn offer<'a>(
    part: &'a InspectedMesh,
    shop: &'a Shop,
    answer: &'a Estimate,
    quantities: &[u32],
) -> Offer<'a> {
    static ASK: LazyLock<Ask> = LazyLock::new(ask);
    let found = lots(part, shop, &ASK, answer, quantities)
        .unwrap()
        .unwrap_or_default();
    let lots: Vec<Lot> = found
        .plans
        .into_iter()
        .zip(found.cheaper)
        .map(|(plan, cheaper)| Lot {
            plan,
            dates: None,
            pace: String::new(),
            cheaper,
        })
        .collect();
    let prints = lots.first().map(|lot| lot.plan.prints());
    let service = Service {
        temperature_c: Some(60.0),
        salt_water: true,
        ..Service::default()
    };
    Offer {
        subject: Subject {
            part: "a",
            mesh: part,
            shop,
            estimate: answer,
        },
        ask: &ASK,
        date: jiff::civil::date(2026, 11, 26),
        lead: prints.map(|prints| lead_time(&shop.attended, 480.0, 2.0, 0.25, prints)),
        lots,
        curve: found.curve,
        service: service_notes(&service, shop.material(&answer.material).unwrap()),
    }
}

#[test]
fn an_estimate_has_the_keys_of_the_design_in_its_order() {
    let (part, shop, answer) = estimated();
    let line = estimate_json("cleat_block.stl", shop, part, answer);
    assert_eq!(
        keys(&line),
        [
            "format",
            "part",
            "shop",
            "material",
            "options",
            "pose",
            "findings",
            "pick",
            "currency",
            "quantity",
            "demonstration_shop",
            "volume_mm3",
            "watertight",
            "cautions",
            "trust"
        ]
    );
    let from = line.find("\"options\":[").unwrap() + "\"options\":[".len();
    // Design.md section 7, then what was added to it.
    assert_eq!(
        keys(&line[from..line[from..].find("},{\"machine\"").unwrap() + from + 1]),
        [
            "machine",
            "nozzle",
            "material",
            "fits",
            "why_not",
            "layer_height_mm",
            "bead_width_mm",
            "layers",
            "solid_fill_layers",
            "perimeters",
            "bead_length_mm",
            "travel_mm",
            "deposited_mm3",
            "support_mm3",
            "mass_g",
            "support_g",
            "seconds",
            "seconds_by",
            "limit",
            "limit_share",
            "mean_flow_mm3_s",
            "cusp_um",
            "cusp_greatest_um",
            "roughness_um",
            "detail_lost_mm3",
            "failure_probability",
            "unit_cost",
            "unit_price",
            "measured_row",
            "correction",
            "turn_deg",
            "margin_mm",
            "earned_per_machine_hour",
            "band",
            "replanned",
            "advice",
            "layer_seconds",
            "interfaces_per_cm",
            "wall_mm",
            "cusp_greatest_at_mm",
            "detail_lost_mm2",
            "grams_correction",
            "detail_lost_at_mm",
            "supported_mm2"
        ]
    );
    let told: Estimated = parsed(&line);
    assert_eq!((&told.shop, told.demonstration_shop), (&shop.name, true));
    assert_eq!(
        (told.quantity, told.currency.as_str()),
        (Some(3), shop.currency.code())
    );
    assert_eq!(told.material, shop.default_material);
    assert_eq!(told.findings.len(), answer.findings.len());
    assert!((told.volume_mm3 / part.mass.volume_mm3 - 1.0).abs() < 1e-12 && told.watertight);
    let plastic = shop
        .materials
        .iter()
        .find(|m| m.id == answer.material)
        .unwrap();
    assert!(told.cautions.starts_with(&plastic.cautions));
}

#[test]
fn every_option_that_can_be_made_adds_up_and_tells_all() {
    let (part, shop, answer) = estimated();
    let told: Estimated = parsed(&estimate_json("a", shop, part, answer));
    assert_eq!(told.options.len(), answer.options.len());
    let mut seen = 0;
    for (option, source) in told.options.iter().zip(&answer.options) {
        assert_eq!(
            (&option.machine, &option.nozzle),
            (&source.machine, &source.nozzle)
        );
        let Some(made) = source.made() else { continue };
        seen += 1;
        assert!(option.fits && option.why_not.is_none());
        let by = option.seconds_by.as_ref().unwrap();
        let sum = by.outer + by.inner + by.fill + by.open + by.sliver + by.support;
        let sum = sum + by.travel + by.layer_change + by.cooling + by.start;
        let seconds = option.seconds.unwrap();
        assert!((sum / seconds - 1.0).abs() < 1e-9, "{sum} {seconds}");
        let share = option.limit_share.as_ref().unwrap();
        let shares = [
            ("motion", share.motion),
            ("melt", share.melt),
            ("cooling", share.cooling),
        ];
        assert!((shares.iter().map(|s| s.1).sum::<f64>() - 1.0).abs() < 1e-9);
        let largest = shares.iter().max_by(|a, b| a.1.total_cmp(&b.1)).unwrap();
        assert_eq!(option.limit.as_deref(), Some(largest.0));
        let length = option.bead_length_mm.as_ref().unwrap();
        let lengths = [
            length.outer,
            length.inner,
            length.fill,
            length.open,
            length.sliver,
            length.support,
        ];
        assert!(
            lengths
                .iter()
                .zip(made.bead_length_mm)
                .all(|(a, b)| (a - b).abs() <= 1e-12 * b)
        );
        assert_eq!(option.layers, Some(made.layers));
        assert!(option.solid_fill_layers <= option.layers && option.perimeters >= Some(1));
        assert!(option.bead_width_mm.unwrap() >= option.layer_height_mm.unwrap());
        assert!(option.mass_g.unwrap() > 0.0 && option.support_g.unwrap() >= 0.0);
        assert!(option.deposited_mm3.unwrap() > 0.0 && option.support_mm3.unwrap() >= 0.0);
        assert!(option.travel_mm.unwrap() > 0.0 && option.mean_flow_mm3_s.unwrap() > 0.0);
        assert!(option.cusp_um.unwrap() <= option.cusp_greatest_um.unwrap() + 1e-9);
        assert_eq!(option.roughness_um.is_some(), made.roughness_um.is_some());
        assert!(option.detail_lost_mm3.unwrap() >= 0.0);
        assert!((0.0..1.0).contains(&option.failure_probability.unwrap()));
        for money in [
            &option.unit_cost,
            &option.unit_price,
            &option.earned_per_machine_hour,
        ] {
            assert!(is_money(money.as_ref().unwrap(), 2), "{money:?}");
        }
        assert_eq!(
            option.unit_price.as_ref().unwrap(),
            &made.ledger.unit_price.to_string()
        );
        assert_eq!(option.correction, Some(made.correction));
        assert_eq!(option.turn_deg, Some(made.pose.turn_deg));
        assert!((option.margin_mm.unwrap() - made.pose.margin_mm).abs() < 1e-9);
    }
    assert!(seen > 1);
}

#[test]
fn a_measured_row_says_whose_it_is_and_whether_it_is_borrowed() {
    let (part, shop, answer) = estimated();
    let told: Estimated = parsed(&estimate_json("a", shop, part, answer));
    let rows: Vec<_> = told
        .options
        .iter()
        .filter_map(|o| Some((o, o.measured_row.as_ref()?)))
        .collect();
    for (option, row) in &rows {
        let own = (&row.machine, &row.nozzle, &row.material)
            == (&option.machine, &option.nozzle, &option.material);
        assert_eq!((row.borrowed, row.note.is_some()), (!own, !own));
        assert_eq!(
            row.machine, option.machine,
            "rows are borrowed within a machine only"
        );
        assert!(row.melt_limit_mm3_s > 0.0 && (0.0..1.0).contains(&row.margin));
    }
    assert!(rows.iter().any(|(_, row)| row.borrowed) && rows.iter().any(|(_, row)| !row.borrowed));
}

#[test]
fn a_machine_without_a_measured_row_is_a_caution() {
    let (part, mut shop) = (part(), demonstration());
    shop.measured.clear();
    let only = Ask {
        machine: Some("slow".to_owned()),
        ..ask()
    };
    let answer = estimate(&part, &shop, &only).unwrap();
    let told: Estimated = parsed(&estimate_json("a", &shop, &part, &answer));
    assert!(
        told.options
            .iter()
            .all(|option| option.measured_row.is_none())
    );
    let unknown = |caution: &String| caution.contains("slow has no measured row");
    assert_eq!(told.cautions.iter().filter(|c| unknown(c)).count(), 1);
}

#[test]
fn a_refused_option_says_why_and_is_null_for_the_rest() {
    let (part, shop) = (part(), demonstration());
    let abrasive = shop
        .materials
        .iter()
        .find(|m| m.abrasive && m.needs_enclosure)
        .unwrap();
    let asked = Ask {
        material: Some(abrasive.id.clone()),
        machine: Some("slow".to_owned()),
        ..ask()
    };
    let answer = estimate(&part, &shop, &asked).unwrap();
    let line = estimate_json("a", &shop, &part, &answer);
    let told: Estimated = parsed(&line);
    let refused: Vec<_> = told
        .options
        .iter()
        .filter(|o| o.why_not.is_some())
        .collect();
    assert!(
        refused
            .iter()
            .any(|o| o.why_not.as_ref().unwrap().contains("; ")),
        "several reasons"
    );
    for option in &refused {
        assert!(option.fits, "it would fit");
        assert!(option.seconds.is_none() && option.seconds_by.is_none() && option.mass_g.is_none());
        assert!(option.unit_price.is_none() && option.layers.is_none());
        assert!(option.measured_row.is_none() && option.correction.is_none());
    }
    // The last key is there all the same; the reader asks for every other.
    assert_eq!(
        line.matches("\"earned_per_machine_hour\":").count(),
        told.options.len()
    );
}

#[test]
fn the_pick_and_its_pose_are_named() {
    let (part, shop, answer) = estimated();
    let told: Estimated = parsed(&estimate_json("a", shop, part, answer));
    let (option, made) = answer.picked().unwrap();
    assert_eq!(told.pick.machine.as_ref(), Some(&option.machine));
    assert_eq!(told.pick.nozzle.as_ref(), Some(&option.nozzle));
    assert_eq!(
        (&told.pick.why, &told.pick.instead),
        (&answer.pick.why, &answer.pick.instead)
    );
    assert_eq!(told.pose.down.parse::<Rest>().unwrap(), answer.down);
    assert_eq!(
        (told.pose.why, told.pose.other_pose),
        (answer.down_why.clone(), answer.other_pose.clone())
    );
    assert_eq!(told.pose.turn_deg, Some(made.pose.turn_deg));
    assert!((told.pose.margin_mm.unwrap() - made.pose.margin_mm).abs() < 1e-9);
    assert!(
        told.pose
            .size_mm
            .iter()
            .zip(answer.size_mm)
            .all(|(a, b)| (a - b).abs() < 1e-9)
    );
}

/// No machine of the shop is as high as the part.
fn of_a_low_shop() -> (InspectedMesh, Shop, Estimate) {
    let (part, mut shop) = (part(), demonstration());
    for machine in &mut shop.machines {
        machine.space.height_mm = 2.0;
    }
    let answer = estimate(&part, &shop, &ask()).unwrap();
    (part, shop, answer)
}

#[test]
fn where_nothing_can_be_made_the_pick_and_the_quote_are_empty() {
    let (part, shop, answer) = of_a_low_shop();
    let told: Quoted = parsed(&quote_json(&offer(&part, &shop, &answer, &[1, 3])));
    assert!(
        told.options
            .iter()
            .all(|o| !o.fits && o.why_not.as_ref().unwrap().contains("does not fit"))
    );
    assert_eq!(
        (told.pick.machine, told.pick.nozzle, told.quantity),
        (None, None, None)
    );
    assert!(!told.pick.why.is_empty());
    assert_eq!((told.pose.turn_deg, told.pose.margin_mm), (None, None));
    assert!(told.ledger.is_empty() && told.quantity_breaks.is_empty() && told.lead_time.is_none());
    assert_eq!((told.subtotal, told.tax, told.total), (None, None, None));
}

#[test]
fn a_quote_is_the_estimate_and_a_ledger_that_adds_up() {
    let (part, shop, answer) = estimated();
    let quoted = offer(part, shop, answer, &[3, 1, 10]);
    let line = quote_json(&quoted);
    let told: Quoted = parsed(&line);
    let estimate = estimate_json("a", shop, part, answer);
    assert!(
        line.starts_with(estimate.strip_suffix('}').unwrap()),
        "the estimate comes first, unchanged"
    );
    assert_eq!(
        keys(&line)[keys(&estimate).len()..],
        [
            "quantity_breaks",
            "ledger",
            "subtotal",
            "tax",
            "total",
            "lead_time",
            "date",
            "valid_until",
            "service",
            "price_curve"
        ]
    );

    let money = |text: &str| {
        assert!(is_money(text, 2), "{text}");
        text.parse::<rust_decimal::Decimal>().unwrap()
    };
    let lines: rust_decimal::Decimal = told.ledger.iter().map(|line| money(&line.amount)).sum();
    let (subtotal, tax) = (
        money(told.subtotal.as_ref().unwrap()),
        money(told.tax.as_ref().unwrap()),
    );
    let total = money(told.total.as_ref().unwrap());
    assert_eq!((lines, subtotal + tax), (total, total));
    assert_eq!(total, quoted.lots[0].plan.ledger.total);
    assert_eq!(told.ledger.last().unwrap().line, "tax");
    assert!(told.ledger.iter().all(|line| !line.detail.is_empty()));

    let quantities: Vec<u32> = told.quantity_breaks.iter().map(|b| b.quantity).collect();
    assert_eq!(quantities, [3, 1, 10]);
    assert_eq!(money(&told.quantity_breaks[0].total), total);
    for each in &told.quantity_breaks {
        assert!(money(&each.unit_cost) <= money(&each.unit_price));
        money(&each.earned_per_machine_hour);
        let made: u32 = each
            .starts
            .iter()
            .map(|start| start.pieces * start.times)
            .sum();
        assert_eq!(made, each.quantity);
        assert_eq!(money(&each.subtotal) + money(&each.tax), money(&each.total));
    }
    assert_eq!(
        (told.date.as_str(), told.valid_until.as_str()),
        ("2026-11-26", "2026-12-26")
    );
    let warm = &told.service[0];
    assert_eq!(
        (warm.about.as_str(), warm.service_c, warm.stands),
        ("temperature", Some(60.0), Some(true))
    );
    assert_eq!(
        (told.service[1].about.as_str(), told.service[1].stands),
        ("salt water", Some(true))
    );
    let point = |quantity| {
        told.price_curve
            .iter()
            .find(|p| p.quantity == quantity)
            .unwrap()
    };
    assert_eq!(point(10).unit_price, told.quantity_breaks[2].unit_price);
    let told_lead = told.lead_time.unwrap();
    let lead = quoted.lead.unwrap();
    assert_eq!(told_lead.prints, quoted.lots[0].plan.prints());
    assert!(
        (told_lead.hours.unwrap() - lead.hours).abs() < 1e-9 && told_lead.prints_per_week > 0.0
    );
    assert!(told_lead.note.contains("failures"));
}

#[test]
fn an_endless_lead_time_is_null() {
    let (part, shop, answer) = estimated();
    let lead = LeadTime {
        hours: f64::INFINITY,
        prints: 3,
        prints_per_week: 0.0,
    };
    let endless = Offer {
        lead: Some(lead),
        ..offer(part, shop, answer, &[1])
    };
    let told: Quoted = parsed(&quote_json(&endless));
    assert_eq!(told.lead_time.unwrap().hours, None);
}
