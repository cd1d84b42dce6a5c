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

mod bound;
mod caliper;
mod check;
mod cells;
mod choose;
mod columns;
mod contact;
mod corners;
mod down;
mod fit;
mod footprint;
mod hull3;
mod inner;
mod miss;
mod notched;
mod outline;
mod place;
mod plan;
mod reach;
mod rest;
mod room;
mod rests;
mod search;
mod space;
mod tolerance;
mod turn;
mod turning;
mod usable;

pub use check::{PolygonFault, SpaceFault};
pub use choose::{ChosenPose, DownCandidate, SupportGuess, choose_down};
pub use contact::{FirstContact, first_contact};
pub use down::{Down, DownError};
pub use fit::{MachineFit, PoseFit, fit_machine, fit_rest, fit_searched};
pub use footprint::Footprints;
pub use miss::{Miss, turn_in_words};
pub use outline::outline;
pub use place::{Pose, place};
pub use rest::{Rest, RestError, Tilt, direction};
pub use rests::{MOST_RESTING_POSES, RestingPose, RestingPoses, resting_poses};
pub use search::{SearchBudget, TiltOutcome, TiltSearch, search_tilted};
pub use space::{Bed, BuildSpace, Narrowing, Place};
