//! The cost room against outside sources, worked examples and its own laws.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod absence;
mod bad_input;
mod fixture;
mod in_full;
mod laws;
mod money;
mod published;
mod risk;
mod worked;
