//! The customer's document for programs: what it says, and nothing of what the shop pays or earns.

use serde::Serialize;

use super::figures::Figures;
use super::part::layers;
use super::phrases::phrases;
use super::service;
use crate::quote::json::FORMAT;
use crate::quote::offer::{Lot, Offer};
use crate::quote::words::own_name;
use crate::service::softens_c;

#[derive(Serialize)]
struct CustomerObject<'a> {
    format: u32,
    language: &'static str,
    shop: &'a str,
    sender: &'a [String],
    demonstration: bool,
    part: &'a str,
    size_mm: [f64; 3],
    material: &'a str,
    material_asked: bool,
    softens_c: Option<f64>,
    layers: Option<String>,
    fill_fraction: f64,
    date: String,
    valid_until: String,
    currency: &'static str,
    tax_name: &'a str,
    tax_fraction: f64,
    prices: Vec<PriceObject>,
    service: Vec<String>,
    cautions: Vec<&'a str>,
    terms: &'a [String],
}

#[derive(Serialize)]
struct PriceObject {
    quantity: u32,
    unit_price: String,
    subtotal: String,
    tax: String,
    total: String,
    likely: Option<String>,
    safe: Option<String>,
    cheaper: Option<CheaperObject>,
}

#[derive(Serialize)]
struct CheaperObject {
    quantity: u32,
    total: String,
}

/// The customer's version of an offer as one JSON object; amounts are decimal strings in `currency`, days are ISO 8601.
pub fn customer_json(offer: &Offer<'_>) -> String {
    let shop = offer.subject.shop;
    let figures = Figures::of(&shop.document);
    let material = offer.subject.material();
    let of_plastic = material.map_or(&[][..], |m| m.cautions.as_slice());
    let object = CustomerObject {
        format: FORMAT,
        language: phrases(shop.document.language).code,
        shop: &shop.name,
        sender: &shop.document.sender,
        demonstration: shop.demonstration,
        part: own_name(offer.subject.part),
        size_mm: offer.subject.drawn_size_mm(),
        material: material.map_or(offer.subject.estimate.material.as_str(), |m| &m.what),
        material_asked: offer.ask.material.is_some(),
        softens_c: material.and_then(softens_c).map(|(softens_c, _)| softens_c),
        layers: layers(offer, &figures),
        fill_fraction: offer.ask.fill,
        date: offer.date.to_string(),
        valid_until: offer.valid_until().to_string(),
        currency: shop.currency.code(),
        tax_name: &shop.rates.tax_name,
        tax_fraction: shop.rates.tax,
        prices: offer.lots.iter().map(PriceObject::of).collect(),
        service: offer
            .service
            .iter()
            .map(|note| service::sentence(note, &figures))
            .collect(),
        cautions: [figures.phrases().review]
            .into_iter()
            .chain(of_plastic.iter().map(String::as_str))
            .collect(),
        terms: &shop.document.terms,
    };
    crate::quote::json::line(&object)
}

impl PriceObject {
    fn of(lot: &Lot) -> PriceObject {
        let ledger = &lot.plan.ledger;
        PriceObject {
            quantity: ledger.quantity,
            unit_price: ledger.unit_price.to_string(),
            subtotal: ledger.subtotal.to_string(),
            tax: ledger.tax.to_string(),
            total: ledger.total.to_string(),
            likely: lot.dates.map(|dates| dates.likely.to_string()),
            safe: lot.dates.map(|dates| dates.safe.to_string()),
            cheaper: lot.cheaper.map(|(quantity, total)| CheaperObject {
                quantity,
                total: total.to_string(),
            }),
        }
    }
}
