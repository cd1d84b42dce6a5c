//! The room a machine offers.

use super::usable::{Usable, outline_of, region_left, ring_region};
use crate::plane::Region;

/// The shape of a bed, mm. Places on it are told in its own coordinates, seen from above: those of a rectangle begin at
/// its front left corner, those of a circle at its middle, those of a polygon where its corners say.
#[derive(Debug, Clone, PartialEq)]
pub enum Bed {
    /// A rectangle `x_mm` wide and `y_mm` deep.
    Rectangle {
        /// Width along x, mm.
        x_mm: f64,
        /// Depth along y, mm.
        y_mm: f64,
    },
    /// A round bed.
    Circle {
        /// Diameter, mm.
        diameter_mm: f64,
    },
    /// Any other outline that does not cross itself.
    Polygon {
        /// Its corners in order, in either sense, mm.
        corners_mm: Vec<[f64; 2]>,
    },
}

/// A rectangle of the bed between two corners, bed coordinates, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// The corner at the front left.
    pub from_mm: [f64; 2],
    /// The corner at the back right.
    pub to_mm: [f64; 2],
}

/// A step above which the space is narrower.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Narrowing {
    /// Height above the bed from which it holds, mm.
    pub from_mm: f64,
    /// How far inside the bed's edge the part stays from there on, mm; of a bed with bays, inside the edge of its convex
    /// hull. It is measured from the edge itself, not from the edge margin.
    pub inset_mm: f64,
}

/// The room a machine offers to a part.
#[derive(Debug, Clone, PartialEq)]
pub struct BuildSpace {
    /// Shape of the bed.
    pub bed: Bed,
    /// Usable height, mm.
    pub height_mm: f64,
    /// Strip along the bed's edge that a part must keep clear of, mm, at least 0.
    pub edge_margin_mm: f64,
    /// Places on the bed that can't be used (clips, a corner for purging), each a polygon in bed coordinates, mm. Nothing of
    /// the part may lie above them; the edge margin is not kept from them.
    pub keep_out_mm: Vec<Vec<[f64; 2]>>,
    /// What the nozzle reaches, where that is not the whole bed.
    pub reach: Option<Place>,
    /// Steps above which the space is narrower, in any order.
    pub narrower_above: Vec<Narrowing>,
    /// Room kept clear around the part on the bed for a brim, mm, at least 0: from the edge margin, from keep-outs and
    /// within the nozzle's reach. Nothing is kept for it above a step, where no brim is.
    pub brim_mm: f64,
}

impl BuildSpace {
    /// The whole of a bed, up to a height, mm: no margin, nothing kept clear.
    pub fn new(bed: Bed, height_mm: f64) -> Self {
        Self {
            bed,
            height_mm,
            edge_margin_mm: 0.0,
            keep_out_mm: Vec::new(),
            reach: None,
            narrower_above: Vec::new(),
            brim_mm: 0.0,
        }
    }

    /// A plain rectangular space, mm.
    pub fn rectangle(x_mm: f64, y_mm: f64, height_mm: f64) -> Self {
        Self::new(Bed::Rectangle { x_mm, y_mm }, height_mm)
    }

    /// A plain round space, mm.
    pub fn circle(diameter_mm: f64, height_mm: f64) -> Self {
        Self::new(Bed::Circle { diameter_mm }, height_mm)
    }

    /// The same space with room for a brim that reaches so far out, mm.
    pub fn with_room_for(&self, brim_mm: f64) -> Self {
        Self {
            brim_mm,
            ..self.clone()
        }
    }

    /// The bed itself, in its own coordinates; a round one as a polygon inscribed to 0.01 mm.
    pub fn bed_region(&self) -> Region {
        ring_region(&outline_of(&self.bed))
    }

    /// Where a part of some height, mm, may stand: the bed less edge margin, keep-outs, what the nozzle does not reach, room for
    /// the brim, and what steps take that the part reaches above.
    pub fn usable_region(&self, height_mm: f64) -> Region {
        let left = region_left(self).offset_round(-self.brim_mm);
        let steps = self.narrower_above.iter();
        let reached = steps.filter(|step| step.from_mm < height_mm);
        reached.fold(left, |left, step| {
            left.and(&self.bed_region().offset_round(-step.inset_mm))
        })
    }

    /// Whether convex hulls decide what fits, and no true outlines.
    pub fn is_convex(&self) -> bool {
        !matches!(Usable::of(self, self.height_mm), Usable::Notched(_))
    }

    /// A plain space within this one, quick to ask: itself where it is a rectangle or a circle with nothing kept clear; else the
    /// largest rectangle in what is left for a part of the full height. None where nothing is left.
    pub fn plain(&self) -> Option<BuildSpace> {
        let bare =
            self.keep_out_mm.is_empty() && self.reach.is_none() && self.narrower_above.is_empty();
        if bare && !matches!(self.bed, Bed::Polygon { .. }) {
            return Some(self.clone());
        }
        let rooms = Usable::of(self, self.height_mm).rooms_mm().into_iter();
        let [x_mm, y_mm] = rooms.max_by(|a, b| (a[0] * a[1]).total_cmp(&(b[0] * b[1])))?;
        Some(Self::rectangle(x_mm, y_mm, self.height_mm))
    }

    /// The same with an edge margin, mm.
    pub fn with_margin(self, edge_margin_mm: f64) -> Self {
        Self {
            edge_margin_mm,
            ..self
        }
    }
}
