//! Reads `[rates]`: what the shop charges.

use rust_decimal::Decimal;

use super::ShopError;
use super::field::{Field, rates as field};
use super::table::ShopTable;

/// Keys of `[rates]`; those from `mark_up` on may be left out.
pub(super) const KEYS: [&str; 25] = [
    "labour_per_h",
    "energy_per_kwh",
    "set_up_min",
    "removal_min",
    "finishing_min",
    "support_removal_min_per_100g",
    "purge_g",
    "overhead",
    "margin",
    "least_order",
    "tax",
    "tax_name",
    "mark_up",
    "file_check_min",
    "bed_clearing_min",
    "spool_change_min",
    "support_removal_min_per_100cm2",
    "finishing_min_per_100cm2",
    "inspection_min",
    "packing_min",
    "packing_per_order",
    "drying_w",
    "drying_min",
    "discounts",
    "rush",
];

/// More steps than this are no list of discounts.
const MOST_DISCOUNTS: usize = 100;

/// What the shop charges. Fractions are of one (0.25 is 25 %).
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Rates {
    /// Labour, money per hour.
    pub labour_per_h: Decimal,
    /// Electricity, money per kWh.
    pub energy_per_kwh: Decimal,
    /// Looking at the customer's file and preparing the job, minutes per order.
    pub file_check_min: f64,
    /// Set-up of an order (plastic, plate), minutes per order.
    pub set_up_min: f64,
    /// Clearing the bed and readying it for the next start, minutes per start.
    pub bed_clearing_min: f64,
    /// Changing a spool that runs out in a print, minutes.
    pub spool_change_min: f64,
    /// Taking a piece off the bed, minutes per piece.
    pub removal_min: f64,
    /// Finishing a piece, minutes per piece.
    pub finishing_min: f64,
    /// Finishing by the piece's surface, minutes per 100 cm2.
    pub finishing_min_per_100cm2: f64,
    /// Removing support, minutes per 100 g of it.
    pub support_removal_min_per_100g: f64,
    /// Removing support by the area it holds up, minutes per 100 cm2.
    pub support_removal_min_per_100cm2: f64,
    /// Measuring and looking over a piece, minutes per piece.
    pub inspection_min: f64,
    /// Packing a piece, minutes per piece.
    pub packing_min: f64,
    /// Box, filling and label, money per order.
    pub packing_per_order: Decimal,
    /// Mean power of the dryer, W.
    pub drying_w: f64,
    /// Work on drying a spool, minutes.
    pub drying_min: f64,
    /// Purge and first-line plastic, g per start.
    pub purge_g: f64,
    /// Overhead on costs, fraction.
    pub overhead: f64,
    /// Margin: the part of the price that is profit, fraction below 1. Price = cost / (1 - margin). 0 where `mark_up` is given.
    pub margin: f64,
    /// Mark-up: profit as a fraction of the cost, in place of a margin. Price = cost x (1 + mark-up).
    pub mark_up: Option<f64>,
    /// Discounts by quantity: from so many pieces on, so much off the list price, fraction. Quantities rise.
    pub discounts: Vec<(u32, f64)>,
    /// Surcharge on an order that goes before others, fraction of the price.
    pub rush: f64,
    /// Least order before tax.
    pub least_order: Decimal,
    /// Tax on the sum, fraction.
    pub tax: f64,
    /// What the tax is called on the document.
    pub tax_name: String,
    /// What one job has of its own; nothing in a shop file.
    pub job: JobTerms,
}

/// What a job has of its own beside the shop's rates.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct JobTerms {
    /// Parts that are bought for every piece.
    pub bought_in: Vec<BoughtIn>,
    /// A discount in place of the shop's, fraction.
    pub discount: Option<f64>,
    /// Whether it goes before others.
    pub rush: bool,
}

/// A part that is bought for every piece: an insert, a screw.
#[derive(Debug, Clone, PartialEq)]
pub struct BoughtIn {
    /// What it is.
    pub what: String,
    /// What it costs for one piece.
    pub price: Decimal,
}

impl Rates {
    /// The discount on so many pieces: the job's own, else the shop's.
    pub fn discount_on(&self, quantity: u32) -> f64 {
        if let Some(share) = self.job.discount {
            return share;
        }
        let reached = self
            .discounts
            .iter()
            .rev()
            .find(|(from, _)| *from <= quantity);
        reached.map_or(0.0, |(_, share)| *share)
    }
}

/// Reads the table.
pub(super) fn read_rates(table: &ShopTable<'_>) -> Result<Rates, ShopError> {
    let or_none = |field: &Field| Ok::<f64, ShopError>(table.number(field)?.unwrap_or(0.0));
    let (margin, mark_up) = read_profit(table)?;
    Ok(Rates {
        labour_per_h: table.need_money(&field::LABOUR)?,
        energy_per_kwh: table.need_money(&field::ENERGY)?,
        file_check_min: or_none(&field::FILE_CHECK)?,
        set_up_min: table.need_number(&field::SET_UP)?,
        bed_clearing_min: or_none(&field::BED_CLEARING)?,
        spool_change_min: or_none(&field::SPOOL_CHANGE)?,
        removal_min: table.need_number(&field::REMOVAL)?,
        finishing_min: table.need_number(&field::FINISHING)?,
        finishing_min_per_100cm2: or_none(&field::FINISHING_AREA)?,
        support_removal_min_per_100g: table.need_number(&field::SUPPORT_REMOVAL)?,
        support_removal_min_per_100cm2: or_none(&field::SUPPORT_REMOVAL_AREA)?,
        inspection_min: or_none(&field::INSPECTION)?,
        packing_min: or_none(&field::PACKING)?,
        packing_per_order: table.money(&field::PACKING_ORDER)?.unwrap_or_default(),
        drying_w: or_none(&field::DRYING_POWER)?,
        drying_min: or_none(&field::DRYING_WORK)?,
        purge_g: table.need_number(&field::PURGE)?,
        overhead: table.need_number(&field::OVERHEAD)?,
        margin,
        mark_up,
        discounts: read_discounts(table, margin, mark_up)?,
        rush: or_none(&field::RUSH)?,
        least_order: table.need_money(&field::LEAST_ORDER)?,
        tax: table.need_number(&field::TAX)?,
        tax_name: table
            .need_text("tax_name", "give what the tax is called, such as \"VAT\"")?
            .to_owned(),
        job: JobTerms::default(),
    })
}

/// A margin or a mark-up: they differ, and one of them rules.
fn read_profit(table: &ShopTable<'_>) -> Result<(f64, Option<f64>), ShopError> {
    match (table.number(&field::MARGIN)?, table.number(&field::MARK_UP)?) {
        (Some(_), Some(_)) => Err(table.error(
            field::MARK_UP.key,
            "a margin is given too; keep one: a margin is a part of the price, a mark-up is put on the cost",
        )),
        (Some(margin), None) => Ok((margin, None)),
        (None, Some(mark_up)) => Ok((0.0, Some(mark_up))),
        (None, None) => Err(table.missing(
            field::MARGIN.key,
            &format!("{}, or mark_up = 0.33 on the cost", field::MARGIN.right()),
        )),
    }
}

fn read_discounts(
    table: &ShopTable<'_>,
    margin: f64,
    mark_up: Option<f64>,
) -> Result<Vec<(u32, f64)>, ShopError> {
    const KEY: &str = "discounts";
    const RIGHT: &str =
        "list steps such as discounts = [{ from = 10, share = 0.05 }], quantities rising";
    let rows = table.rows(
        KEY,
        [&field::DISCOUNT_FROM, &field::DISCOUNT_SHARE],
        RIGHT,
        MOST_DISCOUNTS,
    )?;
    let whole = rows.iter().all(|[from, _]| from.fract() == 0.0);
    if !whole || !rows.windows(2).all(|pair| pair[0][0] < pair[1][0]) {
        let fault = format!("the quantities are not whole numbers that rise; {RIGHT}");
        return Err(table.error(KEY, fault));
    }
    // A mark-up k on the cost is k/(1 + k) of the price.
    let most = mark_up.map_or(margin, |mark_up| mark_up / (1.0 + mark_up));
    if let Some([from, share]) = rows.iter().find(|[_, share]| *share > most) {
        let fault = format!(
            "a discount of {share} from {from} pieces on is more than the profit of {most:.3} of the price: such orders would be sold \
             below their cost; give at most that"
        );
        return Err(table.error(KEY, fault));
    }
    // Whole, and within the field's range.
    Ok(rows
        .into_iter()
        .map(|[from, share]| (from as u32, share))
        .collect())
}

/// The table as `shop show` writes it, a line a fact; `percent` writes a fraction.
pub(super) fn rates_lines(rates: &Rates, percent: impl Fn(f64) -> String) -> Vec<String> {
    let mut lines = vec![
        format!(
            "labour {} per hour, electricity {} per kWh",
            rates.labour_per_h, rates.energy_per_kwh
        ),
        format!(
            "set-up {} min per order; removal {} min and finishing {} min per piece; support {} min per 100 g; \
             purge {} g per start",
            rates.set_up_min,
            rates.removal_min,
            rates.finishing_min,
            rates.support_removal_min_per_100g,
            rates.purge_g
        ),
    ];
    let further: Vec<String> = [
        ("file check", rates.file_check_min, "min per order"),
        ("clearing the bed", rates.bed_clearing_min, "min per start"),
        ("changing a spool", rates.spool_change_min, "min"),
        (
            "finishing",
            rates.finishing_min_per_100cm2,
            "min per 100 cm2",
        ),
        (
            "support",
            rates.support_removal_min_per_100cm2,
            "min per 100 cm2 held up",
        ),
        ("inspection", rates.inspection_min, "min per piece"),
        ("packing", rates.packing_min, "min per piece"),
        ("the dryer takes", rates.drying_w, "W"),
        ("drying a spool", rates.drying_min, "min"),
    ]
    .into_iter()
    .filter(|(_, value, _)| *value > 0.0)
    .map(|(what, value, unit)| format!("{what} {value} {unit}"))
    .chain(
        (!rates.packing_per_order.is_zero())
            .then(|| format!("packing material {} per order", rates.packing_per_order)),
    )
    .collect();
    if !further.is_empty() {
        lines.push(further.join("; "));
    }
    let profit = match rates.mark_up {
        Some(mark_up) => format!("mark-up {} on the cost", percent(mark_up)),
        None => format!("margin {} of the price", percent(rates.margin)),
    };
    lines.push(format!(
        "overhead {} on costs, {profit}, least order {}, {} {}",
        percent(rates.overhead),
        rates.least_order,
        rates.tax_name,
        percent(rates.tax)
    ));
    let mut beside: Vec<String> = rates
        .discounts
        .iter()
        .map(|(from, share)| format!("{} off from {from} pieces on", percent(*share)))
        .collect();
    if rates.rush > 0.0 {
        beside.push(format!("rush {} on the price", percent(rates.rush)));
    }
    if !beside.is_empty() {
        lines.push(beside.join(", "));
    }
    lines
}
