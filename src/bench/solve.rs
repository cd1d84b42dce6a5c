//! Acceleration and corner deviation from the times of two courses, by the project's own motion model turned round.
//!
//! Two unknowns, two times. For every deviation the long course has one acceleration that gives its time, found by halving; along
//! these pairs the short course's time falls as the deviation grows, until its corners are passed at full speed, and rises after
//! that. The deviation at which it is the time read is found by halving too; where there are two, both are told.

use super::stopwatch::{LONGER_PAUSE_S, Motion, StopwatchPlan, WATCH_S};
use super::toml::figures;
use super::{BenchError, CourseKind};

/// What a shop file takes as an acceleration, mm/s2.
const ACCELERATIONS_MM_S2: [f64; 2] = [1.0, 100_000.0];
/// The smallest deviation told from none, and the greatest looked for, mm: corners cut by more are seen by eye (judgement).
const DEVIATIONS_MM: [f64; 2] = [1e-4, 0.3];
/// Steps in which deviations are looked through, by a constant factor of 1.11.
const STEPS: usize = 80;

/// Why two times have no solution.
enum Off {
    LongTooFast,
    LongTooSlow,
    /// Slower than with a stop at every corner, which takes so long, s.
    ShortTooSlow(f64),
    /// Faster than with any deviation; the least is so long, s.
    ShortTooFast(f64),
    /// Two motions fit, acceleration and deviation of each; twice the same where the times hardly depend on the deviation.
    Either([(f64, f64); 2]),
}

impl StopwatchPlan {
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
                Err(Off::Either(fits)) => {
                    for (acceleration, deviation) in fits {
                        widen(&mut a, *acceleration);
                        widen(&mut d, *deviation);
                    }
                }
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
        let (mut low_mm, mut low_over) = (0.0, stopping);
        // The first motion that fits, and the deviation at which the short course comes nearest to its time.
        let mut first: Option<(f64, f64)> = None;
        let (mut nearest_mm, mut nearest_over) = (0.0, stopping);
        for step in 0..=STEPS {
            let high_mm = (least + (most - least) * step as f64 / STEPS as f64).exp();
            // Beyond this the long course asks for less than the least acceleration.
            let Ok(high_over) = over(high_mm) else { break };
            match first {
                None if high_over <= 0.0 => {
                    first = Some(self.between(&over, low_mm, high_mm, long_s)?);
                }
                Some(first) if low_over <= 0.0 && high_over > 0.0 => {
                    let falling = |deviation_mm: f64| over(deviation_mm).map(|over| -over);
                    let second = self.between(&falling, low_mm, high_mm, long_s)?;
                    return Err(Off::Either([first, second]));
                }
                _ => {}
            }
            if high_over < nearest_over {
                (nearest_mm, nearest_over) = (high_mm, high_over);
            }
            (low_mm, low_over) = (high_mm, high_over);
        }
        match first {
            Some(found) => Ok(found),
            None if nearest_over <= WATCH_S => {
                let nearest = (self.acceleration(long_s, nearest_mm)?, nearest_mm);
                Err(Off::Either([nearest; 2]))
            }
            None => Err(Off::ShortTooFast(short_s + nearest_over)),
        }
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
        if let Off::Either([one, other]) = off {
            return self.either(*one, *other);
        }
        let (kind, seconds) = match off {
            Off::LongTooFast | Off::LongTooSlow => (CourseKind::Long, long_s),
            _ => (CourseKind::Short, short_s),
        };
        let again = "time both again, and give --speed, --laps and --pause as they were run";
        let why = match off {
            Off::LongTooFast => format!(
                "less than the {:.1} s that they take at {} mm/s even if the machine needs no time to gain speed; {again}",
                f64::from(self.laps) * (self.long.lap_mm() / self.speed_mm_s + self.pause_s),
                self.speed_mm_s
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
                "less than {least_s:.1} s, the least that goes with the long course's time at any corner deviation up to 0.3 mm; {again}"
            ),
            // Told above.
            Off::Either(_) => again.to_owned(),
        };
        BenchError::ImpossibleTime {
            course: kind.name(),
            seconds,
            laps: self.laps,
            why,
        }
    }
}

impl StopwatchPlan {
    /// Two motions fit where the blunt corners of one of them hold nothing up.
    fn either(&self, one: (f64, f64), other: (f64, f64)) -> BenchError {
        let motion = |(acceleration, deviation): (f64, f64)| {
            format!(
                "{} mm/s2 with {} mm",
                figures(acceleration),
                figures(deviation)
            )
        };
        let fits = if one == other {
            format!("not only {}", motion(one))
        } else {
            format!("{} as well as {}", motion(one), motion(other))
        };
        BenchError::Either {
            fits,
            speed_mm_s: self.speed_mm_s,
        }
    }
}

fn widen(range: &mut [Option<f64>; 2], value: f64) {
    range[0] = range[0].map(|low| low.min(value));
    range[1] = range[1].map(|high| high.max(value));
}
