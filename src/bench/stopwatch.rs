//! Acceleration and corner deviation from the times of two courses, by the project's own motion model turned round.
//!
//! Two unknowns, two times. For every deviation the long course has one acceleration that gives its time, found by halving; along
//! these pairs the short course's time falls as the deviation grows, until its corners are passed at full speed, and the first
//! deviation that gives the time read is taken, again by halving.

use serde::Serialize;

use super::reading::{items, number};
use super::{BenchError, Course, CourseKind, Setup};
use crate::mesh::Mesh;
use crate::motion::Pace;

/// What a stopwatch in the hand may be off over a whole reading, s (judgement: the thumb's delay at start and stop).
pub const WATCH_S: f64 = 0.2;
/// By so much longer a pause between laps is tried, s, to say what an error in it does.
pub const LONGER_PAUSE_S: f64 = 0.02;
/// What a shop file takes as an acceleration, mm/s2.
const ACCELERATIONS_MM_S2: [f64; 2] = [1.0, 100_000.0];
/// The smallest deviation told from none, and the greatest a shop file takes, mm.
const DEVIATIONS_MM: [f64; 2] = [1e-4, 1.0];
/// Steps in which deviations are looked through, by a constant factor of 1.12.
const STEPS: usize = 80;
/// Layers under the first that is timed: the first is laid slower, the second settles.
const LAYERS_BEFORE: u32 = 2;
const RIGHT: &str = "the seconds of the long and of the short course, such as 1210.4,980.2";

/// The two courses and how they are to be run.
#[derive(Debug, Clone, PartialEq)]
pub struct StopwatchPlan {
    /// Speed to run at, mm/s.
    pub speed_mm_s: f64,
    /// Layers timed, each one lap.
    pub laps: u32,
    /// Lift and pause between two laps, s.
    pub pause_s: f64,
    /// Whether laps follow each other in one rising line, without rest and pause.
    pub unbroken: bool,
    /// Layer height, mm.
    pub layer_mm: f64,
    /// The course with square corners.
    pub long: Course,
    /// The course with blunt corners.
    pub short: Course,
}

/// What two times say.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Motion {
    /// Acceleration, mm/s2.
    pub acceleration_mm_s2: f64,
    /// Its least and greatest within the error of the watch; none where the watch does not bound it.
    pub acceleration_within_mm_s2: [Option<f64>; 2],
    /// Corner deviation, mm.
    pub corner_deviation_mm: f64,
    /// Its least and greatest within the error of the watch; none where the watch does not bound it.
    pub corner_deviation_within_mm: [Option<f64>; 2],
    /// Error of the watch, s.
    pub watch_s: f64,
    /// Acceleration and deviation if every pause were [`LONGER_PAUSE_S`] longer than told; none where nothing fits then, or
    /// nothing pauses.
    pub with_longer_pause: Option<[f64; 2]>,
}

/// What was read and what it says.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MotionVerdict {
    /// Seconds of the long course.
    pub long_s: f64,
    /// Seconds of the short course.
    pub short_s: f64,
    /// What they say.
    #[serde(flatten)]
    pub motion: Motion,
}

/// Why two times have no solution.
enum Off {
    LongTooFast,
    LongTooSlow,
    /// Slower than with a stop at every corner, which takes so long, s.
    ShortTooSlow(f64),
    /// Faster than with any deviation; the least is so long, s.
    ShortTooFast(f64),
}

impl StopwatchPlan {
    /// The courses for a setup. `speed_mm_s`: that of outer perimeters under the melt cap unless given. `pause_s`: the machine's
    /// layer change unless given; none where the line is unbroken.
    ///
    /// # Errors
    /// [`BenchError`] where a value makes no sense, a course can't be laid, or the machine does not hold it.
    pub fn of(
        setup: &Setup<'_>,
        speed_mm_s: Option<f64>,
        laps: u32,
        pause_s: Option<f64>,
        unbroken: bool,
    ) -> Result<StopwatchPlan, BenchError> {
        let speed_mm_s = speed_mm_s.unwrap_or_else(|| usual_speed_mm_s(setup));
        in_range("--speed", speed_mm_s, 1.0, 2000.0, " mm/s")?;
        in_range("--laps", f64::from(laps), 1.0, 2000.0, " laps")?;
        let pause_s = if unbroken {
            0.0
        } else {
            pause_s.unwrap_or(setup.machine.layer_change_s)
        };
        in_range("--pause", pause_s, 0.0, 60.0, " s")?;
        let plan = StopwatchPlan {
            speed_mm_s,
            laps,
            pause_s,
            unbroken,
            layer_mm: setup.bead.height_mm(),
            long: Course::of(CourseKind::Long, setup)?,
            short: Course::of(CourseKind::Short, setup)?,
        };
        for kind in [CourseKind::Long, CourseKind::Short] {
            setup.must_hold(&plan.mesh(kind), ", a finer nozzle or fewer --laps")?;
        }
        Ok(plan)
    }

    /// One of the two courses.
    pub fn course(&self, kind: CourseKind) -> &Course {
        match kind {
            CourseKind::Long => &self.long,
            CourseKind::Short => &self.short,
        }
    }

    /// Height of the parts, mm: the layers timed, two before and one after them.
    pub fn height_mm(&self) -> f64 {
        f64::from(self.laps + LAYERS_BEFORE + 1) * self.layer_mm
    }

    /// The part of a course.
    pub fn mesh(&self, kind: CourseKind) -> Mesh {
        self.course(kind).mesh(self.height_mm())
    }

    /// What the watch reads at a given acceleration and deviation, s.
    pub fn seconds(&self, kind: CourseKind, acceleration_mm_s2: f64, deviation_mm: f64) -> f64 {
        let pace = Pace {
            speed_mm_s: self.speed_mm_s,
            acceleration_mm_s2,
            deviation_mm,
        };
        let lap_s = self.course(kind).lap_s(&pace, self.unbroken);
        f64::from(self.laps) * (lap_s + self.pause_s)
    }

    /// Takes `LONG_S,SHORT_S` apart and solves for acceleration and deviation.
    ///
    /// # Errors
    /// [`BenchError`] where the text is no two numbers, or no motion takes these times.
    pub fn read(&self, text: &str) -> Result<MotionVerdict, BenchError> {
        let given = items(text, 2, RIGHT)?;
        let (long_s, short_s) = (number(given[0], RIGHT)?, number(given[1], RIGHT)?);
        Ok(MotionVerdict {
            long_s,
            short_s,
            motion: self.motion(long_s, short_s)?,
        })
    }

    /// Acceleration and deviation from the two times, with what [`WATCH_S`] makes of them.
    ///
    /// # Errors
    /// [`BenchError::ImpossibleTime`] where no motion takes these times.
    pub fn motion(&self, long_s: f64, short_s: f64) -> Result<Motion, BenchError> {
        let corners = [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)]
            .map(|(l, s)| self.solve(long_s + l * WATCH_S, short_s + s * WATCH_S));
        let (acceleration_mm_s2, corner_deviation_mm) = match self.solve(long_s, short_s) {
            Ok(found) => found,
            // No deviation at all, within the error of the watch.
            Err(Off::ShortTooSlow(stopping_s)) if short_s - stopping_s <= WATCH_S => {
                match self.acceleration(long_s, 0.0) {
                    Ok(acceleration) => (acceleration, 0.0),
                    Err(off) => return Err(self.impossible(&off, long_s, short_s)),
                }
            }
            Err(off) => return Err(self.impossible(&off, long_s, short_s)),
        };
        let mut a = [Some(acceleration_mm_s2); 2];
        let mut d = [Some(corner_deviation_mm); 2];
        for (corner, long_off_s) in corners.iter().zip([1.0, 1.0, -1.0, -1.0]) {
            match corner {
                Ok((acceleration, deviation)) => {
                    widen(&mut a, *acceleration);
                    widen(&mut d, *deviation);
                }
                Err(Off::ShortTooSlow(_)) => {
                    widen(&mut d, 0.0);
                    if let Ok(acceleration) = self.acceleration(long_s + long_off_s * WATCH_S, 0.0)
                    {
                        widen(&mut a, acceleration);
                    }
                }
                Err(Off::ShortTooFast(_)) => (a[0], d[1]) = (None, None),
                Err(Off::LongTooFast) => (a[1], d[0]) = (None, None),
                Err(Off::LongTooSlow) => (a[0], d[1]) = (None, None),
            }
        }
        Ok(Motion {
            acceleration_mm_s2,
            acceleration_within_mm_s2: a,
            corner_deviation_mm,
            corner_deviation_within_mm: d,
            watch_s: WATCH_S,
            with_longer_pause: self.with_longer_pause(long_s, short_s),
        })
    }

    fn with_longer_pause(&self, long_s: f64, short_s: f64) -> Option<[f64; 2]> {
        if self.unbroken {
            return None;
        }
        let longer_s = f64::from(self.laps) * LONGER_PAUSE_S;
        let (acceleration, deviation) = self.solve(long_s - longer_s, short_s - longer_s).ok()?;
        Some([acceleration, deviation])
    }

    /// The acceleration with which the long course takes so long at a deviation.
    fn acceleration(&self, long_s: f64, deviation_mm: f64) -> Result<f64, Off> {
        let seconds = |ln_a: f64| self.seconds(CourseKind::Long, ln_a.exp(), deviation_mm);
        let [mut low, mut high] = ACCELERATIONS_MM_S2.map(f64::ln);
        if seconds(high) > long_s {
            return Err(Off::LongTooFast);
        }
        if seconds(low) < long_s {
            return Err(Off::LongTooSlow);
        }
        // 50 halvings of a range of 11.5 leave less than a double's rounding of the times.
        for _ in 0..50 {
            let middle = (low + high) / 2.0;
            if seconds(middle) > long_s {
                low = middle;
            } else {
                high = middle;
            }
        }
        Ok(((low + high) / 2.0).exp())
    }

    fn solve(&self, long_s: f64, short_s: f64) -> Result<(f64, f64), Off> {
        // How much longer the short course would take than it took.
        let over = |deviation_mm: f64| {
            let acceleration = self.acceleration(long_s, deviation_mm)?;
            let seconds = self.seconds(CourseKind::Short, acceleration, deviation_mm);
            Ok::<f64, Off>(seconds - short_s)
        };
        let stopping = over(0.0)?;
        if stopping < 0.0 {
            return Err(Off::ShortTooSlow(short_s + stopping));
        }
        let [least, most] = DEVIATIONS_MM.map(f64::ln);
        let (mut low_mm, mut least_over) = (0.0, stopping);
        for step in 0..=STEPS {
            let high_mm = (least + (most - least) * step as f64 / STEPS as f64).exp();
            // Beyond this the long course asks for less than the least acceleration.
            let Ok(high_over) = over(high_mm) else { break };
            if high_over <= 0.0 {
                return self.between(&over, low_mm, high_mm, long_s);
            }
            least_over = least_over.min(high_over);
            low_mm = high_mm;
        }
        Err(Off::ShortTooFast(short_s + least_over))
    }

    fn between(
        &self,
        over: &impl Fn(f64) -> Result<f64, Off>,
        mut low_mm: f64,
        mut high_mm: f64,
        long_s: f64,
    ) -> Result<(f64, f64), Off> {
        for _ in 0..40 {
            let middle_mm = (low_mm + high_mm) / 2.0;
            if over(middle_mm)? > 0.0 {
                low_mm = middle_mm;
            } else {
                high_mm = middle_mm;
            }
        }
        let deviation_mm = (low_mm + high_mm) / 2.0;
        Ok((self.acceleration(long_s, deviation_mm)?, deviation_mm))
    }

    fn impossible(&self, off: &Off, long_s: f64, short_s: f64) -> BenchError {
        let (kind, seconds) = match off {
            Off::LongTooFast | Off::LongTooSlow => (CourseKind::Long, long_s),
            Off::ShortTooSlow(_) | Off::ShortTooFast(_) => (CourseKind::Short, short_s),
        };
        let again = "time both again, and give --speed, --laps and --pause as they were run";
        let why = match off {
            Off::LongTooFast => format!(
                "less than the {:.1} s that they take at {} mm/s even if the machine needs no time to gain speed; {again}",
                f64::from(self.laps) * (self.long.lap_mm() / self.speed_mm_s + self.pause_s),
                rounded(self.speed_mm_s)
            ),
            Off::LongTooSlow => format!(
                "more than the {:.1} s that they take at an acceleration of only {} mm/s2; {again}",
                self.seconds(CourseKind::Long, ACCELERATIONS_MM_S2[0], 0.0),
                ACCELERATIONS_MM_S2[0]
            ),
            Off::ShortTooSlow(stopping_s) => format!(
                "more than the {stopping_s:.1} s that they take with a stop at every corner, at the acceleration that the long course shows; {again}"
            ),
            Off::ShortTooFast(least_s) => format!(
                "less than {least_s:.1} s, the least that goes with the long course's time at any corner deviation; {again}"
            ),
        };
        BenchError::ImpossibleTime {
            course: kind.name(),
            seconds,
            laps: self.laps,
            why,
        }
    }
}

fn widen(range: &mut [Option<f64>; 2], value: f64) {
    range[0] = range[0].map(|low| low.min(value));
    range[1] = range[1].map(|high| high.max(value));
}

/// The speed of outer perimeters, under the melt cap.
fn usual_speed_mm_s(setup: &Setup<'_>) -> f64 {
    let cap_mm_s = setup
        .limits
        .melt_cap_mm3_s
        .map_or(f64::INFINITY, |cap| cap / setup.bead.area_mm2());
    // Whole mm/s can be typed into any machine; downwards, so that the melt is not asked for more.
    setup
        .limits
        .speeds
        .outer_mm_s
        .min(cap_mm_s)
        .floor()
        .max(1.0)
}

/// Three decimals at the most.
pub(super) fn rounded(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0
}

/// Refuses a value outside of its range.
pub(super) fn in_range(
    what: &str,
    value: f64,
    low: f64,
    high: f64,
    unit: &'static str,
) -> Result<(), BenchError> {
    if value >= low && value <= high {
        return Ok(());
    }
    Err(BenchError::OutOfRange {
        what: what.to_owned(),
        value,
        low,
        high,
        unit,
    })
}
