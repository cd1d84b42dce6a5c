//! How fast a machine may move.

use crate::bead::Role;

/// Greatest speeds by role, mm/s, each above 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Speeds {
    /// The outermost perimeter.
    pub outer_mm_s: f64,
    /// Perimeters behind it.
    pub inner_mm_s: f64,
    /// Solid fill.
    pub fill_mm_s: f64,
    /// Open fill.
    pub open_mm_s: f64,
    /// Slivers.
    pub sliver_mm_s: f64,
    /// Support.
    pub support_mm_s: f64,
    /// Moves without laying plastic.
    pub travel_mm_s: f64,
    /// Every path of the first layer is held to this; travels are not.
    pub first_layer_mm_s: f64,
}

impl Speeds {
    /// All of them so many times as fast.
    pub fn times(&self, factor: f64) -> Speeds {
        Speeds {
            outer_mm_s: self.outer_mm_s * factor,
            inner_mm_s: self.inner_mm_s * factor,
            fill_mm_s: self.fill_mm_s * factor,
            open_mm_s: self.open_mm_s * factor,
            sliver_mm_s: self.sliver_mm_s * factor,
            support_mm_s: self.support_mm_s * factor,
            travel_mm_s: self.travel_mm_s * factor,
            first_layer_mm_s: self.first_layer_mm_s * factor,
        }
    }

    /// The speed of a role, mm/s.
    pub fn of(&self, role: Role) -> f64 {
        match role {
            Role::Outer => self.outer_mm_s,
            Role::Inner => self.inner_mm_s,
            Role::Fill => self.fill_mm_s,
            Role::Open => self.open_mm_s,
            Role::Sliver => self.sliver_mm_s,
            Role::Support => self.support_mm_s,
        }
    }
}

/// Everything that can hold a machine's speed down in one option.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Greatest speeds.
    pub speeds: Speeds,
    /// Acceleration, mm/s2, above 0.
    pub acceleration_mm_s2: f64,
    /// How far the nozzle may pass beside a corner, mm, at least 0.
    pub corner_deviation_mm: f64,
    /// The melt limit after its margin, `Q (1 - margin)`, mm3/s; `None` where nothing holds the melt.
    pub melt_cap_mm3_s: Option<f64>,
    /// A travel longer than [`crate::motion::RETRACTION_FROM_MM`] costs this much, s.
    pub retraction_s: f64,
    /// Least time of a layer, s; 0 for none.
    pub least_layer_s: f64,
    /// Lift and pause between layers, s per layer.
    pub layer_change_s: f64,
    /// Heating and levelling, s per job.
    pub start_s: f64,
}
