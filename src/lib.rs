//! What a printed part costs, computed from its mesh.
//!
//! ```text
//! file -> mesh -> pose -> section -> bead -> motion -> cost -> quote
//!          |       |       |                             ^
//!       (health) (fit)  (cut)     shop feeds pose, bead, motion and cost
//! ```
//!
//! One room per step. A room takes plain data and gives plain data, and knows nothing of the rooms after it.
//! `estimate` is where the line is walked from end to end; `learn` stands beside it and makes corrections of what jobs took;
//! `calendar` turns hours into dates, `service` holds a part's use against its plastic, `payback` a shop against itself with a purchase;
//! `store` keeps the job book; `cli` is the way in from a terminal.
//! `mould` makes moulds for a part, `tooling` holds them against printing it.
//!
//! All lengths are millimetres, areas mm2, volumes mm3, times seconds, masses grams, speeds mm/s, flows mm3/s,
//! unless a name says otherwise. Money is decimal.

mod wrap;

pub mod plane;
pub mod mesh;
pub mod pose;
pub mod bedful;
pub mod section;
pub mod cut;
pub mod mould;
pub mod health;
pub mod bead;
pub mod motion;
pub mod shop;
pub mod service;
pub mod cost;
pub mod calendar;
pub mod estimate;
pub mod tooling;
pub mod payback;
pub mod bench;
pub mod learn;
pub mod store;
pub mod quote;
pub mod cli;

#[cfg(doctest)]
#[doc = include_str!("../README.md")]
struct Readme;
