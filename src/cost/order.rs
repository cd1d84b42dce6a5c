//! The ledger of a part that is made in pieces: the pieces' runs and their joining as one order.

use iso_currency::Currency;
use rust_decimal::Decimal;

use super::CostError;
use super::charge::{HourlyRate, labour_cost, plastic_cost};
use super::decimal::{factor, grams, minor_digits, printed, product, quotient, seconds};
use super::ledger::{LedgerLine, Run, Starts};
use super::sheet::Sheet;
use super::terms::{MM2_PER_100CM2, Terms};
use super::words::plain;
use crate::shop::{AttendedWeek, Joining, Rates};

/// The joints of one part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Joints {
    /// Faces to be joined.
    pub faces: usize,
    /// Their area, mm2.
    pub area_mm2: f64,
}

/// What an order of parts made in pieces costs and what is charged. Every amount has the currency's decimals.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    /// The currency of every amount.
    pub currency: Currency,
    /// Whole parts ordered.
    pub quantity: u32,
    /// The lines of a [`Ledger`](super::Ledger), each summed over the pieces, with `joining`, `adhesive` and `hardware` before
    /// `overhead`; they add up to `total` exactly.
    pub lines: Vec<LedgerLine>,
    /// The lines up to and including overhead.
    pub cost: Decimal,
    /// The lines before tax.
    pub subtotal: Decimal,
    /// The tax line.
    pub tax: Decimal,
    /// The sum of the printed lines.
    pub total: Decimal,
}

impl Order {
    /// The line of a name.
    pub fn line(&self, line: &str) -> Option<&LedgerLine> {
        self.lines.iter().find(|each| each.line == line)
    }
}

/// The ledger of `quantity` parts, each made of one run of every kind in `runs` and then joined. One order: set-up is charged once,
/// and overhead, margin, least order and tax are taken of the whole. Joining is work and material of the shop's own, so it carries
/// overhead and margin as all other costs do.
///
/// # Errors
/// As [`ledger`](super::ledger); and no run at all.
pub fn order(
    runs: &[Run<'_>],
    joints: &Joints,
    joining: &Joining,
    rates: &Rates,
    attended: &AttendedWeek,
    currency: Currency,
    quantity: u32,
) -> Result<Order, CostError> {
    let digits = minor_digits(currency)?;
    let terms = runs
        .iter()
        .map(|run| {
            let starts = Starts {
                run: *run,
                pieces_per_start: 1,
                starts: quantity,
            };
            Terms::new(&starts, rates, attended, digits)
        })
        .collect::<Result<Vec<_>, _>>()?;
    let joined = joining_lines(joints, joining, rates, digits, quantity)?;
    let (sheet, [cost, subtotal]) = Sheet::charged(&terms, quantity, joined, digits)?;
    let total = sheet.sum()?;
    Ok(Order {
        currency,
        quantity,
        lines: sheet.lines,
        cost,
        subtotal,
        tax: total - subtotal,
        total,
    })
}

/// The lines that joining adds to an order: `joining` (work), `adhesive` and `hardware`, each with its formula.
///
/// # Errors
/// Numbers that are not finite and at least 0; a currency without a minor unit is refused by the caller; amounts beyond 28 digits.
pub fn joining_lines(
    joints: &Joints,
    joining: &Joining,
    rates: &Rates,
    digits: u32,
    quantity: u32,
) -> Result<Vec<LedgerLine>, CostError> {
    let parts = Decimal::from(quantity);
    let faces = product("the joints", &[parts, Decimal::from(joints.faces)])?;
    let area_mm2 = factor("the area of the joints in mm2", joints.area_mm2)?.round_dp(0);
    let hundreds = quotient(
        "the area of the joints",
        product("the area of the joints", &[parts, area_mm2])?,
        MM2_PER_100CM2,
    )?;
    let each_min = factor("the work on a joint in minutes", joining.min_per_joint)?;
    let area_min = factor("the work on 100 cm2 in minutes", joining.min_per_100cm2)?;
    let minutes = product("the work on joints", &[faces, each_min])?
        + product("the work on joints", &[hundreds, area_min])?;
    let default = |keys: &[&str]| {
        if keys.iter().any(|key| joining.assumed.contains(key)) {
            " (default)"
        } else {
            ""
        }
    };
    let cm2 = plain(hundreds * Decimal::ONE_HUNDRED, 1);
    let line = |line, detail, amount| {
        Ok(LedgerLine {
            line,
            detail,
            amount: printed("an amount", amount, digits)?,
        })
    };
    Ok(vec![
        line(
            "joining",
            format!(
                "{} x {} min + {cm2} cm2 at {} min per 100 cm2{} at {}/h",
                joint_faces(faces),
                plain(each_min, 9),
                plain(area_min, 9),
                default(&["min_per_joint", "min_per_100cm2"]),
                rates.labour_per_h,
            ),
            labour_cost(minutes, rates.labour_per_h)?,
        )?,
        line(
            "adhesive",
            format!(
                "{cm2} cm2 at {} per 100 cm2{}",
                joining.adhesive_per_100cm2,
                default(&["adhesive_per_100cm2"]),
            ),
            product("the adhesive", &[hundreds, joining.adhesive_per_100cm2])?,
        )?,
        line(
            "hardware",
            format!(
                "{} at {}{}",
                joint_faces(faces),
                joining.hardware_per_joint,
                default(&["hardware_per_joint"]),
            ),
            product("the hardware", &[faces, joining.hardware_per_joint])?,
        )?,
    ])
}

fn joint_faces(faces: Decimal) -> String {
    let word = if faces == Decimal::ONE {
        "face"
    } else {
        "faces"
    };
    format!("{faces} joint {word}")
}

/// What a shop with a larger machine would ask instead, by each price that the owner knows; no part of the order.
///
/// # Errors
/// Numbers that are not finite and at least 0; amounts beyond 28 digits.
pub fn elsewhere(
    joining: &Joining,
    mass_g: f64,
    seconds_s: f64,
    currency: Currency,
    quantity: u32,
) -> Result<Vec<LedgerLine>, CostError> {
    let digits = minor_digits(currency)?;
    let parts = Decimal::from(quantity);
    let mut lines = Vec::new();
    if let Some(price) = joining.elsewhere_per_kg {
        let mass = product("the mass", &[parts, grams("the mass in grams", mass_g)?])?;
        lines.push(LedgerLine {
            line: "elsewhere_per_kg",
            detail: format!("{} g at {price}/kg", plain(mass, 2)),
            amount: printed("an amount", plastic_cost(mass, price)?, digits)?,
        });
    }
    if let Some(price) = joining.elsewhere_per_h {
        let time = product(
            "the time",
            &[parts, seconds("the time in seconds", seconds_s)?],
        )?;
        let amount = HourlyRate::per_hour(price)?.for_seconds(time)?;
        lines.push(LedgerLine {
            line: "elsewhere_per_h",
            detail: format!("{} h at {price}/h", plain(time / Decimal::from(3600), 2)),
            amount: printed("an amount", amount, digits)?,
        });
    }
    Ok(lines)
}
