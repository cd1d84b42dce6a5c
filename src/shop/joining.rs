//! Reads `[joining]`: what it takes to make one part of pieces. The table and each of its keys may be left out.

use rust_decimal::Decimal;

use super::ShopError;
use super::field::{Field, MoneyField};
use super::table::ShopTable;

/// Keys of `[joining]`.
pub(super) const KEYS: [&str; 6] = [
    "min_per_joint",
    "min_per_100cm2",
    "adhesive_per_100cm2",
    "hardware_per_joint",
    "elsewhere_per_kg",
    "elsewhere_per_h",
];

const PER_JOINT: Field = Field::new(
    "min_per_joint",
    "the work on one joint face whatever its size",
    "minutes",
    0.0,
    10_000.0,
);
const PER_AREA: Field = Field::new(
    "min_per_100cm2",
    "the work on 100 cm2 of joint",
    "minutes",
    0.0,
    10_000.0,
);
const ADHESIVE: MoneyField = MoneyField::new(
    "adhesive_per_100cm2",
    "the price of the adhesive for 100 cm2 of joint",
);
const HARDWARE: MoneyField = MoneyField::new(
    "hardware_per_joint",
    "the price of bolts and dowels for one joint face",
);
const PER_KG: MoneyField = MoneyField::new(
    "elsewhere_per_kg",
    "what a shop with a larger machine asks per kilogram",
);
const PER_HOUR: MoneyField = MoneyField::new(
    "elsewhere_per_h",
    "what a shop with a larger machine asks per machine hour",
);

/// What it takes to make one part of pieces.
#[derive(Debug, Clone, PartialEq)]
pub struct Joining {
    /// Work on one joint face whatever its size (fitting, clamping), minutes.
    pub min_per_joint: f64,
    /// Work on 100 cm2 of joint (roughing, spreading), minutes.
    pub min_per_100cm2: f64,
    /// Adhesive, money per 100 cm2 of joint.
    pub adhesive_per_100cm2: Decimal,
    /// Bolts and dowels, money per joint face.
    pub hardware_per_joint: Decimal,
    /// What a shop with a larger machine asks per kilogram, where the owner knows it.
    pub elsewhere_per_kg: Option<Decimal>,
    /// What a shop with a larger machine asks per machine hour, where the owner knows it.
    pub elsewhere_per_h: Option<Decimal>,
    /// Keys that were left out and stand at their defaults, in the file's spelling.
    pub assumed: Vec<&'static str>,
}

impl Default for Joining {
    /// 10 minutes a joint face and 15 per 100 cm2, a judgement without source. Money has no default in a currency that is not known:
    /// adhesive and hardware are not charged until the shop says what they cost.
    fn default() -> Self {
        Joining {
            min_per_joint: 10.0,
            min_per_100cm2: 15.0,
            adhesive_per_100cm2: Decimal::ZERO,
            hardware_per_joint: Decimal::ZERO,
            elsewhere_per_kg: None,
            elsewhere_per_h: None,
            assumed: KEYS[..4].to_vec(),
        }
    }
}

impl Joining {
    /// What stands at its default, in a sentence without a full stop; none where the shop says everything.
    pub fn assumed_in_words(&self) -> Option<String> {
        (!self.assumed.is_empty()).then(|| {
            format!(
                "{} under [joining] {} not given: defaults, a judgement without source (prices: 0)",
                self.assumed.join(", "),
                if self.assumed.len() == 1 { "is" } else { "are" }
            )
        })
    }
}

/// Reads the table; the defaults where there is none.
pub(super) fn read_joining(table: Option<&ShopTable<'_>>) -> Result<Joining, ShopError> {
    let default = Joining::default();
    let Some(table) = table else {
        return Ok(default);
    };
    Ok(Joining {
        min_per_joint: table.number(&PER_JOINT)?.unwrap_or(default.min_per_joint),
        min_per_100cm2: table.number(&PER_AREA)?.unwrap_or(default.min_per_100cm2),
        adhesive_per_100cm2: table.money(&ADHESIVE)?.unwrap_or_default(),
        hardware_per_joint: table.money(&HARDWARE)?.unwrap_or_default(),
        elsewhere_per_kg: table.money(&PER_KG)?,
        elsewhere_per_h: table.money(&PER_HOUR)?,
        assumed: KEYS[..4]
            .iter()
            .copied()
            .filter(|key| !table.has(key))
            .collect(),
    })
}

/// The table as `shop show` writes it: a line a fact.
pub(super) fn joining_lines(joining: &Joining) -> Vec<String> {
    let default = |key: &str| {
        if joining.assumed.contains(&key) {
            " (default)"
        } else {
            ""
        }
    };
    let mut lines = vec![format!(
        "joining pieces: {} min per joint face{}, {} min per 100 cm2{}; adhesive {} per 100 cm2{}, hardware {} per joint face{}",
        joining.min_per_joint,
        default(KEYS[0]),
        joining.min_per_100cm2,
        default(KEYS[1]),
        joining.adhesive_per_100cm2,
        default(KEYS[2]),
        joining.hardware_per_joint,
        default(KEYS[3]),
    )];
    let elsewhere: Vec<String> = [
        (joining.elsewhere_per_kg, "per kg"),
        (joining.elsewhere_per_h, "per machine hour"),
    ]
    .into_iter()
    .filter_map(|(price, what)| Some(format!("{} {what}", price?)))
    .collect();
    if !elsewhere.is_empty() {
        lines.push(format!(
            "a larger machine elsewhere: {}",
            elsewhere.join(", ")
        ));
    }
    lines
}
