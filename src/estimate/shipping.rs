//! When the pieces of a plan can be sent: its prints in the shop's calendar.

use jiff::Timestamp;

use super::plan::{Plan, PlannedStart};
use crate::calendar::{
    CalendarError, Chances, Delivery, Pace, Print, Queue, WorkingTime, delivery, pace,
};
use crate::cost::Restart;
use crate::shop::{Machine, Material, Nozzle, Shop};

const SECONDS_PER_MINUTE: f64 = 60.0;
/// Runs through the calendar with failures: nine in ten of them is the safe date.
const RUNS: u32 = 400;

/// When a plan's pieces can be sent.
#[derive(Debug, Clone, PartialEq)]
pub struct Shipping {
    /// Its prints and dates.
    pub delivery: Delivery,
    /// Prints of its first kind that the machine makes, once running.
    pub pace: Pace,
}

/// Follows a plan's prints from `now` on, after what the machine has already booked: `busy` spans, each with the work after it.
///
/// Before every print the bed is cleared and the pieces on it are taken off, before the first it is made ready. A print that needs more
/// than one spool halts until somebody changes it. After the last print its pieces are finished, inspected and packed; those of
/// earlier prints are by then. `None` where the plan's machine, nozzle or plastic are not the shop's.
///
/// # Errors
/// [`CalendarError`]: nobody there for years, or a print that practically never ends.
pub fn shipping(
    plan: &Plan,
    shop: &Shop,
    material: &str,
    busy: Vec<(Timestamp, Timestamp)>,
    now: Timestamp,
) -> Result<Option<Shipping>, CalendarError> {
    let found = (
        shop.machine(&plan.machine),
        shop.nozzle(&plan.nozzle),
        shop.material(material),
    );
    let (Some(machine), Some(nozzle), Some(material)) = found else {
        return Ok(None);
    };
    let Some((first, last)) = plan.starts.first().zip(plan.starts.last()) else {
        return Ok(None);
    };
    let rates = &shop.rates;
    let print = |start: &PlannedStart| print(start, shop, machine, nozzle, material);
    let changeover_min = rates.bed_clearing_min + rates.removal_min * f64::from(first.pieces);
    let each_min = rates.finishing_min + rates.inspection_min + rates.packing_min;
    let left_min = rates.removal_min * f64::from(last.pieces) + each_min * f64::from(last.pieces);
    let (changeover_s, spool_change_s) = (
        changeover_min * SECONDS_PER_MINUTE,
        rates.spool_change_min * SECONDS_PER_MINUTE,
    );
    let queue = Queue {
        free_from: now,
        busy,
        ready: false,
        changeover_s,
        spool_change_s,
        clearing_s: machine.failures.clearing_h * 3600.0,
        prints: plan.starts.iter().map(print).collect(),
    };
    let time = WorkingTime::of(shop, now)?;
    let delivery = delivery(&time, &[queue], left_min * SECONDS_PER_MINUTE, now, RUNS)?;
    Ok(Some(Shipping {
        delivery,
        pace: pace(&shop.attended, &print(first), changeover_s, spool_change_s)?,
    }))
}

/// The pace of a plan's first kind of prints on its machine, undisturbed. `None` where the calendar has no answer.
pub fn pace_of(plan: &Plan, shop: &Shop, material: &str) -> Option<Pace> {
    let (machine, nozzle) = (shop.machine(&plan.machine)?, shop.nozzle(&plan.nozzle)?);
    let first = plan.starts.first()?;
    let rates = &shop.rates;
    let changeover_min = rates.bed_clearing_min + rates.removal_min * f64::from(first.pieces);
    let print = print(first, shop, machine, nozzle, shop.material(material)?);
    let [changeover_s, spool_change_s] =
        [changeover_min, rates.spool_change_min].map(|min| min * SECONDS_PER_MINUTE);
    pace(&shop.attended, &print, changeover_s, spool_change_s).ok()
}

fn print(
    start: &PlannedStart,
    shop: &Shop,
    machine: &Machine,
    nozzle: &Nozzle,
    material: &Material,
) -> Print {
    let failures = machine
        .failures
        .times(material.failure_factor * nozzle.failure_factor);
    let restart = Restart::on(
        &failures,
        start.seconds / 3600.0,
        start.start_seconds / 3600.0,
        &shop.attended,
    );
    let spools = (start.grams + shop.rates.purge_g) / (material.spool_g - material.spool_rest_g);
    Print {
        seconds: start.seconds,
        times: start.times,
        // A float becomes the nearest whole number there is.
        spool_changes: (spools.ceil() - 1.0).max(0.0) as u32,
        // What has a price has odds: the ledger was made of the same.
        chances: restart.map_or(Chances::NONE, |restart| Chances::of(&restart)),
    }
}
