//! The learning room against closed forms, roads of its own and simulated shops whose truth is known.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod bad_input;
mod bands;
mod correction;
mod failures;
mod left_out;
mod roads;
mod simulated;
