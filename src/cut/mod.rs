//! Takes a closed mesh and a machine's build space. Gives the planes along which to cut the part so that every piece fits, and the
//! pieces as closed meshes.
//!
//! ```text
//! InspectedMesh -> plan (where to cut: cells, joint) -> split (two halves, capped) -> pieces (connected solids)
//! ```
//!
//! Promises: a piece is closed; the volumes of the pieces add up to the part's; both faces of a joint are the same triangles. Cuts
//! are planes across one of the part's axes and go through the whole part. Not searched: slanted cuts, cuts that end inside the
//! part, tilted rests. No price and no plastic is known here.

mod cap;
mod cells;
mod error;
mod joint;
mod pieces;
mod plan;
mod plane;
mod search;
mod split;

pub use error::CutError;
pub use joint::{JointFigures, LEAST_JOINT_WIDTH_MM};
pub use pieces::connected_pieces;
pub use plan::{Cut, CutPlan, MOST_CUTS, Piece, plan};
pub use plane::{Axis, Plane};
pub use split::{Halves, split};
