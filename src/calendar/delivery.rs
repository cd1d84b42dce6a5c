//! When an order can leave: undisturbed, by expectation, likely and safe.

use jiff::civil::Date;
use jiff::{Timestamp, Zoned};

use super::chance::Stream;
use super::queue::{Job, Line, whole};
use super::run::{FAR_S, Run};
use super::working_time::timestamp;
use super::{CalendarError, Queue, WorkingTime};

/// Equal prints are followed one by one up to this many; past them their mean pace is carried on.
const FOLLOWED: f64 = 1000.0;
/// Prints that are followed in all runs together: what a few tenths of a second allow.
const ALL_FOLLOWED: f64 = 4e6;
/// Never fewer runs than this, where they were asked for: nine in ten of fewer would mean little.
const LEAST_RUNS: u32 = 25;
/// Never more.
const MOST_RUNS: u32 = 10_000;
/// Starts and ends that are told of each queue.
const TOLD: usize = 100;
/// The share of runs that a safe date holds for.
const SAFE: f64 = 0.9;

/// The same moment, four ways.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ends<T> {
    /// If nothing fails.
    pub undisturbed: T,
    /// The mean of all runs: with as many restarts as are to be expected.
    pub mean: T,
    /// Half of the runs are done by then.
    pub likely: T,
    /// Nine in ten runs are done by then.
    pub safe: T,
}

/// What a machine does of an order.
#[derive(Debug, Clone, PartialEq)]
pub struct QueueTimes {
    /// Start and end of its first prints, at most 100, if nothing fails.
    pub prints: Vec<(Zoned, Zoned)>,
    /// When its last print ends; `None` where it has none.
    pub printed: Option<Ends<Zoned>>,
}

/// When an order can leave.
#[derive(Debug, Clone, PartialEq)]
pub struct Delivery {
    /// Each queue, in the order given.
    pub queues: Vec<QueueTimes>,
    /// When the last print of all ends.
    pub printed: Ends<Zoned>,
    /// When the finishing after it is done.
    pub finished: Ends<Zoned>,
    /// The day on which it leaves: of the first moment from then on at which somebody is there.
    pub dispatch: Ends<Date>,
    /// Runs that were followed.
    pub runs: u32,
}

/// Follows all machines from `now` on until the order can leave. Each machine prints what is in its queue; when the last print of all has
/// ended, `finishing_s` of attended work are done, and the order leaves while somebody is there.
///
/// Failures come from `runs` runs through all queues (400 are plenty), always with the same chances for the same order: the same
/// input gives the same dates. Past 1000 equal prints the mean pace of those 1000 is carried on and the spread grows with the square
/// root of their number, as that of a sum does; holidays in that time count only as they do in the first 1000. Orders of very many
/// unlike prints are followed in fewer runs, never under 25.
///
/// # Errors
/// Nothing to print; numbers that are none; a print that would take over 1000 starts or spool changes; an end after the year 9998.
pub fn delivery(
    time: &WorkingTime,
    queues: &[Queue],
    finishing_s: f64,
    now: Timestamp,
    runs: u32,
) -> Result<Delivery, CalendarError> {
    let finishing_s = whole("the finishing", finishing_s)?;
    let lines: Vec<Line> = queues
        .iter()
        .map(|queue| Line::of(queue, now))
        .collect::<Result<_, _>>()?;
    if lines.iter().all(|line| line.jobs.is_empty()) {
        return Err(CalendarError::NoPrints);
    }
    let runs = runs_followed(&lines, runs);
    let mut last_s = vec![i64::MIN; runs as usize];
    let mut last_undisturbed = i64::MIN;
    let mut told = Vec::with_capacity(lines.len());
    for (machine, line) in lines.iter().enumerate() {
        if line.jobs.is_empty() {
            told.push(QueueTimes {
                prints: Vec::new(),
                printed: None,
            });
            continue;
        }
        let (undisturbed, prints) = follow_undisturbed(time, line);
        let ends = follow(time, line, machine, runs, undisturbed);
        last_undisturbed = last_undisturbed.max(undisturbed);
        for (last, end) in last_s.iter_mut().zip(&ends) {
            *last = (*last).max(*end);
        }
        let zoned = |at: i64| time.zoned(timestamp(at));
        let prints = prints.iter().map(|(from, to)| (zoned(*from), zoned(*to)));
        told.push(QueueTimes {
            prints: prints.collect(),
            printed: Some(ends_of(undisturbed, ends).map(zoned)),
        });
    }
    let printed = ends_of(last_undisturbed, last_s.clone());
    let finish = |at: i64| time.worked_s(at, finishing_s);
    let finished_s: Vec<i64> = last_s.iter().map(|at| finish(*at)).collect();
    let finished = ends_of(finish(last_undisturbed), finished_s);
    let leaves = |at: i64| time.attended_after_s(at);
    if leaves(finished.safe).max(leaves(finished.mean)) >= FAR_S {
        return Err(CalendarError::TooFar);
    }
    let zoned = |at: i64| time.zoned(timestamp(at));
    Ok(Delivery {
        queues: told,
        printed: printed.map(zoned),
        finished: finished.map(zoned),
        dispatch: finished.map(|at| zoned(leaves(at)).date()),
        runs,
    })
}

impl<T> Ends<T> {
    fn map<U>(self, mut each: impl FnMut(T) -> U) -> Ends<U> {
        Ends {
            undisturbed: each(self.undisturbed),
            mean: each(self.mean),
            likely: each(self.likely),
            safe: each(self.safe),
        }
    }
}

/// Prints of a job that are followed one by one: fewer, where each is more work.
fn followed(job: &Job) -> u32 {
    let work = job.starts * f64::from(1 + job.spool_changes);
    job.times.min((FOLLOWED / work).max(10.0) as u32)
}

fn runs_followed(lines: &[Line], asked: u32) -> u32 {
    let jobs = lines.iter().flat_map(|line| &line.jobs);
    let work = |job: &Job| f64::from(followed(job)) * job.starts * f64::from(1 + job.spool_changes);
    let of_one: f64 = jobs.map(work).sum();
    let asked = asked.clamp(1, MOST_RUNS);
    let most = (ALL_FOLLOWED / of_one.max(1.0)) as u32;
    asked.min(most.max(LEAST_RUNS))
}

/// The end of a queue without failures, and its first prints.
fn follow_undisturbed(time: &WorkingTime, line: &Line) -> (i64, Vec<(i64, i64)>) {
    let mut run = Run::of(line, None);
    let mut prints = Vec::new();
    for job in &line.jobs {
        let begun = run.at;
        let followed = followed(job);
        for _ in 0..followed {
            let print = run.print(time, line, job);
            if prints.len() < TOLD {
                prints.push(print);
            }
        }
        let each = (run.at - begun) as f64 / f64::from(followed);
        run.at = later(run.at, f64::from(job.times - followed) * each);
    }
    (run.at, prints)
}

/// The ends of a queue in all runs.
fn follow(
    time: &WorkingTime,
    line: &Line,
    machine: usize,
    runs: u32,
    undisturbed: i64,
) -> Vec<i64> {
    let numbers = 0..runs as usize;
    let mut all: Vec<Run> = numbers
        .map(|number| Run::of(line, Some(Stream::of(number, machine))))
        .collect();
    for job in &line.jobs {
        let begun: Vec<i64> = all.iter().map(|run| run.at).collect();
        let followed = followed(job);
        for run in &mut all {
            for _ in 0..followed {
                run.print(time, line, job);
            }
        }
        if followed < job.times {
            carry_on(&mut all, &begun, followed, job.times);
        }
    }
    // What is carried on is a mean, so that a lucky run might end before one in which nothing fails.
    all.iter().map(|run| run.at.max(undisturbed)).collect()
}

/// Carries on the prints past those followed, at the mean pace of all runs; each run keeps its lead or lag, which grows with the square
/// root of the prints.
fn carry_on(all: &mut [Run], begun: &[i64], followed: u32, times: u32) {
    let took: Vec<f64> = all
        .iter()
        .zip(begun)
        .map(|(run, begun)| (run.at - begun) as f64)
        .collect();
    let mean = took.iter().sum::<f64>() / took.len().max(1) as f64;
    let each = mean / f64::from(followed);
    let grown = (f64::from(times) / f64::from(followed)).sqrt() - 1.0;
    for (run, took) in all.iter_mut().zip(took) {
        let more = f64::from(times - followed) * each + (took - mean) * grown;
        run.at = later(run.at, more.max(0.0));
    }
}

/// So many seconds later, at most the last moment that is followed.
fn later(at: i64, seconds: f64) -> i64 {
    // A float becomes the nearest whole number there is.
    at.saturating_add(seconds.round() as i64).min(FAR_S)
}

/// Sorts the ends of all runs into what is told of them. At least one run.
fn ends_of(undisturbed: i64, mut ends: Vec<i64>) -> Ends<i64> {
    ends.sort_unstable();
    let sum: f64 = ends.iter().map(|end| (end - undisturbed) as f64).sum();
    let quantile = |share: f64| {
        let rank = (share * ends.len() as f64).ceil() as usize;
        ends.get(rank.saturating_sub(1)).copied()
    };
    Ends {
        undisturbed,
        mean: later(undisturbed, sum / ends.len().max(1) as f64),
        likely: quantile(0.5).unwrap_or(undisturbed),
        safe: quantile(SAFE).unwrap_or(undisturbed),
    }
}
