//! A mould's pieces through the estimator.

use super::{No, ToolingAsk, ToolingError};
use crate::cost::Run;
use crate::estimate::{Ask, BestBy, Floors, Made, UsedAs, estimate};
use crate::mesh::InspectedMesh;
use crate::pose::{Footprints, fit_machine};
use crate::shop::Shop;

/// A piece of the mould as it is printed.
#[derive(Debug, Clone, PartialEq)]
pub struct HalfMade {
    /// `lower`, `upper`, `tool` or, of the owner's own, its number.
    pub name: String,
    /// Its solid, in the frame in which it would be written.
    pub part: InspectedMesh,
    /// The machine's id.
    pub machine: String,
    /// The nozzle's id.
    pub nozzle: String,
    /// The plastic's id.
    pub material: String,
    /// What the option makes of it.
    pub made: Made,
}

impl HalfMade {
    /// Its run at so many seconds.
    pub(super) fn run<'a>(&self, shop: &'a Shop, seconds: f64) -> Option<Run<'a>> {
        let made = &self.made;
        Some(Run {
            machine: shop.machine(&self.machine)?,
            nozzle: shop.nozzle(&self.nozzle)?,
            material: shop.material(&self.material)?,
            seconds: seconds.max(made.seconds.start_s),
            start_seconds: made.seconds.start_s,
            part_g: made.mass_g,
            support_g: made.support_g,
            surface_mm2: made.surface_mm2,
            held_mm2: made.held_mm2,
        })
    }

    /// Seconds from and to.
    pub fn band_s(&self) -> (f64, f64) {
        band_s(&self.made)
    }
}

/// Seconds from and to, the estimate itself where it has no band.
pub(super) fn band_s(made: &Made) -> (f64, f64) {
    let whole = made.seconds.whole_s();
    made.band
        .as_ref()
        .map_or((whole, whole), |band| (band.from_s, band.to_s))
}

/// A half on the cheapest option with the coarsest nozzle that makes it in layers fit for a mould; or why none does.
pub(super) fn half_made(
    name: &str,
    part: InspectedMesh,
    shop: &Shop,
    ask: &ToolingAsk,
    material: &str,
) -> Result<Result<HalfMade, No>, ToolingError> {
    let mut why = String::new();
    for nozzle in nozzles(shop, ask) {
        let of_half = Ask {
            material: Some(material.to_owned()),
            nozzle: Some(nozzle),
            best_by: Some(BestBy::Price),
            floors: Floors {
                used_as: Some(UsedAs::Mould),
                ..Floors::default()
            },
            force_soft_nozzle: ask.print.force_soft_nozzle,
            ..Ask::default()
        };
        let answer = estimate(&part, shop, &of_half)?;
        if let Some((option, made)) = answer.picked() {
            return Ok(Ok(HalfMade {
                name: name.to_owned(),
                machine: option.machine.clone(),
                nozzle: option.nozzle.clone(),
                material: material.to_owned(),
                made: made.clone(),
                part,
            }));
        }
        if why.is_empty() {
            let refusals = answer
                .options
                .iter()
                .filter_map(|o| o.outcome.as_ref().err());
            let reasons: Vec<String> = refusals
                .flat_map(|r| r.reasons.iter().cloned())
                .take(1)
                .collect();
            why = if reasons.is_empty() {
                answer.pick.why.clone()
            } else {
                reasons.join("; ")
            };
        }
    }
    let sentence = format!("no option of this shop makes the mould's {name} piece: {why}");
    Ok(Err(No {
        sentence,
        parting: None,
    }))
}

/// Nozzles to be tried, the coarsest first.
fn nozzles(shop: &Shop, ask: &ToolingAsk) -> Vec<String> {
    if let Some(id) = &ask.mould_nozzle {
        return vec![id.clone()];
    }
    let mut all: Vec<_> = shop.nozzles.iter().collect();
    all.sort_by(|a, b| b.diameter_mm.total_cmp(&a.diameter_mm));
    all.into_iter().map(|nozzle| nozzle.id.clone()).collect()
}

/// Where no machine holds a piece of the mould: the machine that misses least, and by how much.
pub(super) fn fits_nowhere(name: &str, part: &InspectedMesh, shop: &Shop) -> Option<String> {
    let footprints = Footprints::of(&part.mesh);
    let mut least: Option<(f64, String)> = None;
    for machine in &shop.machines {
        let space = machine.space.with_room_for(shop.process.brim_mm);
        let fit = fit_machine(&footprints, &space);
        if fit.fits {
            return None;
        }
        let Some(miss) = fit.nearest_miss else {
            continue;
        };
        if least
            .as_ref()
            .is_none_or(|(excess, _)| miss.excess_mm < *excess)
        {
            least = Some((
                miss.excess_mm,
                format!("{} misses least, {}", machine.id, miss.words),
            ));
        }
    }
    let miss = least.map_or_else(|| "none has room for it".to_owned(), |(_, words)| words);
    Some(format!(
        "the mould's {name} piece fits no machine: {miss}; a thinner wall, a shell, or your own mould in more pieces (--mould) would be needed"
    ))
}
