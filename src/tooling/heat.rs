//! Whether a plastic stands the heat of a cure.

use crate::service::{SOFTENING_MARGIN_C, SoftensBy, softens_c};
use crate::shop::{Material, Shop};

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

/// Holds a plastic against the heat of a cure, as a part's use is held against it.
pub fn heat_of(material: &Material, shop: &Shop, cure_c: f64) -> Heat {
    let keeps =
        |of: &Material| softens_c(of).is_some_and(|(c, _)| cure_c + SOFTENING_MARGIN_C <= c);
    let softens = softens_c(material);
    Heat {
        cure_c,
        softens_c: softens.map(|(c, _)| c),
        by: match softens {
            Some((_, SoftensBy::GlassTransition)) => "glass transition",
            Some((_, SoftensBy::HeatDeflection)) => "heat deflection at 0.45 MPa",
            None => "no softening temperature given",
        },
        stands: softens.is_none() || keeps(material),
        others: shop
            .materials
            .iter()
            .filter(|other| keeps(other))
            .map(|other| other.id.clone())
            .collect(),
    }
}
