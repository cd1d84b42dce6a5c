//! What a part's use brings up, in words.

use super::figures::Figures;
use super::model::Block;
use crate::quote::offer::Offer;
use crate::service::{Heat, ServiceNote, SoftensBy};

/// A heading and the notes, where a use was told.
pub(super) fn blocks(offer: &Offer<'_>, figures: &Figures) -> Vec<Block> {
    if offer.service.is_empty() {
        return Vec::new();
    }
    let notes = offer.service.iter().map(|note| sentence(note, figures));
    vec![
        Block::Heading(figures.phrases().service.to_owned()),
        Block::List(notes.collect()),
    ]
}

/// A note as a sentence.
pub(super) fn sentence(note: &ServiceNote, figures: &Figures) -> String {
    let words = figures.phrases();
    match *note {
        ServiceNote::Warm {
            service_c,
            softens: None,
        } => (words.warm_unknown)(&figures.short(service_c, 0)),
        ServiceNote::Warm {
            service_c,
            softens: Some((softens_c, by, heat)),
        } => {
            let service = figures.short(service_c, 0);
            let head = (words.warm)(
                &service,
                &figures.short(softens_c, 0),
                by_in_words(by, figures),
            );
            let verdict = match heat {
                Heat::Holds => words.holds,
                Heat::Close => words.close,
                Heat::TooHot => words.too_hot,
            };
            format!("{head}; {verdict}.")
        }
        ServiceNote::Sun(stands) => told(words.sun, stands, figures),
        ServiceNote::SaltWater(stands) => told(words.salt_water, stands, figures),
        ServiceNote::Food(stands) => told(words.food, stands, figures),
        ServiceNote::Load => words.load.to_owned(),
        ServiceNote::Safety => words.safety.to_owned(),
    }
}

/// The measure of a softening point.
pub(super) fn by_in_words(by: SoftensBy, figures: &Figures) -> &'static str {
    let words = figures.phrases();
    match by {
        SoftensBy::GlassTransition => words.glass,
        SoftensBy::HeatDeflection => words.deflection,
    }
}

fn told(what: &str, stands: Option<bool>, figures: &Figures) -> String {
    let words = figures.phrases();
    let verdict = match stands {
        Some(true) => words.stands,
        Some(false) => words.does_not_stand,
        None => words.not_known,
    };
    format!("{what}: {verdict}.")
}
