//! How many pieces are made: on which machine and nozzle, in which starts, and what that costs.

use crate::cost::Ledger;

/// The plan for one quantity.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// The machine's id.
    pub machine: String,
    /// The nozzle's id.
    pub nozzle: String,
    /// Its starts, kind by kind.
    pub starts: Vec<PlannedStart>,
    /// What the order costs so.
    pub ledger: Ledger,
}

/// Starts of one kind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlannedStart {
    /// Pieces that stand on the bed together.
    pub pieces: u32,
    /// How often such a bed is printed.
    pub times: u32,
    /// One such print, heating and the machine's correction included, s.
    pub seconds: f64,
    /// The heating and levelling part of it, s.
    pub start_seconds: f64,
    /// Plastic of one such print, support included, g.
    pub grams: f64,
}

impl Plan {
    /// `MACHINE/NOZZLE`.
    pub fn name(&self) -> String {
        format!("{}/{}", self.machine, self.nozzle)
    }

    /// Prints in all.
    pub fn prints(&self) -> u32 {
        self.starts.iter().map(|start| start.times).sum()
    }
}
