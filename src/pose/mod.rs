//! Takes a mesh and a machine's build space. Gives the orientations in which the part rests and fits, with margins,
//! and where none fits, the nearest miss.
//!
//! ```text
//! mesh -> Footprints (three convex hulls, once per part) -> fit_machine (every machine)
//!                                                        -> choose_down -> Pose -> place
//! ```
//!
//! Promises: a pose is a proper rotation; a placed part's lowest box corner is exactly (0, 0, 0); a larger build space
//! never loses a fit. Not searched: poses tilted off the six axis-down ones.

mod caliper;
mod check;
mod choose;
mod columns;
mod down;
mod fit;
mod footprint;
mod miss;
mod notched;
mod outline;
mod place;
mod plan;
mod reach;
mod rest;
mod room;
mod space;
mod tolerance;
mod turn;
mod turning;
mod usable;

pub use check::{PolygonFault, SpaceFault};
pub use choose::{ChosenPose, DownCandidate, SupportGuess, choose_down};
pub use down::{Down, DownError};
pub use fit::{MachineFit, PoseFit, fit_machine, fit_rest};
pub use footprint::Footprints;
pub use miss::{Miss, turn_in_words};
pub use outline::outline;
pub use place::{Pose, place};
pub use rest::{Rest, RestError, Tilt, direction};
pub use space::{Bed, BuildSpace, Narrowing, Place};
