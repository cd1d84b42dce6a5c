//! Takes a mesh and a machine's build space. Gives the orientations in which the part rests and fits, with margins,
//! and where none fits, the nearest miss.
//!
//! ```text
//! mesh -> Footprints (three convex hulls, once per part) -> fit_machine (every machine)
//!                                                        -> choose_down -> Pose -> place
//! ```
//!
//! Promises: a pose is a proper rotation; a placed part's lowest box corner is exactly (0, 0, 0); a larger build space
//! never loses a fit. `fit_machine` looks at the six axis-down poses; `search_tilted` at all others, and proves what it can.

mod bed;
mod choose;
mod columns;
mod down;
mod fit;
mod footprint;
mod miss;
mod outline;
mod place;
mod rest;
mod tilt;
mod tolerance;

pub use bed::check::{PolygonFault, SpaceFault};
pub use bed::space::{Bed, BuildSpace, Narrowing, Place};
pub use choose::{ChosenPose, DownCandidate, SupportGuess, choose_down};
pub use down::{Down, DownError};
pub use fit::{MachineFit, PoseFit, fit_machine, fit_rest, fit_searched};
pub use footprint::Footprints;
pub use miss::{Miss, turn_in_words};
pub use outline::outline;
pub use place::{Pose, place};
pub use rest::{Rest, RestError, Tilt};
pub use tilt::contact::{FirstContact, first_contact};
pub use tilt::rests::{MOST_RESTING_POSES, RestingPose, RestingPoses, resting_poses};
pub use tilt::search::{SearchBudget, TiltOutcome, TiltSearch, search_tilted};
