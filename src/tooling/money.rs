//! What a mould costs, and what a piece made on it costs.

use rust_decimal::Decimal;

use super::make::HalfMade;
use crate::cost::decimal::{factor, grams, minor_digits, round_money};
use crate::cost::{
    CostError, HourlyRate, Joints, LedgerLine, Run, labour_cost, order, plastic_cost, share_of,
};
use crate::mould::Kind;
use crate::shop::{Moulding, Shop};

/// What a mould costs, without margin.
#[derive(Debug, Clone, PartialEq)]
pub struct ToolCost {
    /// The lines; they add up to `cost`.
    pub lines: Vec<LedgerLine>,
    /// The sum of the lines.
    pub cost: Decimal,
}

/// A laminate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Laminate {
    /// Dry fibre, g.
    pub fibre_g: f64,
    /// Resin in it, g.
    pub resin_g: f64,
    /// How thick it is, mm.
    pub thick_mm: f64,
}

impl Laminate {
    /// The laminate on a face: so many layers of fibre, and resin by the fibre's share of the mass.
    pub fn on(face_mm2: f64, moulding: &Moulding) -> Laminate {
        let per_m2 = f64::from(moulding.fibre_layers) * moulding.fibre_g_m2;
        let fibre_g = face_mm2 / 1e6 * per_m2;
        let whole_per_m2 = per_m2 / moulding.fibre_share;
        Laminate {
            fibre_g,
            resin_g: fibre_g / moulding.fibre_share - fibre_g,
            // g/m2 over g/cm3 is um.
            thick_mm: whole_per_m2 / moulding.laminate_g_cm3 / 1000.0,
        }
    }
}

/// What a piece made on the mould costs, without margin and without the mould.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceCost {
    /// The lines; they add up to `cost`.
    pub lines: Vec<LedgerLine>,
    /// The sum of the lines.
    pub cost: Decimal,
    /// Its mass, g.
    pub mass_g: f64,
    /// Work on it, minutes.
    pub work_min: f64,
    /// How long the mould is busy with it, h.
    pub mould_h: f64,
}

/// Lines that are printed with the currency's decimals as they are put in.
struct Lines {
    lines: Vec<LedgerLine>,
    digits: u32,
}

impl Lines {
    fn put(&mut self, line: &'static str, detail: String, amount: Decimal) {
        let amount = round_money(amount, self.digits);
        self.lines.push(LedgerLine {
            line,
            detail,
            amount,
        });
    }

    fn sum(&self) -> Result<Decimal, CostError> {
        let too_large = CostError::TooLarge { what: "the cost" };
        self.lines
            .iter()
            .try_fold(Decimal::ZERO, |sum, line| sum.checked_add(line.amount))
            .ok_or(too_large)
    }

    /// Adds the overhead on all lines so far.
    fn overhead(&mut self, line: &'static str, shop: &Shop) -> Result<(), CostError> {
        let share = factor("the overhead", shop.rates.overhead)?;
        let sum = self.sum()?;
        self.put(
            line,
            format!("{} % of {sum} costs", 100.0 * shop.rates.overhead),
            share_of(sum, share)?,
        );
        Ok(())
    }
}

/// Lines of an order that belong to its price and not to its cost, or to joints that a mould has not.
const NOT_OF_A_TOOL: [&str; 11] = [
    "file_check",
    "packing",
    "joining",
    "adhesive",
    "hardware",
    "bought_in",
    "margin",
    "mark_up",
    "least_order",
    "rush",
    "tax",
];

/// What a mould costs: its halves printed as one order, and its face sealed. `seconds` says which end of each half's band is taken.
///
/// # Errors
/// As [`order`].
pub fn tool_cost(
    halves: &[HalfMade],
    face_mm2: f64,
    shop: &Shop,
    seconds: impl Fn(&HalfMade) -> f64,
) -> Result<ToolCost, CostError> {
    let runs: Vec<Run<'_>> = halves
        .iter()
        .filter_map(|half| half.run(shop, seconds(half)))
        .collect();
    let none = Joints {
        faces: 0,
        area_mm2: 0.0,
    };
    let printed = order(
        &runs,
        &none,
        &shop.joining,
        &shop.rates,
        &shop.attended,
        shop.currency,
        1,
    )?;
    let mut sealing = Lines {
        lines: Vec::new(),
        digits: minor_digits(shop.currency)?,
    };
    let m = &shop.moulding;
    let hundreds = factor("the mould's face", face_mm2 / 1e4)?;
    let minutes = factor(
        "the sealing in minutes",
        face_mm2 / 1e4 * m.sealing_min_per_100cm2,
    )?;
    sealing.put(
        "sealing",
        format!(
            "{:.1} cm2 at {} min per 100 cm2 at {}/h",
            face_mm2 / 100.0,
            m.sealing_min_per_100cm2,
            shop.rates.labour_per_h
        ),
        labour_cost(minutes, shop.rates.labour_per_h)?,
    );
    sealing.put(
        "sealer",
        format!(
            "{:.1} cm2 at {} per 100 cm2",
            face_mm2 / 100.0,
            m.sealing_per_100cm2
        ),
        share_of(m.sealing_per_100cm2, hundreds)?,
    );
    sealing.overhead("sealing_overhead", shop)?;
    let kept = printed
        .lines
        .into_iter()
        .filter(|line| !NOT_OF_A_TOOL.contains(&line.line));
    let lines = Lines {
        lines: kept.chain(sealing.lines).collect(),
        digits: sealing.digits,
    };
    Ok(ToolCost {
        cost: lines.sum()?,
        lines: lines.lines,
    })
}

/// What one piece costs on a mould: the resin of its volume, or fibre and resin of a laminate on its face; the work; release and
/// cure.
///
/// # Errors
/// Numbers that are not finite and at least 0; amounts beyond 28 digits.
pub fn piece_cost(
    kind: Kind,
    volume_mm3: f64,
    face_mm2: f64,
    shop: &Shop,
) -> Result<PieceCost, CostError> {
    let m = &shop.moulding;
    let mut lines = Lines {
        lines: Vec::new(),
        digits: minor_digits(shop.currency)?,
    };
    let laminate = Laminate::on(face_mm2, m);
    let (resin_g, mass_g, lay_up_min) = match kind {
        Kind::Closed => {
            let resin_g = volume_mm3 / 1000.0 * m.resin_g_cm3;
            (resin_g, resin_g, 0.0)
        }
        Kind::LayUp => (
            laminate.resin_g,
            laminate.resin_g + laminate.fibre_g,
            face_mm2 / 1e4 * m.lay_up_min_per_100cm2,
        ),
    };
    if kind == Kind::LayUp {
        let m2 = face_mm2 / 1e6 * f64::from(m.fibre_layers) * (1.0 + m.resin_waste);
        lines.put(
            "fibre",
            format!("{m2:.3} m2 with waste at {}/m2", m.fibre_per_m2),
            share_of(m.fibre_per_m2, factor("the fibre in m2", m2)?)?,
        );
    }
    let bought_g = resin_g * (1.0 + m.resin_waste);
    lines.put(
        "resin",
        format!("{bought_g:.1} g with waste at {}/kg", m.resin_per_kg),
        plastic_cost(grams("the resin in grams", bought_g)?, m.resin_per_kg)?,
    );
    // A moulded piece is looked over and packed as a printed one is.
    let sent_min = shop.rates.inspection_min + shop.rates.packing_min;
    let work_min = m.prepare_min + m.fill_min + m.demould_min + m.trim_min + lay_up_min + sent_min;
    lines.put(
        "moulding_work",
        format!(
            "{work_min:.1} min, inspection and packing among them, at {}/h",
            shop.rates.labour_per_h
        ),
        labour_cost(
            factor("the work in minutes", work_min)?,
            shop.rates.labour_per_h,
        )?,
    );
    lines.put(
        "release",
        "release agent for a piece".to_owned(),
        m.release_per_piece,
    );
    lines.put(
        "cure",
        format!("{} h at {}/h", m.cure_h, m.cure_per_h),
        HourlyRate::per_hour(m.cure_per_h)?.for_hours(factor("the cure in hours", m.cure_h)?)?,
    );
    lines.overhead("moulding_overhead", shop)?;
    Ok(PieceCost {
        cost: lines.sum()?,
        lines: lines.lines,
        mass_g,
        work_min,
        mould_h: work_min / 60.0 + if m.mould_busy { m.cure_h } else { 0.0 },
    })
}
