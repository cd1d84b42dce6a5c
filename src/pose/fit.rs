//! Which poses of a part fit a machine, and with how much to spare.

use nalgebra::Rotation3;
use rayon::prelude::*;

use super::footprint::Footprint;
use super::miss::{nearest, pieces_if_cut};
use super::tolerance::{SAME_ANGLE_DEG, fits_within};
use super::turn::{size_of, smaller_of_the_two};
use super::{Bed, BuildSpace, Down, Footprints, Miss, Pose, Rest};

/// How a part fits one machine.
#[derive(Debug, Clone, PartialEq)]
pub struct MachineFit {
    /// Whether any of the six axis-down poses fits.
    pub fits: bool,
    /// The poses that fit, in the order of [`Down::ALL`].
    pub poses: Vec<PoseFit>,
    /// Where none fits: the pose and turn that lack the least.
    pub nearest_miss: Option<Miss>,
    /// Where none fits: the least number of pieces into which straight cuts along the axes divide the part's box so
    /// that every piece fits square. A figure of the box alone: a hollow or slanting part may do with fewer.
    pub pieces_if_cut: Option<u64>,
}

/// A pose that fits a machine.
#[derive(Debug, Clone, PartialEq)]
pub struct PoseFit {
    /// The part's direction that points down.
    pub down: Rest,
    /// The whole rotation from the part as drawn, `turn_deg` included.
    pub rotation: Rotation3<f64>,
    /// Size of the part's box in this pose and turn, mm.
    pub size_mm: [f64; 3],
    /// The least clearance on any side beyond the bed's edge margin with the part in the middle of the bed, mm.
    pub margin_mm: f64,
    /// The turn about the vertical taken, degrees counter-clockwise seen from above, in 0..360: 0 where the part fits
    /// square as it is, else 90 where it fits square that way, else the least turn in either sense (a clockwise one is
    /// above 180).
    pub turn_deg: f64,
    /// Every range of turns that fits, degrees, ascending and apart, in 0..=360. A range through 0 is given in two.
    pub turns_deg: Vec<(f64, f64)>,
    /// The turn with the most clearance, degrees in 0..360; of turns as good, the least.
    pub best_turn_deg: f64,
    /// The least clearance at that turn, mm.
    pub best_margin_mm: f64,
    /// Clearance left, right, front and back at the turn taken, beyond the edge margin, mm. On a round bed all four are
    /// the way to the rim: every half of the smallest circle around a part touches the part.
    pub sides_mm: [f64; 4],
    /// Room above the part, mm.
    pub above_mm: f64,
    /// Tilt off the nearest axis-down pose, degrees.
    pub tilt_deg: f64,
}

impl PoseFit {
    /// The pose to place the part with.
    pub fn pose(&self) -> Pose {
        Pose::new(self.down, self.turn_deg)
    }
}

impl MachineFit {
    /// The fit of one pose, where it fits.
    pub fn pose(&self, down: impl Into<Rest>) -> Option<&PoseFit> {
        let down = down.into();
        self.poses.iter().find(|pose| pose.down == down)
    }
}

/// Fits the six axis-down poses into a machine's build space.
pub fn fit_machine(footprints: &Footprints, space: &BuildSpace) -> MachineFit {
    // The six are independent; they are gathered in order, so threads change nothing.
    let answers: Vec<_> = Down::ALL
        .par_iter()
        .map(|&down| footprints.pose_fit(down, space))
        .collect();
    let (mut poses, mut misses) = (Vec::new(), Vec::new());
    for answer in answers {
        match answer {
            Ok(pose) => poses.push(pose),
            Err(miss) => misses.push(miss),
        }
    }
    let fits = !poses.is_empty();
    let nearest_miss = if fits { None } else { nearest(misses) };
    let pieces_if_cut = if fits {
        None
    } else {
        pieces_if_cut(footprints.size_mm(), space)
    };
    MachineFit {
        fits,
        poses,
        nearest_miss,
        pieces_if_cut,
    }
}

impl Footprints<'_> {
    /// Fits one pose into a machine's build space.
    ///
    /// # Errors
    /// By how much the pose misses, at its nearest turn.
    pub fn pose_fit(&self, down: impl Into<Rest>, space: &BuildSpace) -> Result<PoseFit, Miss> {
        let down = down.into();
        let height_mm = self.height_mm(down);
        let plan = PlanFit::of(&self.of_pose(down), space);
        let above_mm = space.height_mm - height_mm;
        if !plan.fits || !fits_within(height_mm, space.height_mm) {
            let [x, y] = plan.slack_mm;
            return Err(Miss::new(
                down,
                plan.turn_deg,
                [-x, -y, -above_mm],
                plan.size_mm,
                space.bed,
            ));
        }
        let [x, y] = plan.slack_mm.map(|slack| slack.max(0.0) / 2.0);
        Ok(PoseFit {
            down,
            rotation: Pose::new(down, plan.turn_deg).rotation,
            size_mm: [plan.size_mm[0], plan.size_mm[1], height_mm],
            margin_mm: x.min(y),
            turn_deg: plan.turn_deg,
            turns_deg: plan.turns_deg,
            best_turn_deg: plan.best_turn_deg,
            best_margin_mm: (plan.best_slack_mm.max(0.0) / 2.0).max(x.min(y)),
            sides_mm: [x, x, y, y],
            above_mm: above_mm.max(0.0),
            tilt_deg: down.tilt_deg(),
        })
    }

    /// Whether one pose fits a machine's build space at any turn.
    pub fn fits(&self, down: impl Into<Rest>, space: &BuildSpace) -> bool {
        let down = down.into();
        fits_within(self.height_mm(down), space.height_mm) && fits_bed(&self.of_pose(down), space)
    }
}

/// The bed less its edge margin on every side.
pub(super) fn usable(space: &BuildSpace) -> Bed {
    let less_margins = |length_mm: f64| length_mm - 2.0 * space.edge_margin_mm;
    match space.bed {
        Bed::Rectangle { x_mm, y_mm } => Bed::Rectangle {
            x_mm: less_margins(x_mm),
            y_mm: less_margins(y_mm),
        },
        Bed::Circle { diameter_mm } => Bed::Circle {
            diameter_mm: less_margins(diameter_mm),
        },
    }
}

fn fits_bed(footprint: &Footprint, space: &BuildSpace) -> bool {
    match usable(space) {
        Bed::Rectangle { x_mm, y_mm } => footprint.turns.fit(x_mm, y_mm),
        Bed::Circle { diameter_mm } => fits_within(footprint.across_mm, diameter_mm),
    }
}

/// How a footprint fits a bed, height left aside.
struct PlanFit {
    fits: bool,
    /// The turn taken; where none fits, the one that lacks the least.
    turn_deg: f64,
    turns_deg: Vec<(f64, f64)>,
    /// Width and depth at that turn, mm.
    size_mm: [f64; 2],
    /// Usable bed less part at that turn, in x and y, mm.
    slack_mm: [f64; 2],
    best_turn_deg: f64,
    best_slack_mm: f64,
}

impl PlanFit {
    fn of(footprint: &Footprint, space: &BuildSpace) -> Self {
        match usable(space) {
            Bed::Rectangle { x_mm, y_mm } => Self::of_rectangle(footprint, x_mm, y_mm),
            Bed::Circle { diameter_mm } => Self::of_circle(footprint, diameter_mm),
        }
    }

    fn of_circle(footprint: &Footprint, usable_mm: f64) -> Self {
        let across_mm = footprint.across_mm;
        let slack_mm = usable_mm - across_mm;
        Self {
            fits: fits_within(across_mm, usable_mm),
            turn_deg: 0.0,
            turns_deg: vec![(0.0, 360.0)],
            size_mm: footprint.turns.size_at_mm(0.0),
            slack_mm: [slack_mm; 2],
            best_turn_deg: 0.0,
            best_slack_mm: slack_mm,
        }
    }

    fn of_rectangle(footprint: &Footprint, x_mm: f64, y_mm: f64) -> Self {
        let best = footprint.turns.roomiest(x_mm, y_mm);
        let best_turn_deg = smaller_of_the_two(best.turn_deg);
        let holds = |turn_deg: f64| {
            let [width, depth] = footprint.turns.size_at_mm(turn_deg);
            fits_within(width, x_mm) && fits_within(depth, y_mm)
        };
        let fits = footprint.turns.fit(x_mm, y_mm);
        let turn_deg = if fits {
            let square = [0.0, 90.0].into_iter().find(|&turn_deg| holds(turn_deg));
            let least = || least_turn_deg(&footprint.turns.strictly_fitting_deg(x_mm, y_mm));
            square.or_else(least).unwrap_or(best_turn_deg)
        } else {
            best_turn_deg
        };
        let ranges = if fits {
            footprint.turns.fitting_deg(x_mm, y_mm)
        } else {
            Vec::new()
        };
        let size_mm = footprint.turns.size_at_mm(turn_deg);
        Self {
            fits,
            turn_deg,
            turns_deg: all_round(with_turn(ranges, best.turn_deg)),
            size_mm,
            slack_mm: [x_mm - size_mm[0], y_mm - size_mm[1]],
            best_turn_deg,
            best_slack_mm: best.slack_mm,
        }
    }
}

/// The least turn in either sense, degrees in 0..360, of ranges in 0..=180; counter-clockwise where both are alike.
fn least_turn_deg(ranges: &[(f64, f64)]) -> Option<f64> {
    let (first, last) = (ranges.first()?.0, ranges.last()?.1);
    let forward = size_of(first) <= size_of(last) + SAME_ANGLE_DEG;
    Some(smaller_of_the_two(if forward { first } else { last }))
}

/// The ranges with one turn that is known to fit, which rounding may have left out at a knife's edge.
fn with_turn(mut ranges: Vec<(f64, f64)>, turn_deg: f64) -> Vec<(f64, f64)> {
    if ranges.is_empty() {
        ranges.push((turn_deg, turn_deg));
    }
    ranges
}

/// Ranges over half a turn, said again for the other half.
fn all_round(half: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    let other = half
        .iter()
        .map(|&(from, to)| (from + 180.0, to + 180.0))
        .collect::<Vec<_>>();
    let mut round: Vec<(f64, f64)> = Vec::with_capacity(2 * half.len());
    for (from, to) in half.into_iter().chain(other) {
        match round.last_mut() {
            Some(last) if from - last.1 <= SAME_ANGLE_DEG => last.1 = last.1.max(to),
            _ => round.push((from, to)),
        }
    }
    // A full turn on its own says nothing that no turn does not say.
    round.retain(|&(from, _)| from < 360.0);
    round
}
