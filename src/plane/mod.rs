//! Shapes in the plane: what a layer, a footprint and a bed are made of.
//!
//! `region` is the polygon set and everything that is done to one (`faces`, `reduce` and `thin` serve it; `room` tells the widest
//! place in one), `hull` the convex hull of points, `minkowski` sums of sets, `circle` the smallest circle
//! around points. Neither parts nor machines are known here.

mod circle;
mod faces;
mod hull;
mod minkowski;
mod reduce;
mod region;
mod room;
mod thin;

pub(crate) use circle::smallest_circle;
pub(crate) use hull::{convex_hull, least_width_mm};
pub(crate) use minkowski::Convexes;
pub(crate) use region::to_grid;
pub use region::{GRID_PER_MM, Region, THIN_MM};
pub(crate) use thin::thin_ring;
