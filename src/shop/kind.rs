//! Kinds of machine and the values an owner may start from.

use super::Failures;
use crate::motion::Speeds;

/// What sort of machine it is. An owner who knows only bed, nozzle and price names the kind, and every key left out
/// takes that kind's starting value.
///
/// All starting values are a judgement without a published source, chosen on the slow and careful side; they are to
/// be replaced by the owner's own figures, and every key that took one is listed in [`super::Machine::assumed`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MachineKind {
    /// An open machine whose heavy bed carries the part to and fro: slow and gentle.
    /// Starting values by judgement: 25 to 30 mm/s, 500 mm/s2, nozzle to 260 C, bed to 90 C, open.
    MovingBed,
    /// An enclosed machine with a light head over a bed that only sinks.
    /// Starting values by judgement: 120 to 200 mm/s, 8000 mm/s2, nozzle to 300 C, bed to 110 C, enclosed.
    EnclosedFast,
    /// An enclosed machine with a heated room for hot plastics.
    /// Starting values by judgement: 50 to 80 mm/s, 2000 mm/s2, nozzle to 400 C, bed to 150 C, enclosed.
    HeatedRoom,
    /// A metre-class gantry for moulds and large parts.
    /// Starting values by judgement: 60 to 100 mm/s, 1500 mm/s2, nozzle to 300 C, bed to 100 C, open.
    Gantry,
    /// A machine with a round bed and a head hung from three arms.
    /// Starting values by judgement: 60 to 100 mm/s, 3000 mm/s2, nozzle to 260 C, bed to 90 C, open.
    RoundBed,
}

/// What a kind of machine starts from.
pub(super) struct StartingValues {
    pub edge_margin_mm: f64,
    pub speeds: Speeds,
    pub acceleration_mm_s2: f64,
    pub corner_deviation_mm: f64,
    pub retraction_s: f64,
    pub layer_change_s: f64,
    pub start_s: f64,
    pub nozzle_min_c: f64,
    pub nozzle_max_c: f64,
    pub bed_min_c: f64,
    pub bed_max_c: f64,
    pub enclosed: bool,
    pub feedstock_mm: f64,
    pub heating_w: f64,
    pub printing_w: f64,
    pub life_h: f64,
    /// Upkeep over the machine's life as a part of its price, so that it holds in any currency.
    pub upkeep_of_price_percent: i64,
    pub start_lost_h: f64,
    pub clearing_h: f64,
}

impl Failures {
    /// Chance that a start fails where a shop has no record (design value; a judgement without source).
    pub const DEFAULT_START_CHANCE: f64 = 0.02;
    /// Failures per hour of printing where a shop has no record, 1/h (design value; a judgement without source).
    pub const DEFAULT_RATE_PER_H: f64 = 0.003;

    /// The same, with failures per hour multiplied.
    pub fn times(self, factor: f64) -> Failures {
        Failures {
            rate_per_h: self.rate_per_h * factor,
            ..self
        }
    }
}

impl MachineKind {
    /// Every kind, in the order in which errors list them.
    pub const ALL: [Self; 5] = [
        Self::MovingBed,
        Self::EnclosedFast,
        Self::HeatedRoom,
        Self::Gantry,
        Self::RoundBed,
    ];

    /// The kind's name in the shop file.
    pub fn name(self) -> &'static str {
        match self {
            Self::MovingBed => "moving bed",
            Self::EnclosedFast => "enclosed fast",
            Self::HeatedRoom => "heated room",
            Self::Gantry => "gantry",
            Self::RoundBed => "round bed",
        }
    }

    /// The kind of that name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.name() == name)
    }

    pub(super) fn starting_values(self) -> StartingValues {
        match self {
            Self::MovingBed => moving_bed(),
            Self::EnclosedFast => enclosed_fast(),
            Self::HeatedRoom => heated_room(),
            Self::Gantry => gantry(),
            Self::RoundBed => round_bed(),
        }
    }
}

fn moving_bed() -> StartingValues {
    StartingValues {
        edge_margin_mm: 5.0,
        speeds: speeds([25.0, 30.0, 30.0, 30.0, 25.0, 30.0, 100.0, 20.0]),
        acceleration_mm_s2: 500.0,
        // The deviation that the design's own check of the hours uses.
        corner_deviation_mm: 0.02,
        retraction_s: 0.5,
        layer_change_s: 1.0,
        start_s: 900.0,
        nozzle_min_c: 170.0,
        nozzle_max_c: 260.0,
        bed_min_c: 0.0,
        bed_max_c: 90.0,
        enclosed: false,
        feedstock_mm: 1.75,
        heating_w: 500.0,
        printing_w: 250.0,
        life_h: 6000.0,
        // Hopkinson & Dickens 2003 (from memory): maintenance 10 560 a year against 12 660 of depreciation, 83 %.
        upkeep_of_price_percent: 80,
        start_lost_h: 0.5,
        clearing_h: 0.5,
    }
}

fn enclosed_fast() -> StartingValues {
    StartingValues {
        speeds: speeds([120.0, 180.0, 200.0, 200.0, 80.0, 150.0, 300.0, 50.0]),
        acceleration_mm_s2: 8000.0,
        retraction_s: 0.3,
        layer_change_s: 0.6,
        start_s: 420.0,
        nozzle_max_c: 300.0,
        bed_max_c: 110.0,
        enclosed: true,
        heating_w: 900.0,
        printing_w: 200.0,
        ..moving_bed()
    }
}

fn heated_room() -> StartingValues {
    StartingValues {
        speeds: speeds([50.0, 70.0, 80.0, 80.0, 40.0, 70.0, 200.0, 25.0]),
        acceleration_mm_s2: 2000.0,
        start_s: 3600.0,
        nozzle_max_c: 400.0,
        bed_max_c: 150.0,
        enclosed: true,
        heating_w: 2500.0,
        printing_w: 1200.0,
        life_h: 10_000.0,
        clearing_h: 1.0,
        ..moving_bed()
    }
}

fn gantry() -> StartingValues {
    StartingValues {
        edge_margin_mm: 15.0,
        speeds: speeds([60.0, 80.0, 100.0, 100.0, 50.0, 80.0, 200.0, 30.0]),
        acceleration_mm_s2: 1500.0,
        layer_change_s: 2.0,
        start_s: 2400.0,
        nozzle_max_c: 300.0,
        bed_max_c: 100.0,
        heating_w: 4000.0,
        printing_w: 1500.0,
        life_h: 10_000.0,
        clearing_h: 1.5,
        ..moving_bed()
    }
}

fn round_bed() -> StartingValues {
    StartingValues {
        speeds: speeds([60.0, 80.0, 100.0, 100.0, 40.0, 80.0, 250.0, 30.0]),
        acceleration_mm_s2: 3000.0,
        layer_change_s: 0.5,
        start_s: 600.0,
        heating_w: 450.0,
        printing_w: 150.0,
        ..moving_bed()
    }
}

/// Speeds in the order of the file's keys: outer, inner, fill, open, sliver, support, travel, first layer.
fn speeds(mm_s: [f64; 8]) -> Speeds {
    let [
        outer,
        inner,
        fill,
        open,
        sliver,
        support,
        travel,
        first_layer,
    ] = mm_s;
    Speeds {
        outer_mm_s: outer,
        inner_mm_s: inner,
        fill_mm_s: fill,
        open_mm_s: open,
        sliver_mm_s: sliver,
        support_mm_s: support,
        travel_mm_s: travel,
        first_layer_mm_s: first_layer,
    }
}
