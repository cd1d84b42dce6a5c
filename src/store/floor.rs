//! What is on each machine until when. Machines print what was booked first, one print after the other: each begins when
//! somebody is there, runs on through the night, and is cleared in attended hours. Times are the shop's own clock; a change to
//! or from summer time moves nothing.

use std::collections::BTreeMap;

use jiff::civil::{DateTime, Time, Weekday};
use jiff::{SignedDuration, ToSpan};

use super::entry::{Booking, What};
use super::jobs::{Jobs, Standing};
use crate::estimate::{next_attended, spans, work};
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
    hours: f64,
    from: DateTime,
    began: Option<DateTime>,
}

/// Minutes from the Monday midnight of a week, and back.
struct Clock {
    monday: DateTime,
}

impl Clock {
    fn of(now: DateTime) -> Clock {
        let back = i64::from(now.date().weekday().since(Weekday::Monday));
        let date = now.date().checked_sub(back.days()).unwrap_or(now.date());
        Clock {
            monday: date.to_datetime(Time::midnight()),
        }
    }

    fn minutes(&self, at: DateTime) -> f64 {
        at.duration_since(self.monday).as_secs_f64() / 60.0
    }

    /// To the whole minute; the last day there is, where it would lie beyond.
    fn at(&self, minutes: f64) -> DateTime {
        // A float becomes the nearest whole number there is.
        let minutes = SignedDuration::from_secs((minutes.round() as i64).saturating_mul(60));
        self.monday.checked_add(minutes).unwrap_or(DateTime::MAX)
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
        hours,
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
                hours: offer.seconds / 3600.0,
                from: booking.from,
                began: job.running.as_ref().map(|start| start.began),
            })
        })
        .collect()
}

/// When each machine was last left, cleared: after a print that ended, and after one that failed.
fn cleared(jobs: &Jobs, shop: &Shop, clock: &Clock) -> BTreeMap<String, f64> {
    let week = spans(&shop.attended);
    let mut free: BTreeMap<String, f64> = BTreeMap::new();
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
        let at = work(&week, clock.minutes(ended), clearing_min(shop, machine));
        let free = free.entry(machine.clone()).or_insert(at);
        *free = free.max(at);
    }
    free
}

fn clearing_min(shop: &Shop, machine: &str) -> f64 {
    let machine = shop.machine(machine);
    machine.map_or(0.0, |machine| machine.failures.clearing_h * 60.0)
}

fn placed(waiting: &[Waiting], jobs: &Jobs, shop: &Shop, now: DateTime) -> Vec<Placed> {
    let clock = Clock::of(now);
    let week = spans(&shop.attended);
    let now_min = clock.minutes(now);
    let mut free = cleared(jobs, shop, &clock);
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
        let due = clock.minutes(began) + waits.hours * 60.0;
        let end = due.max(now_min);
        placed.push(Placed {
            machine: waits.machine.clone(),
            job: waits.job,
            print: waits.of - waits.left + 1,
            of: waits.of,
            from: began,
            to: clock.at(end),
            running: true,
            overdue: due < now_min,
        });
        let clearing_min = clearing_min(shop, &waits.machine);
        free.insert(waits.machine.clone(), work(&week, end, clearing_min));
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
        let free = free.entry(machine.clone()).or_insert(now_min);
        let earliest = free.max(now_min);
        let clearing_min = clearing_min(shop, machine);
        let times = |waits: &Waiting| {
            let from = next_attended(&week, earliest.max(clock.minutes(waits.from)));
            let end = from + waits.hours * 60.0;
            (from, end, work(&week, end, clearing_min))
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
