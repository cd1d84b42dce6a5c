//! Which turns about the vertical fit a convex area, exactly, and which leaves the most room.
//!
//! At one turn the most room is a linear program (`room`). The walls that hold the part there, with their weights and the
//! corners that touch them, give a wave `base + x cos t + y sin t` that bounds the room from above at *every* turn: weights
//! stay weights, and no corner reaches further than the furthest. So a turn at which the part does not fit rules out a
//! whole range of turns in closed form, and two such waves bound the best turn between them (a cutting-plane search).
//!
//! That every turn of a range fits follows from its two ends alone. How far a hull reaches is sublinear: turned from `a`
//! towards `b = a + w`, it reaches at most `(sin(b - t) h(a) + sin(t - a) h(b)) / sin w`. Mixing the places at both ends
//! in the same way gives a place at `t` with at least as much room as the mix of the rooms, less the mix's excess over 1
//! times the furthest wall's distance `c`. With both rooms not negative that is not negative where the greater one is at
//! least `(1 - cos w) c`. No angle is stepped through.

use std::collections::BinaryHeap;
use std::f64::consts::{FRAC_PI_4, TAU};

use nalgebra::Vector2;

use super::reach::Reach;
use super::room::{Spot, Wall, roomiest_spot, three_around, way_to_walls};
use super::turn::unit;
use crate::plane::Region;
use crate::pose::tolerance::{LENGTH_SHARE, SAME_ROOM_SHARE};

/// A range narrower than this is one turn, radians.
const ONE_TURN: f64 = 1e-11;
/// Turns looked at before the search for the best one is cut off: a finely divided round part has a ripple per facet, each
/// as good as the next within a thousandth of a millimetre.
const MOST_FOR_BEST: usize = 1500;
/// Turns looked at before ranges are cut off; what is then open counts as not fitting.
const MOST_FOR_RANGES: usize = 20_000;

/// A part's reaches in a convex area.
#[derive(Debug, Clone)]
pub(in crate::pose) struct Turning<'r> {
    /// Walls about `origin`.
    walls: Vec<Wall>,
    /// How far the part reaches: the whole, and what is above each step.
    reaches: &'r [Option<Reach>],
    origin: Vector2<f64>,
    start: [usize; 3],
    /// Distance of the furthest wall from the origin, mm.
    furthest_mm: f64,
}

/// How a part lies at one turn.
#[derive(Debug, Clone)]
pub(in crate::pose) struct Sight {
    /// The turn, radians.
    pub turn: f64,
    /// The most room, mm; negative by how much the part is too large on a side.
    pub room_mm: f64,
    /// Where the part's centre then is, mm.
    pub at: Vector2<f64>,
    /// Whether a wall above a step holds it.
    pub held_above: bool,
    cut: Wave,
}

/// `base + x cos t + y sin t`.
#[derive(Debug, Clone, Copy)]
struct Wave {
    base: f64,
    x: f64,
    y: f64,
}

impl<'r> Turning<'r> {
    /// From walls in bed coordinates and the part's reaches by level. `None` where the walls bound nothing. Walls of levels that
    /// the part does not reach hold nothing.
    pub fn new(walls: &[Wall], reaches: &'r [Option<Reach>]) -> Option<Self> {
        let reached = |wall: &&Wall| reaches.get(wall.level).is_some_and(Option::is_some);
        let mut walls: Vec<Wall> = walls.iter().filter(reached).copied().collect();
        if walls.iter().any(|wall| !wall.limit_mm.is_finite()) {
            return None;
        }
        let start = three_around(&walls)?;
        let limits: Vec<f64> = walls.iter().map(|wall| wall.limit_mm).collect();
        let origin = roomiest_spot(&walls, &limits, Some(start))?.at;
        for wall in &mut walls {
            wall.limit_mm -= wall.normal.dot(&origin);
        }
        let furthest_mm = walls
            .iter()
            .fold(0.0_f64, |most, wall| most.max(wall.limit_mm));
        Some(Self {
            walls,
            reaches,
            origin,
            start,
            furthest_mm,
        })
    }

    /// A part may be too large by this and still fit, mm.
    pub fn tolerance_mm(&self) -> f64 {
        LENGTH_SHARE * self.furthest_mm
    }

    /// How the part lies at a turn in degrees; whole quarter turns are exact.
    pub fn at_deg(&self, turn_deg: f64) -> Option<Sight> {
        self.sight(turn_deg.to_radians(), unit(turn_deg))
    }

    fn at(&self, turn: f64) -> Option<Sight> {
        self.at_deg(degrees(turn))
            .map(|sight| Sight { turn, ..sight })
    }

    fn sight(&self, turn: f64, (cosine, sine): (f64, f64)) -> Option<Sight> {
        let touching = self.touching((cosine, sine));
        let free: Vec<f64> = touching.iter().map(|(_, free)| *free).collect();
        let spot = roomiest_spot(&self.walls, &free, Some(self.start))?;
        Some(Sight {
            turn,
            room_mm: spot.room_mm,
            at: spot.at + self.origin,
            held_above: spot
                .held_by
                .iter()
                .any(|(i, share)| *share > 1e-9 && self.walls[*i].level > 0),
            cut: self.wave(&spot, &touching),
        })
    }

    /// The corner of the part that touches each wall first, as drawn, and what the wall leaves, mm.
    fn touching(&self, (cosine, sine): (f64, f64)) -> Vec<(Vector2<f64>, f64)> {
        self.walls
            .iter()
            .map(|wall| {
                let n = wall.normal;
                // The wall as the part sees it, which turns the other way.
                let seen = Vector2::new(cosine * n.x + sine * n.y, cosine * n.y - sine * n.x);
                let corner = self.reaches[wall.level]
                    .as_ref()
                    .map_or_else(Vector2::zeros, |reach| reach.furthest(seen));
                (corner, wall.limit_mm - corner.dot(&seen))
            })
            .collect()
    }

    fn wave(&self, spot: &Spot, touching: &[(Vector2<f64>, f64)]) -> Wave {
        let mut wave = Wave {
            base: 0.0,
            x: 0.0,
            y: 0.0,
        };
        for (i, share) in spot.held_by {
            let (wall, corner) = (&self.walls[i], touching[i].0);
            wave.base += share * wall.limit_mm;
            wave.x -= share * wall.normal.dot(&corner);
            // n . R(t) p = cos t (n . p) + sin t (n x-turned p).
            wave.y -= share * corner.perp(&wall.normal);
        }
        wave
    }

    /// All places of the part's centre at a turn, with every wall `grown_mm` further out.
    pub fn places(&self, turn: (f64, f64), grown_mm: f64) -> Region {
        let free: Vec<f64> = self
            .touching(turn)
            .iter()
            .map(|(_, free)| free + grown_mm)
            .collect();
        let (x, y) = (Vector2::x(), Vector2::y());
        let Some(spot) = roomiest_spot(&self.walls, &free, Some(self.start)) else {
            return Region::default();
        };
        if spot.room_mm < 0.0 {
            return Region::default();
        }
        // Everything within the walls lies within this of the origin.
        let far_mm = 4.0 * self.furthest_mm + grown_mm;
        let upright = |wall: &Wall| wall.normal.x.abs().min(wall.normal.y.abs()) < 1e-15;
        let (mut low, mut high) = ([-far_mm; 2], [far_mm; 2]);
        let mut slanting = Vec::new();
        for (wall, free) in self.walls.iter().zip(&free) {
            match upright(wall) {
                true if wall.normal.dot(&x) > 0.5 => high[0] = high[0].min(*free),
                true if wall.normal.dot(&x) < -0.5 => low[0] = low[0].max(-*free),
                true if wall.normal.dot(&y) > 0.5 => high[1] = high[1].min(*free),
                true => low[1] = low[1].max(-*free),
                false => {
                    let along = Vector2::new(-wall.normal.y, wall.normal.x) * (4.0 * far_mm);
                    let (foot, out) = (wall.normal * *free, wall.normal * (8.0 * far_mm));
                    let corners = [
                        foot - along,
                        foot - along + out,
                        foot + along + out,
                        foot + along,
                    ];
                    slanting.push(
                        corners
                            .map(|p| [p.x + self.origin.x, p.y + self.origin.y])
                            .to_vec(),
                    );
                }
            }
        }
        let from_origin = |p: [f64; 2]| [p[0] + self.origin.x, p[1] + self.origin.y];
        let box_mm = Region::rectangle(from_origin(low), from_origin(high));
        if slanting.is_empty() {
            return box_mm;
        }
        box_mm.minus(&Region::from_rings(slanting))
    }

    /// How far the part at a place may move left, right, to the front and to the back, mm.
    pub fn sides_mm(&self, sight: &Sight) -> [f64; 4] {
        let free: Vec<f64> = self
            .touching(unit(degrees(sight.turn)))
            .iter()
            .map(|(_, free)| *free)
            .collect();
        let at = sight.at - self.origin;
        let (x, y) = (Vector2::x(), Vector2::y());
        [-x, x, -y, y].map(|way| way_to_walls(&self.walls, &free, at, 0.0, way).max(0.0))
    }

    /// The ranges of turns that fit, radians in 0..=tau, ascending and apart.
    pub fn fitting(&self) -> Vec<(f64, f64)> {
        let mut found = Vec::new();
        let mut left = MOST_FOR_RANGES;
        // An eighth of a turn at a time, last one on top.
        let eighths = (0..8).rev().map(|i| {
            let from = f64::from(i) * FRAC_PI_4;
            Some((self.at(from)?, self.at(from + FRAC_PI_4)?))
        });
        let mut open: Vec<(Sight, Sight)> = eighths.flatten().collect();
        while let Some((a, b)) = open.pop() {
            left = left.saturating_sub(1);
            if left == 0 {
                break;
            }
            self.settle(a, b, &mut open, &mut found);
        }
        found
    }

    /// Takes a range in, rules it out, or leaves what is open of it in parts, the first on top.
    fn settle(
        &self,
        a: Sight,
        b: Sight,
        open: &mut Vec<(Sight, Sight)>,
        found: &mut Vec<(f64, f64)>,
    ) {
        let tolerance = self.tolerance_mm();
        let width = b.turn - a.turn;
        let fits = |sight: &Sight| sight.room_mm >= -tolerance;
        if width <= ONE_TURN {
            for end in [&a, &b].into_iter().filter(|end| fits(end)) {
                join(found, (end.turn, end.turn));
            }
            return;
        }
        let mut allowed = vec![(a.turn, b.turn)];
        for cut in [a.cut, b.cut] {
            allowed = cut.not_below(-tolerance, &allowed);
        }
        let kept: f64 = allowed.iter().map(|(from, to)| to - from).sum();
        let enough = (1.0 - width.cos()) * self.furthest_mm;
        if kept >= width && fits(&a) && fits(&b) && a.room_mm.max(b.room_mm) + tolerance >= enough {
            join(found, (a.turn, b.turn));
            return;
        }
        let mut parts = Vec::new();
        for (from, to) in allowed {
            let ends = (self.end_at(from, &a, &b), self.end_at(to, &a, &b));
            let (Some(first), Some(last)) = ends else {
                continue;
            };
            // Where waves rule out little, halving makes sure of an end.
            if to - from > 0.75 * width {
                if let Some(middle) = self.at(f64::midpoint(from, to)) {
                    parts.push((first, middle.clone()));
                    parts.push((middle, last));
                }
            } else {
                parts.push((first, last));
            }
        }
        open.extend(parts.into_iter().rev());
    }

    fn end_at(&self, turn: f64, a: &Sight, b: &Sight) -> Option<Sight> {
        match turn {
            _ if turn == a.turn => Some(a.clone()),
            _ if turn == b.turn => Some(b.clone()),
            _ => self.at(turn),
        }
    }

    /// The turn with the most room, or that lacks the least; of turns as good, the least in either sense.
    pub fn roomiest(&self) -> Option<Sight> {
        let same = SAME_ROOM_SHARE * 2.0 * self.furthest_mm;
        let mut best: Option<Sight> = None;
        let mut take = |sight: &Sight| -> f64 {
            let better = best.as_ref().is_none_or(|held| {
                sight.room_mm > held.room_mm + same
                    || (sight.room_mm >= held.room_mm - same
                        && least(sight.turn) < least(held.turn))
            });
            if better {
                best = Some(sight.clone());
            }
            best.as_ref().map_or(sight.room_mm, |held| held.room_mm)
        };
        let mut open = BinaryHeap::new();
        let mut ends: Vec<Sight> = Vec::new();
        for i in 0..=8 {
            let sight = self.at(f64::from(i) * FRAC_PI_4)?;
            take(&sight);
            ends.push(sight);
        }
        open.extend(
            ends.windows(2)
                .map(|pair| Span::of(pair[0].clone(), pair[1].clone())),
        );
        for _ in 0..MOST_FOR_BEST {
            let Some(span) = open.pop() else { break };
            let Some(sight) = self.at(span.at) else { break };
            let most = take(&sight);
            if span.bound_mm < most - same {
                break;
            }
            for next in [Span::of(span.from, sight.clone()), Span::of(sight, span.to)] {
                if next.bound_mm > most + same && next.to.turn - next.from.turn > ONE_TURN {
                    open.push(next);
                }
            }
        }
        best
    }
}

/// A range of turns with the most room that may be in it.
struct Span {
    from: Sight,
    to: Sight,
    bound_mm: f64,
    /// The turn at which it may be.
    at: f64,
}

impl Span {
    fn of(from: Sight, to: Sight) -> Self {
        let lower = |turn: f64| from.cut.at(turn).min(to.cut.at(turn));
        let within = |turn: f64| {
            let turn = from.turn + (turn - from.turn).rem_euclid(TAU);
            (turn < to.turn).then_some(turn)
        };
        let mut turns = vec![from.turn, to.turn];
        turns.extend(
            [from.cut.peak(), to.cut.peak()]
                .into_iter()
                .filter_map(within),
        );
        turns.extend(
            from.cut
                .meets(&to.cut)
                .into_iter()
                .flatten()
                .filter_map(within),
        );
        let (bound_mm, at) = turns.into_iter().map(|turn| (lower(turn), turn)).fold(
            (f64::NEG_INFINITY, from.turn),
            |best, next| {
                if next.0 > best.0 { next } else { best }
            },
        );
        Self {
            from,
            to,
            bound_mm,
            at,
        }
    }
}

impl PartialEq for Span {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Span {}

impl PartialOrd for Span {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Span {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        let by_bound = self.bound_mm.total_cmp(&other.bound_mm);
        by_bound.then(other.at.total_cmp(&self.at))
    }
}

impl Wave {
    fn at(&self, turn: f64) -> f64 {
        let (sine, cosine) = turn.sin_cos();
        self.base + self.x * cosine + self.y * sine
    }

    fn peak(&self) -> f64 {
        self.y.atan2(self.x)
    }

    /// The turns at which two waves are equal.
    fn meets(&self, other: &Wave) -> Option<[f64; 2]> {
        let (x, y) = (self.x - other.x, self.y - other.y);
        let half = half_above(x.hypot(y), other.base - self.base)?;
        let middle = y.atan2(x);
        Some([middle - half, middle + half])
    }

    /// What is left of ranges where the wave is not below a limit.
    fn not_below(&self, limit: f64, ranges: &[(f64, f64)]) -> Vec<(f64, f64)> {
        let (greatest, wanted) = (self.x.hypot(self.y), limit - self.base);
        if wanted <= -greatest {
            return ranges.to_vec();
        }
        let Some(half) = half_above(greatest, wanted) else {
            return Vec::new();
        };
        let middle = self.peak();
        let mut left = Vec::new();
        for &(from, to) in ranges {
            let first = middle + TAU * ((from - middle) / TAU).floor();
            for around in [first, first + TAU] {
                let (start, end) = (from.max(around - half), to.min(around + half));
                if start <= end {
                    left.push((start, end));
                }
            }
        }
        left
    }
}

/// Half the range of turns about its peak over which `greatest cos t` is at least `wanted`, without the arc cosine's loss of
/// digits; none where it never is, or always.
fn half_above(greatest: f64, wanted: f64) -> Option<f64> {
    let square = (greatest - wanted) * (greatest + wanted);
    (square >= 0.0).then(|| square.sqrt().atan2(wanted))
}

/// A turn in degrees, whole eighths of a turn exact.
pub(in crate::pose) fn degrees(turn: f64) -> f64 {
    let deg = turn.to_degrees();
    let eighth = 45.0 * (deg / 45.0).round();
    if (deg - eighth).abs() < 1e-12 * 360.0 {
        eighth
    } else {
        deg
    }
}

/// A turn's size in either sense, a clockwise one a trifle larger so that of two alike the other is taken.
fn least(turn: f64) -> f64 {
    let turn = turn.rem_euclid(TAU);
    turn.min(TAU - turn + 1e-9)
}

/// Appends a range, joined to the one before where they touch.
pub(in crate::pose) fn join(ranges: &mut Vec<(f64, f64)>, (from, to): (f64, f64)) {
    match ranges.last_mut() {
        Some(last) if from - last.1 <= 2.0 * ONE_TURN => last.1 = last.1.max(to),
        _ => ranges.push((from, to)),
    }
}
