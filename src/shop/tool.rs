//! Reads one `[[nozzle]]`.

use super::field::{FAILURE_FACTOR, nozzle as field};
use super::nearest::nearest;
use super::table::{ShopTable, shortened};
use super::{Nozzle, NozzleMetal, ShopError};

/// Keys of `[[nozzle]]`.
pub(super) const KEYS: [&str; 7] = [
    "id",
    "diameter_mm",
    "metal",
    "price",
    "life_plain_g",
    "life_abrasive_g",
    "failure_factor",
];

impl NozzleMetal {
    /// Every metal, in the order in which errors list them.
    pub const ALL: [Self; 5] = [
        Self::Brass,
        Self::HardenedSteel,
        Self::StainlessSteel,
        Self::TungstenCarbide,
        Self::MineralTip,
    ];

    /// Its name in the shop file and in answers.
    pub fn name(self) -> &'static str {
        match self {
            Self::Brass => "brass",
            Self::HardenedSteel => "hardened steel",
            Self::StainlessSteel => "stainless steel",
            Self::TungstenCarbide => "tungsten carbide",
            Self::MineralTip => "mineral tip",
        }
    }

    /// The metal of that name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|metal| metal.name() == name)
    }

    /// Whether abrasive plastics wear it fast. A mineral tip is hard whatever body holds it.
    pub fn soft(self) -> bool {
        matches!(self, Self::Brass | Self::StainlessSteel)
    }
}

impl Nozzle {
    /// Layer height where no measured row gives one, mm: 0.6 of the bore (common practice).
    pub fn usual_layer_height_mm(&self) -> f64 {
        0.6 * self.diameter_mm
    }

    /// Bead width where no measured row gives one, mm: 1.2 of the bore (common practice).
    pub fn usual_bead_width_mm(&self) -> f64 {
        1.2 * self.diameter_mm
    }
}

/// Reads a nozzle.
pub(super) fn read_nozzle(table: &ShopTable<'_>, id: &str) -> Result<Nozzle, ShopError> {
    Ok(Nozzle {
        id: id.to_owned(),
        diameter_mm: table.need_number(&field::DIAMETER)?,
        metal: read_metal(table)?,
        price: table.need_money(&field::PRICE)?,
        life_plain_g: table.need_number(&field::LIFE_PLAIN)?,
        life_abrasive_g: table.need_number(&field::LIFE_ABRASIVE)?,
        failure_factor: table.number(&FAILURE_FACTOR)?.unwrap_or(1.0),
    })
}

fn read_metal(table: &ShopTable<'_>) -> Result<NozzleMetal, ShopError> {
    let names = NozzleMetal::ALL.map(NozzleMetal::name);
    let right = format!("give one of \"{}\"", names.join("\", \""));
    let name = table.need_text("metal", &right)?;
    match NozzleMetal::named(name) {
        Some(metal) => Ok(metal),
        None => {
            let hint = match nearest(name, names) {
                Some(near) => format!("did you mean \"{near}\"?"),
                None => right,
            };
            Err(table.error(
                "metal",
                format!("{} is no metal known here; {hint}", shortened(name)),
            ))
        }
    }
}
