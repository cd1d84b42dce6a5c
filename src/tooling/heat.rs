//! Whether a plastic stands the heat of a cure.

use crate::shop::{Material, Shop};

/// A mould must stay so much below where its plastic softens, C. A judgement without source.
pub const HEAT_MARGIN_C: f64 = 15.0;

/// What the heat of a cure does to a plastic.
#[derive(Debug, Clone, PartialEq)]
pub struct Heat {
    /// The hottest the mould gets, C.
    pub cure_c: f64,
    /// Where the plastic softens, C; `None` where the shop file does not say.
    pub softens_c: Option<f64>,
    /// Which figure that is.
    pub by: &'static str,
    /// Whether the margin is kept; so where nothing is known.
    pub stands: bool,
    /// Plastics of the shop that keep it.
    pub others: Vec<String>,
}

/// Holds a plastic against the heat of a cure: its glass transition where the shop file gives one, else its heat deflection
/// temperature.
pub fn heat_of(material: &Material, shop: &Shop, cure_c: f64) -> Heat {
    let (softens_c, by) = softening(material);
    let keeps = |softens: Option<f64>| softens.is_some_and(|c| cure_c + HEAT_MARGIN_C <= c);
    Heat {
        cure_c,
        softens_c,
        by,
        stands: softens_c.is_none() || keeps(softens_c),
        others: shop
            .materials
            .iter()
            .filter(|other| keeps(softening(other).0))
            .map(|other| other.id.clone())
            .collect(),
    }
}

fn softening(material: &Material) -> (Option<f64>, &'static str) {
    match (material.glass_transition_c, material.heat_deflection_c) {
        (Some(c), _) => (Some(c), "glass transition"),
        (None, Some(c)) => (Some(c), "heat deflection at 0.45 MPa"),
        (None, None) => (None, "no softening temperature given"),
    }
}
