//! A machine's room, and how a footprint lies in it at every turn.
//!
//! `space` describes it and `check` says what is wrong with a description; `usable` is what it leaves of its bed. `caliper` and `turn`
//! are the exact turns on a rectangle, `reach`, `room` and `turning` those in any convex area, `notched` those beside keep-outs and
//! in bays; `plan` asks the one that the area needs.

pub(super) mod caliper;
pub(super) mod check;
pub(super) mod notched;
pub(super) mod plan;
pub(super) mod reach;
pub(super) mod room;
pub(super) mod space;
pub(super) mod turn;
pub(super) mod turning;
pub(super) mod usable;
