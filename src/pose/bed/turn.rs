//! Which turns about the vertical fit a rectangle, exactly.
//!
//! The width of a convex hull in a direction is a stretch of a sine between two events: as the direction turns, the
//! pair of corners that sets the width changes only where the direction stands square on an edge of the hull (rotating
//! calipers, Toussaint 1983). So "turned by t, the part is at most so wide and so deep" is solved piece by piece in
//! closed form, and no angle is tried.
//!
//! The width repeats every half turn, and a rectangle is the same after one, so a half turn says all. In its second
//! quarter, width and depth are those of the first, exchanged: only one quarter is kept.

use std::f64::consts::{FRAC_PI_2, TAU};
use std::sync::Arc;

use nalgebra::{Point2, Vector2};

use super::caliper::calipers;
use crate::pose::tolerance::{SAME_ANGLE_DEG, SAME_ROOM_SHARE, SQUARE_SNAP_DEG, with_tolerance};

/// Cosine and sine of an angle in degrees, exact at whole quarter turns.
pub(in crate::pose) fn unit(angle_deg: f64) -> (f64, f64) {
    let quarters = angle_deg / 90.0;
    if quarters != quarters.round() {
        let (sine, cosine) = angle_deg.to_radians().sin_cos();
        return (cosine, sine);
    }
    match quarters.rem_euclid(4.0) as u8 {
        0 => (1.0, 0.0),
        1 => (0.0, 1.0),
        2 => (-1.0, 0.0),
        _ => (0.0, -1.0),
    }
}

/// The roomiest turn in a rectangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::pose) struct Roomiest {
    /// The turn, degrees, in 0..180.
    pub turn_deg: f64,
    /// Rectangle less part, in the tighter of the two directions, mm; negative by how much the part is too large.
    pub slack_mm: f64,
}

/// Width and depth of a hull at every turn.
#[derive(Debug, Clone)]
pub(in crate::pose) struct Turns {
    /// The first quarter turn, in order and without gaps.
    pieces: Arc<[Piece]>,
    /// Whether the hull is the mirror image of the pieces'. A turn then stands for its opposite.
    mirrored: bool,
}

/// A range of turns over which the same corners set the width, and the same the depth.
#[derive(Debug, Clone, Copy)]
struct Piece {
    /// First and last turn, radians.
    from: f64,
    to: f64,
    width: Wave,
    depth: Wave,
    /// Width and depth at the first turn, mm.
    size_mm: [f64; 2],
}

/// A length that depends on the turn `t` as `x cos t + y sin t`.
type Wave = Vector2<f64>;

impl Turns {
    /// From the hull's corners, counter-clockwise, mm.
    pub fn of(hull: &[Point2<f64>]) -> Self {
        // A part turned by t is as wide as it was in the direction -t: the mirrored hull in the direction t.
        let opposite: Vec<_> = hull.iter().rev().map(|p| Point2::new(p.x, -p.y)).collect();
        let calipers = calipers(&opposite);
        let split = calipers.partition_point(|caliper| caliper.from < FRAC_PI_2);
        let (first, second) = (&calipers[..split], &calipers[split..]);
        let mut pieces = Vec::with_capacity(calipers.len());
        let (mut i, mut j, mut from) = (0, 0, 0.0);
        while let (Some(a), Some(b)) = (first.get(i), second.get(j)) {
            let (a_ends, b_ends) = (a.to, b.to - FRAC_PI_2);
            let to = a_ends.min(b_ends).clamp(from, FRAC_PI_2);
            // The depth is the width a quarter turn on: b.x cos(t + 90) + b.y sin(t + 90).
            pieces.push(Piece::new(from, to, a.step, Wave::new(b.step.y, -b.step.x)));
            from = to;
            i += usize::from(a_ends <= b_ends);
            j += usize::from(b_ends <= a_ends);
        }
        if let Some(last) = pieces.last_mut() {
            last.to = FRAC_PI_2;
        }
        Self {
            pieces: pieces.into(),
            mirrored: false,
        }
    }

    /// The same for the hull's mirror image.
    pub fn mirrored(&self) -> Self {
        Self {
            pieces: Arc::clone(&self.pieces),
            mirrored: !self.mirrored,
        }
    }

    /// Width and depth at a turn, mm.
    pub fn size_at_mm(&self, turn_deg: f64) -> [f64; 2] {
        let half_deg = self.as_seen(turn_deg.rem_euclid(180.0)) % 180.0;
        let exchanged = half_deg >= 90.0;
        let turn_deg = if exchanged { half_deg - 90.0 } else { half_deg };
        let at = self
            .pieces
            .partition_point(|piece| piece.to.to_degrees() < turn_deg);
        let Some(piece) = self.pieces.get(at).or(self.pieces.last()) else {
            return [0.0; 2];
        };
        let [width, depth] = piece.size_at(unit(turn_deg));
        if exchanged {
            [depth, width]
        } else {
            [width, depth]
        }
    }

    /// Whether the hull fits a rectangle, mm, at any turn, within the tolerance for lengths.
    pub fn fit(&self, width_mm: f64, depth_mm: f64) -> bool {
        if !(width_mm > 0.0 && depth_mm > 0.0) {
            return false;
        }
        let mut fit = false;
        let (width_mm, depth_mm) = (with_tolerance(width_mm), with_tolerance(depth_mm));
        self.candidates(width_mm, depth_mm, |at| fit |= at.slack_mm >= 0.0);
        fit
    }

    /// The ranges of turns, degrees in 0..=180, at which the hull fits a rectangle, mm, within the tolerance for
    /// lengths. Ranges that reach past a square turn by no more than that tolerance end there.
    pub fn fitting_deg(&self, width_mm: f64, depth_mm: f64) -> Vec<(f64, f64)> {
        let mut ranges =
            self.strictly_fitting_deg(with_tolerance(width_mm), with_tolerance(depth_mm));
        for range in &mut ranges {
            *range = ended_at_square(*range);
        }
        ranges
    }

    /// The same without any tolerance.
    pub fn strictly_fitting_deg(&self, width_mm: f64, depth_mm: f64) -> Vec<(f64, f64)> {
        let mut ranges = Vec::new();
        for (quarter_deg, width, depth) in quarters(width_mm, depth_mm) {
            for piece in self.pieces.iter() {
                piece.fitting(width, depth, |from, to| {
                    let (from, to) = (from.to_degrees(), to.to_degrees());
                    join(&mut ranges, (quarter_deg + from, quarter_deg + to));
                });
            }
        }
        if self.mirrored {
            ranges.reverse();
            ranges
                .iter_mut()
                .for_each(|(from, to)| (*from, *to) = (180.0 - *to, 180.0 - *from));
        }
        ranges
    }

    /// The turn that leaves the most room in a rectangle, mm, or lacks the least; of turns as good, the least.
    pub fn roomiest(&self, width_mm: f64, depth_mm: f64) -> Roomiest {
        let mut most = f64::NEG_INFINITY;
        self.candidates(width_mm, depth_mm, |at| most = most.max(at.slack_mm));
        let as_good = most - SAME_ROOM_SHARE * (width_mm.abs() + depth_mm.abs());
        let mut least: Option<Roomiest> = None;
        self.candidates(width_mm, depth_mm, |at| {
            let better = |held: Roomiest| is_less(at.turn_deg, held.turn_deg);
            if at.slack_mm >= as_good && least.is_none_or(better) {
                least = Some(at);
            }
        });
        least.unwrap_or(Roomiest {
            turn_deg: 0.0,
            slack_mm: f64::NEG_INFINITY,
        })
    }

    /// Gives every turn at which the room can be greatest.
    fn candidates(&self, width_mm: f64, depth_mm: f64, mut give: impl FnMut(Roomiest)) {
        for (quarter_deg, width, depth) in quarters(width_mm, depth_mm) {
            for piece in self.pieces.iter() {
                piece.candidates(width, depth, |turn, slack_mm| {
                    let turn_deg = self.as_seen(whole_if_near(quarter_deg + turn.to_degrees()));
                    give(Roomiest {
                        turn_deg: turn_deg % 180.0,
                        slack_mm,
                    });
                });
            }
        }
    }

    /// A turn in 0..=180 of the pieces' hull as a turn of this one, and the other way round.
    fn as_seen(&self, turn_deg: f64) -> f64 {
        if self.mirrored {
            180.0 - turn_deg
        } else {
            turn_deg
        }
    }
}

/// The two quarters of half a turn, degrees, with the width and depth that hold in each.
fn quarters(width: f64, depth: f64) -> [(f64, f64, f64); 2] {
    [(0.0, width, depth), (90.0, depth, width)]
}

/// Whether a turn in 0..=180 is the lesser in either sense; of two that mirror each other, the counter-clockwise one is.
fn is_less(turn_deg: f64, than_deg: f64) -> bool {
    let difference = size_of(turn_deg) - size_of(than_deg);
    if difference.abs() <= SAME_ANGLE_DEG {
        turn_deg < than_deg
    } else {
        difference < 0.0
    }
}

/// How far a turn in 0..=180 is from square in either sense, degrees.
pub(in crate::pose) fn size_of(turn_deg: f64) -> f64 {
    turn_deg.min(180.0 - turn_deg)
}

/// A turn in 0..=180 as the smaller one of the two that look the same: up to 90 as it is, above that clockwise, which
/// is written in 270..360.
pub(in crate::pose) fn smaller_of_the_two(turn_deg: f64) -> f64 {
    if turn_deg <= 90.0 {
        turn_deg
    } else {
        (turn_deg + 180.0) % 360.0
    }
}

impl Piece {
    fn new(from: f64, to: f64, width: Wave, depth: Wave) -> Self {
        let mut piece = Self {
            from,
            to,
            width,
            depth,
            size_mm: [0.0; 2],
        };
        let (sine, cosine) = from.sin_cos();
        piece.size_mm = piece.size_at((cosine, sine));
        piece
    }

    /// Width and depth at the turn of a cosine and a sine, mm.
    fn size_at(&self, (cosine, sine): (f64, f64)) -> [f64; 2] {
        [self.width, self.depth].map(|wave| wave.x * cosine + wave.y * sine)
    }

    /// Gives the ranges of turns, radians, at which the piece is within both limits, in order.
    fn fitting(&self, width: f64, depth: f64, mut give: impl FnMut(f64, f64)) {
        let mut over = [
            self.exceeding(self.width, self.size_mm[0], width),
            self.exceeding(self.depth, self.size_mm[1], depth),
        ];
        over.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut from = self.from;
        for (start, end) in over {
            if start >= end {
                continue;
            }
            if from <= start {
                give(from, start.min(self.to));
            }
            from = from.max(end);
            if from > self.to {
                return;
            }
        }
        give(from, self.to);
    }

    /// The one open range of turns, cut to reach just past the piece, over which a length exceeds its limit; empty
    /// (start not before end) where it never does. A length is never negative on its piece, so it rises and falls once.
    fn exceeding(&self, wave: Wave, length_at_from: f64, limit: f64) -> (f64, f64) {
        let (never, always) = (
            (f64::INFINITY, f64::INFINITY),
            (f64::NEG_INFINITY, f64::INFINITY),
        );
        let greatest = wave.norm();
        // No length changes faster than its greatest value per radian, which settles nearly every piece of a fine hull.
        let change = greatest * (self.to - self.from);
        if limit.is_nan() || limit <= 0.0 || length_at_from - change > limit {
            return always;
        }
        if greatest <= limit || length_at_from + change <= limit {
            return never;
        }
        // The arc cosine of limit/greatest, without its loss of digits where the two are close.
        let half = ((greatest - limit) * (greatest + limit))
            .sqrt()
            .atan2(limit);
        let middle = wave.y.atan2(wave.x);
        let (start, end) = (middle - half, middle + half);
        if end <= self.from || start >= self.to {
            never
        } else {
            (start, end)
        }
    }

    /// Gives the turns, radians, at which the room can be greatest, with that room.
    ///
    /// On a piece both lengths are arcs that bulge upward, so the room in either direction bulges downward, and the
    /// lesser of the two is greatest at an end of the piece or where the two are equal, never at a turning point. A
    /// piece's last turn is the next one's first.
    fn candidates(&self, width: f64, depth: f64, mut give: impl FnMut(f64, f64)) {
        let slack = |size: [f64; 2]| (width - size[0]).min(depth - size[1]);
        give(self.from, slack(self.size_mm));
        let difference = self.width - self.depth;
        let (greatest, wanted) = (difference.norm(), width - depth);
        let lacking = wanted - (self.size_mm[0] - self.size_mm[1]);
        if greatest <= wanted.abs() || greatest * (self.to - self.from) < lacking.abs() {
            return;
        }
        let half = ((greatest - wanted) * (greatest + wanted))
            .sqrt()
            .atan2(wanted);
        let middle = difference.y.atan2(difference.x);
        for turn in [middle - half, middle + half] {
            for turn in [turn, turn + TAU, turn - TAU] {
                if turn > self.from && turn < self.to {
                    let (sine, cosine) = turn.sin_cos();
                    give(turn, slack(self.size_at((cosine, sine))));
                }
            }
        }
    }
}

/// Appends a range, joined to the one before where they touch.
fn join(ranges: &mut Vec<(f64, f64)>, (from, to): (f64, f64)) {
    match ranges.last_mut() {
        Some(last) if from - last.1 <= SAME_ANGLE_DEG => last.1 = last.1.max(to),
        _ => ranges.push((from, to)),
    }
}

fn whole_if_near(turn_deg: f64) -> f64 {
    let square = 90.0 * (turn_deg / 90.0).round();
    if (turn_deg - square).abs() <= SAME_ANGLE_DEG {
        square
    } else {
        turn_deg
    }
}

pub(in crate::pose) fn ended_at_square((from, to): (f64, f64)) -> (f64, f64) {
    let (from, to) = (whole_if_near(from), whole_if_near(to));
    let after = 90.0 * (from / 90.0).ceil();
    let before = 90.0 * (to / 90.0).floor();
    (
        if after <= to && after - from < SQUARE_SNAP_DEG {
            after
        } else {
            from
        },
        if before >= from && to - before < SQUARE_SNAP_DEG {
            before
        } else {
            to
        },
    )
}
