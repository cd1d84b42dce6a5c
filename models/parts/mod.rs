//! The demonstration parts, each built straight from its dimensions as one closed solid.
//!
//! Takes nothing but the constants in each file; gives a [`Solid`]. A test can include this folder by
//! `#[path = "../models/parts/mod.rs"] mod parts;` and call the builders itself.
//!
//! Three of them are unlike enough to stand for the shop's work at large: [`mostly_walls`], [`mostly_bulk`] and
//! [`ribs_and_bosses`].

pub mod binnacle;
pub mod cleat_block;
pub mod cowl_vent;
pub mod hatch_mould;
pub mod outline;
pub mod pump_mount;
pub mod rudder_cheek;
pub mod solid;

use solid::{Solid, SolidError};

/// A demonstration part: where it is written and what builds it.
pub struct Part {
    /// File name in `models/`.
    pub file: &'static str,
    /// Builds the part in millimetres, standing on z = 0 as it would be printed.
    pub build: fn() -> Result<Solid, SolidError>,
}

/// Every part, in the order in which they are written.
pub const ALL: [Part; 6] = [
    Part {
        file: "binnacle.stl",
        build: mostly_walls,
    },
    Part {
        file: "cleat_block.stl",
        build: mostly_bulk,
    },
    Part {
        file: "cowl_vent.stl",
        build: cowl_vent::build,
    },
    Part {
        file: "hatch_lid_mould.stl",
        build: hatch_mould::build,
    },
    Part {
        file: "pump_mount.stl",
        build: ribs_and_bosses,
    },
    Part {
        file: "rudder_cheek.stl",
        build: rudder_cheek::build,
    },
];

/// The part that is mostly walls: the instrument binnacle.
///
/// # Errors
/// [`SolidError`] where the constants do not give a closed solid.
pub fn mostly_walls() -> Result<Solid, SolidError> {
    binnacle::build()
}

/// The part that is mostly bulk: the cleat block.
///
/// # Errors
/// [`SolidError`] where the constants do not give a closed solid.
pub fn mostly_bulk() -> Result<Solid, SolidError> {
    cleat_block::build()
}

/// The part of ribs and bosses: the bilge-pump mount.
///
/// # Errors
/// [`SolidError`] where the constants do not give a closed solid.
pub fn ribs_and_bosses() -> Result<Solid, SolidError> {
    pump_mount::build()
}
