//! What a shop has and charges. Plain data; everything here has been validated.

use rust_decimal::Decimal;

use crate::motion::Speeds;
use crate::pose::BuildSpace;

use super::{DocumentStyle, Joining, MachineKind, Moulding, Rates, ShopCalendar};

/// A whole shop.
#[derive(Debug, Clone, PartialEq)]
pub struct Shop {
    /// The shop's name.
    pub name: String,
    /// Whether this is the built-in demonstration shop, whose numbers are invented; every output says so.
    pub demonstration: bool,
    /// ISO 4217 code of its money.
    pub currency: iso_currency::Currency,
    /// When somebody is there, Monday first.
    pub attended: AttendedWeek,
    /// Where its clock hangs, and its holidays.
    pub calendar: ShopCalendar,
    /// The plastic used when none is named: an id in `materials`.
    pub default_material: String,
    /// The nozzle recommended when a job names no floors: an id in `nozzles`.
    pub default_nozzle: String,
    /// How parts are laid where nothing else is asked.
    pub process: Process,
    /// Machines, in the file's order; at least one.
    pub machines: Vec<Machine>,
    /// Nozzles, in the file's order; at least one.
    pub nozzles: Vec<Nozzle>,
    /// Plastics, in the file's order; at least one.
    pub materials: Vec<Material>,
    /// Measured rows.
    pub measured: Vec<MeasuredRow>,
    /// What is charged.
    pub rates: Rates,
    /// What it takes to make one part of pieces.
    pub joining: Joining,
    /// How documents are written.
    pub document: DocumentStyle,
    /// What it takes to make pieces on a mould.
    pub moulding: Moulding,
}

/// The attended hours of each weekday, Monday first: a list of (from, to) in minutes after midnight, in order,
/// not overlapping. At least one weekday has hours.
#[derive(Debug, Clone, PartialEq)]
pub struct AttendedWeek {
    /// Seven days of intervals, minutes after midnight.
    pub days: [Vec<(u32, u32)>; 7],
}

impl AttendedWeek {
    /// Every attended interval, minutes after Monday 0:00, day by day.
    pub fn intervals_min(&self) -> Vec<(u32, u32)> {
        let days = (0_u32..).zip(&self.days);
        days.flat_map(|(day, hours)| {
            let midnight = day * 24 * 60;
            hours
                .iter()
                .map(move |(from, to)| (midnight + from, midnight + to))
        })
        .collect()
    }
}

/// How parts are laid where nothing else is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Process {
    /// Wall thickness from which the number of perimeters follows, mm.
    pub wall_mm: f64,
    /// Solid thickness under open fill, mm.
    pub floor_mm: f64,
    /// Solid thickness over open fill, mm.
    pub roof_mm: f64,
    /// A downward face that leans more than this from the vertical is held up, degrees.
    pub overhang_deg: f64,
    /// Support lines lie `bead spacing / support_fraction` apart; above 0, at most 1.
    pub support_fraction: f64,
    /// Spans up to this long, held on both sides, are not supported, mm; 0 supports all.
    pub free_span_mm: f64,
    /// Cross-holes up to this diameter are not supported, mm; 0 supports all.
    pub free_hole_mm: f64,
    /// Thickness of the first layer, mm; as thick as the others where nothing is said.
    pub first_layer_mm: Option<f64>,
    /// How far a brim reaches out from the first layer, mm; 0 for none.
    pub brim_mm: f64,
    /// Length of the line laid before the job to purge the nozzle, mm; 0 for none.
    pub purge_line_mm: f64,
    /// Gap between support and part, mm; 0 for none.
    pub support_clearance_mm: f64,
    /// Layers of support under the part that are laid solid.
    pub contact_layers: u32,
    /// How far the estimate's inputs are known.
    pub doubt: Doubt,
}

/// How far inputs may be off, as fractions of themselves either way; the band of an estimate is what becomes of them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Doubt {
    /// A melt limit measured for the option.
    pub melt: f64,
    /// A melt limit borrowed from another row.
    pub borrowed_melt: f64,
    /// Speeds and acceleration reached.
    pub motion: f64,
}

/// A machine.
#[derive(Debug, Clone, PartialEq)]
pub struct Machine {
    /// Short id, used on the command line and in JSON.
    pub id: String,
    /// What it is, in plain words.
    pub what: String,
    /// The room it offers.
    pub space: BuildSpace,
    /// Greatest speeds by role.
    pub speeds: Speeds,
    /// Acceleration, mm/s2.
    pub acceleration_mm_s2: f64,
    /// How far the nozzle may pass beside a corner, mm.
    pub corner_deviation_mm: f64,
    /// Time of one retraction, s.
    pub retraction_s: f64,
    /// Lift and pause between layers, s per layer.
    pub layer_change_s: f64,
    /// Heating and levelling, s per job.
    pub start_s: f64,
    /// Hottest nozzle it can hold, C.
    pub nozzle_max_c: f64,
    /// Coolest nozzle it can hold, C.
    pub nozzle_min_c: f64,
    /// Hottest bed it can hold, C.
    pub bed_max_c: f64,
    /// Coolest bed it can hold, C; 0 for a bed that may stay cold.
    pub bed_min_c: f64,
    /// Whether the build space is enclosed.
    pub enclosed: bool,
    /// Feedstock diameter it takes, mm.
    pub feedstock_mm: f64,
    /// Ids of the nozzles it takes.
    pub nozzles: Vec<String>,
    /// Mean power while heating up, W.
    pub heating_w: f64,
    /// Mean power while printing, W.
    pub printing_w: f64,
    /// What it cost.
    pub price: Decimal,
    /// Printing hours over which the price is written off, h.
    pub life_h: f64,
    /// What `life_h` was computed from, where the file gives years and utilisation instead.
    pub life_basis: Option<LifeBasis>,
    /// Upkeep (belts, beds, service), money per printing hour.
    pub upkeep_per_h: Decimal,
    /// How often its prints fail.
    pub failures: Failures,
    /// Measured hours over estimated hours; 1 unless told. Scales every second.
    pub correction: f64,
    /// The kind whose starting values fill in for keys the file leaves out.
    pub kind: Option<MachineKind>,
    /// Keys of the shop file that were left out and took the kind's starting value, in the file's spelling
    /// (`acceleration_mm_s2`, `speeds_mm_s.outer`); empty where the owner gave every value.
    pub assumed: Vec<String>,
}

/// A machine's life in years of which it prints a part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LifeBasis {
    /// Years over which the price is written off.
    pub years: f64,
    /// The part of all hours in which it prints, above 0, at most 1.
    pub utilisation: f64,
}

impl LifeBasis {
    /// Printing hours: years of 8760 h, times the utilisation.
    pub fn hours(&self) -> f64 {
        self.years * 8760.0 * self.utilisation
    }
}

/// How often prints fail on a machine and what that costs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Failures {
    /// Chance that a start fails in its first layers, 0 to below 1.
    pub start_chance: f64,
    /// Hours lost by a failed start, h.
    pub start_lost_h: f64,
    /// Failures per hour of printing after the start, 1/h.
    pub rate_per_h: f64,
    /// Hours to clear a failed print before the next start, h.
    pub clearing_h: f64,
    /// Whether the two chances are the stated defaults and not this machine's record.
    pub by_default: bool,
}

/// What a nozzle is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NozzleMetal {
    /// Soft: refused for abrasive plastics unless forced.
    Brass,
    /// Hardened steel.
    HardenedSteel,
    /// Stainless steel: as soft as brass to fibres.
    StainlessSteel,
    /// Tungsten carbide.
    TungstenCarbide,
    /// A ruby or other mineral tip in a brass body.
    MineralTip,
}

/// A nozzle.
#[derive(Debug, Clone, PartialEq)]
pub struct Nozzle {
    /// Short id, used on the command line and in JSON.
    pub id: String,
    /// Bore, mm.
    pub diameter_mm: f64,
    /// What it is made of.
    pub metal: NozzleMetal,
    /// What it costs.
    pub price: Decimal,
    /// Grams of plain plastic it lasts for, g.
    pub life_plain_g: f64,
    /// Grams of abrasive plastic it lasts for, g.
    pub life_abrasive_g: f64,
    /// By what the failures per hour are multiplied with this nozzle; 1 unless told.
    pub failure_factor: f64,
}

/// A plastic.
#[derive(Debug, Clone, PartialEq)]
pub struct Material {
    /// Short id, used on the command line and in JSON.
    pub id: String,
    /// What it is, in plain words.
    pub what: String,
    /// Density as printed, g/cm3.
    pub density_g_cm3: f64,
    /// Price per kilogram.
    pub price_per_kg: Decimal,
    /// Net weight of a spool, g.
    pub spool_g: f64,
    /// Whether its filler wears nozzles.
    pub abrasive: bool,
    /// Nozzle temperature it needs, least and greatest, C.
    pub nozzle_c: (f64, f64),
    /// Bed temperature it needs, C.
    pub bed_c: f64,
    /// Whether it needs an enclosed machine.
    pub needs_enclosure: bool,
    /// Feedstock diameters it is stocked in, mm.
    pub feedstock_mm: Vec<f64>,
    /// Least time of a layer, s.
    pub least_layer_s: f64,
    /// Time of a layer after which the next bonds badly to it, s, where known.
    pub most_layer_s: Option<f64>,
    /// Glass transition, C, where it is what softens the part.
    pub glass_transition_c: Option<f64>,
    /// Heat deflection temperature at 0.45 MPa, C, where known.
    pub heat_deflection_c: Option<f64>,
    /// Drying, C and hours; `None` where it needs none.
    pub drying: Option<(f64, f64)>,
    /// Plastic wasted per gram laid (trials, strings, what the rest of a spool comes to where `spool_rest_g` is 0), as a fraction.
    pub waste: f64,
    /// What is left on every spool and laid by nobody, g.
    pub spool_rest_g: f64,
    /// Whether it is in stock: what an order leaves of a spool serves the next. Otherwise the order pays whole spools.
    pub stocked: bool,
    /// By what the failures per hour are multiplied with this plastic; 1 unless told.
    pub failure_factor: f64,
    /// Whether it stands sun, salt water and food, as far as the shop says.
    pub stands: Stands,
    /// Cautions printed with every answer that uses it.
    pub cautions: Vec<String>,
}

/// What a plastic stands; `None` where the shop does not say.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Stands {
    /// Years in the sun.
    pub sun: Option<bool>,
    /// Salt water.
    pub salt_water: Option<bool>,
    /// Food.
    pub food: Option<bool>,
}

/// One measured row: what a machine with one nozzle does with one plastic.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasuredRow {
    /// A machine's id.
    pub machine: String,
    /// A nozzle's id.
    pub nozzle: String,
    /// A material's id.
    pub material: String,
    /// Measured melt limit, mm3/s.
    pub melt_limit_mm3_s: f64,
    /// Safety margin taken off the melt limit, 0.20 unless given.
    pub margin: f64,
    /// How far the melt limit may be off, a fraction of itself either way; else the shop's.
    pub melt_doubt: Option<f64>,
    /// Layer height, mm, where it differs from 0.6 of the nozzle.
    pub layer_height_mm: Option<f64>,
    /// Bead width, mm, where it differs from 1.2 of the nozzle.
    pub bead_width_mm: Option<f64>,
    /// Speeds by role, mm/s, where they differ from the machine's.
    pub outer_mm_s: Option<f64>,
    /// Inner perimeters.
    pub inner_mm_s: Option<f64>,
    /// Solid fill.
    pub fill_mm_s: Option<f64>,
    /// Open fill.
    pub open_mm_s: Option<f64>,
    /// Slivers.
    pub sliver_mm_s: Option<f64>,
    /// Support.
    pub support_mm_s: Option<f64>,
    /// Real hours over estimated ones, where the job book or the owner knows it for just this row; goes before the machine's.
    pub correction: Option<f64>,
    /// Weighed grams over estimated ones, where that is known.
    pub grams_correction: Option<f64>,
    /// By what the logarithms of a band's ends are multiplied, where the job book knows how good the bands are.
    pub band_factor: Option<f64>,
}

impl RowUsed {
    /// The row, where it was measured for just this option: what was learned from real prints is not lent to others.
    pub fn own(&self) -> Option<&MeasuredRow> {
        self.borrowed.is_none().then_some(&self.row)
    }
}

/// The row that serves an option, and how near it is.
#[derive(Debug, Clone, PartialEq)]
pub struct RowUsed {
    /// The row.
    pub row: MeasuredRow,
    /// `None` where it was measured for just this option; else a sentence saying what it was borrowed from.
    pub borrowed: Option<String>,
}
