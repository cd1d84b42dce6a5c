//! What failures do to an order, in words.

use super::words::length;
use crate::cost::Restart;
use crate::estimate::Plan;
use crate::shop::Shop;

/// A print this long shows what length costs, h; of a longer one, one twice as long does.
const LONG_H: f64 = 60.0;

/// What one print of a plan needs, what a longer one would, and whose chances these are.
///
/// The chances are read back from the plan's own ledger, so that they are those that were charged.
pub(super) fn risk_sentences(plan: &Plan, shop: &Shop) -> Vec<String> {
    let (Some(start), Some(machine)) = (plan.starts.first(), shop.machine(&plan.machine)) else {
        return Vec::new();
    };
    let risk = &plan.ledger.risk;
    let hours = start.seconds / 3600.0;
    let rate_per_h = risk.runs_past_start.ln() / hours;
    let start_chance = 1.0 - risk.runs_past_start / risk.starts;
    let longer_h = if 2.0 * hours < LONG_H {
        LONG_H
    } else {
        2.0 * hours
    };
    let longer = Restart {
        hours: longer_h,
        heating_h: 0.0,
        start_chance,
        start_lost_h: 0.0,
        rate_per_h,
        stop_h: 0.0,
    };
    let longer = longer.risk().map_or_else(
        |error| format!("one of {longer_h:.0} h: {error}"),
        |risk| format!("one of {longer_h:.0} h {:.2}", risk.starts),
    );
    let odds = format!(
        "One {} h print at {} % per hour and {} % per start needs {:.2} starts on average, {longer}; {:.1} % of its starts fail.",
        length(one_decimal(hours)),
        length(100.0 * rate_per_h),
        length(100.0 * start_chance),
        risk.starts,
        100.0 * risk.failure_probability,
    );
    let whose = if machine.failures.by_default {
        format!(
            "The chances of {} are stated defaults, a judgement without source, until its own record is in the shop file.",
            plan.machine
        )
    } else {
        format!(
            "The chances of {} are those of its record in the shop file.",
            plan.machine
        )
    };
    vec![odds, whose]
}

fn one_decimal(hours: f64) -> f64 {
    (10.0 * hours).round() / 10.0
}
