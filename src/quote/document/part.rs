//! What every version of a document tells of the part: its pictures, and the layers it is made of.

use super::figures::Figures;
use super::model::Picture;
use crate::estimate::{Made, PartOption, Plan};
use crate::quote::offer::Offer;
use crate::quote::picture::{Sheet, View};

/// Pixels along a part's longest side: twice what a sheet shows, so that print is sharp.
const LONGEST: f64 = 640.0;
/// Up to here layers are hardly seen, and from here on they are felt, mm. Judgements without source.
const FINE_MM: f64 = 0.15;
const COARSE_MM: f64 = 0.30;

/// The part from a corner and from its three sides, at one scale.
pub(super) fn pictures(offer: &Offer<'_>, part: &str, figures: &Figures) -> Vec<Picture> {
    let words = figures.phrases();
    let mesh = &offer.subject.mesh.mesh;
    let views = [
        (View::Corner, words.corner),
        (View::Front, words.front),
        (View::Right, words.right),
        (View::Top, words.above),
    ];
    let drawn = views.into_iter().map(|(view, from)| {
        let sheet = Sheet::of(mesh, view, LONGEST);
        Picture {
            png: sheet.png(mesh),
            size_px: sheet.size,
            alt: (words.drawn)(part, from),
            caption: from.to_owned(),
        }
    });
    // A picture that could not be made is left out: the page still says everything else.
    drawn.filter(|picture| !picture.png.is_empty()).collect()
}

/// The option that a plan runs, with what it makes.
pub(super) fn option_of<'a>(offer: &Offer<'a>, plan: &Plan) -> Option<(&'a PartOption, &'a Made)> {
    let options = offer.subject.estimate.options.iter();
    let mut named = options.filter(|option| option.machine == plan.machine);
    let option = named.find(|option| option.nozzle == plan.nozzle)?;
    Some((option, option.made()?))
}

/// The layer heights of all quantities, and how they look.
pub(super) fn layers(offer: &Offer<'_>, figures: &Figures) -> Option<String> {
    let words = figures.phrases();
    let mut heights_mm: Vec<f64> = Vec::new();
    for lot in &offer.lots {
        let (_, made) = option_of(offer, &lot.plan)?;
        let height_mm = made.bead.height_mm();
        if heights_mm.iter().all(|h| (h - height_mm).abs() > 1e-6) {
            heights_mm.push(height_mm);
        }
    }
    heights_mm.sort_by(f64::total_cmp);
    let coarsest_mm = *heights_mm.last()?;
    let looks = match coarsest_mm {
        h if h <= FINE_MM => words.fine,
        h if h <= COARSE_MM => words.middle,
        _ => words.coarse,
    };
    let told: Vec<String> = heights_mm.iter().map(|h| figures.length(*h)).collect();
    let by_quantity = match told.len() {
        1 => String::new(),
        _ => format!(" ({})", words.by_quantity),
    };
    let told = told.join(&format!(" {} ", words.or));
    Some(format!("{told}{by_quantity}, {looks}"))
}
