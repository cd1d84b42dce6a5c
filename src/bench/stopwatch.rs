//! Two courses timed by stopwatch: how they are run, and what a watch would read.

use serde::Serialize;

use super::reading::{items, number};
use super::{BenchError, Course, CourseKind, Setup};
use crate::mesh::Mesh;
use crate::motion::Pace;

/// What a stopwatch in the hand may be off over a whole reading, s (judgement: the thumb's delay at start and stop).
pub const WATCH_S: f64 = 0.2;
/// By so much longer a pause between laps is tried, s, to say what an error in it does.
pub const LONGER_PAUSE_S: f64 = 0.02;
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
