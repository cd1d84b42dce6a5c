//! Reads `[moulding]`: what it takes to make pieces on a mould. The table and each of its keys may be left out.

use rust_decimal::Decimal;

use super::ShopError;
use super::field::{Field, MoneyField};
use super::table::ShopTable;

/// Keys of `[moulding]`.
pub(super) const KEYS: [&str; 21] = [
    "resin_g_cm3",
    "resin_per_kg",
    "resin_waste",
    "prepare_min",
    "fill_min",
    "lay_up_min_per_100cm2",
    "demould_min",
    "trim_min",
    "release_per_piece",
    "cure_h",
    "mould_busy",
    "cure_per_h",
    "cure_c",
    "life_pieces",
    "sealing_min_per_100cm2",
    "sealing_per_100cm2",
    "fibre_g_m2",
    "fibre_layers",
    "fibre_per_m2",
    "fibre_share",
    "laminate_g_cm3",
];

const fn minutes(key: &'static str, what: &'static str) -> Field {
    Field::new(key, what, "minutes", 0.0, 10_000.0)
}

const RESIN_DENSITY: Field = Field::new(
    "resin_g_cm3",
    "the density of the cured resin",
    "g/cm3",
    0.1,
    20.0,
);
const RESIN_PRICE: MoneyField =
    MoneyField::new("resin_per_kg", "the price of a kilogram of mixed resin");
const RESIN_WASTE: Field = Field::new(
    "resin_waste",
    "the resin and fibre lost per gram used (cup, offcuts), as a fraction",
    "",
    0.0,
    5.0,
);
const PREPARE: Field = minutes(
    "prepare_min",
    "the cleaning and releasing of the mould for a piece",
);
const FILL: Field = minutes("fill_min", "the mixing and filling for a piece");
const LAY_UP: Field = minutes(
    "lay_up_min_per_100cm2",
    "the laying and wetting of all layers on 100 cm2",
);
const DEMOULD: Field = minutes(
    "demould_min",
    "the opening of the mould and taking out of a piece",
);
const TRIM: Field = minutes("trim_min", "the trimming of a piece");
const RELEASE: MoneyField = MoneyField::new(
    "release_per_piece",
    "the price of the release agent for a piece",
);
const CURE: Field = Field::new(
    "cure_h",
    "the hours until a piece can leave the mould",
    "h",
    0.0,
    1000.0,
);
const CURE_PRICE: MoneyField =
    MoneyField::new("cure_per_h", "what an hour of curing costs (oven, room)");
const CURE_HEAT: Field = Field::new(
    "cure_c",
    "the hottest the mould gets while a piece cures",
    "C",
    0.0,
    400.0,
);
const LIFE: Field = Field::new(
    "life_pieces",
    "the pieces a mould lasts for",
    "pieces",
    1.0,
    1_000_000.0,
);
const SEALING: Field = minutes(
    "sealing_min_per_100cm2",
    "the filling, sanding and sealing of 100 cm2 of mould face",
);
const SEALING_PRICE: MoneyField = MoneyField::new(
    "sealing_per_100cm2",
    "the price of the sealer for 100 cm2 of mould face",
);
const FIBRE: Field = Field::new(
    "fibre_g_m2",
    "the mass of one layer of dry fibre",
    "g/m2",
    1.0,
    10_000.0,
);
const FIBRE_LAYERS: Field = Field::new(
    "fibre_layers",
    "the layers of fibre in a laminate",
    "layers",
    1.0,
    200.0,
);
const FIBRE_PRICE: MoneyField =
    MoneyField::new("fibre_per_m2", "the price of a square metre of one layer");
const FIBRE_SHARE: Field = Field::new(
    "fibre_share",
    "the share of fibre in a laminate's mass",
    "",
    0.05,
    0.9,
);
const LAMINATE: Field = Field::new(
    "laminate_g_cm3",
    "the density of the cured laminate",
    "g/cm3",
    0.1,
    20.0,
);

/// What it takes to make pieces on a mould.
#[derive(Debug, Clone, PartialEq)]
pub struct Moulding {
    /// Density of the cured resin, g/cm3.
    pub resin_g_cm3: f64,
    /// Mixed resin, money per kg.
    pub resin_per_kg: Decimal,
    /// Resin and fibre lost per gram used, a fraction.
    pub resin_waste: f64,
    /// Cleaning and releasing the mould, minutes per piece.
    pub prepare_min: f64,
    /// Mixing and filling, minutes per piece; for a laminate mixing alone.
    pub fill_min: f64,
    /// Laying and wetting all layers of a laminate, minutes per 100 cm2.
    pub lay_up_min_per_100cm2: f64,
    /// Opening the mould and taking the piece out, minutes per piece.
    pub demould_min: f64,
    /// Trimming, minutes per piece.
    pub trim_min: f64,
    /// Release agent, money per piece.
    pub release_per_piece: Decimal,
    /// Hours until a piece can leave the mould, h.
    pub cure_h: f64,
    /// Whether the mould is busy while the piece cures; else the piece leaves it at once.
    pub mould_busy: bool,
    /// What an hour of curing costs, money per hour.
    pub cure_per_h: Decimal,
    /// The hottest the mould gets while a piece cures, C.
    pub cure_c: f64,
    /// Pieces a mould lasts for.
    pub life_pieces: u32,
    /// Filling, sanding and sealing the mould's face, minutes per 100 cm2.
    pub sealing_min_per_100cm2: f64,
    /// Sealer, money per 100 cm2 of mould face.
    pub sealing_per_100cm2: Decimal,
    /// One layer of dry fibre, g/m2.
    pub fibre_g_m2: f64,
    /// Layers of fibre in a laminate.
    pub fibre_layers: u32,
    /// One layer of fibre, money per m2.
    pub fibre_per_m2: Decimal,
    /// Share of fibre in the laminate's mass.
    pub fibre_share: f64,
    /// Density of the cured laminate, g/cm3.
    pub laminate_g_cm3: f64,
    /// Keys that were left out and stand at their defaults, in the file's spelling.
    pub assumed: Vec<&'static str>,
}

impl Default for Moulding {
    /// Judgements without source, of a small shop that casts and laminates by hand. Money has no default in a currency that is
    /// not known: what the shop does not price is not charged.
    fn default() -> Self {
        Moulding {
            resin_g_cm3: 1.10,
            resin_per_kg: Decimal::ZERO,
            resin_waste: 0.15,
            prepare_min: 10.0,
            fill_min: 10.0,
            lay_up_min_per_100cm2: 4.0,
            demould_min: 8.0,
            trim_min: 10.0,
            release_per_piece: Decimal::ZERO,
            cure_h: 16.0,
            mould_busy: true,
            cure_per_h: Decimal::ZERO,
            cure_c: 40.0,
            life_pieces: 50,
            sealing_min_per_100cm2: 12.0,
            sealing_per_100cm2: Decimal::ZERO,
            fibre_g_m2: 300.0,
            fibre_layers: 4,
            fibre_per_m2: Decimal::ZERO,
            fibre_share: 0.4,
            laminate_g_cm3: 1.5,
            assumed: KEYS.to_vec(),
        }
    }
}

impl Moulding {
    /// What stands at its default, in a sentence without a full stop; none where the shop says everything.
    pub fn assumed_in_words(&self) -> Option<String> {
        (!self.assumed.is_empty()).then(|| {
            format!(
                "{} under [moulding] {} not given: defaults, a judgement without source (prices: 0)",
                self.assumed.join(", "),
                if self.assumed.len() == 1 { "is" } else { "are" }
            )
        })
    }
}

/// Reads the table; the defaults where there is none.
pub(super) fn read_moulding(table: Option<&ShopTable<'_>>) -> Result<Moulding, ShopError> {
    let default = Moulding::default();
    let Some(table) = table else {
        return Ok(default);
    };
    let number = |field: &Field, default: f64| -> Result<f64, ShopError> {
        Ok(table.number(field)?.unwrap_or(default))
    };
    let money = |field: &MoneyField| -> Result<Decimal, ShopError> {
        Ok(table.money(field)?.unwrap_or_default())
    };
    let whole = |field: &Field, default: u32| -> Result<u32, ShopError> {
        let value = number(field, f64::from(default))?;
        if value.fract() == 0.0 {
            // The field's range lies inside 32 bits.
            return Ok(value as u32);
        }
        let fault = format!("{value} is no whole number; {}", field.right());
        Err(table.error(field.key, fault))
    };
    Ok(Moulding {
        resin_g_cm3: number(&RESIN_DENSITY, default.resin_g_cm3)?,
        resin_per_kg: money(&RESIN_PRICE)?,
        resin_waste: number(&RESIN_WASTE, default.resin_waste)?,
        prepare_min: number(&PREPARE, default.prepare_min)?,
        fill_min: number(&FILL, default.fill_min)?,
        lay_up_min_per_100cm2: number(&LAY_UP, default.lay_up_min_per_100cm2)?,
        demould_min: number(&DEMOULD, default.demould_min)?,
        trim_min: number(&TRIM, default.trim_min)?,
        release_per_piece: money(&RELEASE)?,
        cure_h: number(&CURE, default.cure_h)?,
        mould_busy: table
            .flag(
                "mould_busy",
                "say whether the mould is busy while a piece cures, true or false",
            )?
            .unwrap_or(default.mould_busy),
        cure_per_h: money(&CURE_PRICE)?,
        cure_c: number(&CURE_HEAT, default.cure_c)?,
        life_pieces: whole(&LIFE, default.life_pieces)?,
        sealing_min_per_100cm2: number(&SEALING, default.sealing_min_per_100cm2)?,
        sealing_per_100cm2: money(&SEALING_PRICE)?,
        fibre_g_m2: number(&FIBRE, default.fibre_g_m2)?,
        fibre_layers: whole(&FIBRE_LAYERS, default.fibre_layers)?,
        fibre_per_m2: money(&FIBRE_PRICE)?,
        fibre_share: number(&FIBRE_SHARE, default.fibre_share)?,
        laminate_g_cm3: number(&LAMINATE, default.laminate_g_cm3)?,
        assumed: KEYS.iter().copied().filter(|key| !table.has(key)).collect(),
    })
}

/// The table as `shop show` writes it: a line a fact.
pub(super) fn moulding_lines(moulding: &Moulding) -> Vec<String> {
    let m = moulding;
    let busy = if m.mould_busy {
        "in the mould"
    } else {
        "out of the mould"
    };
    let mut lines = vec![
        format!(
            "moulding: resin {} g/cm3 at {}/kg, waste {} %; {} + {} min to prepare and fill, {} to demould, {} to trim, release {}",
            m.resin_g_cm3,
            m.resin_per_kg,
            100.0 * m.resin_waste,
            m.prepare_min,
            m.fill_min,
            m.demould_min,
            m.trim_min,
            m.release_per_piece,
        ),
        format!(
            "a piece cures {} h {busy} at up to {} C ({}/h); a mould lasts {} pieces; sealing {} min and {} per 100 cm2",
            m.cure_h,
            m.cure_c,
            m.cure_per_h,
            m.life_pieces,
            m.sealing_min_per_100cm2,
            m.sealing_per_100cm2,
        ),
        format!(
            "a laminate: {} layers of {} g/m2 at {}/m2, fibre {} of the mass, {} g/cm3, {} min per 100 cm2",
            m.fibre_layers,
            m.fibre_g_m2,
            m.fibre_per_m2,
            m.fibre_share,
            m.laminate_g_cm3,
            m.lay_up_min_per_100cm2,
        ),
    ];
    lines.extend(moulding.assumed_in_words());
    lines
}
