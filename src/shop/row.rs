//! Reads one `[[measured]]` row.

use super::field::measured as field;
use super::file::{Stock, unknown_id};
use super::table::ShopTable;
use super::{MeasuredRow, Nozzle, ShopError};

/// Keys of `[[measured]]`.
pub(super) const KEYS: [&str; 17] = [
    "machine",
    "nozzle",
    "material",
    "melt_limit_mm3_s",
    "margin",
    "layer_height_mm",
    "bead_width_mm",
    "outer_mm_s",
    "inner_mm_s",
    "fill_mm_s",
    "open_mm_s",
    "sliver_mm_s",
    "support_mm_s",
    "correction",
    "grams_correction",
    "band_factor",
    "melt_doubt",
];

/// Margin taken off a melt limit where the row gives none (design value; 15 to 20 % is common practice).
const MARGIN: f64 = 0.20;

/// A bead wider than this many bores is a slip: common practice stays below two.
const WIDEST_BEAD_PER_BORE: f64 = 3.0;

/// Reads a row; what it names must be in stock and go together.
pub(super) fn read_row(
    table: &mut ShopTable<'_>,
    stock: &Stock<'_>,
) -> Result<MeasuredRow, ShopError> {
    let machine = table.need_text("machine", "give the id of a [[machine]]")?;
    let nozzle = table.need_text("nozzle", "give the id of a [[nozzle]]")?;
    let material = table.need_text("material", "give the id of a [[material]]")?;
    let Some(of_machine) = stock.machines.get(machine) else {
        let known = stock.machines.keys().copied();
        return Err(table.error("machine", unknown_id(machine, "a [[machine]]", known)));
    };
    let Some(of_nozzle) = stock.nozzles.get(nozzle) else {
        let known = stock.nozzles.keys().copied();
        return Err(table.error("nozzle", unknown_id(nozzle, "a [[nozzle]]", known)));
    };
    if !stock.materials.contains_key(material) {
        let known = stock.materials.keys().copied();
        return Err(table.error("material", unknown_id(material, "a [[material]]", known)));
    }
    table.call(format!("measured row {machine}/{nozzle}/{material}"));
    if !of_machine.nozzles.iter().any(|id| id == nozzle) {
        let takes = of_machine.nozzles.join(", ");
        let fault =
            format!("machine \"{machine}\" does not take nozzle \"{nozzle}\"; it takes {takes}");
        return Err(table.error("nozzle", fault));
    }
    let (layer_height_mm, bead_width_mm) = read_bead(table, of_nozzle)?;
    Ok(MeasuredRow {
        machine: machine.to_owned(),
        nozzle: nozzle.to_owned(),
        material: material.to_owned(),
        melt_limit_mm3_s: table.need_number(&field::MELT_LIMIT)?,
        margin: table.number(&field::MARGIN)?.unwrap_or(MARGIN),
        melt_doubt: table.number(&field::MELT_DOUBT)?,
        layer_height_mm,
        bead_width_mm,
        outer_mm_s: table.number(&field::OUTER)?,
        inner_mm_s: table.number(&field::INNER)?,
        fill_mm_s: table.number(&field::FILL)?,
        open_mm_s: table.number(&field::OPEN)?,
        sliver_mm_s: table.number(&field::SLIVER)?,
        support_mm_s: table.number(&field::SUPPORT)?,
        correction: table.number(&field::CORRECTION)?,
        grams_correction: table.number(&field::GRAMS_CORRECTION)?,
        band_factor: table.number(&field::BAND_FACTOR)?,
    })
}

/// Layer height and bead width where given, judged together with what the nozzle stands in for.
fn read_bead(
    table: &ShopTable<'_>,
    nozzle: &Nozzle,
) -> Result<(Option<f64>, Option<f64>), ShopError> {
    let height = table.number(&field::LAYER_HEIGHT)?;
    let width = table.number(&field::BEAD_WIDTH)?;
    let bore = nozzle.diameter_mm;
    let h = height.unwrap_or(nozzle.usual_layer_height_mm());
    let w = width.unwrap_or(nozzle.usual_bead_width_mm());
    if h > bore {
        let fault = format!(
            "a layer of {h} mm is higher than the nozzle's {bore} mm; give at most {bore}, {:.2} is usual",
            nozzle.usual_layer_height_mm()
        );
        return Err(table.error(field::LAYER_HEIGHT.key, fault));
    }
    if w < h {
        let fault = format!(
            "a bead {w} mm wide is narrower than its layer of {h} mm is high; give at least {h}, {:.2} is usual",
            nozzle.usual_bead_width_mm()
        );
        return Err(table.error(field::BEAD_WIDTH.key, fault));
    }
    if w > WIDEST_BEAD_PER_BORE * bore {
        let fault = format!(
            "a bead {w} mm wide is more than three times the nozzle's {bore} mm; {:.2} is usual",
            nozzle.usual_bead_width_mm()
        );
        return Err(table.error(field::BEAD_WIDTH.key, fault));
    }
    Ok((height, width))
}
