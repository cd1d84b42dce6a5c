//! Takes a shop file. Gives validated machines, nozzles, materials and rates.

mod types;

pub use types::*;
