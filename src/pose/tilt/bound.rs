//! What a space can hold at most, and when a whole range of directions is ruled out.

use std::f64::consts::{FRAC_PI_4, PI};

use nalgebra::{Point3, Vector3};

use crate::pose::bed::usable::enclosing;
use crate::pose::footprint::Footprint;
use crate::pose::tolerance::{PROOF_SHARE, fits_within};
use crate::pose::{BuildSpace, Rest};

/// A convex space that holds all that the machine's build space holds: a box, or a cylinder that stands.
#[derive(Debug, Clone, Copy)]
pub(in crate::pose) struct Enclosure {
    /// Width and depth, mm.
    pub plan_mm: [f64; 2],
    pub height_mm: f64,
    /// Diameter, mm, where it is a cylinder.
    pub round_mm: Option<f64>,
}

/// How the part lies in the space with one of its directions down.
#[derive(Debug, Clone, Copy)]
pub(in crate::pose) struct Look {
    /// Space less part where it is tightest, at the best turn, mm; negative by what is lacking.
    pub slack_mm: f64,
    /// By how much more room was allowed for, so that the answer holds all around the direction, mm.
    pub growth_mm: f64,
}

impl Enclosure {
    /// Larger by a hair than the space, so that what is ruled out never fits by rounding.
    pub fn of(space: &BuildSpace) -> Self {
        let grown = |length_mm: f64| length_mm * (1.0 + PROOF_SHARE);
        let (plan_mm, round_mm) = enclosing(space);
        let (plan_mm, round_mm) = (plan_mm.map(grown), round_mm.map(grown));
        Self {
            plan_mm,
            height_mm: grown(space.height_mm),
            round_mm,
        }
    }

    /// Whether there is any room at all.
    pub fn has_room(&self) -> bool {
        self.least_mm() > 0.0
    }

    /// The least of its three dimensions, mm.
    pub fn least_mm(&self) -> f64 {
        self.plan_mm[0].min(self.plan_mm[1]).min(self.height_mm)
    }

    /// The greatest distance between two of its points, mm.
    pub fn across_mm(&self) -> f64 {
        let flat_mm = self
            .round_mm
            .unwrap_or(self.plan_mm[0].hypot(self.plan_mm[1]));
        flat_mm.hypot(self.height_mm)
    }

    /// Volume, mm3.
    pub fn volume_mm3(&self) -> f64 {
        self.floor_mm2() * self.height_mm
    }

    /// Surface, mm2.
    pub fn surface_mm2(&self) -> f64 {
        let outline_mm = self
            .round_mm
            .map_or(2.0 * (self.plan_mm[0] + self.plan_mm[1]), |across| {
                PI * across
            });
        2.0 * self.floor_mm2() + outline_mm * self.height_mm
    }

    /// The width averaged over all directions, mm: that of the floor and of the height add up (Minkowski; from memory).
    pub fn mean_width_mm(&self) -> f64 {
        let floor = self
            .round_mm
            .map_or((self.plan_mm[0] + self.plan_mm[1]) / 2.0, |across| {
                FRAC_PI_4 * across
            });
        floor + self.height_mm / 2.0
    }

    fn floor_mm2(&self) -> f64 {
        self.round_mm
            .map_or(self.plan_mm[0] * self.plan_mm[1], |across| {
                FRAC_PI_4 * across * across
            })
    }
}

/// Looks at points with a direction down in a space. `None` says that they fit at no turn, neither with that direction down
/// nor with any other that is less than `within_rad` (below a quarter turn) away.
///
/// Why: let `u` be the direction, `v` one at the angle `a` from it, and `R` the least rotation from `u` to `v`, about the
/// level axis `k`; `m` is level and square on `k`. A pose with `v` down stands on the level axes `R e1`, `R e2`, where `e1`,
/// `e2` are those of a pose with `u` down. Let `p`, `q` be the points that set the width along a level `e`, and `s = p - q`.
/// As `R e - e = (e.m) ((cos a - 1) m + sin a u)` up to the sign of the second term, the width along `R e` is
/// `w(R e) >= s.(R e) >= w(e) - |s.m| (1 - cos a) - |s.u| sin a`, where `|s.u|` is at most the height `h` with `u` down and
/// `|s.m|` at most the diameter `c` of the smallest circle around the footprint. So if with `v` down the points fit a
/// rectangle, with `u` down they fit one that is larger both ways by the growth `h sin a + c (1 - cos a)`. For the same
/// reason with the origin at mid-height over the middle of that circle no point of the footprint moves by more than
/// `h/2 sin a + c/2 (1 - cos a)`, and the growth holds for the diameter of a round bed. The height with `v` down is at least
/// `s.v >= (s.u) cos a - |s level| sin a` for every pair of points. Growth rises and that bound falls with `a` up to a
/// quarter turn, so what holds at `within_rad` holds nearer.
pub(in crate::pose) fn look(
    points: &[Point3<f64>],
    space: &Enclosure,
    down: &Vector3<f64>,
    within_rad: f64,
) -> Option<Look> {
    let rest = Rest::on(*down)?;
    let (sine, cosine) = within_rad.sin_cos();
    let height = Height::of(points, &rest.direction());
    let least_mm = height.least_mm(points, sine, cosine);
    if !fits_within(least_mm, space.height_mm) {
        return None;
    }
    let footprint = Footprint::of_tilted(points, &rest);
    let growth_mm = height.mm * sine + footprint.across_mm * (1.0 - cosine);
    let [x_mm, y_mm] = space.plan_mm.map(|side| side + growth_mm);
    let fits = match space.round_mm {
        Some(across_mm) => fits_within(footprint.across_mm, across_mm + growth_mm),
        None => footprint.turns.fit(x_mm, y_mm),
    };
    fits.then(|| Look {
        slack_mm: slack_of(&footprint, space).min(space.height_mm - height.mm),
        growth_mm: growth_mm.max(height.mm - least_mm),
    })
}

/// Space less part where it is tightest, at the best turn, mm.
pub(in crate::pose) fn slack_mm(
    points: &[Point3<f64>],
    space: &Enclosure,
    down: &Vector3<f64>,
) -> f64 {
    let Some(rest) = Rest::on(*down) else {
        return f64::NEG_INFINITY;
    };
    let above_mm = space.height_mm - Height::of(points, &rest.direction()).mm;
    slack_of(&Footprint::of_tilted(points, &rest), space).min(above_mm)
}

fn slack_of(footprint: &Footprint, space: &Enclosure) -> f64 {
    let [x_mm, y_mm] = space.plan_mm;
    match space.round_mm {
        Some(across_mm) => across_mm - footprint.across_mm,
        None => footprint.turns.roomiest(x_mm, y_mm).slack_mm,
    }
}

/// Height with a direction down, and the lowest point.
struct Height {
    down: Vector3<f64>,
    lowest: Vector3<f64>,
    mm: f64,
}

impl Height {
    fn of(points: &[Point3<f64>], down: &Vector3<f64>) -> Self {
        let (mut low, mut high) = ((f64::NEG_INFINITY, Vector3::zeros()), f64::INFINITY);
        for point in points {
            let at = down.dot(&point.coords);
            if at > low.0 {
                low = (at, point.coords);
            }
            high = high.min(at);
        }
        Self {
            down: *down,
            lowest: low.1,
            mm: (low.0 - high).max(0.0),
        }
    }

    /// The least height with any direction down within an angle, mm, as the lowest point and some other one say.
    fn least_mm(&self, points: &[Point3<f64>], sine: f64, cosine: f64) -> f64 {
        let bounds = points.iter().map(|point| {
            let step = self.lowest - point.coords;
            let upright = step.dot(&self.down);
            upright * cosine - (step - self.down * upright).norm() * sine
        });
        bounds.fold(0.0, f64::max)
    }
}

#[cfg(test)]
mod tests {
    use super::super::corners::spread_axes;
    use super::*;

    #[test]
    fn no_direction_within_the_angle_fits_where_the_look_rules_it_out() {
        let points: Vec<_> = spread_axes(12)
            .into_iter()
            .enumerate()
            .map(|(i, axis)| Point3::from(axis * (20.0 + 7.0 * (i % 4) as f64)))
            .collect();
        let (mut out, mut open) = (0, 0);
        for (i, down) in spread_axes(200).into_iter().enumerate() {
            let side = 40.0 + (i % 9) as f64 * 5.0;
            for round_mm in [None, Some(side)] {
                let space = Enclosure {
                    plan_mm: [side, side + 4.0],
                    height_mm: 30.0 + (i % 7) as f64 * 8.0,
                    round_mm,
                };
                if look(&points, &space, &down, 0.2).is_some() {
                    open += 1;
                    continue;
                }
                out += 1;
                for near in spread_axes(3000)
                    .into_iter()
                    .filter(|near| near.dot(&down) > 0.2_f64.cos())
                {
                    assert!(slack_mm(&points, &space, &near) < 0.0, "{down} {near}");
                }
            }
        }
        assert!(out > 50 && open > 50, "{out} {open}");
    }
}
