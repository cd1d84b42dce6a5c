//! What is on each machine until when. Machines print what was booked first, one print after the other: each begins when
//! somebody is there, runs on through the night, and is cleared in attended hours. Times are the shop's own clock, with its holidays
//! and its changes to and from summer time: a print takes as long as it takes, whatever the clock does meanwhile.

use std::collections::BTreeMap;

use jiff::ToSpan;
use jiff::civil::DateTime;

use super::entry::{Booking, What};
use super::jobs::{Jobs, Standing};
use crate::calendar::{WorkingTime, timestamp};
use crate::shop::Shop;

/// One print on a machine.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// The machine's id.
    pub machine: String,
    /// The job.
    pub job: u64,
    /// Which print of the job, from 1 on.
    pub print: u32,
    /// Prints of the job.
    pub of: u32,
    /// When it begins, or began.
    pub from: DateTime,
    /// When it is expected to end.
    pub to: DateTime,
    /// Whether it runs now.
    pub running: bool,
    /// Whether it should have ended by now.
    pub overdue: bool,
}

/// A job that is printed later than its customer was told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slip {
    /// The job.
    pub job: u64,
    /// When the customer was told.
    pub was: DateTime,
    /// When it is now.
    pub is: DateTime,
}

impl Slip {
    /// By how much it slips, h.
    pub fn hours(&self) -> f64 {
        self.is.duration_since(self.was).as_secs_f64() / 3600.0
    }
}

/// What a booked job still asks of its machine.
struct Waiting {
    job: u64,
    machine: String,
    of: u32,
    left: u32,
    seconds: i64,
    from: DateTime,
    began: Option<DateTime>,
}

/// The shop's clock, as moments in seconds, and when somebody is there.
struct Clock<'a> {
    shop: &'a Shop,
    time: WorkingTime,
    now: i64,
}

/// Beds that were left longer ago are cleared by now, days.
const CLEARED_DAYS: i64 = 400;
/// The year 9999 begins, s.
const LAST_S: i64 = 253_370_764_800;

impl<'a> Clock<'a> {
    fn of(shop: &'a Shop, now: DateTime) -> Self {
        let earliest = now.checked_sub(CLEARED_DAYS.days()).unwrap_or(now);
        let from = shop.calendar.moment(earliest);
        Clock {
            shop,
            // Holidays without end only put everything off.
            time: WorkingTime::laid_out(&shop.attended, &shop.calendar, from),
            now: shop.calendar.moment(now).as_second(),
        }
    }

    /// When a machine is cleared whose print ends at `end`.
    fn cleared(&self, machine: &str, end: i64) -> i64 {
        // No moment lies beyond; whoever booked for longer is told the last there is.
        let end = end.min(LAST_S);
        let clearing_h = self
            .shop
            .machine(machine)
            .map_or(0.0, |m| m.failures.clearing_h);
        self.time
            .worked_s(end, (clearing_h * 3600.0).round() as i64)
    }

    fn seconds(&self, at: DateTime) -> i64 {
        self.shop.calendar.moment(at).as_second()
    }

    /// To the whole minute; the last there is, where it would lie beyond.
    fn at(&self, seconds: i64) -> DateTime {
        let minute = seconds.saturating_add(30).div_euclid(60).saturating_mul(60);
        self.shop.calendar.zone.to_datetime(timestamp(minute))
    }
}

/// The queue of each machine from now on.
pub fn floor(jobs: &Jobs, shop: &Shop, now: DateTime) -> Vec<Placed> {
    placed(&waiting(jobs), jobs, shop, now)
}

/// Where the prints of a job would go that is not booked yet.
pub fn place(
    jobs: &Jobs,
    shop: &Shop,
    booking: &Booking,
    hours: f64,
    now: DateTime,
) -> Vec<Placed> {
    let mut waiting = waiting(jobs);
    waiting.push(Waiting {
        job: booking.job,
        machine: booking.machine.clone(),
        of: booking.prints,
        left: booking.prints,
        seconds: (hours * 3600.0).round() as i64,
        from: booking.from,
        began: None,
    });
    let mut all = placed(&waiting, jobs, shop, now);
    all.retain(|p| p.job == booking.job);
    all
}

/// When the last print of a job ends; `None` where none is left.
pub fn ready(placed: &[Placed], job: u64) -> Option<DateTime> {
    placed.iter().filter(|p| p.job == job).map(|p| p.to).max()
}

/// The jobs on a machine that end later than their customers were told.
pub fn late(jobs: &Jobs, placed: &[Placed], machine: &str) -> Vec<Slip> {
    let mut on: Vec<u64> = placed
        .iter()
        .filter(|p| p.machine == machine)
        .map(|p| p.job)
        .collect();
    on.sort_unstable();
    on.dedup();
    on.into_iter()
        .filter_map(|job| {
            let was = jobs.jobs.get(&job)?.booking.as_ref()?.ready;
            let is = ready(placed, job)?;
            (is > was).then_some(Slip { job, was, is })
        })
        .collect()
}

/// Jobs with prints left in the order they were booked.
fn waiting(jobs: &Jobs) -> Vec<Waiting> {
    let booked = jobs.entries().iter().filter_map(|entry| match &entry.what {
        What::Booking(booking) => Some(booking.job),
        _ => None,
    });
    booked
        .filter_map(|number| {
            let job = jobs.jobs.get(&number)?;
            let booking = job.booking.as_ref()?;
            let offer = job.offer.as_ref()?;
            let open = matches!(job.standing(), Standing::Booked | Standing::Printing);
            open.then(|| Waiting {
                job: number,
                machine: booking.machine.clone(),
                of: booking.prints,
                left: job.prints_left(),
                seconds: offer.seconds.round() as i64,
                from: booking.from,
                began: job.running.as_ref().map(|start| start.began),
            })
        })
        .collect()
}

/// When each machine was last left, cleared: after a print that ended, and after one that failed.
fn cleared(jobs: &Jobs, clock: &Clock<'_>) -> BTreeMap<String, i64> {
    let mut free: BTreeMap<String, i64> = BTreeMap::new();
    for entry in jobs.entries() {
        let (number, ended) = match &entry.what {
            What::Actual(e) => (e.job, e.ended),
            What::Failed(e) => (e.job, e.stopped),
            _ => continue,
        };
        let booking = jobs.jobs.get(&number).and_then(|job| job.booking.as_ref());
        let Some(machine) = booking.map(|b| &b.machine) else {
            continue;
        };
        let at = clock.cleared(machine, clock.seconds(ended));
        let free = free.entry(machine.clone()).or_insert(at);
        *free = at.max(*free);
    }
    free
}

fn placed(waiting: &[Waiting], jobs: &Jobs, shop: &Shop, now: DateTime) -> Vec<Placed> {
    let clock = Clock::of(shop, now);
    let mut free = cleared(jobs, &clock);
    let mut placed = Vec::new();
    // What runs now goes before what was booked earlier and waits.
    let order = waiting
        .iter()
        .filter(|w| w.began.is_some())
        .chain(waiting.iter().filter(|w| w.began.is_none()));
    let mut rest: Vec<(&Waiting, u32)> = Vec::new();
    for waits in order {
        let Some(began) = waits.began else {
            rest.push((waits, 0));
            continue;
        };
        let due = clock.seconds(began).saturating_add(waits.seconds);
        let end = due.max(clock.now);
        placed.push(Placed {
            machine: waits.machine.clone(),
            job: waits.job,
            print: waits.of - waits.left + 1,
            of: waits.of,
            from: began,
            to: clock.at(end),
            running: true,
            overdue: due < clock.now,
        });
        free.insert(waits.machine.clone(), clock.cleared(&waits.machine, end));
        rest.push((waits, 1));
    }
    // Back into the order of booking.
    rest.sort_by_key(|(waits, _)| waiting.iter().position(|w| w.job == waits.job));
    let mut prints: Vec<(&Waiting, u32)> = rest
        .into_iter()
        .flat_map(|(waits, under_way)| (under_way..waits.left).map(move |print| (waits, print)))
        .collect();
    while let Some((first, _)) = prints.first() {
        let machine = &first.machine;
        let free = free.entry(machine.clone()).or_insert(clock.now);
        let earliest = clock.now.max(*free);
        let times = |waits: &Waiting| {
            let asked = earliest.max(clock.seconds(waits.from));
            let from = clock.time.attended_after_s(asked);
            let end = from.saturating_add(waits.seconds);
            (from, end, clock.cleared(machine, end))
        };
        let (begins, _, _) = times(first);
        // What was booked later goes before only where it is done and cleared by then.
        let fits = |(waits, _): &(&Waiting, u32)| {
            waits.machine == *machine && begins > earliest && times(waits).2 <= begins
        };
        let next = prints.iter().position(fits).unwrap_or(0);
        let (waits, print) = prints.remove(next);
        let (from, end, cleared) = times(waits);
        *free = cleared;
        placed.push(Placed {
            machine: waits.machine.clone(),
            job: waits.job,
            print: waits.of - waits.left + print + 1,
            of: waits.of,
            from: clock.at(from),
            to: clock.at(end),
            running: false,
            overdue: false,
        });
    }
    placed
}
