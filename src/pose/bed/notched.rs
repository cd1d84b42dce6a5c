//! Which turns fit an area that is not convex, on the part's true outline.
//!
//! At one turn the places that are free are what the convex hull of the area allows, less what the obstacles sweep out
//! against the outline turned about (a difference in the sense of Minkowski); the room is the radius of the widest circle in
//! it. Turned by an angle `w` about the middle of the smallest circle around it, no point of the part moves by more than its
//! radius times `w`, and neither does the room change by more. So a range of turns fits where the room at its middle is at
//! least radius times half its width, and does not where even an area larger by that has no place free; else it is halved.
//!
//! Two bounds settle most turns first, both exact: what misses the hull of the area misses, and what fits a convex part of the
//! area fits (`turning`).

use std::cmp::Ordering;
use std::collections::BinaryHeap;
use std::f64::consts::{FRAC_PI_2, TAU};

use nalgebra::{Point2, Vector2};

use super::reach::Reach;
use super::turn::unit;
use super::turning::{Sight, Turning, degrees};
use super::usable::Notched;
use crate::plane::{Convexes, Region};

/// An outline may overlap an obstacle by this and still fit, mm: the polygon grid rounds at a tenth of it.
const KNIFE_MM: f64 = 0.001;
/// Outlines are thinned to this, mm; where that moves anything, the room is less by it.
const THIN_MM: f64 = 0.002;
/// A range over which the part moves by less than this is not divided further, mm.
const LEAST_MOVE_MM: f64 = 0.001;
/// Turns at which free places are worked out, at most, for the ranges and for the best turn.
const MOST_FOR_RANGES: usize = 1200;
const MOST_FOR_BEST: usize = 60;
/// Corners of sums of convex pieces that may be worked out in all, so that a finely divided part beside many keep-outs is looked at at
/// fewer turns.
const MOST_SWEPT: usize = 200_000;
/// The best room is looked for to this, mm.
const BEST_MM: f64 = 0.02;

/// A part's true outline in an area that is not convex.
pub(in crate::pose) struct TrueTurning<'a> {
    hull: Turning<'a>,
    parts: Vec<Turning<'a>>,
    notched: &'a Notched,
    /// Rings about the centre of the smallest circle around them.
    outline: Vec<Vec<[f64; 2]>>,
    /// The same as convex pieces.
    pieces: Convexes,
    /// The obstacles, less what may be overlapped.
    obstacles: Convexes,
    reach: &'a Reach,
    thinned_mm: f64,
}

/// Where the outline has the most room at a turn.
#[derive(Debug, Clone)]
pub(in crate::pose) struct Placed {
    /// The turn, radians.
    pub turn: f64,
    /// Where the centre of the part then is, mm.
    pub at: Vector2<f64>,
    pub room_mm: f64,
    /// Ways left, right, to the front and back, mm.
    pub sides_mm: [f64; 4],
}

/// The turns that fit, and those that could not be settled.
pub(in crate::pose) struct Ranges {
    pub fitting: Vec<(f64, f64)>,
    /// Sum of the ranges left open, radians; they count as not fitting.
    pub open: f64,
}

impl<'a> TrueTurning<'a> {
    /// From the area, the part's reaches and its outline in the same coordinates.
    pub fn new(
        notched: &'a Notched,
        reaches: &'a [Option<Reach>],
        outline: &Region,
    ) -> Option<Self> {
        let reach = reaches.first()?.as_ref()?;
        let thinned = outline.thinned_to(THIN_MM);
        let moved = (thinned.area_mm2() - outline.area_mm2()).abs() > KNIFE_MM * KNIFE_MM;
        let about = |p: [f64; 2]| [p[0] - reach.centre.x, p[1] - reach.centre.y];
        // No obstacle lies in a hole that is smaller than the smallest of them.
        let obstacles = notched.obstacles.pieces();
        let longer = |piece: &Region| {
            piece
                .box_mm()
                .map_or(0.0, |b| sides_of(b).into_iter().fold(0.0, f64::max))
        };
        let least_mm = obstacles.iter().map(longer).fold(f64::INFINITY, f64::min);
        let matters = |(ring, is_hole): &(Vec<[f64; 2]>, bool)| {
            let [x, y] = sides_of(bounds_of(ring));
            !is_hole || x.hypot(y) >= least_mm
        };
        let outline: Vec<Vec<[f64; 2]>> = thinned
            .rings_and_holes()
            .into_iter()
            .filter(matters)
            .map(|(ring, _)| ring.into_iter().map(about).collect())
            .collect();
        Some(Self {
            pieces: Convexes::of(&Region::from_rings(outline.iter().cloned())),
            obstacles: Convexes::of(&notched.obstacles.offset_unthinned(-KNIFE_MM)),
            hull: Turning::new(&notched.walls, reaches)?,
            parts: notched
                .parts
                .iter()
                .filter_map(|walls| Turning::new(walls, reaches))
                .collect(),
            notched,
            outline,
            reach,
            thinned_mm: if moved { THIN_MM } else { 0.0 },
        })
    }

    /// The free places at a turn in an area larger by `grown_mm` on every side.
    fn free(&self, turn: f64, grown_mm: f64) -> Region {
        let (cosine, sine) = unit(degrees(turn));
        let grown_mm = grown_mm + KNIFE_MM;
        let allowed = self.hull.places((cosine, sine), grown_mm);
        if allowed.is_empty() {
            return allowed;
        }
        let shape = self.pieces.turned((cosine, sine)).mirrored();
        let obstacles = if grown_mm == KNIFE_MM {
            &self.obstacles
        } else {
            &Convexes::of(&self.notched.obstacles.offset_unthinned(-grown_mm))
        };
        allowed.minus(&obstacles.sum(&shape))
    }

    /// What the room is less than the widest circle in the free places, mm.
    fn given_up_mm(&self) -> f64 {
        KNIFE_MM + self.thinned_mm
    }

    /// The room in free places that have less than a limit, from below to a sixteenth of it, mm.
    fn room_below(&self, free: &Region, limit_mm: f64) -> f64 {
        let (mut held, mut most) = (0.0, limit_mm);
        for _ in 0..4 {
            let by_mm = f64::midpoint(held, most);
            if free.holds_circle(self.given_up_mm() + by_mm) {
                held = by_mm;
            } else {
                most = by_mm;
            }
        }
        held
    }

    /// So many turns, or fewer where each costs much.
    fn turns_at_most(&self, most: usize) -> usize {
        let corners = self.pieces.corners() * self.obstacles.pieces()
            + self.obstacles.corners() * self.pieces.pieces();
        most.min(MOST_SWEPT / corners.max(1)).max(12)
    }

    /// Whether the outline fits at any turn.
    pub fn fits(&self) -> bool {
        let tolerance_mm = self.hull.tolerance_mm();
        let holds = |part: &Turning<'_>| {
            part.roomiest()
                .is_some_and(|sight| sight.room_mm >= -tolerance_mm)
        };
        self.parts.iter().any(holds) || !self.fitting().fitting.is_empty()
    }

    /// The most room at a turn; `None` where no place is free.
    pub fn at(&self, turn: f64) -> Option<Placed> {
        let free = self.free(turn, 0.0);
        let (at, widest_mm) = free.widest_place()?;
        Some(
            Placed {
                turn,
                at: Vector2::new(at[0], at[1]),
                room_mm: (widest_mm - self.given_up_mm()).max(0.0),
                sides_mm: [0.0; 4],
            }
            .with_sides(&free),
        )
    }

    /// The most room at a turn, from a convex part of the area where that is known to hold it best.
    pub fn place(&self, turn: f64) -> Option<Placed> {
        let by_parts = self
            .parts
            .iter()
            .filter_map(|part| part.at_deg(degrees(turn)))
            .filter(|sight| sight.room_mm >= -self.hull.tolerance_mm())
            .max_by(|a, b| a.room_mm.total_cmp(&b.room_mm));
        let found = self.at(turn);
        match (found, by_parts) {
            (found, Some(sight))
                if found
                    .as_ref()
                    .is_none_or(|found| sight.room_mm > found.room_mm) =>
            {
                let placed = Placed {
                    at: sight.at,
                    room_mm: sight.room_mm.max(0.0),
                    turn,
                    sides_mm: [0.0; 4],
                };
                Some(placed.with_sides(&self.free(turn, 0.0)))
            }
            (found, _) => found,
        }
    }

    /// The ranges of turns that fit, radians in 0..=tau.
    pub fn fitting(&self) -> Ranges {
        let mut found: Vec<(f64, f64)> = self.parts.iter().flat_map(Turning::fitting).collect();
        found = united(found);
        let possible = self.hull.fitting();
        let mut open = 0.0;
        let mut left = self.turns_at_most(MOST_FOR_RANGES);
        for range in without(&possible, &found) {
            let (fits, unsettled) = self.settle(range, &mut left);
            found.extend(fits);
            open += unsettled;
        }
        let mut found = united(found);
        // Single turns that fit among others that could not be settled say nothing.
        let is_point = |range: &(f64, f64)| range.1 <= range.0;
        if open > 0.0 && !found.iter().all(is_point) {
            found.retain(|range| !is_point(range));
        }
        if found.is_empty() {
            found.extend(self.knife_edges(&possible).map(|turn| (turn, turn)));
        }
        Ranges {
            fitting: found,
            open,
        }
    }

    fn settle(&self, range: (f64, f64), left: &mut usize) -> (Vec<(f64, f64)>, f64) {
        let radius = self.reach.radius_mm;
        let mut fits = Vec::new();
        let mut unsettled = 0.0;
        // Quarter turns are looked at themselves.
        let mut open = vec![range];
        for quarter in 1..4 {
            let turn = f64::from(quarter) * FRAC_PI_2;
            if let Some(&(from, to)) = open.last().filter(|(from, to)| *from < turn && turn < *to) {
                open.pop();
                open.extend([(from, turn), (turn, to)]);
            }
        }
        for end in open.iter().flat_map(|(from, to)| [*from, *to]) {
            if *left > 0 && self.at(end).is_some() {
                fits.push((end, end));
            }
            *left = left.saturating_sub(1);
        }
        // Widest first, so that what the limit leaves open is narrow.
        let mut queue: BinaryHeap<Open> = open.into_iter().map(Open::of).collect();
        while let Some(Open { from, to, .. }) = queue.pop() {
            let half = (to - from) / 2.0;
            let moved_mm = radius * half;
            if *left == 0 {
                unsettled += to - from;
                continue;
            }
            *left -= 1;
            let middle = f64::midpoint(from, to);
            let free = self.free(middle, 0.0);
            if free.is_empty() {
                if moved_mm <= LEAST_MOVE_MM || self.free(middle, moved_mm).is_empty() {
                    continue;
                }
            } else if moved_mm <= LEAST_MOVE_MM || free.holds_circle(self.given_up_mm() + moved_mm)
            {
                fits.push((from, to));
                continue;
            } else {
                let sure = self.room_below(&free, moved_mm) / radius;
                fits.push((middle - sure, middle + sure));
                queue.extend([(from, middle - sure), (middle + sure, to)].map(Open::of));
                continue;
            }
            queue.extend([(from, middle), (middle, to)].map(Open::of));
        }
        (fits, unsettled)
    }

    /// Turns that lay one of the outline's longest sides along a side of an obstacle or of the area, and fit.
    fn knife_edges<'s>(&'s self, possible: &'s [(f64, f64)]) -> impl Iterator<Item = f64> + 's {
        let sides = longest_sides(&self.outline, 8);
        let rings: Vec<_> = self.notched.obstacles.rings().collect();
        let mut turns: Vec<f64> = longest_sides(&rings, 8)
            .iter()
            .flat_map(|edge| {
                sides.iter().flat_map(move |side| {
                    let turn = edge.y.atan2(edge.x) - side.y.atan2(side.x);
                    [turn.rem_euclid(TAU), (turn + TAU / 2.0).rem_euclid(TAU)]
                })
            })
            .chain([0.0, 1.0, 2.0, 3.0].map(|quarter| quarter * FRAC_PI_2))
            .filter(|turn| possible.iter().any(|(from, to)| from <= turn && turn <= to))
            .collect();
        turns.sort_by(f64::total_cmp);
        turns.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
        turns.truncate(self.turns_at_most(64));
        turns.into_iter().filter(|turn| self.at(*turn).is_some())
    }

    /// The turn with the most room among those that fit; with it, by how much another might have more, mm.
    pub fn roomiest(&self, fitting: &[(f64, f64)]) -> Option<Placed> {
        let bound = self.hull.roomiest()?.room_mm;
        let mut left = self.turns_at_most(MOST_FOR_BEST);
        let mut starts: Vec<f64> = self
            .parts
            .iter()
            .take(4)
            .filter_map(|part| part.roomiest())
            .map(|sight| sight.turn)
            .collect();
        starts.extend([0.0, 1.0, 2.0, 3.0].map(|quarter| quarter * FRAC_PI_2));
        starts.extend(self.hull.roomiest().map(|sight| sight.turn));
        let mut seen: Vec<(f64, f64)> = Vec::new();
        let mut best: Option<Placed> = None;
        let look = |turn: f64, best: &mut Option<Placed>| -> f64 {
            // No more than a hair more room than the best has: that is all there is to know.
            if let Some(held) = best.as_ref() {
                let most_mm = held.room_mm + BEST_MM / 2.0;
                let by_parts = self
                    .parts
                    .iter()
                    .filter_map(|part| part.at_deg(degrees(turn)));
                let in_parts = by_parts.fold(0.0_f64, |most, sight| most.max(sight.room_mm));
                if in_parts <= most_mm
                    && !self
                        .free(turn, 0.0)
                        .holds_circle(most_mm + self.given_up_mm())
                {
                    return most_mm;
                }
            }
            let placed = self.place(turn);
            let room_mm = placed.as_ref().map_or(0.0, |placed| placed.room_mm);
            if placed.is_some()
                && best
                    .as_ref()
                    .is_none_or(|held| room_mm > held.room_mm + 1e-6)
            {
                *best = placed;
            }
            room_mm
        };
        let within = |turn: &f64| fitting.iter().any(|(from, to)| from <= turn && turn <= to);
        for turn in starts.into_iter().filter(within) {
            let room_mm = look(turn, &mut best);
            seen.push((turn, room_mm));
        }
        let mut spans: Vec<(f64, f64, f64)> = Vec::new();
        let upper = |from: (f64, f64), to: (f64, f64)| {
            let by_move = (from.1 + to.1 + self.reach.radius_mm * (to.0 - from.0)) / 2.0;
            (by_move.min(bound), from.0, to.0)
        };
        for &(from, to) in fitting {
            let mut ends: Vec<(f64, f64)> = seen
                .iter()
                .copied()
                .filter(|s| from < s.0 && s.0 < to)
                .collect();
            ends.extend([from, to].map(|turn| (turn, look(turn, &mut best))));
            ends.sort_by(|a, b| a.0.total_cmp(&b.0));
            seen.extend(&ends);
            spans.extend(ends.windows(2).map(|pair| upper(pair[0], pair[1])));
        }
        while left > 0 {
            left -= 1;
            let most = best.as_ref().map_or(0.0, |held| held.room_mm);
            let widest = (0..spans.len()).max_by(|&a, &b| spans[a].0.total_cmp(&spans[b].0));
            let Some(at) = widest.filter(|&at| spans[at].0 > most + BEST_MM) else {
                break;
            };
            let (_, from, to) = spans.swap_remove(at);
            let room_at = |turn: f64| seen.iter().find(|s| s.0 == turn).map_or(0.0, |s| s.1);
            let (a, b) = ((from, room_at(from)), (to, room_at(to)));
            let middle = f64::midpoint(from, to);
            let c = (middle, look(middle, &mut best));
            seen.push(c);
            spans.extend([upper(a, c), upper(c, b)]);
        }
        // Closing in on the best turn seen, in halving steps.
        let mut step = 0.02;
        while step * self.reach.radius_mm > BEST_MM / 4.0 {
            let Some(held) = best.as_ref().map(|held| (held.turn, held.room_mm)) else {
                break;
            };
            for turn in [held.0 - step, held.0 + step] {
                if within(&turn) {
                    look(turn, &mut best);
                }
            }
            if best.as_ref().is_none_or(|now| now.room_mm <= held.1) {
                step /= 2.0;
            }
        }
        best
    }

    /// The turn that lacks the least in the roomiest convex parts of the area.
    pub fn nearest_miss(&self) -> Option<Sight> {
        let sights = self.parts.iter().filter_map(Turning::roomiest);
        sights.max_by(|a, b| a.room_mm.total_cmp(&b.room_mm))
    }
}

/// A range that is not settled, the widest first.
#[derive(Debug, PartialEq)]
struct Open {
    width: f64,
    from: f64,
    to: f64,
}

impl Open {
    fn of((from, to): (f64, f64)) -> Self {
        Self {
            width: to - from,
            from,
            to,
        }
    }
}

impl Eq for Open {}

impl PartialOrd for Open {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Open {
    fn cmp(&self, other: &Self) -> Ordering {
        let by_width = self.width.total_cmp(&other.width);
        by_width.then(other.from.total_cmp(&self.from))
    }
}

impl Placed {
    /// With the ways it may move in the free places, none too long by the search's tolerance, and none below the room.
    fn with_sides(mut self, free: &Region) -> Self {
        let ways_mm = free.ways_out_mm([self.at.x, self.at.y]);
        self.sides_mm = ways_mm.map(|mm| (mm - 2.0 * KNIFE_MM).max(self.room_mm));
        self
    }
}

fn bounds_of(ring: &[[f64; 2]]) -> ([f64; 2], [f64; 2]) {
    let ends = |axis: usize| {
        let along = ring.iter().map(|p| p[axis]);
        along.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), at| {
            (low.min(at), high.max(at))
        })
    };
    let (x, y) = (ends(0), ends(1));
    ([x.0, y.0], [x.1, y.1])
}

fn sides_of((low, high): ([f64; 2], [f64; 2])) -> [f64; 2] {
    [high[0] - low[0], high[1] - low[1]]
}

/// The longest sides of rings, as steps.
fn longest_sides(rings: &[Vec<[f64; 2]>], most: usize) -> Vec<Vector2<f64>> {
    let mut sides: Vec<Vector2<f64>> = rings
        .iter()
        .flat_map(|ring| {
            let next = ring.iter().skip(1).chain(ring.first());
            let step = |(a, b): (&[f64; 2], &[f64; 2])| Point2::from(*b) - Point2::from(*a);
            ring.iter().zip(next).map(step).collect::<Vec<_>>()
        })
        .collect();
    sides.sort_by(|a, b| b.norm_squared().total_cmp(&a.norm_squared()));
    sides.truncate(most);
    sides
}

/// Ranges in order, joined where they touch.
fn united(mut ranges: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    ranges.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut joined = Vec::new();
    for range in ranges {
        super::turning::join(&mut joined, range);
    }
    joined
}

/// What ranges have beyond others, both in order.
fn without(ranges: &[(f64, f64)], others: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut left = Vec::new();
    for &(from, to) in ranges {
        let mut at = from;
        for &(start, end) in others {
            if end < at || start > to {
                continue;
            }
            if start > at {
                left.push((at, start));
            }
            at = at.max(end);
        }
        if at < to {
            left.push((at, to));
        }
    }
    left
}
