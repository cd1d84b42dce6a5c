//! The textbook's terms of a build time, held against an estimate.
//!
//! Gibson, Rosen & Stucker, Additive Manufacturing Technologies, 2nd ed., section 16.6.2, equations 16.7 and 16.8, pages 389 and 390
//! (seen): T_build = T_scan + T_transition + T_delay; T_transition = L_p T_tp with L_p = height / layer thickness; the length scanned in
//! a layer is its area over the hatch spacing.

use beadtally::estimate::{Ask, estimate};
use beadtally::shop::demonstration;

use crate::block;

#[test]
fn a_build_is_scanning_transitions_of_every_layer_and_a_delay() {
    let shop = demonstration();
    let ask = Ask {
        machine: Some("fast".to_owned()),
        layer_height_mm: Some(0.3),
        ..Ask::default()
    };
    let answer = estimate(&block(), &shop, &ask).unwrap();
    let machine = shop.machine("fast").unwrap();
    for option in &answer.options {
        let Some(made) = option.made() else { continue };
        let seconds = &made.seconds;
        // 12 mm in layers of 0.3 mm.
        let layers = 12.0 / 0.3;
        assert!((made.layers as f64 - layers).abs() < 1e-9);
        assert!((seconds.layer_change_s - layers * machine.layer_change_s).abs() < 1e-9);
        assert!((seconds.start_s - machine.start_s).abs() < 1e-9);
        let laying_s: f64 = seconds.laying_s.iter().sum();
        let scan_s = laying_s + seconds.travel_s + seconds.cooling_s;
        let build_s = scan_s + layers * machine.layer_change_s + machine.start_s;
        assert!((seconds.whole_s() - build_s).abs() < 1e-6);
        // 30 x 20 mm at the beads' spacing; loops and corners lay a little more or less than the area asks for.
        let scanned_mm = 600.0 / made.bead.spacing_mm() * layers;
        let laid_mm: f64 = made.bead_length_mm.iter().sum();
        assert!(
            (laid_mm / scanned_mm - 1.0).abs() < 0.04,
            "{}: {laid_mm} {scanned_mm}",
            option.name()
        );
    }
}
