//! How a footprint fits a bed, height left aside.

use std::f64::consts::TAU;

use nalgebra::{Point2, Vector2};

use super::notched::TrueTurning;
use super::reach::Reach;
use super::space::BuildSpace;
use super::turn::{ended_at_square, size_of, smaller_of_the_two, unit};
use super::turning::{Sight, Turning, degrees};
use super::usable::{Notched, Usable, step_heights_mm};
use crate::pose::footprint::Footprint;
use crate::pose::tolerance::{SAME_ANGLE_DEG, fits_within};
use crate::pose::{Footprints, Rest};

/// What keeps a part from a bed, for the words of a miss.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::pose) enum Held {
    /// The sides of a rectangle.
    Sides,
    /// The rim of a round bed.
    Rim,
    /// The outline of another bed.
    Outline,
    /// Places kept clear, or bays.
    Obstacles,
    /// The narrower space above a step.
    Step,
}

/// How a footprint fits a bed.
#[derive(Debug, Clone)]
pub(in crate::pose) struct PlanFit {
    pub fits: bool,
    /// The turn taken; where none fits, the one that lacks the least.
    pub turn_deg: f64,
    pub turns_deg: Vec<(f64, f64)>,
    /// Turns that could not be settled, degrees in all.
    pub open_deg: f64,
    /// Width and depth at that turn, mm.
    pub size_mm: [f64; 2],
    /// How much larger the usable bed is than the part at that turn, in x and y, mm.
    pub slack_mm: [f64; 2],
    pub margin_mm: f64,
    pub sides_mm: [f64; 4],
    pub best_turn_deg: f64,
    pub best_margin_mm: f64,
    /// The lower corner of the part's box, bed coordinates, mm.
    pub at_mm: [f64; 2],
    pub held: Held,
}

/// A pose and what is asked of its footprint.
pub(in crate::pose) struct Asked<'a> {
    pub footprints: &'a Footprints<'a>,
    pub rest: Rest,
    pub space: &'a BuildSpace,
    pub height_mm: f64,
}

impl Asked<'_> {
    /// The fit at every turn.
    pub fn plan(&self) -> PlanFit {
        let footprint = self.footprints.of_pose(self.rest);
        match Usable::of(self.space, self.height_mm) {
            Usable::Rectangle { low_mm, size_mm } => of_rectangle(&footprint, low_mm, size_mm),
            Usable::Circle {
                diameter_mm,
                above_mm,
            } => self.of_circle(&footprint, diameter_mm, &above_mm),
            Usable::Convex(walls) => {
                let reaches = self.reaches();
                let turning = Turning::new(&walls, &reaches);
                turning
                    .and_then(|turning| self.of_convex(&footprint, &turning, &reaches))
                    .unwrap_or_else(|| nothing_left(&footprint, Held::Outline))
            }
            Usable::Notched(notched) => self.of_notched(&footprint, &notched),
        }
    }

    /// Whether it fits at any turn.
    pub fn fits(&self) -> bool {
        match Usable::of(self.space, self.height_mm) {
            Usable::Rectangle {
                size_mm: [x, y], ..
            } => self.footprints.of_pose(self.rest).turns.fit(x, y),
            Usable::Notched(notched) => {
                let reaches = self.reaches();
                let outline = self.footprints.plan_outline(self.rest);
                TrueTurning::new(&notched, &reaches, &outline).is_some_and(|turning| turning.fits())
            }
            _ => self.plan().fits,
        }
    }

    /// How far the part reaches, and what of it lies above each step, all about the middle of the whole.
    fn reaches(&self) -> Vec<Option<Reach>> {
        let whole = Reach::of(self.footprints.plan_hull(self.rest).into_iter());
        let centre = whole
            .as_ref()
            .map_or_else(Point2::origin, |reach| reach.centre);
        let above = |from_mm: f64| {
            let reached = self.height_mm > from_mm;
            let plan = reached.then(|| self.footprints.plan_above(self.rest, from_mm))?;
            Reach::of(plan.into_iter()).map(|reach| reach.about(centre))
        };
        let steps = step_heights_mm(self.space);
        std::iter::once(whole)
            .chain(steps.into_iter().map(above))
            .collect()
    }

    fn of_circle(
        &self,
        footprint: &Footprint,
        diameter_mm: f64,
        above: &[(usize, f64)],
    ) -> PlanFit {
        let size_mm = footprint.turns.size_at_mm(0.0);
        let reaches = self.reaches();
        let whole = reaches.first().and_then(Option::as_ref);
        let mut slack_mm = diameter_mm - footprint.across_mm;
        let mut fits = fits_within(footprint.across_mm, diameter_mm);
        let (mut at, mut held) = (Vector2::zeros(), Held::Rim);
        let rims: Vec<(&Reach, f64)> = above
            .iter()
            .filter_map(|(level, across)| Some((reaches.get(*level)?.as_ref()?, across / 2.0)))
            .chain(whole.map(|whole| (whole, diameter_mm / 2.0)))
            .collect();
        if rims.len() > 1 {
            let (place, room_mm) = middle_of_rims(&rims);
            if 2.0 * room_mm < slack_mm {
                held = Held::Step;
            }
            (at, slack_mm) = (place, slack_mm.min(2.0 * room_mm));
            fits &= slack_mm >= -1e-9 * diameter_mm && rims.iter().all(|rim| rim.1 > 0.0);
        }
        let low = whole.map_or([0.0; 2], |whole| low_corner(whole, 0.0));
        PlanFit {
            fits,
            turn_deg: 0.0,
            turns_deg: vec![(0.0, 360.0)],
            open_deg: 0.0,
            size_mm,
            slack_mm: [slack_mm; 2],
            margin_mm: slack_mm.max(0.0) / 2.0,
            sides_mm: [slack_mm.max(0.0) / 2.0; 4],
            best_turn_deg: 0.0,
            best_margin_mm: slack_mm.max(0.0) / 2.0,
            at_mm: [at.x + low[0], at.y + low[1]],
            held,
        }
    }

    fn of_convex(
        &self,
        footprint: &Footprint,
        turning: &Turning<'_>,
        reaches: &[Option<Reach>],
    ) -> Option<PlanFit> {
        let best = turning.roomiest()?;
        let best_deg = plain_turn(degrees(best.turn));
        let holds = |sight: &Sight| sight.room_mm >= -turning.tolerance_mm();
        if !holds(&best) {
            let held = if best.held_above {
                Held::Step
            } else {
                Held::Outline
            };
            return Some(missed(footprint, best_deg, best.room_mm, held));
        }
        let turns_deg = in_degrees(&turning.fitting(), best_deg);
        let square = [0.0, 90.0]
            .into_iter()
            .find(|deg| turning.at_deg(*deg).as_ref().is_some_and(holds));
        let turn_deg = square.or_else(|| least_of(&turns_deg)).unwrap_or(best_deg);
        let sight = turning.at_deg(turn_deg)?;
        let low = low_corner(reaches.first()?.as_ref()?, turn_deg);
        Some(PlanFit {
            fits: true,
            turn_deg,
            turns_deg,
            open_deg: 0.0,
            size_mm: footprint.turns.size_at_mm(turn_deg),
            slack_mm: [2.0 * sight.room_mm; 2],
            margin_mm: sight.room_mm.max(0.0),
            sides_mm: turning.sides_mm(&sight),
            best_turn_deg: best_deg,
            best_margin_mm: best.room_mm.max(sight.room_mm).max(0.0),
            at_mm: [sight.at.x + low[0], sight.at.y + low[1]],
            held: Held::Outline,
        })
    }

    fn of_notched(&self, footprint: &Footprint, notched: &Notched) -> PlanFit {
        let reaches = self.reaches();
        let outline = self.footprints.plan_outline(self.rest);
        let Some(turning) = TrueTurning::new(notched, &reaches, &outline) else {
            return nothing_left(footprint, Held::Obstacles);
        };
        let ranges = turning.fitting();
        let plan = || -> Option<PlanFit> {
            let best = turning.roomiest(&ranges.fitting)?;
            let best_turn_deg = plain_turn(degrees(best.turn));
            let turns_deg = in_degrees(&ranges.fitting, best_turn_deg);
            let square = [0.0_f64, 90.0].into_iter().find_map(|deg| {
                let placed = turning.place(deg.to_radians())?;
                Some((deg, placed))
            });
            let least = || {
                let deg = least_of(&turns_deg)?;
                Some((deg, turning.place(deg.to_radians())?))
            };
            let (turn_deg, placed) = square
                .or_else(least)
                .unwrap_or((best_turn_deg, best.clone()));
            let low = low_corner(reaches.first()?.as_ref()?, turn_deg);
            Some(PlanFit {
                fits: true,
                turn_deg,
                turns_deg,
                open_deg: ranges.open.to_degrees(),
                size_mm: footprint.turns.size_at_mm(turn_deg),
                slack_mm: [2.0 * placed.room_mm; 2],
                margin_mm: placed.room_mm,
                sides_mm: placed.sides_mm,
                best_turn_deg,
                best_margin_mm: best.room_mm.max(placed.room_mm),
                at_mm: [placed.at.x + low[0], placed.at.y + low[1]],
                held: Held::Obstacles,
            })
        };
        plan().unwrap_or_else(|| match turning.nearest_miss() {
            Some(sight) => {
                let held = if sight.held_above {
                    Held::Step
                } else {
                    Held::Obstacles
                };
                missed(
                    footprint,
                    plain_turn(degrees(sight.turn)),
                    sight.room_mm,
                    held,
                )
            }
            None => nothing_left(footprint, Held::Obstacles),
        })
    }
}

fn of_rectangle(footprint: &Footprint, low_mm: [f64; 2], [x_mm, y_mm]: [f64; 2]) -> PlanFit {
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
    let slack_mm = [x_mm - size_mm[0], y_mm - size_mm[1]];
    let [x, y] = slack_mm.map(|slack| slack.max(0.0) / 2.0);
    PlanFit {
        fits,
        turn_deg,
        turns_deg: all_round(with_turn(ranges, best.turn_deg)),
        open_deg: 0.0,
        size_mm,
        slack_mm,
        margin_mm: x.min(y),
        sides_mm: [x, x, y, y],
        best_turn_deg,
        best_margin_mm: (best.slack_mm.max(0.0) / 2.0).max(x.min(y)),
        at_mm: [low_mm[0] + x, low_mm[1] + y],
        held: Held::Sides,
    }
}

/// What does not fit at its best turn for want of room on every side, mm (negative).
fn missed(footprint: &Footprint, turn_deg: f64, room_mm: f64, held: Held) -> PlanFit {
    PlanFit {
        fits: false,
        turn_deg,
        turns_deg: Vec::new(),
        open_deg: 0.0,
        size_mm: footprint.turns.size_at_mm(turn_deg),
        // What fits a smaller area by as much needs it on both sides; it is never told to lack nothing.
        slack_mm: [(2.0 * room_mm).min(-f64::MIN_POSITIVE); 2],
        margin_mm: 0.0,
        sides_mm: [0.0; 4],
        best_turn_deg: turn_deg,
        best_margin_mm: 0.0,
        at_mm: [0.0; 2],
        held,
    }
}

/// Where margins and keep-outs leave nothing of the bed.
fn nothing_left(footprint: &Footprint, held: Held) -> PlanFit {
    let [x, y] = footprint.turns.size_at_mm(0.0);
    missed(footprint, 0.0, -x.max(y) / 2.0, held)
}

/// From the part's middle to its box's lower corner at a turn.
fn low_corner(reach: &Reach, turn_deg: f64) -> [f64; 2] {
    let (cosine, sine) = unit(turn_deg);
    let turned = reach
        .corners()
        .iter()
        .map(|p| [cosine * p.x - sine * p.y, sine * p.x + cosine * p.y]);
    turned.fold([f64::INFINITY; 2], |low, p| {
        [low[0].min(p[0]), low[1].min(p[1])]
    })
}

/// The place of a part on a round space that narrows upward, and the room at the nearest rim, mm. The room falls off
/// evenly in every direction (it is concave), so the place is found by narrowing x and, for each x, y.
fn middle_of_rims(rims: &[(&Reach, f64)]) -> (Vector2<f64>, f64) {
    let room = |at: Vector2<f64>| {
        rims.iter()
            .map(|(reach, radius)| {
                let far = reach.corners().iter().map(|p| (p + at).norm_squared());
                radius - far.fold(0.0, f64::max).sqrt()
            })
            .fold(f64::INFINITY, f64::min)
    };
    let span = rims
        .iter()
        .map(|(reach, _)| 2.0 * reach.radius_mm)
        .fold(0.0, f64::max);
    let over_y = |x: f64| {
        let y = highest(span, |y| room(Vector2::new(x, y)));
        (Vector2::new(x, y), room(Vector2::new(x, y)))
    };
    let x = highest(span, |x| over_y(x).1);
    over_y(x)
}

/// Where a concave function is highest between -span and span (golden section; Kiefer 1953, from memory).
fn highest(span: f64, value: impl Fn(f64) -> f64) -> f64 {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let (mut low, mut high) = (-span, span);
    let (mut a, mut b) = (high - GOLDEN * (high - low), low + GOLDEN * (high - low));
    let (mut at_a, mut at_b) = (value(a), value(b));
    for _ in 0..50 {
        if at_a >= at_b {
            (high, b, at_b) = (b, a, at_a);
            a = high - GOLDEN * (high - low);
            at_a = value(a);
        } else {
            (low, a, at_a) = (a, b, at_b);
            b = low + GOLDEN * (high - low);
            at_b = value(b);
        }
    }
    f64::midpoint(low, high)
}

fn plain_turn(turn_deg: f64) -> f64 {
    let turn_deg = turn_deg.rem_euclid(360.0);
    if 360.0 - turn_deg <= SAME_ANGLE_DEG {
        0.0
    } else {
        turn_deg
    }
}

/// Ranges in degrees with a turn that is known to fit, ended at square turns where they pass them by a tolerance.
fn in_degrees(ranges: &[(f64, f64)], known_deg: f64) -> Vec<(f64, f64)> {
    let mut found: Vec<(f64, f64)> = ranges
        .iter()
        .map(|&(from, to)| ended_at_square((degrees(from.max(0.0)), degrees(to.min(TAU)))))
        .collect();
    // A full turn on its own says nothing that no turn does not say.
    found.retain(|&(from, _)| from < 360.0);
    let holds = |range: &(f64, f64)| {
        range.0 - SAME_ANGLE_DEG <= known_deg && known_deg <= range.1 + SAME_ANGLE_DEG
    };
    if !found.iter().any(holds) {
        found.push((known_deg, known_deg));
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
    }
    found
}

/// The least turn in either sense of ranges in 0..=360; counter-clockwise where both are alike.
fn least_of(ranges: &[(f64, f64)]) -> Option<f64> {
    let (first, last) = (ranges.first()?.0, ranges.last()?.1);
    Some(if first <= 360.0 - last + SAME_ANGLE_DEG {
        first
    } else {
        plain_turn(last)
    })
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
