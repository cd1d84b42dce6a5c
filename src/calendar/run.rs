//! One run through a machine's queue, print after print.

use jiff::Timestamp;

use super::CalendarError;
use super::WorkingTime;
use super::chance::Stream;
use super::queue::{Job, Line, Queue};

/// No moment after this is followed: the year 9998 ends, UTC.
pub(super) const FAR_S: i64 = 253_370_764_800;

/// Where a run stands.
#[derive(Debug, Clone)]
pub(super) struct Run {
    /// When the machine's last print ended; its bed is still to be cleared.
    pub at: i64,
    /// Whether bed and machine are ready for a start.
    pub ready: bool,
    /// Starts so far.
    pub starts: u64,
    /// Where failures come from; none in a run that is not disturbed.
    stream: Option<Stream>,
    span: usize,
    busy: usize,
}

/// What becomes of one start.
enum Fate {
    Good,
    /// It fails in its first layers.
    Early,
    /// It fails after so many seconds of printing.
    After(i64),
}

impl Run {
    pub fn of(line: &Line, stream: Option<Stream>) -> Self {
        Run {
            at: line.free_from,
            ready: line.ready,
            starts: 0,
            stream,
            span: 0,
            busy: 0,
        }
    }

    /// Prints one good one: its start and its end.
    pub fn print(&mut self, time: &WorkingTime, line: &Line, job: &Job) -> (i64, i64) {
        loop {
            let (start, end) = self.fitting(time, line, job);
            self.starts += 1;
            // What ends beyond all calendars may not go on failing for ever.
            let fate = if end >= FAR_S {
                Fate::Good
            } else {
                self.fate(job)
            };
            self.ready = true;
            match fate {
                Fate::Good => {
                    self.at = end.min(FAR_S);
                    self.ready = false;
                    return (start, end);
                }
                Fate::Early => self.at = start + job.start_lost_s,
                Fate::After(seconds) => {
                    let stops = self.printed(time, line, job, start, seconds);
                    self.at = time.work_s(stops, line.clearing_s, &mut self.span);
                }
            }
        }
    }

    /// The next start that ends before somebody else's time begins, and its undisturbed end.
    fn fitting(&mut self, time: &WorkingTime, line: &Line, job: &Job) -> (i64, i64) {
        loop {
            let before = self.span;
            let from = match self.ready {
                true => self.at,
                false => time.work_s(self.at, line.changeover_s, &mut self.span),
            };
            let start = time.attended_s(from, &mut self.span);
            let hint = self.span;
            let end = self.printed(time, line, job, start, job.seconds);
            // A failure, or what comes after others, looks from an earlier moment on than this end.
            self.span = hint;
            while line.busy.get(self.busy).is_some_and(|b| b.1 <= self.at) {
                self.busy += 1;
            }
            match line.busy.get(self.busy) {
                Some(&(begins, ends)) if begins < end => {
                    (self.at, self.span) = (ends, before);
                    // Others leave it as they used it.
                    self.ready = false;
                }
                _ => return (start, end),
            }
        }
    }

    /// The moment at which a print that starts at `start` has printed for `seconds`, halts at its spool changes included.
    fn printed(
        &mut self,
        time: &WorkingTime,
        line: &Line,
        job: &Job,
        start: i64,
        seconds: i64,
    ) -> i64 {
        let mut now = start;
        let mut done = 0;
        for change in 1..=i64::from(job.spool_changes) {
            let runs_out = job.seconds * change / (i64::from(job.spool_changes) + 1);
            if runs_out >= seconds {
                break;
            }
            now += runs_out - done;
            done = runs_out;
            let there = time.attended_s(now, &mut self.span);
            now = time.work_s(there, line.spool_change_s, &mut self.span);
        }
        now + (seconds - done)
    }

    fn fate(&mut self, job: &Job) -> Fate {
        let Some(stream) = &mut self.stream else {
            return Fate::Good;
        };
        if job.start_chance > 0.0 && stream.unit() < job.start_chance {
            return Fate::Early;
        }
        if job.rate_per_s <= 0.0 {
            return Fate::Good;
        }
        let seconds = stream.wait() / job.rate_per_s;
        if seconds >= job.seconds as f64 {
            return Fate::Good;
        }
        Fate::After(seconds.round() as i64)
    }
}

/// Where the first `times` prints of a queue's first job end, one after the other and without failures.
pub(super) fn undisturbed_s(time: &WorkingTime, line: &Line, job: &Job, times: u32) -> i64 {
    let mut run = Run::of(line, None);
    for _ in 0..times {
        run.print(time, line, job);
    }
    run.at
}

/// What good prints took.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tries {
    /// Starts for one good print, on average.
    pub starts: f64,
    /// From the first start of each to its end, on average, s.
    pub machine_s: f64,
}

/// Prints `times` good ones of the queue's first print, each from the moment the machine is free, and says what one took. The work
/// grows with `times`.
///
/// # Errors
/// As [`super::delivery`].
pub fn tries(
    time: &WorkingTime,
    queue: &Queue,
    times: u32,
    stream: Stream,
) -> Result<Tries, CalendarError> {
    let line = Line::of(queue, Timestamp::MIN)?;
    let Some(job) = line.jobs.first().filter(|_| times > 0) else {
        return Err(CalendarError::NoPrints);
    };
    let mut run = Run::of(&line, Some(stream));
    let mut seconds = 0.0;
    for _ in 0..times {
        (run.at, run.ready) = (line.free_from, true);
        (run.span, run.busy) = (0, 0);
        let first = run.fitting(time, &line, job).0;
        let (_, end) = run.print(time, &line, job);
        if end >= FAR_S {
            return Err(CalendarError::TooFar);
        }
        seconds += (end - first) as f64;
    }
    let of_each = 1.0 / f64::from(times);
    Ok(Tries {
        starts: run.starts as f64 * of_each,
        machine_s: seconds * of_each,
    })
}
