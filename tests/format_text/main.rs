//! Meshes written as OBJ, PLY and OFF.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod damage;
mod obj;
mod off;
mod ply;
mod shapes;
mod shared;
