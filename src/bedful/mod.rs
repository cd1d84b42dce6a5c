//! Takes outlines of posed parts and the area of a bed they may cover. Gives places for as many as can be found, none
//! nearer to another than a clearance.
//!
//! ```text
//! outline -> Shape (turned) -> grid   the best plain grid over all turns, exact, of parts and of pairs
//!                           -> greedy one copy after the other, each as far into a corner as it goes
//!                           -> check  distances, corner against side -> fill -> fill_beds (an order, bed after bed)
//! ```
//!
//! Packing irregular outlines has no known way to the best answer in sensible time, so what is found is a count that can
//! be had, not the greatest there is. Promised: every outline lies in the usable area; no two are nearer than the
//! clearance; on a rectangle never fewer copies than the best plain grid over all turns; the same input gives the same
//! places. Not promised: the most copies; that a larger bed never holds fewer, save by the grid.
//!
//! A nesting library was looked for: the one that is kept up finds collisions in single precision, leaves the placing to
//! its user and asks for a newer compiler than this project, so the placing is done here, on the polygon library.

mod beds;
mod check;
mod fill;
mod greedy;
mod grid;
mod layouts;
mod shape;

pub use beds::{Beds, fill_beds};
pub use check::{gap_mm, lies_within};
pub use fill::fill;

use crate::plane::Region;

/// Copies on one bed at most. More can't be told from a mistaken unit, and nobody takes them off one by one.
pub const MOST_COPIES: u32 = 500;
/// Clearance between outlines where nothing is said, mm: room for a brim, a scraper and the nozzle's sides. Common
/// practice, no source.
pub const USUAL_CLEARANCE_MM: f64 = 5.0;
/// The greatest clearance, mm.
pub const MOST_CLEARANCE_MM: f64 = 500.0;

/// One kind of part to be placed.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// What it covers on the bed at no turn, mm, in any coordinates.
    pub outline: Region,
    /// Copies wanted; as many as can be placed (up to [`MOST_COPIES`]) where nothing is said.
    pub wanted: Option<u32>,
    /// How it may be turned about the vertical.
    pub turns: Turns,
    /// Where one copy alone is known to lie, for beds on which no search for places finds one.
    pub known: Option<Known>,
}

/// Where one copy alone is known to lie.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Known {
    /// The turn, degrees counter-clockwise seen from above.
    pub turn_deg: f64,
    /// The lower corner of the turned outline's box, mm on the bed.
    pub corner_mm: [f64; 2],
    /// The turn with the most room, degrees: copies are tried at it too.
    pub roomiest_deg: f64,
}

/// How a part may be turned about the vertical.
#[derive(Debug, Clone, PartialEq)]
pub enum Turns {
    /// In any way.
    Any,
    /// By one of these, degrees counter-clockwise seen from above.
    Only(Vec<f64>),
}

/// One copy on the bed.
#[derive(Debug, Clone, PartialEq)]
pub struct Placement {
    /// Which of the items.
    pub item: usize,
    /// The turn about the origin of the item's outline, degrees counter-clockwise seen from above, in 0..360.
    pub turn_deg: f64,
    /// The move after the turn, mm.
    pub at_mm: [f64; 2],
    /// What it covers, mm on the bed.
    pub outline: Region,
}

/// A full bed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Bedful {
    /// The copies, in the order in which they were placed.
    pub placements: Vec<Placement>,
    /// Whether [`MOST_COPIES`] ended the filling.
    pub capped: bool,
}

impl Bedful {
    /// Copies of one item.
    pub fn copies_of(&self, item: usize) -> u32 {
        self.placements.iter().filter(|p| p.item == item).count() as u32
    }

    /// All copies.
    pub fn copies(&self) -> u32 {
        self.placements.len() as u32
    }
}

/// Why nothing can be placed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum BedfulError {
    /// A clearance that is no length.
    #[error("the clearance between parts is {given} mm; give 0 to {MOST_CLEARANCE_MM} mm")]
    Clearance {
        /// What was given, mm.
        given: f64,
    },
    /// An outline that covers nothing.
    #[error("part {} covers nothing on the bed; is its mesh flat, or its unit right?", item + 1)]
    NoOutline {
        /// Which of the items.
        item: usize,
    },
    /// A turn that is no angle.
    #[error("part {} is to be turned by {turn_deg} degrees; give finite turns, at least one", item + 1)]
    Turn {
        /// Which of the items.
        item: usize,
        /// What was given; NaN where none was.
        turn_deg: f64,
    },
}

fn checked(items: &[Item], clearance_mm: f64) -> Result<(), BedfulError> {
    if !(0.0..=MOST_CLEARANCE_MM).contains(&clearance_mm) {
        return Err(BedfulError::Clearance {
            given: clearance_mm,
        });
    }
    for (item, of) in items.iter().enumerate() {
        if of.outline.is_empty() {
            return Err(BedfulError::NoOutline { item });
        }
        if let Turns::Only(turns) = &of.turns {
            let bad = turns.iter().copied().find(|turn| !turn.is_finite());
            let none = turns.is_empty().then_some(f64::NAN);
            if let Some(turn_deg) = bad.or(none) {
                return Err(BedfulError::Turn { item, turn_deg });
            }
        }
    }
    Ok(())
}
