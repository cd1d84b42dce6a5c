//! What is asked about moulding a part.

use super::ToolingError;
use crate::estimate::Ask;
use crate::mould::{Kind, MouldAsk, Opening};

/// What is asked about moulding a part.
#[derive(Debug, Clone, PartialEq)]
pub struct ToolingAsk {
    /// Which kind of mould.
    pub kind: Kind,
    /// How the mould opens; the direction of least undercut where nothing is said.
    pub opening: Option<Opening>,
    /// The parting plane's height along the opening, mm in the part's own coordinates; where least is undercut if nothing is said.
    pub parting_height_mm: Option<f64>,
    /// Faces steeper than this against the opening are told, degrees, 0 to 45.
    pub draft_deg: f64,
    /// Wall, flange, shape.
    pub mould: MouldAsk,
    /// The hottest the mould gets, C; the shop's where nothing is said.
    pub cure_c: Option<f64>,
    /// Whether the mould or the piece gives way, so that undercuts do not hold it.
    pub flexible: bool,
    /// The mould's plastic; that of the printed pieces where nothing is said.
    pub mould_material: Option<String>,
    /// The mould's nozzle; the coarsest that can make it where nothing is said.
    pub mould_nozzle: Option<String>,
    /// Pieces wanted.
    pub quantities: Vec<u32>,
    /// How the pieces would be printed.
    pub print: Ask,
}

/// More pieces than this are not asked of a printed mould.
pub(super) const MOST_PIECES: u32 = 1_000_000;
/// Quantities side by side, at most.
const MOST_QUANTITIES: usize = 100;

impl ToolingAsk {
    /// Refuses what makes no sense whatever the part.
    pub(super) fn check(&self) -> Result<(), ToolingError> {
        let inside = |what, given: f64, least: f64, most: f64, right| {
            if given.is_finite() && (least..=most).contains(&given) {
                Ok(())
            } else {
                Err(ToolingError::OutOfRange { what, given, right })
            }
        };
        self.mould.check()?;
        inside(
            "the draft",
            self.draft_deg,
            0.0,
            45.0,
            "a draft from 0 to 45 degrees",
        )?;
        if let Some(heat) = self.cure_c {
            inside(
                "the heat of the cure",
                heat,
                0.0,
                400.0,
                "a temperature from 0 to 400 C",
            )?;
        }
        if self.quantities.is_empty() || self.quantities.len() > MOST_QUANTITIES {
            return Err(ToolingError::Quantities {
                count: self.quantities.len(),
            });
        }
        for quantity in &self.quantities {
            let right = "a quantity from 1 to 1000000 pieces";
            inside(
                "a quantity",
                f64::from(*quantity),
                1.0,
                f64::from(MOST_PIECES),
                right,
            )?;
        }
        Ok(())
    }
}
