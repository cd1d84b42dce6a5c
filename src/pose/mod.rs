//! Takes a mesh and a machine's build space. Gives the orientations in which the part rests and fits, with margins,
//! and where none fits, the nearest miss.

mod hull;
mod space;
mod tolerance;

pub(crate) use hull::convex_hull;
pub use space::{Bed, BuildSpace};
