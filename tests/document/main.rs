//! The document of a quote: what it says in every dress and language, what it keeps to the shop, and that nothing a customer or an
//! owner may write breaks it. PDF files are read back by a general-purpose library.

#![allow(clippy::unwrap_used, clippy::expect_used)]

mod command;
mod figures;
mod hostile;
mod page;
mod pdf_file;
mod secrets;

use std::sync::LazyLock;

use beadtally::cost::{Run, price_breaks};
use beadtally::estimate::{Ask, Estimate, Plan, PlannedStart, estimate, lead_time};
use beadtally::mesh::{InspectedMesh, read};
use beadtally::quote::{Audience, Dress, Lot, Offer, ShipDates, Subject, document, dressed};
use beadtally::service::{Service, service_notes};
use beadtally::shop::{Language, Shop, demonstration};
use jiff::civil::date;

/// A part, what was asked, and the answer; computed once.
pub struct Case {
    /// The part.
    pub part: InspectedMesh,
    /// What was asked.
    pub ask: Ask,
    /// The answer.
    pub estimate: Estimate,
}

/// The demonstration block in layers of 0.3 mm.
pub fn case() -> &'static Case {
    static CASE: LazyLock<Case> = LazyLock::new(|| {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/models/cleat_block.stl");
        let part = read(std::fs::read(path).unwrap()).unwrap();
        let ask = Ask {
            layer_height_mm: Some(0.3),
            ..Ask::default()
        };
        let estimate = estimate(&part, &demonstration(), &ask).unwrap();
        Case {
            part,
            ask,
            estimate,
        }
    });
    &CASE
}

/// The demonstration shop with a letterhead, terms and a language.
pub fn shop(language: Language) -> Shop {
    let mut shop = demonstration();
    shop.document.language = language;
    shop.document.sender = vec!["Invented Quay 3, 00000 Nowhere".to_owned()];
    shop.document.terms = vec!["Invented terms: payment within 14 days.".to_owned()];
    shop
}

/// An offer of some quantities; the first has dates and a larger quantity that costs less (both invented).
pub fn offer<'a>(part: &'a str, shop: &'a Shop, quantities: &[u32]) -> Offer<'a> {
    let case = case();
    let (option, made) = case.estimate.picked().unwrap();
    let run = Run {
        machine: shop.machine(&option.machine).unwrap(),
        nozzle: shop.nozzle(&option.nozzle).unwrap(),
        material: shop.material(&case.estimate.material).unwrap(),
        seconds: made.seconds.whole_s(),
        start_seconds: made.seconds.start_s,
        part_g: made.mass_g,
        support_g: made.support_g,
        surface_mm2: made.surface_mm2,
        held_mm2: made.held_mm2,
    };
    let ledgers =
        price_breaks(&run, &shop.rates, &shop.attended, shop.currency, quantities).unwrap();
    let curve = ledgers.iter().map(|l| (l.quantity, l.unit_price));
    let service = Service {
        temperature_c: Some(70.0),
        sun: true,
        safety: true,
        ..Service::default()
    };
    let material = shop.material(&case.estimate.material).unwrap();
    let mut offer = Offer {
        subject: Subject {
            part,
            mesh: &case.part,
            shop,
            estimate: &case.estimate,
        },
        ask: &case.ask,
        date: date(2026, 11, 26),
        curve: curve.collect(),
        lots: Vec::new(),
        service: service_notes(&service, material),
        lead: Some(lead_time(
            &shop.attended,
            480.0,
            made.seconds.hours(),
            0.25,
            quantities[0],
        )),
    };
    offer.lots = ledgers
        .into_iter()
        .map(|ledger| Lot {
            plan: Plan {
                machine: option.machine.clone(),
                nozzle: option.nozzle.clone(),
                starts: vec![PlannedStart {
                    pieces: 1,
                    times: ledger.quantity,
                    seconds: made.seconds.whole_s(),
                    start_seconds: made.seconds.start_s,
                    grams: made.mass_g,
                }],
                ledger,
            },
            dates: None,
            pace: "one a day".to_owned(),
            cheaper: None,
        })
        .collect();
    if let Some(lot) = offer.lots.first_mut() {
        lot.dates = Some(ShipDates {
            likely: date(2026, 12, 3),
            safe: date(2027, 3, 9),
        });
        lot.cheaper = Some((12, rust_decimal::Decimal::new(123_499, 2)));
    }
    offer
}

/// A document as the bytes of a file.
pub fn bytes(offer: &Offer<'_>, audience: Audience, dress: Dress) -> Vec<u8> {
    dressed(&document(offer, audience).unwrap(), dress).unwrap()
}

/// The words of a document, read back from its file.
pub fn text(offer: &Offer<'_>, audience: Audience, dress: Dress) -> String {
    let bytes = bytes(offer, audience, dress);
    match dress {
        Dress::Pdf => pdf_extract::extract_text_from_mem(&bytes).unwrap(),
        Dress::Html => without_tags(&String::from_utf8(bytes).unwrap()),
        Dress::Text => String::from_utf8(bytes).unwrap(),
    }
}

/// The words of a page: its tags taken out, its style left out.
fn without_tags(page: &str) -> String {
    let body = page.split_once("<body>").unwrap().1;
    let mut words = String::new();
    for piece in body.split('<') {
        words += piece.split_once('>').map_or(piece, |(_, after)| after);
        words.push(' ');
    }
    words
}

/// A number as it was written in a language, as a plain decimal: the inverse of the rule under test.
pub fn plain(word: &str, language: Language) -> String {
    match language {
        Language::English => word.replace(',', ""),
        Language::German => word.replace('.', "").replace(',', "."),
    }
}

/// All dresses of a document.
pub const DRESSES: [Dress; 3] = [Dress::Text, Dress::Html, Dress::Pdf];
