//! Takes an inspected mesh. Gives it back examined in full: what it encloses where bodies overlap or the surface runs through
//! itself, and where its walls are thinner than a bead.
//!
//! The quick checks of the `mesh` room serve every estimate; these take seconds on a part of a million facets and are made where
//! a figure is passed on: when a part is measured or quoted. `crossing` finds facets that run through each other, `union` measures
//! what bodies enclose together by sections, `walls` measures how thick walls are.

mod boxes;
mod crossing;
mod examine;
mod union;
mod walls;

pub use examine::examine;
