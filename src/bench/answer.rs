//! What is said of readings, ending in the lines for the shop file.

use super::page::Page;
use super::sheet::shop_line;
use super::stopwatch::LONGER_PAUSE_S;
use super::toml::{bonding_toml, density_toml, figures, flow_toml, range, stopwatch_toml};
use super::{
    Bonding, BondingPlan, BondingVerdict, Density, FlowPlan, FlowVerdict, MotionVerdict, Setup,
    StopwatchPlan,
};

/// The melt limit, or why five weighings give none.
pub fn flow_answer(setup: &Setup<'_>, plan: &FlowPlan, verdict: &FlowVerdict) -> String {
    let mut page = Page::default();
    match &verdict.limit {
        Some(limit) => page.say(format!(
            "Melt limit of {}: {} mm3/s, between {} and {} mm3/s. At {} mm/min it had broken down.",
            option(setup),
            figures(limit.melt_limit_mm3_s),
            figures(limit.within_mm3_s[0]),
            figures(limit.within_mm3_s[1]),
            limit.broke_at_mm_min
        )),
        None => page.say(format!(
            "No melt limit of {} was reached: {} mm3/s surely held, and no feed surely broke down; weigh again with faster feeds, such as --between {},{}.",
            option(setup),
            figures(verdict.held_mm3_s),
            figures(verdict.held_mm3_s),
            figures(2.0 * verdict.held_mm3_s)
        )),
    }
    page.gap();
    page.line("     feed      flow   weighed   came out   against the slowest");
    page.line("   mm/min     mm3/s         g          %         %");
    for row in &verdict.feeds {
        page.line(format!(
            "  {:7.1}   {:7.2}  {:8.2}   {:8.1}   {:7.1}   ({:.1} to {:.1})",
            row.feed_mm_min,
            row.flow_mm3_s,
            row.grams,
            100.0 * row.delivered,
            100.0 * row.against_slowest,
            100.0 * row.within[0],
            100.0 * row.within[1]
        ));
    }
    page.gap();
    page.say(format!(
        "A feed holds where at least 95 % of it comes out against the slowest (the mean of two, where the second slips by under 1.5 %); the limit lies on a straight between the last that held and the next, its range between feeds that surely did and did not, by a scale of {} g steps.",
        plan.scale_g
    ));
    let slowest = 100.0 * verdict.feeds[0].delivered;
    if (slowest - 100.0).abs() > 3.0 {
        page.say(format!(
            "Mind: at the slowest feed {slowest:.1} % of what was fed came out. Density or feedstock diameter in the shop file, or the drive, is off by so much; grams and price follow density and diameter."
        ));
    }
    if let Some(limit) = &verdict.limit {
        page.say(format!(
            "To narrow it: bench flow with --between {},{}.",
            figures(limit.within_mm3_s[0]),
            figures(limit.within_mm3_s[1])
        ));
    }
    let row = if setup.has_own_row() {
        "For the shop file; a row for these stands there already, so change its melt_limit_mm3_s and melt_doubt:"
    } else {
        "For the shop file:"
    };
    end(page, setup, flow_toml(setup, verdict), row)
}

/// Acceleration and deviation.
pub fn stopwatch_answer(
    setup: &Setup<'_>,
    plan: &StopwatchPlan,
    verdict: &MotionVerdict,
) -> String {
    let mut page = Page::default();
    let motion = &verdict.motion;
    page.say(format!(
        "{} reaches {} mm/s2 ({}) and passes corners at {} mm ({}).",
        setup.machine.id,
        figures(motion.acceleration_mm_s2),
        range(motion.acceleration_within_mm_s2),
        figures(motion.corner_deviation_mm),
        range(motion.corner_deviation_within_mm)
    ));
    page.say(format!(
        "From {} s and {} s; the ranges are those of a watch {} s off on each.",
        verdict.long_s, verdict.short_s, motion.watch_s
    ));
    if !plan.unbroken {
        let then = match motion.with_longer_pause {
            Some([acceleration, deviation]) => format!(
                "would make it {} mm/s2 and {} mm",
                figures(acceleration),
                figures(deviation)
            ),
            None => "would leave no motion that fits".to_owned(),
        };
        page.say(format!(
            "The pause between laps was taken as {} s; {LONGER_PAUSE_S} s more {then}. An unbroken line (--unbroken) has no such doubt.",
            plan.pause_s
        ));
    }
    page.say(format!(
        "The shop file says {} mm/s2 and {} mm so far.",
        figures(setup.machine.acceleration_mm_s2),
        figures(setup.machine.corner_deviation_mm)
    ));
    end(
        page,
        setup,
        Some(stopwatch_toml(setup, verdict)),
        "For the shop file:",
    )
}

/// The temperatures that held, or why none are given.
pub fn bonding_answer(setup: &Setup<'_>, plan: &BondingPlan, verdict: &BondingVerdict) -> String {
    let mut page = Page::default();
    let id = &setup.material.id;
    match verdict.bonding {
        Bonding::Between { low_c, high_c } => {
            let held = if low_c == high_c {
                format!("{low_c} C alone")
            } else {
                format!("{low_c} to {high_c} C")
            };
            page.say(format!("{id} held at {held} on {}.", setup.machine.id));
            page.say("The shop file has one range for a plastic on all machines: a machine that reaches none of it can no longer lay it.");
            let [coolest, hottest] = plan.allowed_c;
            if low_c <= coolest || high_c >= hottest {
                page.say(format!(
                    "It held to the end of what was tried ({coolest} to {hottest} C): the range may reach further, if the plastic's maker and the machine allow it."
                ));
            }
        }
        Bonding::Nowhere => page.say(format!(
            "{id} held at none of the five temperatures: dry the plastic, slow the cooling or warm the surroundings, and lay the strip again; nothing goes into the shop file."
        )),
        Bonding::Contradictory {
            below_c,
            broke_c,
            above_c,
        } => page.say(format!(
            "{id} held at {below_c} C and at {above_c} C but broke at {broke_c} C between them, which temperature does not explain: look at that storey for a fault, and lay the strip again; nothing goes into the shop file."
        )),
    }
    end(
        page,
        setup,
        bonding_toml(setup, verdict),
        "For the shop file:",
    )
}

/// The density as printed.
pub fn density_answer(setup: &Setup<'_>, density: &Density) -> String {
    let mut page = Page::default();
    let off = 100.0 * (density.density_g_cm3 / density.file_g_cm3 - 1.0);
    page.say(format!(
        "{} as printed on {}: {} g/cm3 ({} to {}), {off:+.1} % against the shop file's {}.",
        setup.material.id,
        setup.machine.id,
        figures(density.density_g_cm3),
        figures(density.within_g_cm3[0]),
        figures(density.within_g_cm3[1]),
        density.file_g_cm3
    ));
    if off.abs() > 10.0 {
        page.say("Mind: that is far off. A part with open fill, support still on it or lost detail weighs otherwise: was it the part of --of, printed solid and cleaned? The shop file has one density for a plastic on all machines.");
    }
    page.say(format!(
        "{} g on {:.2} cm3 laid.",
        density.grams,
        density.laid_mm3 / 1000.0
    ));
    end(
        page,
        setup,
        Some(density_toml(setup, density)),
        "For the shop file:",
    )
}

fn option(setup: &Setup<'_>) -> String {
    format!(
        "{}/{}/{}",
        setup.machine.id, setup.nozzle.id, setup.material.id
    )
}

/// Whose shop it is, then the lines for its file last, so that they can be cut off the end.
fn end(mut page: Page, setup: &Setup<'_>, toml: Option<String>, head: &str) -> String {
    shop_line(&mut page, setup);
    if let Some(toml) = toml {
        page.gap();
        page.line(head);
        page.gap();
        for line in toml.lines() {
            page.line(line);
        }
    }
    page.text()
}
