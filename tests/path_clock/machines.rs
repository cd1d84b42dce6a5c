//! The machines on which both clocks run.

use beadtally::motion::{Limits, Speeds};

use crate::meshes::job::{bare_limits, one_speed};

/// A machine that motion holds, one that the melt holds, one with tight corners and no melt limit, and the second with a
/// least layer time. Speeds and accelerations are common practice, no source.
pub fn machines() -> [(&'static str, Limits); 4] {
    let slow = Limits {
        retraction_s: 0.9,
        layer_change_s: 1.0,
        start_s: 600.0,
        ..bare_limits(one_speed(27.5, 60.0), 500.0, None)
    };
    let fast = Limits {
        speeds: Speeds {
            outer_mm_s: 120.0,
            inner_mm_s: 160.0,
            fill_mm_s: 200.0,
            open_mm_s: 200.0,
            sliver_mm_s: 120.0,
            support_mm_s: 180.0,
            travel_mm_s: 400.0,
            first_layer_mm_s: 50.0,
        },
        retraction_s: 0.3,
        layer_change_s: 0.6,
        ..bare_limits(one_speed(1.0, 1.0), 8000.0, Some(15.0))
    };
    let sharp = Limits {
        corner_deviation_mm: 0.005,
        melt_cap_mm3_s: None,
        acceleration_mm_s2: 2000.0,
        ..fast
    };
    let cooled = Limits {
        least_layer_s: 20.0,
        ..fast
    };
    [
        ("motion", slow),
        ("melt", fast),
        ("corners", sharp),
        ("cooling", cooled),
    ]
}
