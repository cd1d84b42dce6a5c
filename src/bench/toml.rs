//! The lines to put into the shop file.

use super::{Bonding, BondingVerdict, Density, FlowVerdict, MotionVerdict, Setup};

/// The `[[measured]]` row of a melt limit; `None` where none was found.
pub fn flow_toml(setup: &Setup<'_>, verdict: &FlowVerdict) -> Option<String> {
    let limit = verdict.limit.as_ref()?;
    let [low, high] = limit.within_mm3_s;
    Some(format!(
        "[[measured]]\nmachine = {}\nnozzle = {}\nmaterial = {}\nmelt_limit_mm3_s = {}   # weighed: between {} and {}\nmelt_doubt = {:.2}   # the farther of the two, as a fraction\n",
        text(&setup.machine.id),
        text(&setup.nozzle.id),
        text(&setup.material.id),
        figures(limit.melt_limit_mm3_s),
        figures(low),
        figures(high),
        (high / limit.melt_limit_mm3_s - 1.0).max(1.0 - low / limit.melt_limit_mm3_s)
    ))
}

/// The machine's two keys.
pub fn stopwatch_toml(setup: &Setup<'_>, verdict: &MotionVerdict) -> String {
    let motion = &verdict.motion;
    format!(
        "# in place of the same keys in the [[machine]] table of id = {}\nacceleration_mm_s2 = {}   # timed: {} mm/s2\ncorner_deviation_mm = {}   # timed: {} mm\n",
        text(&setup.machine.id),
        figures(motion.acceleration_mm_s2),
        range(motion.acceleration_within_mm_s2),
        figures(motion.corner_deviation_mm),
        range(motion.corner_deviation_within_mm)
    )
}

/// The plastic's nozzle temperatures; `None` where no range held.
pub fn bonding_toml(setup: &Setup<'_>, verdict: &BondingVerdict) -> Option<String> {
    let Bonding::Between { low_c, high_c } = verdict.bonding else {
        return None;
    };
    Some(format!(
        "# in place of nozzle_c in the [[material]] table of id = {}\nnozzle_c = [{low_c}, {high_c}]   # bent: held at these, of five tried\n",
        text(&setup.material.id)
    ))
}

/// The plastic's density.
pub fn density_toml(setup: &Setup<'_>, density: &Density) -> String {
    let [low, high] = density.within_g_cm3;
    format!(
        "# in place of density_g_cm3 in the [[material]] table of id = {}\ndensity_g_cm3 = {}   # weighed as printed: {} to {}\n",
        text(&setup.material.id),
        figures(density.density_g_cm3),
        figures(low),
        figures(high)
    )
}

/// Text as the shop file spells it.
fn text(id: &str) -> String {
    toml_edit::Value::from(id).to_string()
}

/// A range with what the watch leaves open.
pub(super) fn range(within: [Option<f64>; 2]) -> String {
    match within {
        [Some(low), Some(high)] => format!("{} to {}", figures(low), figures(high)),
        [Some(low), None] => format!("at least {}", figures(low)),
        [None, Some(high)] => format!("at most {}", figures(high)),
        [None, None] => "not bounded by this watch".to_owned(),
    }
}

/// Four figures: finer than anything measured here, without noise behind.
pub(super) fn figures(value: f64) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    // The place of the fourth figure: 2 is hundreds, -3 thousandths.
    let place = value.abs().log10().floor() as i32 - 3;
    let written = if place > 0 {
        let unit = 10f64.powi(place);
        format!("{:.0}", (value / unit).round() * unit)
    } else {
        format!("{value:.*}", place.unsigned_abs() as usize)
    };
    if written.contains('.') {
        written
            .trim_end_matches('0')
            .trim_end_matches('.')
            .to_owned()
    } else {
        written
    }
}
