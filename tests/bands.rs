//! Bands, advice and what-if: what is planned again moves as it must.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use beadtally::estimate::{Ask, Change, Made, estimate};
use beadtally::mesh::{InspectedMesh, read};
use beadtally::motion::Limit;
use beadtally::shop::{DEMONSTRATION_TOML, Shop, demonstration, with_changes};

fn part() -> InspectedMesh {
    read(std::fs::read("models/cleat_block.stl").unwrap()).unwrap()
}

fn all(shop: &Shop) -> Vec<(String, Made)> {
    let answer = estimate(&part(), shop, &Ask::default()).unwrap();
    let options = answer.options.iter();
    options
        .filter_map(|o| Some((o.name(), o.made()?.clone())))
        .collect()
}

#[test]
fn every_option_has_a_band_around_its_hours_and_its_price() {
    for (name, made) in all(&demonstration()) {
        let band = made.band.as_ref().unwrap();
        let whole_s = made.seconds.whole_s();
        assert!(band.from_s < whole_s && whole_s < band.to_s, "{name}");
        assert!(band.from_price <= made.ledger.unit_price, "{name}");
        assert!(made.ledger.unit_price <= band.to_price, "{name}");
        let widths: Vec<f64> = band.inputs.iter().map(|i| i.to_s - i.from_s).collect();
        assert!(
            widths.is_sorted_by(|a, b| a >= b),
            "{name}: the first weighs most"
        );
        // Joined as the root of squares: wider than the widest, narrower than all added.
        let width_s = band.to_s - band.from_s;
        assert!(width_s <= widths.iter().sum::<f64>() + 1e-6, "{name}");
        assert!(width_s >= widths[0] - 1e-6, "{name}");
    }
}

#[test]
fn a_borrowed_melt_limit_makes_a_wider_band_than_a_measured_one() {
    let melt = |made: &Made| {
        let band = made.band.as_ref().unwrap();
        let input = band.inputs.iter().find(|i| i.name == "melt_limit").unwrap();
        (input.to_s - input.from_s) / made.seconds.whole_s()
    };
    let lent = all(&demonstration());
    let change = ["measured.round/0.6-hardened/petg-cf.melt_limit_mm3_s=11.0".to_owned()];
    let measured = all(&with_changes(DEMONSTRATION_TOML, "shop.toml", &change).unwrap());
    let of = |options: &[(String, Made)]| {
        let found = options
            .iter()
            .find(|(name, _)| name == "round/0.6-hardened");
        melt(&found.unwrap().1)
    };
    assert!(
        of(&lent) > 2.0 * of(&measured),
        "{} {}",
        of(&lent),
        of(&measured)
    );
}

#[test]
fn doubts_of_nothing_leave_only_what_thinning_does() {
    let changes =
        ["melt_doubt", "borrowed_melt_doubt", "motion_doubt"].map(|k| format!("process.{k}=0"));
    let shop = with_changes(DEMONSTRATION_TOML, "shop.toml", &changes).unwrap();
    for (name, made) in all(&shop) {
        let band = made.band.as_ref().unwrap();
        assert_eq!(band.inputs[0].name, "thinning", "{name}");
        let width = (band.to_s - band.from_s) / made.seconds.whole_s();
        assert!(width < 0.01, "{name}: {width}");
    }
}

/// What holds the speed decides what helps: derived from the model, for a cap acts only where it is below the speed aimed at.
#[test]
fn twice_the_melt_rate_helps_where_the_melt_holds_and_nowhere_else() {
    for (name, made) in all(&demonstration()) {
        let saved = |change| 1.0 - made.seconds_with(change).unwrap() / made.seconds.whole_s();
        let (melt, motion) = (saved(Change::MeltDoubled), saved(Change::MotionDoubled));
        assert!((0.0..0.5).contains(&melt), "{name}: {melt}");
        assert!((-1e-9..0.75).contains(&motion), "{name}: {motion}");
        match made.limit {
            // Held by the melt just below its own speeds, a machine gains little from more of it.
            Limit::Melt if made.limit_share[1] > 0.8 => assert!(melt > motion, "{name}"),
            Limit::Motion if made.limit_share[1] == 0.0 => assert_eq!(melt, 0.0, "{name}"),
            _ => {}
        }
        // A rise of a fifth can save at most a sixth of the time.
        assert!(saved(Change::MeltFifthMore) <= 1.0 / 6.0 + 1e-9, "{name}");
    }
}

#[test]
fn a_replanned_change_is_what_a_changed_shop_answers() {
    let doubled = ["measured.fast/0.6-hardened/petg-cf.melt_limit_mm3_s=47.5".to_owned()];
    let changed = all(&with_changes(DEMONSTRATION_TOML, "shop.toml", &doubled).unwrap());
    let of = |options: &[(String, Made)]| {
        let found = options.iter().find(|(name, _)| name == "fast/0.6-hardened");
        found.unwrap().1.clone()
    };
    let replanned_s = of(&all(&demonstration()))
        .seconds_with(Change::MeltDoubled)
        .unwrap();
    let whole_s = of(&changed).seconds.whole_s();
    assert!(
        (replanned_s / whole_s - 1.0).abs() < 1e-9,
        "{replanned_s} {whole_s}"
    );
}

#[test]
fn the_layers_of_an_option_add_up_to_its_hours() {
    for (name, made) in all(&demonstration()) {
        let layers_s: f64 = made.profile.iter().map(|layer| layer.seconds).sum();
        let whole_s = made.seconds.whole_s();
        assert!(
            (layers_s + made.seconds.start_s - whole_s).abs() < 1e-6 * whole_s,
            "{name}"
        );
        let stretch_s: f64 = made.profile.iter().map(|layer| layer.stretch_s).sum();
        assert!(
            (stretch_s - made.seconds.cooling_s).abs() < 1e-6 * whole_s,
            "{name}"
        );
        assert_eq!(made.profile.len(), made.layers, "{name}");
    }
}

/// Expected: derived. A row that says how far its melt limit may be off has that in its band, and its own corrections; rows that borrow
/// from it have neither.
#[test]
fn what_a_row_says_of_itself_is_its_own() {
    let changes = [
        "melt_doubt=0.25",
        "correction=1.1",
        "grams_correction=1.02",
        "band_factor=0.5",
    ]
    .map(|change| format!("measured.fast/0.6-hardened/petg-cf.{change}"));
    let changed = with_changes(DEMONSTRATION_TOML, "demonstration.toml", &changes).unwrap();
    let (before, after) = (all(&demonstration()), all(&changed));
    for ((name, old), (_, new)) in before.iter().zip(&after) {
        let ratio = new.seconds.whole_s() / old.seconds.whole_s();
        if name == "fast/0.6-hardened" {
            assert!((ratio - 1.1).abs() < 1e-9, "{name}: {ratio}");
            assert!((new.mass_g / old.mass_g - 1.02).abs() < 1e-9, "{name}");
            let band = new.band.as_ref().unwrap();
            assert!(band.inputs.iter().any(|i| i.range.contains("within 25 %")));
            assert_eq!(band.learnt, Some(0.5));
            // Half of the logarithm: the root of what the inputs alone give.
            let whole_s = new.seconds.whole_s();
            let off = |f: &dyn Fn(f64, f64) -> f64| {
                let squares = band.inputs.iter().map(|i| f(i.from_s, i.to_s).powi(2));
                squares.sum::<f64>().sqrt()
            };
            let up_s = whole_s + off(&|_, to_s| to_s - whole_s);
            assert!((band.to_s - whole_s * (up_s / whole_s).sqrt()).abs() < 1e-6);
        } else {
            assert!((ratio - 1.0).abs() < 1e-12, "{name}: {ratio}");
            assert_eq!(new.mass_g, old.mass_g, "{name}");
        }
    }
}

/// A change that moves only the band is told as that.
#[test]
fn a_what_if_that_moves_only_the_band_says_so() {
    let change = "process.melt_doubt=0.3".to_owned();
    let changed = with_changes(
        DEMONSTRATION_TOML,
        "demonstration.toml",
        std::slice::from_ref(&change),
    )
    .unwrap();
    let ask = Ask {
        machine: Some("fast".into()),
        ..Ask::default()
    };
    let [before, after] = [&demonstration(), &changed].map(|s| estimate(&part(), s, &ask).unwrap());
    let text = beadtally::quote::what_if_text("a part", &[change], &before, &after);
    let told = "fast/0.6-hardened: hours and price stay, the band becomes ";
    assert!(text.contains(told), "{text}");
    assert!(!text.contains("1 options"), "{text}");
}
