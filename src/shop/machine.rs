//! Reads one `[[machine]]`.

use rust_decimal::Decimal;
use toml_edit::Table;

use super::field::{Field, machine as field};
use super::kind::{MachineKind, StartingValues};
use super::nearest::nearest;
use super::space::read_space;
use super::table::{ShopTable, shortened};
use super::{Failures, LifeBasis, Machine, ShopError};
use crate::motion::Speeds;

/// Keys of `[[machine]]`.
pub(super) const KEYS: [&str; 33] = [
    "id",
    "what",
    "kind",
    "bed_mm",
    "bed_diameter_mm",
    "bed_corners_mm",
    "height_mm",
    "edge_margin_mm",
    "keep_out_mm",
    "reach_mm",
    "narrower_above",
    "speeds_mm_s",
    "acceleration_mm_s2",
    "corner_deviation_mm",
    "retraction_s",
    "layer_change_s",
    "start_s",
    "nozzle_min_c",
    "nozzle_max_c",
    "bed_min_c",
    "bed_max_c",
    "enclosed",
    "feedstock_mm",
    "nozzles",
    "heating_w",
    "printing_w",
    "price",
    "life_h",
    "upkeep_per_h",
    "failures",
    "correction",
    "life_years",
    "utilisation",
];

const SPEED_KEYS: [&str; 8] = [
    "outer",
    "inner",
    "fill",
    "open",
    "sliver",
    "support",
    "travel",
    "first_layer",
];

const FAILURE_KEYS: [&str; 4] = ["start_chance", "start_lost_h", "rate_per_h", "clearing_h"];

/// Reads a machine; keys left out take the starting value of its kind, where it names one.
pub(super) fn read_machine(table: &ShopTable<'_>, id: &str) -> Result<Machine, ShopError> {
    let kind = read_kind(table)?;
    let mut reader = Reader {
        table,
        start: kind.map(MachineKind::starting_values),
        assumed: Vec::new(),
    };
    let space = read_space(table, || {
        reader.number(&field::EDGE, |start| start.edge_margin_mm)
    })?;
    let speeds = read_speeds(&mut reader)?;
    let (nozzle_min_c, nozzle_max_c) = reader.window(
        (&field::NOZZLE_MIN, |start| start.nozzle_min_c),
        (&field::NOZZLE_MAX, |start| start.nozzle_max_c),
    )?;
    let (bed_min_c, bed_max_c) = reader.window(
        (&field::BED_MIN, |start| start.bed_min_c),
        (&field::BED_MAX, |start| start.bed_max_c),
    )?;
    let price = table.need_money(&field::PRICE)?;
    let life_basis = read_life_basis(table)?;
    let life_h = match &life_basis {
        Some(basis) => basis.hours(),
        None => reader.number(&field::LIFE, |start| start.life_h)?,
    };
    Ok(Machine {
        id: id.to_owned(),
        what: table
            .need_text("what", "say in plain words what machine it is")?
            .to_owned(),
        space,
        speeds,
        acceleration_mm_s2: reader
            .number(&field::ACCELERATION, |start| start.acceleration_mm_s2)?,
        corner_deviation_mm: reader.number(&field::DEVIATION, |start| start.corner_deviation_mm)?,
        retraction_s: reader.number(&field::RETRACTION, |start| start.retraction_s)?,
        layer_change_s: reader.number(&field::LAYER_CHANGE, |start| start.layer_change_s)?,
        start_s: reader.number(&field::START, |start| start.start_s)?,
        nozzle_max_c,
        nozzle_min_c,
        bed_max_c,
        bed_min_c,
        enclosed: reader.enclosed()?,
        feedstock_mm: reader.number(&field::FEEDSTOCK, |start| start.feedstock_mm)?,
        nozzles: read_nozzle_ids(table)?,
        heating_w: reader.number(&field::HEATING, |start| start.heating_w)?,
        printing_w: reader.number(&field::PRINTING, |start| start.printing_w)?,
        upkeep_per_h: reader.upkeep(price, life_h)?,
        price,
        life_h,
        life_basis,
        failures: read_failures(&mut reader)?,
        correction: table.number(&field::CORRECTION)?.unwrap_or(1.0),
        kind,
        assumed: reader.assumed,
    })
}

/// A life in years and utilisation, which go together and stand in place of one in hours.
fn read_life_basis(table: &ShopTable<'_>) -> Result<Option<LifeBasis>, ShopError> {
    match (
        table.number(&field::LIFE_YEARS)?,
        table.number(&field::UTILISATION)?,
    ) {
        (None, None) => Ok(None),
        (Some(_), Some(_)) if table.has(field::LIFE.key) => Err(table.error(
            field::LIFE_YEARS.key,
            "life_h is given too; keep the hours, or years and utilisation",
        )),
        (Some(years), Some(utilisation)) => Ok(Some(LifeBasis { years, utilisation })),
        (Some(_), None) => Err(table.missing(
            field::UTILISATION.key,
            &format!("{} to go with life_years", field::UTILISATION.right()),
        )),
        (None, Some(_)) => Err(table.missing(
            field::LIFE_YEARS.key,
            &format!("{} to go with utilisation", field::LIFE_YEARS.right()),
        )),
    }
}

fn read_kind(table: &ShopTable<'_>) -> Result<Option<MachineKind>, ShopError> {
    let names = MachineKind::ALL.map(MachineKind::name);
    let right = format!("give one of \"{}\", or leave it out", names.join("\", \""));
    let Some(name) = table.text("kind", &right)? else {
        return Ok(None);
    };
    match MachineKind::named(name) {
        Some(kind) => Ok(Some(kind)),
        None => {
            let hint = match nearest(name, names) {
                Some(near) => format!("did you mean \"{near}\"?"),
                None => right,
            };
            Err(table.error(
                "kind",
                format!("{} is no kind known here; {hint}", shortened(name)),
            ))
        }
    }
}

/// A table together with the starting values of the machine's kind, keeping a list of those it had to use.
struct Reader<'t, 'a> {
    table: &'t ShopTable<'a>,
    start: Option<StartingValues>,
    assumed: Vec<String>,
}

/// A number's key and where a kind keeps its starting value.
type Starting<'f> = (&'f Field, fn(&StartingValues) -> f64);

impl Reader<'_, '_> {
    fn number(
        &mut self,
        field: &Field,
        starting: fn(&StartingValues) -> f64,
    ) -> Result<f64, ShopError> {
        let table = self.table;
        self.number_in(table, field, starting)
    }

    fn number_in(
        &mut self,
        table: &ShopTable<'_>,
        field: &Field,
        starting: fn(&StartingValues) -> f64,
    ) -> Result<f64, ShopError> {
        match table.number(field)? {
            Some(number) => Ok(number),
            None => self.assume(table, field.key, &field.right(), starting),
        }
    }

    /// The kind's starting value for a key that was left out; an error where no kind is named.
    fn assume<T>(
        &mut self,
        table: &ShopTable<'_>,
        key: &str,
        right: &str,
        starting: impl Fn(&StartingValues) -> T,
    ) -> Result<T, ShopError> {
        let Some(start) = &self.start else {
            let right =
                format!("{right}, or name the machine's kind to start from that kind's value");
            return Err(table.missing(key, &right));
        };
        self.assumed.push(table.full_key(key));
        Ok(starting(start))
    }

    /// A least and a greatest temperature, in that order.
    fn window(&mut self, least: Starting<'_>, most: Starting<'_>) -> Result<(f64, f64), ShopError> {
        let low = self.number(least.0, least.1)?;
        let high = self.number(most.0, most.1)?;
        if low <= high {
            return Ok((low, high));
        }
        let (low_key, high_key) = (least.0.key, most.0.key);
        let key = if self.table.has(high_key) {
            high_key
        } else {
            low_key
        };
        let fault = format!(
            "{high_key} {high} C lies below {low_key} {low} C; give the hotter one as {high_key}"
        );
        Err(self.table.error(key, fault))
    }

    fn enclosed(&mut self) -> Result<bool, ShopError> {
        const RIGHT: &str = "write true for an enclosed machine, false for an open one";
        let table = self.table;
        match table.flag("enclosed", RIGHT)? {
            Some(flag) => Ok(flag),
            None => self.assume(table, "enclosed", RIGHT, |start| start.enclosed),
        }
    }

    /// Upkeep per hour; a kind starts it from the price, as a part of it spread over the machine's life.
    fn upkeep(&mut self, price: Decimal, life_h: f64) -> Result<Decimal, ShopError> {
        let table = self.table;
        if let Some(upkeep) = table.money(&field::UPKEEP)? {
            return Ok(upkeep);
        }
        let right = field::UPKEEP.right();
        let percent = self.assume(table, field::UPKEEP.key, &right, |start| {
            start.upkeep_of_price_percent
        })?;
        // Life is at least one hour, so the quotient exists; whole hours are fine enough for a starting value.
        let hours = Decimal::from(life_h.round() as i64);
        let upkeep = price * Decimal::new(percent, 2) / hours;
        Ok(upkeep.round_dp(4))
    }
}

fn read_speeds(reader: &mut Reader<'_, '_>) -> Result<Speeds, ShopError> {
    let empty = Table::new();
    let table = match reader.table.sub("speeds_mm_s", &SPEED_KEYS)? {
        Some(table) => table,
        None => reader.table.empty_sub("speeds_mm_s", &empty),
    };
    Ok(Speeds {
        outer_mm_s: reader.number_in(&table, &field::OUTER, |start| start.speeds.outer_mm_s)?,
        inner_mm_s: reader.number_in(&table, &field::INNER, |start| start.speeds.inner_mm_s)?,
        fill_mm_s: reader.number_in(&table, &field::FILL, |start| start.speeds.fill_mm_s)?,
        open_mm_s: reader.number_in(&table, &field::OPEN, |start| start.speeds.open_mm_s)?,
        sliver_mm_s: reader.number_in(&table, &field::SLIVER, |start| start.speeds.sliver_mm_s)?,
        support_mm_s: reader
            .number_in(&table, &field::SUPPORT, |start| start.speeds.support_mm_s)?,
        travel_mm_s: reader.number_in(&table, &field::TRAVEL, |start| start.speeds.travel_mm_s)?,
        first_layer_mm_s: reader.number_in(&table, &field::FIRST_LAYER, |start| {
            start.speeds.first_layer_mm_s
        })?,
    })
}

fn read_failures(reader: &mut Reader<'_, '_>) -> Result<Failures, ShopError> {
    let empty = Table::new();
    let table = match reader.table.sub("failures", &FAILURE_KEYS)? {
        Some(table) => table,
        None => reader.table.empty_sub("failures", &empty),
    };
    let (start_chance, rate_per_h, by_default) = match (
        table.number(&field::START_CHANCE)?,
        table.number(&field::RATE)?,
    ) {
        (Some(chance), Some(rate)) => (chance, rate, false),
        (None, None) => (
            Failures::DEFAULT_START_CHANCE,
            Failures::DEFAULT_RATE_PER_H,
            true,
        ),
        (Some(_), None) => return Err(half_a_record(&table, &field::RATE)),
        (None, Some(_)) => return Err(half_a_record(&table, &field::START_CHANCE)),
    };
    Ok(Failures {
        start_chance,
        start_lost_h: reader.number_in(&table, &field::START_LOST, |start| start.start_lost_h)?,
        rate_per_h,
        clearing_h: reader.number_in(&table, &field::CLEARING, |start| start.clearing_h)?,
        by_default,
    })
}

/// A record has both chances; one of the shop's own beside a default would pass for a record.
fn half_a_record(table: &ShopTable<'_>, field: &Field) -> ShopError {
    let right = format!(
        "{} too, or leave out both chances for the stated defaults",
        field.right()
    );
    table.missing(field.key, &right)
}

fn read_nozzle_ids(table: &ShopTable<'_>) -> Result<Vec<String>, ShopError> {
    const RIGHT: &str = "list the ids of the nozzles it takes, such as nozzles = [\"0.4-brass\"]";
    let Some(ids) = table.texts("nozzles", RIGHT)? else {
        return Err(table.missing("nozzles", RIGHT));
    };
    if ids.is_empty() {
        return Err(table.error("nozzles", format!("empty; {RIGHT}")));
    }
    let mut seen = std::collections::HashSet::new();
    match ids.iter().find(|id| !seen.insert(**id)) {
        Some(twice) => Err(table.error(
            "nozzles",
            format!("{} is listed twice; list it once", shortened(twice)),
        )),
        None => Ok(ids.into_iter().map(str::to_owned).collect()),
    }
}
