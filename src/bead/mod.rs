//! Takes a layer's polygons and a bead. Gives the paths that would be laid: perimeters, fill, slivers, support, travel.
//!
//! `stadium` is the bead itself; `perimeter` and `raster` lay a region, `sliver` what is too narrow for whole beads,
//! `support` finds what must be held up and `contact` how it meets the part, `apron` goes around the part on the bed, `plan` puts a
//! layer together, `route` orders it. No machine is known here:
//! paths have lengths and corners, not times.

mod apron;
mod contact;
mod cover;
mod perimeter;
mod plan;
mod raster;
mod role;
mod route;
mod sliver;
mod stadium;
mod support;

pub use apron::{Apron, apron_paths};
pub use contact::{Columns, Contact, contact_paths};
pub use cover::{Exposed, exposed};
pub use plan::{LayerInput, LayerPlan, Laying, plan_layer};
pub use role::Role;
pub use route::{Corner, Course, Stroke, route_layer};
pub use sliver::{SmallestRectangle, strip_length_mm};
pub use stadium::{Bead, BeadError, perimeters_for_wall};
pub use support::{Overhang, support_and_held, support_regions};

/// One path to be laid without lifting.
#[derive(Debug, Clone, PartialEq)]
pub struct Path {
    /// What it is laid for.
    pub role: Role,
    /// Its corners, mm. A closed path does not repeat its first corner.
    pub points_mm: Vec<[f64; 2]>,
    /// Whether it returns to its first corner.
    pub closed: bool,
    /// Length where it is not that of the corners: slivers are laid as one straight of their own length.
    pub straight_mm: Option<f64>,
    /// Cross-section of its bead, mm2.
    pub bead_mm2: f64,
}

impl Path {
    /// Whether the nozzle has any way to go on it.
    fn has_length(&self) -> bool {
        let first = self.points_mm.first();
        first.is_some_and(|_| self.straight_mm.is_some())
            || self.points_mm.iter().any(|point| Some(point) != first)
    }
}
