//! One option: what one machine with one nozzle makes of a part.

use super::band::Band;
use super::profile::LayerFigures;
use super::replan::{Change, Replanned};
use crate::bead::Bead;
use crate::cost::Ledger;
use crate::motion::{Limit, Limits};
use crate::pose::PoseFit;
use crate::shop::RowUsed;

/// One machine with one nozzle, for a part in one plastic.
#[derive(Debug, Clone, PartialEq)]
pub struct PartOption {
    /// The machine's id.
    pub machine: String,
    /// The nozzle's id.
    pub nozzle: String,
    /// What it makes of the part, or why it can't.
    pub outcome: Result<Made, Refusal>,
}

impl PartOption {
    /// What it makes, where it can.
    pub fn made(&self) -> Option<&Made> {
        self.outcome.as_ref().ok()
    }

    /// `MACHINE/NOZZLE`.
    pub fn name(&self) -> String {
        format!("{}/{}", self.machine, self.nozzle)
    }
}

/// Why an option can't make a part.
#[derive(Debug, Clone, PartialEq)]
pub struct Refusal {
    /// Whether the part fits the machine in the pose chosen.
    pub fits: bool,
    /// One plain sentence per reason.
    pub reasons: Vec<String>,
}

/// What an option makes of a part. Seconds carry the machine's correction; every part of them is scaled alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Made {
    /// The pose and its clearances.
    pub pose: PoseFit,
    /// The bead.
    pub bead: Bead,
    /// Number of perimeters.
    pub perimeters: u32,
    /// Thickness of the first layer, mm.
    pub first_layer_mm: f64,
    /// Number of layers.
    pub layers: usize,
    /// Layers with fill of which at most 1 % is open.
    pub solid_fill_layers: usize,
    /// Lengths laid by role, in the order of [`crate::bead::Role::ALL`], mm.
    pub bead_length_mm: [f64; 6],
    /// Length travelled, mm.
    pub travel_mm: f64,
    /// Plastic of the part, mm3.
    pub deposited_mm3: f64,
    /// Plastic of its support, mm3.
    pub support_mm3: f64,
    /// What can't be laid, mm3.
    pub detail_lost_mm3: f64,
    /// The most of it in one layer, mm2.
    pub detail_lost_mm2: f64,
    /// Where that is in the posed part, mm.
    pub detail_lost_at_mm: Option<[f64; 3]>,
    /// Mass of the part, g.
    pub mass_g: f64,
    /// Mass of its support, g.
    pub support_g: f64,
    /// Surface of the part, mm2.
    pub surface_mm2: f64,
    /// How much of its underside is held up by support, seen from below, mm2.
    pub held_mm2: f64,
    /// The clock.
    pub seconds: Seconds,
    /// What holds the speed down.
    pub limit: Limit,
    /// Shares of motion, melt and cooling in paths, travels and stretch.
    pub limit_share: [f64; 3],
    /// Volume laid over laying seconds, mm3/s.
    pub mean_flow_mm3_s: f64,
    /// The machine's limits with this nozzle and plastic.
    pub limits: Limits,
    /// Mean cusp height, um.
    pub cusp_um: f64,
    /// Greatest cusp height, um.
    pub greatest_cusp_um: f64,
    /// Where the greatest cusp stands, mm of the part as drawn; `None` where no face has a step.
    pub greatest_cusp_at_mm: Option<[f64; 3]>,
    /// Mean roughness, um; `None` outside the range its formula was tried on.
    pub roughness_um: Option<f64>,
    /// The measured row used.
    pub row: Option<RowUsed>,
    /// Measured hours over estimated, as the shop file has it.
    pub correction: f64,
    /// Weighed grams over estimated, as the shop file has it.
    pub grams_correction: f64,
    /// The job with one input changed.
    pub replanned: Vec<Replanned>,
    /// Its layers, first layer first.
    pub profile: Vec<LayerFigures>,
    /// Hours and price from and to.
    pub band: Option<Band>,
    /// Money at the quantity asked.
    pub ledger: Ledger,
}

impl Made {
    /// The whole job with one input changed, s; `None` where the change makes no sense for the option.
    pub fn seconds_with(&self, change: Change) -> Option<f64> {
        let found = self.replanned.iter().find(|r| r.change == change)?;
        Some(found.seconds)
    }

    /// How thick the perimeters make a wall, mm: `w + (n - 1) s`.
    pub fn wall_mm(&self) -> f64 {
        self.bead.width_mm() + f64::from(self.perimeters - 1) * self.bead.spacing_mm()
    }

    /// The layers that take least and longest.
    pub fn layer_seconds(&self) -> Option<(&LayerFigures, &LayerFigures)> {
        let by_seconds = |a: &&LayerFigures, b: &&LayerFigures| a.seconds.total_cmp(&b.seconds);
        let least = self.profile.iter().min_by(by_seconds)?;
        Some((least, self.profile.iter().max_by(by_seconds)?))
    }
}

/// Seconds by what they go into; they add up to the whole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seconds {
    /// Laying, by role in the order of [`crate::bead::Role::ALL`], s.
    pub laying_s: [f64; 6],
    /// Travels and retractions, s.
    pub travel_s: f64,
    /// Between layers, s.
    pub layer_change_s: f64,
    /// Stretch to the least layer time, s.
    pub cooling_s: f64,
    /// Heating and levelling, s.
    pub start_s: f64,
}

impl Seconds {
    /// All of it, s.
    pub fn whole_s(&self) -> f64 {
        self.laying_s.iter().sum::<f64>()
            + self.travel_s
            + self.layer_change_s
            + self.cooling_s
            + self.start_s
    }

    /// All of it, h.
    pub fn hours(&self) -> f64 {
        self.whole_s() / 3600.0
    }
}
