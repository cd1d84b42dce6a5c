//! The object of `quote`: the estimate's keys, then what is charged, how each quantity is made, and when it can be sent.

use rust_decimal::Decimal;
use serde::Serialize;

use super::super::offer::{Lot, Offer};
use super::estimate::EstimateObject;
use crate::cost::{Ledger, LedgerLine};
use crate::estimate::{LeadTime, PlannedStart};
use crate::service::{Heat, ServiceNote, SoftensBy};

/// Said with every lead time.
const LEAD_NOTE: &str = "from the opening of the week to the end of the last print, one print after the other on one \
                         machine, each started and cleared in attended hours; failures and finishing are not in it";

#[derive(Serialize)]
pub(super) struct QuoteObject<'a> {
    #[serde(flatten)]
    estimate: EstimateObject<'a>,
    quantity_breaks: Vec<BreakObject<'a>>,
    ledger: Vec<LineObject<'a>>,
    subtotal: Option<String>,
    tax: Option<String>,
    total: Option<String>,
    lead_time: Option<LeadObject>,
    date: String,
    valid_until: String,
    service: Vec<ServiceObject>,
    price_curve: Vec<PointObject>,
}

#[derive(Serialize)]
struct BreakObject<'a> {
    quantity: u32,
    unit_price: String,
    unit_cost: String,
    total: String,
    earned_per_machine_hour: String,
    subtotal: String,
    tax: String,
    discount: String,
    machine: &'a str,
    nozzle: &'a str,
    starts: Vec<StartObject>,
    expected_starts: f64,
    ready_likely: Option<String>,
    ready_safe: Option<String>,
    pace: &'a str,
    cheaper_lot: Option<CheaperObject>,
}

#[derive(Serialize)]
struct StartObject {
    pieces: u32,
    times: u32,
    seconds: f64,
    mass_g: f64,
}

#[derive(Serialize)]
struct CheaperObject {
    quantity: u32,
    total: String,
}

#[derive(Serialize)]
struct PointObject {
    quantity: u32,
    unit_price: String,
}

#[derive(Serialize)]
pub(super) struct LineObject<'a> {
    line: &'static str,
    detail: &'a str,
    amount: String,
}

#[derive(Serialize)]
struct LeadObject {
    hours: Option<f64>,
    prints: u32,
    prints_per_week: f64,
    note: &'static str,
}

#[derive(Serialize)]
struct ServiceObject {
    about: &'static str,
    stands: Option<bool>,
    service_c: Option<f64>,
    softens_c: Option<f64>,
    softens_by: Option<&'static str>,
}

impl<'a> QuoteObject<'a> {
    pub fn of(estimate: EstimateObject<'a>, offer: &'a Offer<'a>) -> Self {
        let ledger = offer.ledger();
        let lines = ledger.map_or(&[][..], |ledger| ledger.lines.as_slice());
        let told = |amount: fn(&Ledger) -> Decimal| ledger.map(|l| amount(l).to_string());
        QuoteObject {
            estimate,
            quantity_breaks: offer.lots.iter().map(BreakObject::of).collect(),
            ledger: lines.iter().map(LineObject::of).collect(),
            subtotal: told(|ledger| ledger.subtotal),
            tax: told(|ledger| ledger.tax),
            total: told(|ledger| ledger.total),
            lead_time: offer.lead.as_ref().map(LeadObject::of),
            date: offer.date.to_string(),
            valid_until: offer.valid_until().to_string(),
            service: offer.service.iter().map(ServiceObject::of).collect(),
            price_curve: offer
                .curve
                .iter()
                .map(|(quantity, price)| PointObject {
                    quantity: *quantity,
                    unit_price: price.to_string(),
                })
                .collect(),
        }
    }
}

impl<'a> BreakObject<'a> {
    fn of(lot: &'a Lot) -> Self {
        let ledger = &lot.plan.ledger;
        BreakObject {
            quantity: ledger.quantity,
            unit_price: ledger.unit_price.to_string(),
            unit_cost: ledger.unit_cost.to_string(),
            total: ledger.total.to_string(),
            earned_per_machine_hour: ledger.earned_per_machine_hour.to_string(),
            subtotal: ledger.subtotal.to_string(),
            tax: ledger.tax.to_string(),
            discount: ledger.discount.to_string(),
            machine: &lot.plan.machine,
            nozzle: &lot.plan.nozzle,
            starts: lot.plan.starts.iter().map(StartObject::of).collect(),
            expected_starts: ledger.risk.starts,
            ready_likely: lot.dates.map(|dates| dates.likely.to_string()),
            ready_safe: lot.dates.map(|dates| dates.safe.to_string()),
            pace: &lot.pace,
            cheaper_lot: lot.cheaper.map(|(quantity, total)| CheaperObject {
                quantity,
                total: total.to_string(),
            }),
        }
    }
}

impl StartObject {
    fn of(start: &PlannedStart) -> Self {
        StartObject {
            pieces: start.pieces,
            times: start.times,
            seconds: start.seconds,
            mass_g: start.grams,
        }
    }
}

impl<'a> LineObject<'a> {
    pub fn of(line: &'a LedgerLine) -> Self {
        LineObject {
            line: line.line,
            detail: &line.detail,
            amount: line.amount.to_string(),
        }
    }
}

impl LeadObject {
    fn of(lead: &LeadTime) -> Self {
        LeadObject {
            hours: Some(lead.hours).filter(|hours| hours.is_finite()),
            prints: lead.prints,
            prints_per_week: lead.prints_per_week,
            note: LEAD_NOTE,
        }
    }
}

impl ServiceObject {
    fn of(note: &ServiceNote) -> Self {
        let plain = |about, stands| ServiceObject {
            about,
            stands,
            service_c: None,
            softens_c: None,
            softens_by: None,
        };
        match *note {
            ServiceNote::Warm { service_c, softens } => ServiceObject {
                service_c: Some(service_c),
                softens_c: softens.map(|(c, _, _)| c),
                softens_by: softens.map(|(_, by, _)| match by {
                    SoftensBy::GlassTransition => "glass transition",
                    SoftensBy::HeatDeflection => "heat deflection at 0.45 MPa",
                }),
                ..plain(
                    "temperature",
                    softens.map(|(_, _, heat)| heat == Heat::Holds),
                )
            },
            ServiceNote::Sun(stands) => plain("sun", stands),
            ServiceNote::SaltWater(stands) => plain("salt water", stands),
            ServiceNote::Food(stands) => plain("food", stands),
            ServiceNote::Load => plain("load", None),
            ServiceNote::Safety => plain("safety", None),
        }
    }
}
