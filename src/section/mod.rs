//! Takes a posed mesh and layer heights. Gives one clean polygon set per layer.
//!
//! `layers` says where the planes lie, `cut` turns facets into contours. No machine is known here.

mod cut;
mod layers;

pub use crate::plane::{GRID_PER_MM, Region, THIN_MM};
pub use cut::{CutAreas, Sections, areas_at, sections, sections_at, sections_thinned};
pub use layers::Layers;
