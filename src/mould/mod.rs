//! Takes a closed mesh and how it is to be moulded. Gives what keeps the pieces from coming out, and the mould as closed meshes.
//!
//! ```text
//! InspectedMesh -> opening (the part in the mould's frame) -> sight (what is seen from where) -> parting (direction, height,
//! undercut) -> outer (block or shell) -> build (mesh booleans: halves with keys and pouring opening)
//! ```
//!
//! Everything after `opening` lives in the mould's frame, in which the mould opens along +z. Promises: every half is closed; a
//! block's halves without keys and pouring opening have the block's volume less the part's. No plastic, machine or price is known
//! here.

mod build;
mod error;
mod layered;
mod offset;
mod opening;
mod outer;
mod parting;
mod sight;
mod solid;

pub use build::{Half, Mould, closed_mould, lay_up_tool, minus};
pub use error::MouldError;
pub use layered::block_minus_part;
pub use offset::shell_around;
pub use opening::Opening;
pub use outer::{MouldAsk, Shape};
pub use parting::{HIDDEN_SHARE, Kind, Parting, Place, best_parting, parting_along};
pub use sight::{Sample, samples};
