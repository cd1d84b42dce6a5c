//! What a part is to stand in service, held against what its plastic stands. Gives notes, never an approval.

use crate::shop::Material;

/// How far a plastic's softening point must lie above the service temperature, C. A judgement without source.
pub const SOFTENING_MARGIN_C: f64 = 15.0;

/// What the customer says of a part's use. Nothing is asked of whom says nothing.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Service {
    /// The hottest it gets, C.
    pub temperature_c: Option<f64>,
    /// Whether it stands in the sun.
    pub sun: bool,
    /// Whether it meets salt water.
    pub salt_water: bool,
    /// Whether it meets food.
    pub food: bool,
    /// Whether it carries a load for long.
    pub load: bool,
    /// Whether somebody can be hurt when it fails.
    pub safety: bool,
}

impl Service {
    /// Whether anything was said.
    pub fn is_told(&self) -> bool {
        *self != Service::default()
    }
}

/// What a plastic softens by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SoftensBy {
    /// Its glass transition.
    GlassTransition,
    /// Its heat deflection temperature at 0.45 MPa.
    HeatDeflection,
}

/// How a softening point and a service temperature go together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Heat {
    /// At least the margin lies between them.
    Holds,
    /// Less than the margin.
    Close,
    /// The part gets as hot as its plastic softens, or hotter.
    TooHot,
}

/// Something that the use of a part brings up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ServiceNote {
    /// Its temperature against what the plastic softens at.
    Warm {
        /// The hottest it gets, C.
        service_c: f64,
        /// Where its plastic softens, C, and by what measure; `None` where the shop does not say.
        softens: Option<(f64, SoftensBy, Heat)>,
    },
    /// Sun: whether the plastic stands it, as far as the shop says.
    Sun(Option<bool>),
    /// Salt water, likewise.
    SaltWater(Option<bool>),
    /// Food, likewise.
    Food(Option<bool>),
    /// A lasting load: plastics creep, and no strength is computed here.
    Load,
    /// Somebody can be hurt: a licensed engineer must review the part.
    Safety,
}

impl ServiceNote {
    /// Whether the plastic is the wrong one for the use.
    pub fn refuses(&self) -> bool {
        matches!(
            self,
            ServiceNote::Warm {
                softens: Some((_, _, Heat::TooHot)),
                ..
            } | ServiceNote::Sun(Some(false))
                | ServiceNote::SaltWater(Some(false))
                | ServiceNote::Food(Some(false))
        )
    }
}

/// The notes of a use, in the order of its fields.
///
/// A plastic softens at its glass transition where the shop gives one (amorphous plastics), else at its heat deflection
/// temperature (ISO 75 method B, 0.45 MPa); of two the lower counts.
pub fn service_notes(service: &Service, material: &Material) -> Vec<ServiceNote> {
    let mut notes = Vec::new();
    if let Some(service_c) = service.temperature_c {
        let softens = softens_c(material).map(|(softens_c, by)| {
            let heat = if service_c >= softens_c {
                Heat::TooHot
            } else if service_c + SOFTENING_MARGIN_C > softens_c {
                Heat::Close
            } else {
                Heat::Holds
            };
            (softens_c, by, heat)
        });
        notes.push(ServiceNote::Warm { service_c, softens });
    }
    let told = [
        (service.sun, ServiceNote::Sun(material.stands.sun)),
        (
            service.salt_water,
            ServiceNote::SaltWater(material.stands.salt_water),
        ),
        (service.food, ServiceNote::Food(material.stands.food)),
        (service.load, ServiceNote::Load),
        (service.safety, ServiceNote::Safety),
    ];
    notes.extend(
        told.into_iter()
            .filter(|(asked, _)| *asked)
            .map(|(_, note)| note),
    );
    notes
}

/// Where a plastic softens, C, and by what measure; the lower of the two that the shop gives.
pub fn softens_c(material: &Material) -> Option<(f64, SoftensBy)> {
    let glass = material
        .glass_transition_c
        .map(|c| (c, SoftensBy::GlassTransition));
    let deflection = material
        .heat_deflection_c
        .map(|c| (c, SoftensBy::HeatDeflection));
    match (glass, deflection) {
        (Some(glass), Some(deflection)) if deflection.0 < glass.0 => Some(deflection),
        (glass, deflection) => glass.or(deflection),
    }
}
