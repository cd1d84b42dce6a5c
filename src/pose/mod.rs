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
mod choose;
mod columns;
mod corners;
mod down;
mod fit;
mod footprint;
mod hull3;
mod miss;
mod outline;
mod place;
mod rest;
mod space;
mod tolerance;
mod turn;

pub use choose::{ChosenPose, DownCandidate, SupportGuess, choose_down};
pub use down::{Down, DownError};
pub use fit::{MachineFit, PoseFit, fit_machine};
pub use footprint::Footprints;
pub use miss::{Miss, turn_in_words};
pub use outline::outline;
pub use place::{Pose, place};
pub use rest::{Rest, RestError, Tilt, direction};
pub use space::{Bed, BuildSpace};
