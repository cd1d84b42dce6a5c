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
    let Some(course) = Course::of(plan, shop, material) else {
        return Ok(None);
    };
    let rates = &shop.rates;
    let last_pieces = plan.starts.last().map_or(0, |start| start.pieces);
    let each_min =
        rates.removal_min + rates.finishing_min + rates.inspection_min + rates.packing_min;
    let left_min = each_min * f64::from(last_pieces);
    let pace = course.pace(shop)?;
    let queue = Queue {
        free_from: now,
        busy,
        ready: false,
        changeover_s: course.changeover_s,
        spool_change_s: course.spool_change_s,
        clearing_s: course.clearing_s,
        prints: course.prints,
    };
    let time = WorkingTime::of(shop, now)?;
    let delivery = delivery(&time, &[queue], left_min * SECONDS_PER_MINUTE, now, RUNS)?;
    Ok(Some(Shipping { delivery, pace }))
}

/// The pace of a plan's first kind of prints on its machine, undisturbed. `None` where the calendar has no answer.
pub fn pace_of(plan: &Plan, shop: &Shop, material: &str) -> Option<Pace> {
    Course::of(plan, shop, material)?.pace(shop).ok()
}

/// A plan's prints as its machine runs them.
struct Course {
    /// Its first kind of prints, which the pace is told of.
    first: Print,
    prints: Vec<Print>,
    changeover_s: f64,
    spool_change_s: f64,
    clearing_s: f64,
}

impl Course {
    /// `None` where the plan is empty, or its machine, nozzle or plastic are not the shop's.
    fn of(plan: &Plan, shop: &Shop, material: &str) -> Option<Course> {
        let (machine, nozzle) = (shop.machine(&plan.machine)?, shop.nozzle(&plan.nozzle)?);
        let material = shop.material(material)?;
        let print = |start: &PlannedStart| print(start, shop, machine, nozzle, material);
        let first = plan.starts.first()?;
        let rates = &shop.rates;
        let changeover_min = rates.bed_clearing_min + rates.removal_min * f64::from(first.pieces);
        Some(Course {
            first: print(first),
            prints: plan.starts.iter().map(print).collect(),
            changeover_s: changeover_min * SECONDS_PER_MINUTE,
            spool_change_s: rates.spool_change_min * SECONDS_PER_MINUTE,
            clearing_s: machine.failures.clearing_h * 3600.0,
        })
    }

    fn pace(&self, shop: &Shop) -> Result<Pace, CalendarError> {
        pace(
            &shop.attended,
            &self.first,
            self.changeover_s,
            self.spool_change_s,
        )
    }
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
