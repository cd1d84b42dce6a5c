//! What `bench` makes of readings, from readings whose cause is known: times by the planner and by small steps along the paths,
//! weighings by made-up slip curves with noise, strips and parts. And what it says of readings that can't be.
#![allow(clippy::unwrap_used, clippy::expect_used)]

#[path = "../meshes/mod.rs"]
mod meshes;
#[allow(dead_code)]
#[path = "../path_clock/small_steps.rs"]
mod small_steps;

mod commands;
mod parts;
mod stopwatch;
mod strips;
mod weighing;

use beadtally::bench::{Chosen, Setup};
use beadtally::shop::Shop;

/// A machine of a shop with its usual nozzle and plastic, or with those named.
fn setup<'s>(shop: &'s Shop, machine: &str, nozzle: Option<&str>) -> Setup<'s> {
    let chosen = Chosen {
        machine: Some(machine.to_owned()),
        nozzle: nozzle.map(str::to_owned),
        material: None,
    };
    Setup::of(shop, &chosen).unwrap()
}
