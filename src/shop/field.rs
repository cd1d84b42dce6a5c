//! What each number of the shop file means and which values make sense, so that an error can say what would be right.

use rust_decimal::Decimal;

/// A key that holds a number.
#[derive(Debug, Clone, Copy)]
pub(super) struct Field {
    /// The key as the file spells it; its ending names the unit.
    pub key: &'static str,
    /// What it is, as it would follow the word "give".
    what: &'static str,
    /// Unit put after a number; empty for plain numbers.
    unit: &'static str,
    least: f64,
    greatest: f64,
}

impl Field {
    pub(super) const fn new(
        key: &'static str,
        what: &'static str,
        unit: &'static str,
        least: f64,
        greatest: f64,
    ) -> Self {
        Self {
            key,
            what,
            unit,
            least,
            greatest,
        }
    }

    /// What would be right, in words.
    pub fn right(&self) -> String {
        format!("give {}, {}", self.what, self.range())
    }

    fn range(&self) -> String {
        let unit = if self.unit.is_empty() {
            String::new()
        } else {
            format!(" {}", self.unit)
        };
        format!("{} to {}{unit}", self.least, self.greatest)
    }

    /// Why a number is refused, or `None` where it makes sense.
    pub fn fault(&self, value: f64, written: &str) -> Option<String> {
        let fault = if !value.is_finite() {
            "is not a finite number"
        } else if value < 0.0 && self.least >= 0.0 {
            "is negative"
        } else if value < self.least {
            "is too small"
        } else if value > self.greatest {
            "is too large"
        } else {
            return None;
        };
        Some(format!("{written} {fault}; {}", self.right()))
    }
}

/// A key that holds money; 0 is always allowed.
#[derive(Debug, Clone, Copy)]
pub(super) struct MoneyField {
    /// The key as the file spells it.
    pub key: &'static str,
    what: &'static str,
}

/// Above this a sum of money is a slip of the keyboard in any currency.
const GREATEST_MONEY: i64 = 1_000_000_000_000;

impl MoneyField {
    pub(super) const fn new(key: &'static str, what: &'static str) -> Self {
        Self { key, what }
    }

    /// What would be right, in words.
    pub fn right(&self) -> String {
        format!("give {}, 0 or more", self.what)
    }

    /// Why a sum is refused, or `None` where it makes sense.
    pub fn fault(&self, value: Decimal, written: &str) -> Option<String> {
        let fault = if value < Decimal::ZERO {
            "is negative"
        } else if value > Decimal::from(GREATEST_MONEY) {
            "is too large"
        } else {
            return None;
        };
        Some(format!("{written} {fault}; {}", self.right()))
    }
}

/// The key by which a nozzle or a plastic changes a machine's failures.
pub(super) const FAILURE_FACTOR: Field = Field::new(
    "failure_factor",
    "by what it multiplies a machine's failures per hour (1.5 is half as many again)",
    "",
    0.01,
    100.0,
);

/// Keys of `[[machine]]` and its sub-tables.
pub(super) mod machine {
    use super::{Field, MoneyField};

    const fn speed(key: &'static str, what: &'static str) -> Field {
        Field::new(key, what, "mm/s", 0.1, 2000.0)
    }

    pub const BED_SIDE: Field = Field::new(
        "bed_mm",
        "the bed as [width, depth] in mm",
        "mm each",
        10.0,
        20_000.0,
    );
    pub const BED_DIAMETER: Field = Field::new(
        "bed_diameter_mm",
        "the diameter of the round bed",
        "mm",
        10.0,
        20_000.0,
    );
    const fn corner(key: &'static str, what: &'static str) -> Field {
        Field::new(key, what, "mm", -20_000.0, 20_000.0)
    }

    pub const BED_CORNER: Field = corner("bed_corners_mm", "each corner of the bed as [x, y]");
    pub const KEEP_OUT: Field = corner("keep_out_mm", "each corner of a place as [x, y]");
    pub const REACH: Field = corner("reach_mm", "each of the two corners as [x, y]");
    pub const STEP_FROM: Field = Field::new(
        "from_mm",
        "the height from which the space is narrower",
        "mm",
        0.0,
        20_000.0,
    );
    pub const STEP_INSET: Field = Field::new(
        "inset_mm",
        "how far inside the bed's edge the part must stay from there on",
        "mm",
        0.0,
        10_000.0,
    );
    pub const HEIGHT: Field = Field::new("height_mm", "the usable height", "mm", 1.0, 20_000.0);
    pub const EDGE: Field = Field::new(
        "edge_margin_mm",
        "the strip along the bed's edge that parts keep clear of",
        "mm",
        0.0,
        1000.0,
    );
    pub const OUTER: Field = speed("outer", "the speed of the outermost perimeter");
    pub const INNER: Field = speed("inner", "the speed of inner perimeters");
    pub const FILL: Field = speed("fill", "the speed of solid fill");
    pub const OPEN: Field = speed("open", "the speed of open fill");
    pub const SLIVER: Field = speed("sliver", "the speed of slivers");
    pub const SUPPORT: Field = speed("support", "the speed of support");
    pub const TRAVEL: Field = speed("travel", "the speed of travels");
    pub const FIRST_LAYER: Field = speed("first_layer", "the greatest speed on the first layer");
    pub const ACCELERATION: Field = Field::new(
        "acceleration_mm_s2",
        "the acceleration",
        "mm/s2",
        1.0,
        100_000.0,
    );
    pub const DEVIATION: Field = Field::new(
        "corner_deviation_mm",
        "how far the nozzle may pass beside a corner (0.02 is usual)",
        "mm",
        0.0,
        1.0,
    );
    pub const RETRACTION: Field =
        Field::new("retraction_s", "the time of one retraction", "s", 0.0, 60.0);
    pub const LAYER_CHANGE: Field = Field::new(
        "layer_change_s",
        "the lift and pause between layers",
        "s",
        0.0,
        600.0,
    );
    pub const START: Field = Field::new(
        "start_s",
        "the time of heating and levelling per job",
        "s",
        0.0,
        86_400.0,
    );
    pub const NOZZLE_MIN: Field = Field::new(
        "nozzle_min_c",
        "the coolest nozzle it can hold",
        "C",
        0.0,
        600.0,
    );
    pub const NOZZLE_MAX: Field = Field::new(
        "nozzle_max_c",
        "the hottest nozzle it can hold",
        "C",
        50.0,
        600.0,
    );
    pub const BED_MIN: Field = Field::new(
        "bed_min_c",
        "the coolest bed it can hold (0 for a bed that may stay cold)",
        "C",
        0.0,
        300.0,
    );
    pub const BED_MAX: Field =
        Field::new("bed_max_c", "the hottest bed it can hold", "C", 0.0, 300.0);
    pub const FEEDSTOCK: Field = Field::new(
        "feedstock_mm",
        "the feedstock diameter it takes",
        "mm",
        0.5,
        20.0,
    );
    pub const HEATING: Field = Field::new(
        "heating_w",
        "the mean power while heating up",
        "W",
        0.0,
        100_000.0,
    );
    pub const PRINTING: Field = Field::new(
        "printing_w",
        "the mean power while printing",
        "W",
        0.0,
        100_000.0,
    );
    pub const LIFE: Field = Field::new(
        "life_h",
        "the printing hours over which the price is written off",
        "h",
        1.0,
        1_000_000.0,
    );
    pub const LIFE_YEARS: Field = Field::new(
        "life_years",
        "the years over which the price is written off",
        "years",
        0.1,
        100.0,
    );
    pub const UTILISATION: Field = Field::new(
        "utilisation",
        "the part of all hours of a year in which it prints (0.5 is half)",
        "",
        0.001,
        1.0,
    );
    pub const CORRECTION: Field = Field::new(
        "correction",
        "measured hours over estimated hours (1 unless measured)",
        "",
        0.1,
        10.0,
    );
    pub const START_CHANCE: Field = Field::new(
        "start_chance",
        "the chance that a start fails in its first layers (0.02 is 2 %)",
        "",
        0.0,
        0.99,
    );
    pub const START_LOST: Field = Field::new(
        "start_lost_h",
        "the hours lost by a failed start",
        "h",
        0.0,
        100.0,
    );
    pub const RATE: Field = Field::new(
        "rate_per_h",
        "the failures per hour of printing (0.003 is one in 333 h)",
        "",
        0.0,
        1.0,
    );
    pub const CLEARING: Field = Field::new(
        "clearing_h",
        "the hours to clear a failed print",
        "h",
        0.0,
        1000.0,
    );
    pub const PRICE: MoneyField = MoneyField::new("price", "what the machine cost");
    pub const UPKEEP: MoneyField =
        MoneyField::new("upkeep_per_h", "the upkeep in money per printing hour");
}

/// Keys of `[[nozzle]]`.
pub(super) mod nozzle {
    use super::{Field, MoneyField};

    pub const DIAMETER: Field = Field::new("diameter_mm", "the nozzle's bore", "mm", 0.05, 10.0);
    pub const LIFE_PLAIN: Field = Field::new(
        "life_plain_g",
        "the grams of plain plastic it lasts for",
        "g",
        1.0,
        1e9,
    );
    pub const LIFE_ABRASIVE: Field = Field::new(
        "life_abrasive_g",
        "the grams of abrasive plastic it lasts for",
        "g",
        1.0,
        1e9,
    );
    pub const PRICE: MoneyField = MoneyField::new("price", "what the nozzle costs");
}

/// Keys of `[[material]]`.
pub(super) mod material {
    use super::{Field, MoneyField};

    pub const DENSITY: Field = Field::new(
        "density_g_cm3",
        "the density as printed",
        "g/cm3",
        0.1,
        20.0,
    );
    pub const SPOOL: Field = Field::new(
        "spool_g",
        "the net weight of a spool",
        "g",
        1.0,
        1_000_000.0,
    );
    pub const NOZZLE: Field = Field::new(
        "nozzle_c",
        "the nozzle temperature as [least, greatest] in C",
        "C each",
        20.0,
        600.0,
    );
    pub const BED: Field = Field::new("bed_c", "the bed temperature it needs", "C", 0.0, 300.0);
    pub const FEEDSTOCK: Field = Field::new(
        "feedstock_mm",
        "the feedstock diameters it is stocked in, as a list like [1.75]",
        "mm each",
        0.5,
        20.0,
    );
    pub const MOST_LAYER: Field = Field::new(
        "most_layer_s",
        "the longest a layer may take before the next bonds badly",
        "s",
        1.0,
        100_000.0,
    );
    pub const LEAST_LAYER: Field = Field::new(
        "least_layer_s",
        "the least time of a layer",
        "s",
        0.0,
        3600.0,
    );
    pub const GLASS: Field = Field::new(
        "glass_transition_c",
        "the glass transition",
        "C",
        -150.0,
        500.0,
    );
    pub const DEFLECTION: Field = Field::new(
        "heat_deflection_c",
        "the heat deflection temperature at 0.45 MPa",
        "C",
        0.0,
        500.0,
    );
    pub const DRYING_AT: Field = Field::new("at_c", "the drying temperature", "C", 20.0, 300.0);
    pub const DRYING_HOURS: Field = Field::new("hours", "the hours of drying", "h", 0.1, 1000.0);
    pub const WASTE: Field = Field::new(
        "waste",
        "the plastic wasted per gram laid (0.05 is 5 %)",
        "",
        0.0,
        5.0,
    );
    pub const SPOOL_REST: Field = Field::new(
        "spool_rest_g",
        "what is left on every spool and used by nobody",
        "g",
        0.0,
        1_000_000.0,
    );
    pub const PRICE: MoneyField = MoneyField::new("price_per_kg", "the price per kilogram");
}

/// Keys of `[[measured]]`.
pub(super) mod measured {
    use super::Field;

    const fn speed(key: &'static str, what: &'static str) -> Field {
        Field::new(key, what, "mm/s", 0.1, 2000.0)
    }

    pub const MELT_LIMIT: Field = Field::new(
        "melt_limit_mm3_s",
        "the measured melt limit",
        "mm3/s",
        0.1,
        10_000.0,
    );
    pub const MARGIN: Field = Field::new(
        "margin",
        "the safety margin taken off the melt limit (0.20 is 20 %)",
        "",
        0.0,
        0.9,
    );
    pub const CORRECTION: Field = Field::new(
        "correction",
        "real hours over estimated hours of this row (1.08 is 8 % more)",
        "",
        0.1,
        10.0,
    );
    pub const MELT_DOUBT: Field = Field::new(
        "melt_doubt",
        "how far this melt limit may be off either way (0.13 is 13 %)",
        "",
        0.0,
        0.9,
    );
    pub const GRAMS_CORRECTION: Field = Field::new(
        "grams_correction",
        "weighed grams over estimated grams of this row (1.02 is 2 % more)",
        "",
        0.1,
        10.0,
    );
    pub const BAND_FACTOR: Field = Field::new(
        "band_factor",
        "how much of the band of hours is left, as the job book found it (0.5 is half)",
        "",
        0.1,
        10.0,
    );
    pub const LAYER_HEIGHT: Field = Field::new(
        "layer_height_mm",
        "the layer height, at most the nozzle's diameter",
        "mm",
        0.01,
        10.0,
    );
    pub const BEAD_WIDTH: Field = Field::new(
        "bead_width_mm",
        "the bead width, at least the layer height",
        "mm",
        0.01,
        30.0,
    );
    pub const OUTER: Field = speed("outer_mm_s", "the speed of the outermost perimeter");
    pub const INNER: Field = speed("inner_mm_s", "the speed of inner perimeters");
    pub const FILL: Field = speed("fill_mm_s", "the speed of solid fill");
    pub const OPEN: Field = speed("open_mm_s", "the speed of open fill");
    pub const SLIVER: Field = speed("sliver_mm_s", "the speed of slivers");
    pub const SUPPORT: Field = speed("support_mm_s", "the speed of support");
}

/// Keys of `[rates]`.
pub(super) mod rates {
    use super::{Field, MoneyField};

    const fn minutes(key: &'static str, what: &'static str) -> Field {
        Field::new(key, what, "minutes", 0.0, 10_000.0)
    }

    pub const LABOUR: MoneyField = MoneyField::new("labour_per_h", "labour in money per hour");
    pub const ENERGY: MoneyField =
        MoneyField::new("energy_per_kwh", "electricity in money per kWh");
    pub const SET_UP: Field = Field::new(
        "set_up_min",
        "the set-up of an order",
        "minutes",
        0.0,
        10_000.0,
    );
    pub const REMOVAL: Field = Field::new(
        "removal_min",
        "taking a piece off the bed",
        "minutes",
        0.0,
        10_000.0,
    );
    pub const FINISHING: Field = Field::new(
        "finishing_min",
        "finishing a piece",
        "minutes",
        0.0,
        10_000.0,
    );
    pub const SUPPORT_REMOVAL: Field = Field::new(
        "support_removal_min_per_100g",
        "removing 100 g of support",
        "minutes",
        0.0,
        10_000.0,
    );
    pub const PURGE: Field = Field::new(
        "purge_g",
        "the purge and first-line plastic per start",
        "g",
        0.0,
        10_000.0,
    );
    pub const OVERHEAD: Field = Field::new(
        "overhead",
        "the overhead on costs (0.15 is 15 %)",
        "",
        0.0,
        10.0,
    );
    pub const MARGIN: Field = Field::new(
        "margin",
        "the part of the price that is profit, below 1 (0.25 is 25 %)",
        "",
        0.0,
        0.99,
    );
    pub const FILE_CHECK: Field = minutes("file_check_min", "looking at the file of an order");
    pub const BED_CLEARING: Field =
        minutes("bed_clearing_min", "clearing the bed for the next start");
    pub const SPOOL_CHANGE: Field = minutes(
        "spool_change_min",
        "changing a spool that runs out in a print",
    );
    pub const FINISHING_AREA: Field =
        minutes("finishing_min_per_100cm2", "finishing 100 cm2 of surface");
    pub const SUPPORT_REMOVAL_AREA: Field = minutes(
        "support_removal_min_per_100cm2",
        "removing support from 100 cm2 that it holds up",
    );
    pub const INSPECTION: Field = minutes("inspection_min", "inspecting a piece");
    pub const PACKING: Field = minutes("packing_min", "packing a piece");
    pub const DRYING_WORK: Field = minutes("drying_min", "the work on drying a spool");
    pub const DRYING_POWER: Field = Field::new(
        "drying_w",
        "the mean power of the dryer",
        "W",
        0.0,
        100_000.0,
    );
    pub const PACKING_ORDER: MoneyField =
        MoneyField::new("packing_per_order", "the box and filling of an order");
    pub const MARK_UP: Field = Field::new(
        "mark_up",
        "the profit on the cost, in place of a margin (0.33 is 33 %)",
        "",
        0.0,
        100.0,
    );
    pub const DISCOUNT_FROM: Field = Field::new(
        "from",
        "the pieces from which a discount is given",
        "pieces",
        1.0,
        1e9,
    );
    pub const DISCOUNT_SHARE: Field = Field::new(
        "share",
        "the part taken off the price (0.05 is 5 %)",
        "",
        0.0,
        0.99,
    );
    pub const RUSH: Field = Field::new(
        "rush",
        "the surcharge on an order that goes before others (0.3 is 30 %)",
        "",
        0.0,
        10.0,
    );
    pub const LEAST_ORDER: MoneyField =
        MoneyField::new("least_order", "the least order before tax");
    pub const TAX: Field = Field::new("tax", "the tax on the sum (0.20 is 20 %)", "", 0.0, 1.0);
}
