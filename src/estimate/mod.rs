//! Takes a mesh, a shop and what is asked. Gives one estimate per option: the line from mesh to money, walked once.

mod walk;

pub use walk::{Laid, Way, walk};
