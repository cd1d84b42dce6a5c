//! Reads `[process]`: how parts are laid where nothing else is asked, and how far the estimate's inputs are known.

use super::field::Field;
use super::table::ShopTable;
use super::{Doubt, Process, ShopError};

/// Keys of `[process]`; those from `first_layer_mm` on may be left out.
pub(super) const KEYS: [&str; 15] = [
    "wall_mm",
    "floor_mm",
    "roof_mm",
    "overhang_deg",
    "support_fraction",
    "free_span_mm",
    "free_hole_mm",
    "first_layer_mm",
    "brim_mm",
    "purge_line_mm",
    "support_clearance_mm",
    "contact_layers",
    "melt_doubt",
    "borrowed_melt_doubt",
    "motion_doubt",
];

const fn mm(key: &'static str, what: &'static str, least: f64, greatest: f64) -> Field {
    Field::new(key, what, "mm", least, greatest)
}

const fn share(key: &'static str, what: &'static str) -> Field {
    Field::new(key, what, "", 0.0, 0.9)
}

const WALL: Field = mm("wall_mm", "the wall thickness", 0.1, 100.0);
const FLOOR: Field = mm(
    "floor_mm",
    "the solid thickness under open fill",
    0.0,
    100.0,
);
const ROOF: Field = mm("roof_mm", "the solid thickness over open fill", 0.0, 100.0);
const OVERHANG: Field = Field::new(
    "overhang_deg",
    "the lean from the vertical beyond which a downward face is held up",
    "degrees",
    1.0,
    89.0,
);
const SUPPORT_FRACTION: Field = Field::new(
    "support_fraction",
    "how dense support is laid (0.2 is 20 %)",
    "",
    0.01,
    1.0,
);
const FREE_SPAN: Field = mm(
    "free_span_mm",
    "the longest span left unsupported (0 supports all)",
    0.0,
    1000.0,
);
const FREE_HOLE: Field = mm(
    "free_hole_mm",
    "the widest cross-hole left unsupported (0 supports all)",
    0.0,
    1000.0,
);
const FIRST_LAYER: Field = mm(
    "first_layer_mm",
    "the thickness of the first layer",
    0.02,
    20.0,
);
const BRIM: Field = mm(
    "brim_mm",
    "how far a brim reaches out (0 is none)",
    0.0,
    100.0,
);
const PURGE_LINE: Field = mm(
    "purge_line_mm",
    "the length of the line that is laid to purge the nozzle (0 is none)",
    0.0,
    100_000.0,
);
const CLEARANCE: Field = mm(
    "support_clearance_mm",
    "the gap left between support and part (0 is none)",
    0.0,
    10.0,
);
const CONTACT_LAYERS: Field = Field::new(
    "contact_layers",
    "how many layers of support under the part are solid",
    "layers",
    0.0,
    100.0,
);
const MELT_DOUBT: Field = share(
    "melt_doubt",
    "how far a measured melt limit may be off, as a fraction (0.1 is 10 %)",
);
const BORROWED_DOUBT: Field = share(
    "borrowed_melt_doubt",
    "how far a borrowed melt limit may be off, as a fraction (0.3 is 30 %)",
);
const MOTION_DOUBT: Field = share(
    "motion_doubt",
    "how far speeds and acceleration may be off, as a fraction (0.1 is 10 %)",
);

/// Judgements without source; a shop that has measured puts its own in.
const DOUBT: Doubt = Doubt {
    melt: 0.10,
    borrowed_melt: 0.30,
    motion: 0.10,
};

/// Reads the table.
pub(super) fn read_process(table: &ShopTable<'_>) -> Result<Process, ShopError> {
    let or_none = |field: &Field| Ok::<f64, ShopError>(table.number(field)?.unwrap_or(0.0));
    let layers = or_none(&CONTACT_LAYERS)?;
    if layers.fract() != 0.0 {
        let fault = format!("{layers} is no whole number; {}", CONTACT_LAYERS.right());
        return Err(table.error(CONTACT_LAYERS.key, fault));
    }
    Ok(Process {
        wall_mm: table.need_number(&WALL)?,
        floor_mm: table.need_number(&FLOOR)?,
        roof_mm: table.need_number(&ROOF)?,
        overhang_deg: table.need_number(&OVERHANG)?,
        support_fraction: table.need_number(&SUPPORT_FRACTION)?,
        free_span_mm: table.need_number(&FREE_SPAN)?,
        free_hole_mm: table.need_number(&FREE_HOLE)?,
        first_layer_mm: table.number(&FIRST_LAYER)?,
        brim_mm: or_none(&BRIM)?,
        purge_line_mm: or_none(&PURGE_LINE)?,
        support_clearance_mm: or_none(&CLEARANCE)?,
        // Whole, and within the field's range.
        contact_layers: layers as u32,
        doubt: Doubt {
            melt: table.number(&MELT_DOUBT)?.unwrap_or(DOUBT.melt),
            borrowed_melt: table
                .number(&BORROWED_DOUBT)?
                .unwrap_or(DOUBT.borrowed_melt),
            motion: table.number(&MOTION_DOUBT)?.unwrap_or(DOUBT.motion),
        },
    })
}
