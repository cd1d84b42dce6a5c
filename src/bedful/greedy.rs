//! One copy after the other, each as far into a corner as it goes.
//!
//! For every shape in play the set of places that are still free is kept; a copy goes to the corner of that set that comes
//! first by a rule, and takes its surroundings out of all the sets.

use std::sync::OnceLock;

use super::shape::{Shape, turned};
use crate::plane::{Convexes, Region};

/// Free places are grown by this, so that a part that just fits is not lost to rounding, mm; what is placed is put back.
const JUST_FITS_MM: f64 = 0.001;
/// Sets of free places that one filling may change; what is placed by then is what it gives. 500 copies of two shapes, or 60
/// of fifteen.
const MOST_CHANGES: usize = 1_000;
/// Corners of free places that one filling may look through, for outlines that leave very ragged ones.
const MOST_CORNERS: usize = 2_000_000;

/// The bed while it is filled.
pub(super) struct Room {
    pub low: [f64; 2],
    pub high: [f64; 2],
    usable: Region,
    /// What of that rectangle can't be used.
    walls: Option<Convexes>,
    /// Whether the usable area is convex, so that the hulls of shapes tell where they fit.
    convex: bool,
}

impl Room {
    /// Nothing where nothing is usable.
    pub fn of(usable: &Region) -> Option<Room> {
        let (low, high) = usable.box_mm()?;
        let walls = Region::rectangle(low, high).minus(usable);
        let hull = super::shape::hull(usable)
            .iter()
            .map(|p| [p.x, p.y])
            .collect();
        let within_hull = Region::from_rings([hull]).minus(usable);
        Some(Room {
            low,
            high,
            convex: within_hull.offset_unthinned(-JUST_FITS_MM).is_empty(),
            usable: usable.clone(),
            walls: (!walls.is_empty()).then(|| Convexes::of(&walls)),
        })
    }

    pub fn is_rectangle(&self) -> bool {
        self.walls.is_none()
    }

    pub fn size(&self) -> [f64; 2] {
        [self.high[0] - self.low[0], self.high[1] - self.low[1]]
    }

    /// Where a shape may be moved, as a rectangle.
    pub fn span_of(&self, shape: &Shape) -> ([f64; 2], [f64; 2]) {
        let by = |room: [f64; 2], of: [f64; 2]| [room[0] - of[0], room[1] - of[1]];
        (by(self.low, shape.low), by(self.high, shape.high))
    }

    /// Where a shape may be moved.
    pub fn places_for(&self, shape: &Shape) -> Region {
        let (low, high) = self.span_of(shape);
        if (0..2).any(|axis| low[axis] > high[axis] + JUST_FITS_MM) {
            return Region::default();
        }
        let places = Region::rectangle(
            low.map(|v| v - JUST_FITS_MM),
            [0, 1].map(|axis| high[axis].max(low[axis]) + JUST_FITS_MM),
        );
        match &self.walls {
            None => places,
            // All corners of a shape in a convex area are the shape in it.
            Some(_) if self.convex => shape.corners.iter().fold(places, |places, corner| {
                places.and(&self.usable.moved([-corner.x, -corner.y]))
            }),
            Some(walls) => places.minus(&walls.sum(&shape.mirrored)),
        }
    }
}

/// Shapes of one room, and where each keeps off each other, found when first asked for.
pub(super) struct Shapes {
    pub all: Vec<Shape>,
    /// Where each may be moved on an empty bed.
    places: Vec<OnceLock<Region>>,
    kept_off: Vec<OnceLock<Region>>,
}

impl Shapes {
    pub fn of(all: Vec<Shape>) -> Shapes {
        let pairs = all.len() * all.len();
        Shapes {
            places: all.iter().map(|_| OnceLock::new()).collect(),
            all,
            kept_off: (0..pairs).map(|_| OnceLock::new()).collect(),
        }
    }

    /// Where the second may not be moved beside the first at its origin. Pairs that are others turned by quarters are not
    /// found anew.
    pub fn kept_off(&self, fixed: usize, moving: usize) -> &Region {
        let cell = &self.kept_off[fixed * self.all.len() + moving];
        cell.get_or_init(|| match self.earlier(fixed, moving) {
            Some((quarters_deg, one, other)) => turned(self.kept_off(one, other), quarters_deg),
            None => self.all[moving].kept_off(&self.all[fixed]),
        })
    }

    /// A pair further to the front of the list that is this one turned back by quarters.
    fn earlier(&self, fixed: usize, moving: usize) -> Option<(f64, usize, usize)> {
        let find = |shape: usize, by_deg: f64| {
            let of = &self.all[shape];
            let turn_deg = (of.turn_deg - by_deg).rem_euclid(360.0);
            let same = |s: &Shape| s.item == of.item && (s.turn_deg - turn_deg).abs() < 1e-9;
            self.all.iter().position(same)
        };
        let turned = [90.0, 180.0, 270.0].into_iter().filter_map(|by_deg| {
            let (one, other) = (find(fixed, by_deg)?, find(moving, by_deg)?);
            ((one, other) < (fixed, moving)).then_some((by_deg, one, other))
        });
        // The first of all is found from no other, so that this ends.
        turned.min_by_key(|(_, one, other)| (*one, *other))
    }
}

/// Where a shape was put.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Spot {
    pub shape: usize,
    pub at: [f64; 2],
}

/// Which free place comes first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Rule {
    /// The one that ends nearest to the front, then to the left.
    Front,
    /// The one that ends nearest to the left, then to the front.
    Left,
    /// The one nearest to the corner at the front and left.
    Corner,
    /// The one nearest to the middle.
    Middle,
}

impl Rule {
    pub const ALL: [Rule; 4] = [Rule::Front, Rule::Left, Rule::Corner, Rule::Middle];

    fn rank(self, room: &Room, shape: &Shape, at: [f64; 2]) -> [f64; 2] {
        let end = [at[0] + shape.high[0], at[1] + shape.high[1]];
        let into = [end[0] - room.low[0], end[1] - room.low[1]];
        match self {
            Rule::Front => [into[1], into[0]],
            Rule::Left => into,
            Rule::Corner => [into[0] + into[1], into[1]],
            Rule::Middle => {
                let off = |axis: usize| {
                    let middle = at[axis] + (shape.low[axis] + shape.high[axis]) / 2.0;
                    middle - (room.low[axis] + room.high[axis]) / 2.0
                };
                [off(0).hypot(off(1)), into[1]]
            }
        }
    }
}

/// A filling: what is placed, and in what order what is to be placed.
pub(super) struct Filling<'a> {
    pub room: &'a Room,
    pub shapes: &'a Shapes,
    pub rule: Rule,
    pub placed: Vec<Spot>,
    changes: usize,
    corners: usize,
}

impl<'a> Filling<'a> {
    pub fn of(room: &'a Room, shapes: &'a Shapes, rule: Rule, placed: Vec<Spot>) -> Self {
        Filling {
            room,
            shapes,
            rule,
            placed,
            changes: 0,
            corners: 0,
        }
    }

    /// Places up to so many copies, each as one of the shapes. Gives how many.
    pub fn add(&mut self, shapes: &[usize], most: u32) -> u32 {
        let mut free: Vec<(usize, Region)> = shapes
            .iter()
            .map(|shape| (*shape, self.free_for(*shape)))
            .filter(|(_, places)| !places.is_empty())
            .collect();
        for count in 0..most {
            let Some(spot) = self.best(&free) else {
                return count;
            };
            self.placed.push(spot);
            self.changes += free.len();
            if self.changes > MOST_CHANGES || self.corners > MOST_CORNERS {
                return count + 1;
            }
            for (shape, places) in &mut free {
                let taken = self.shapes.kept_off(spot.shape, *shape).moved(spot.at);
                *places = places.minus(&taken);
            }
            free.retain(|(_, places)| !places.is_empty());
        }
        most
    }

    fn free_for(&self, shape: usize) -> Region {
        let places = self.shapes.places[shape]
            .get_or_init(|| self.room.places_for(&self.shapes.all[shape]))
            .clone();
        self.placed.iter().fold(places, |places, spot| {
            places.minus(&self.shapes.kept_off(spot.shape, shape).moved(spot.at))
        })
    }

    fn best(&mut self, free: &[(usize, Region)]) -> Option<Spot> {
        let mut best: Option<([f64; 2], Spot)> = None;
        for (index, places) in free {
            let shape = &self.shapes.all[*index];
            let (low, high) = self.room.span_of(shape);
            for at in places.rings().flatten() {
                self.corners += 1;
                let at = [0, 1].map(|axis| at[axis].min(high[axis]).max(low[axis]));
                let rank = self.rule.rank(self.room, shape, at);
                if best.is_none_or(|(least, _)| rank < least) {
                    best = Some((rank, Spot { shape: *index, at }));
                }
            }
        }
        best.map(|(_, spot)| spot)
    }
}
