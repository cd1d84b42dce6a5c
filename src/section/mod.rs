//! Takes a posed mesh and layer heights. Gives one clean polygon set per layer.
//!
//! `layers` says where the planes lie, `cut` turns facets into contours, `region` is the polygon set and everything
//! that is done to one, `thin` drops the points a contour does not need. No machine is known here.

mod cut;
mod faces;
mod layers;
mod reduce;
mod region;
mod thin;

pub use cut::{CutAreas, Sections, areas_at, sections, sections_at, sections_thinned};
pub use layers::Layers;
pub use region::{GRID_PER_MM, Region, THIN_MM};
