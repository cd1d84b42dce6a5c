//! What is narrower than a bead is told with its volume, its area and its place.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod meshes;

use beadtally::estimate::{Ask, estimate};
use beadtally::shop::demonstration;
use meshes::inspected;
use meshes::solids::block;
use meshes::together;

/// Expected: by hand. A block with two fins of 0.2 mm, 20 mm and 10 mm long, both standing from 0 to 18 mm beside it: of
/// neither can a nozzle of 0.6 mm lay anything. In each of 50 layers of 0.36 mm 4 + 2 = 6 mm2 are lost, together
/// 6 x 18 = 108 mm3; the greater loss is that of the long fin.
#[test]
fn fins_thinner_than_a_bead_are_told_with_volume_area_and_place() {
    let fins = together(
        &block([30.0, 0.0, 0.0], [30.2, 20.0, 18.0]),
        &block([40.0, 0.0, 0.0], [40.2, 10.0, 18.0]),
    );
    let part = inspected(together(&block([0.0; 3], [20.0, 20.0, 18.0]), &fins));
    let ask = Ask {
        machine: Some("gantry".into()),
        nozzle: Some("0.6-hardened".into()),
        ..Ask::default()
    };
    let answer = estimate(&part, &demonstration(), &ask).unwrap();
    let made = answer.options.iter().find_map(|o| o.made()).unwrap();
    assert!((made.detail_lost_mm3 - 108.0).abs() < 0.5, "{made:?}");
    assert!((made.detail_lost_mm2 - 6.0).abs() < 0.02, "{made:?}");
    let [x, y, _] = made.detail_lost_at_mm.unwrap();
    assert!((29.9..30.3).contains(&x) && (-0.1..20.1).contains(&y));
    let said = answer
        .findings
        .iter()
        .find(|f| f.kind.name() == "detail_lost")
        .unwrap();
    assert!(
        said.detail
            .contains("at most 6.0 mm2 in one layer, near (30."),
        "{}",
        said.detail
    );
}
