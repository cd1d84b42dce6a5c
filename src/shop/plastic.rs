//! Reads one `[[material]]`.

use super::field::{FAILURE_FACTOR, material as field};
use super::table::ShopTable;
use super::{Material, ShopError, Stands};

/// Keys of `[[material]]`.
pub(super) const KEYS: [&str; 23] = [
    "id",
    "what",
    "density_g_cm3",
    "price_per_kg",
    "spool_g",
    "abrasive",
    "nozzle_c",
    "bed_c",
    "needs_enclosure",
    "feedstock_mm",
    "least_layer_s",
    "most_layer_s",
    "glass_transition_c",
    "heat_deflection_c",
    "drying",
    "waste",
    "cautions",
    "spool_rest_g",
    "stocked",
    "failure_factor",
    "stands_sun",
    "stands_salt_water",
    "stands_food",
];

/// Reads a plastic.
pub(super) fn read_material(table: &ShopTable<'_>, id: &str) -> Result<Material, ShopError> {
    Ok(Material {
        id: id.to_owned(),
        what: table
            .need_text("what", "say in plain words what plastic it is")?
            .to_owned(),
        density_g_cm3: table.need_number(&field::DENSITY)?,
        price_per_kg: table.need_money(&field::PRICE)?,
        spool_g: table.need_number(&field::SPOOL)?,
        abrasive: need_flag(
            table,
            "abrasive",
            "write true for a fibre- or mineral-filled plastic, false for a plain one",
        )?,
        nozzle_c: read_window(table)?,
        bed_c: table.need_number(&field::BED)?,
        needs_enclosure: need_flag(
            table,
            "needs_enclosure",
            "write true where it needs an enclosed machine, else false",
        )?,
        feedstock_mm: read_feedstock(table)?,
        least_layer_s: table.need_number(&field::LEAST_LAYER)?,
        most_layer_s: read_most_layer(table)?,
        glass_transition_c: table.number(&field::GLASS)?,
        heat_deflection_c: table.number(&field::DEFLECTION)?,
        drying: read_drying(table)?,
        waste: table.need_number(&field::WASTE)?,
        cautions: read_cautions(table)?,
        spool_rest_g: read_spool_rest(table)?,
        stocked: table
            .flag(
                "stocked",
                "write true for a plastic kept in stock, false for one bought for the order",
            )?
            .unwrap_or(true),
        failure_factor: table.number(&FAILURE_FACTOR)?.unwrap_or(1.0),
        stands: Stands {
            sun: table.flag("stands_sun", "write true where it stands years in the sun")?,
            salt_water: table.flag("stands_salt_water", "write true where it stands salt water")?,
            food: table.flag(
                "stands_food",
                "write true where its maker declares it for food",
            )?,
        },
    })
}

fn read_spool_rest(table: &ShopTable<'_>) -> Result<f64, ShopError> {
    let spool_g = table.need_number(&field::SPOOL)?;
    match table.number(&field::SPOOL_REST)? {
        Some(rest_g) if rest_g >= spool_g => {
            let fault = format!(
                "{rest_g} g is the whole spool of {spool_g} g; give what is left when a spool can't be used any more"
            );
            Err(table.error(field::SPOOL_REST.key, fault))
        }
        rest_g => Ok(rest_g.unwrap_or(0.0)),
    }
}

fn need_flag(table: &ShopTable<'_>, key: &str, right: &str) -> Result<bool, ShopError> {
    table
        .flag(key, right)?
        .ok_or_else(|| table.missing(key, right))
}

fn read_window(table: &ShopTable<'_>) -> Result<(f64, f64), ShopError> {
    let (least, greatest) = table.pair(&field::NOZZLE)?;
    if least <= greatest {
        return Ok((least, greatest));
    }
    let fault = format!("{least} C comes before {greatest} C; give the cooler one first");
    Err(table.error(field::NOZZLE.key, fault))
}

fn read_most_layer(table: &ShopTable<'_>) -> Result<Option<f64>, ShopError> {
    let least_s = table.need_number(&field::LEAST_LAYER)?;
    match table.number(&field::MOST_LAYER)? {
        Some(most_s) if most_s <= least_s => {
            let fault = format!(
                "{most_s} s is no more than the least layer time of {least_s} s; give more"
            );
            Err(table.error(field::MOST_LAYER.key, fault))
        }
        most_s => Ok(most_s),
    }
}

fn read_feedstock(table: &ShopTable<'_>) -> Result<Vec<f64>, ShopError> {
    match table.numbers(&field::FEEDSTOCK)? {
        Some(list) if !list.is_empty() => Ok(list),
        Some(_) => {
            let fault = format!("empty; {}", field::FEEDSTOCK.right());
            Err(table.error(field::FEEDSTOCK.key, fault))
        }
        None => Err(table.missing(field::FEEDSTOCK.key, &field::FEEDSTOCK.right())),
    }
}

fn read_drying(table: &ShopTable<'_>) -> Result<Option<(f64, f64)>, ShopError> {
    let Some(drying) = table.sub("drying", &["at_c", "hours"])? else {
        return Ok(None);
    };
    let at_c = drying.need_number(&field::DRYING_AT)?;
    let hours = drying.need_number(&field::DRYING_HOURS)?;
    Ok(Some((at_c, hours)))
}

fn read_cautions(table: &ShopTable<'_>) -> Result<Vec<String>, ShopError> {
    let right = "list the cautions as text, such as cautions = [\"ventilate the room\"]";
    let cautions = table.texts("cautions", right)?.unwrap_or_default();
    Ok(cautions.into_iter().map(str::to_owned).collect())
}
