//! Moulds: what keeps a piece in one, and its halves as solids.
#![allow(clippy::unwrap_used, clippy::expect_used)]

#[path = "../meshes/mod.rs"]
mod meshes;

mod halves;
mod money;
mod undercut;
