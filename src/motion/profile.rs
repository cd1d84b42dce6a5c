//! One path from rest to rest: corner speeds, a forward and a backward pass, trapezoids.
//!
//! Constant acceleration; the kinematics are any textbook's. Inside a path the squared speed at a corner is bounded by
//! the corner itself, by what can be reached from rest before it, and by what can be braked to rest after it.

use crate::bead::{Corner, Stroke};

/// How fast a stroke may go.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pace {
    /// Speed aimed at, mm/s, above 0.
    pub speed_mm_s: f64,
    /// Acceleration, mm/s2, above 0.
    pub acceleration_mm_s2: f64,
    /// How far the nozzle may pass beside a corner, mm, at least 0.
    pub deviation_mm: f64,
}

/// How long a stroke takes.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct StrokeTime {
    /// All of it, s.
    pub seconds: f64,
    /// What of it runs at the speed aimed at, s.
    pub at_speed_s: f64,
}

/// Greatest squared speed through a corner, mm2/s2:
/// `min( a delta sin(theta/2)/(1 - sin(theta/2)), a (min(l1,l2)/2) tan(theta/2) )` (design, Motion; both are the
/// centripetal `v^2 = a R`, on the circle that passes the corner at `delta` and on that through both segments' middles).
pub fn corner_speed_squared(corner: &Corner, acceleration_mm_s2: f64, deviation_mm: f64) -> f64 {
    // `f64::min` passes over the NaN of a straight corner (infinite) at no deviation (0): straight on is unbounded.
    acceleration_mm_s2 * (deviation_mm * corner.by_deviation).min(corner.by_length_mm)
}

/// Times one stroke.
pub fn time_stroke(stroke: &Stroke, pace: &Pace) -> StrokeTime {
    let a = pace.acceleration_mm_s2;
    let lengths = &stroke.segments_mm;
    let top = pace.speed_mm_s * pace.speed_mm_s;
    if let [length] = lengths[..] {
        return segment_s(length, 0.0, 0.0, pace);
    }
    // Squared speeds at the joints between segments, then after the last. The backward pass is made first and kept; the
    // forward pass runs while timing.
    let mut joints = vec![0.0; lengths.len()];
    for joint in (0..lengths.len() - 1).rev() {
        let corner = corner_speed_squared(&stroke.corners[joint], a, pace.deviation_mm);
        joints[joint] = corner
            .min(top)
            .min(joints[joint + 1] + 2.0 * a * lengths[joint + 1]);
    }
    let mut total = StrokeTime::default();
    let mut entry = 0.0f64;
    for (length, exit) in lengths.iter().zip(joints) {
        let exit = exit.min(entry + 2.0 * a * length);
        let part = segment_s(*length, entry, exit, pace);
        total.seconds += part.seconds;
        total.at_speed_s += part.at_speed_s;
        entry = exit;
    }
    total
}

/// Time over a length between two squared speeds, both of which must be reachable: accelerate, cruise, decelerate, or a
/// peak `v^2 = (2 a d + v0^2 + v1^2)/2` where the length is too short to cruise (references 3).
pub fn segment_s(length_mm: f64, entry_squared: f64, exit_squared: f64, pace: &Pace) -> StrokeTime {
    let a = pace.acceleration_mm_s2;
    let top = pace.speed_mm_s;
    let peak_squared = a * length_mm + (entry_squared + exit_squared) / 2.0;
    let (entry, exit) = (entry_squared.sqrt(), exit_squared.sqrt());
    if peak_squared <= top * top {
        let peak = peak_squared.sqrt();
        return StrokeTime {
            seconds: ((2.0 * peak - entry - exit) / a).max(0.0),
            at_speed_s: 0.0,
        };
    }
    let ramps_mm = (2.0 * top * top - entry_squared - exit_squared) / (2.0 * a);
    let at_speed_s = ((length_mm - ramps_mm) / top).max(0.0);
    StrokeTime {
        seconds: (2.0 * top - entry - exit) / a + at_speed_s,
        at_speed_s,
    }
}

/// Time of a straight move from rest to rest, s.
pub fn rest_to_rest_s(length_mm: f64, speed_mm_s: f64, acceleration_mm_s2: f64) -> f64 {
    let pace = Pace {
        speed_mm_s,
        acceleration_mm_s2,
        deviation_mm: 0.0,
    };
    segment_s(length_mm, 0.0, 0.0, &pace).seconds
}

#[cfg(test)]
mod tests {
    use super::*;

    fn time(length: f64, v: f64, a: f64, v0: f64, v1: f64) -> f64 {
        let pace = Pace {
            speed_mm_s: v,
            acceleration_mm_s2: a,
            deviation_mm: 0.0,
        };
        segment_s(length, v0 * v0, v1 * v1, &pace).seconds
    }

    /// references.md 3, "DERIVED numeric checks" (textbook kinematics).
    #[test]
    fn trapezoids_and_triangles_take_the_tabled_times() {
        let table = [
            (100.0, 100.0, 2000.0, 0.0, 0.0, 1.05),
            (1.0, 100.0, 2000.0, 0.0, 0.0, 0.044_721_36),
            (5.0, 100.0, 2000.0, 0.0, 0.0, 0.1),
            (1.0, 100.0, 1000.0, 10.0, 20.0, 0.040_710_68),
            (50.0, 120.0, 3000.0, 20.0, 0.0, 0.450_555_56),
        ];
        for (d, v, a, v0, v1, seconds) in table {
            assert!(
                (time(d, v, a, v0, v1) - seconds).abs() < 5e-9,
                "{d} {v} {a} {v0} {v1}"
            );
        }
    }

    /// references.md 3: corner speed from a permitted deviation of 0.02 mm at 3000 mm/s2 (DERIVED).
    #[test]
    fn corner_speeds_follow_the_permitted_deviation() {
        let table = [
            (60.0, 7.745_967),
            (90.0, 12.035_481),
            (120.0, 19.693_808),
            (135.0, 26.985_631),
            (150.0, 41.241_538),
        ];
        for (interior_deg, speed) in table {
            let turn = (180.0f64 - interior_deg).to_radians();
            let corner = Corner::between([100.0, 0.0], [100.0 * turn.cos(), 100.0 * turn.sin()]);
            let v = corner_speed_squared(&corner, 3000.0, 0.02).sqrt();
            assert!((v - speed).abs() < 1e-5, "{interior_deg}: {v}");
        }
    }

    #[test]
    fn a_reversal_stops_and_straight_on_does_not() {
        let back = Corner::between([10.0, 0.0], [-10.0, 0.0]);
        assert!(corner_speed_squared(&back, 3000.0, 0.02) < 1e-12);
        let on = Corner::between([10.0, 0.0], [10.0, 0.0]);
        assert_eq!(corner_speed_squared(&on, 3000.0, 0.02), f64::INFINITY);
        assert_eq!(corner_speed_squared(&on, 3000.0, 0.0), f64::INFINITY);
    }

    /// A circle of many short segments may be run at the centripetal speed of its own radius, not faster: `v^2 = a R`.
    #[test]
    fn a_fine_circle_is_run_at_the_speed_of_its_radius() {
        let n = 720;
        let radius = 5.0;
        let point = |i: usize| {
            let t = i as f64 / n as f64 * std::f64::consts::TAU;
            [radius * t.cos(), radius * t.sin()]
        };
        let vector = |i: usize| {
            let (p, q) = (point(i), point(i + 1));
            [q[0] - p[0], q[1] - p[1]]
        };
        let corner = Corner::between(vector(0), vector(1));
        let squared = corner_speed_squared(&corner, 1000.0, 1.0);
        assert!((squared / (1000.0 * radius) - 1.0).abs() < 1e-3);
    }
}
