//! Takes the bytes of a file. Gives an indexed triangle mesh in millimetres, its measures, and its findings:
//! what is wrong with it and what was mended.

mod triangles;
mod finding;

pub use finding::{Finding, FindingKind};
pub use triangles::Mesh;
