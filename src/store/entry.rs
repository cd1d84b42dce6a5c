//! What is entered in the job book. An entry is never changed: what was wrong is put right by a further one.

use jiff::civil::DateTime;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

use super::shape::Shape;

/// One entry.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    /// Its number, from 1 on without gaps.
    pub number: u64,
    /// When it was made, by the shop's clock.
    pub at: DateTime,
    /// What it says.
    #[serde(flatten)]
    pub what: What,
}

/// What an entry says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "entry", rename_all = "snake_case")]
pub enum What {
    /// Somebody asked for a part.
    Enquiry(Enquiry),
    /// A price was given.
    Offer(Offer),
    /// The offer was taken and has a place on a machine.
    Booking(Booking),
    /// A print began.
    Start(Start),
    /// A print ended well.
    Actual(Actual),
    /// A print failed.
    Failed(Failed),
    /// A job came to its end: delivered, declined or given up.
    Closed(Closed),
    /// What is on a spool now.
    Spool(Spool),
    /// An earlier entry was wrong.
    Correction(Correction),
    /// Corrections were written into the shop file.
    Learned(Learned),
}

/// Somebody asked for a part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Enquiry {
    /// The job, from 1 on.
    pub job: u64,
    /// The part's name: its file, and its name in there where it holds several.
    pub part: String,
    /// Who asked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub customer: Option<String>,
    /// Pieces asked for.
    pub quantity: u32,
    /// What the owner noted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// SHA-256 of the mesh's corners and facets, in hexadecimal digits.
    pub content: String,
    /// By what the part is known when it comes back turned, moved or saved anew.
    pub shape: Shape,
}

/// A price was given.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Offer {
    /// The job.
    pub job: u64,
    /// The machine's id.
    pub machine: String,
    /// The nozzle's id.
    pub nozzle: String,
    /// The material's id.
    pub material: String,
    /// Pieces priced.
    pub quantity: u32,
    /// One print, s, as estimated.
    pub seconds: f64,
    /// The estimate's band, s.
    pub seconds_from: f64,
    /// Same.
    pub seconds_to: f64,
    /// What was left of the band by an earlier learning.
    #[serde(default = "one", skip_serializing_if = "is_one")]
    pub band_factor: f64,
    /// What held the speed down: motion, melt or cooling.
    pub limit: String,
    /// The correction in the estimate: a later one is learned on top of what it was.
    pub correction: f64,
    /// Plastic of one print with its support, g.
    pub grams: f64,
    /// The correction in those grams.
    #[serde(default = "one", skip_serializing_if = "is_one")]
    pub grams_correction: f64,
    /// Cost of a piece.
    pub unit_cost: Decimal,
    /// Price of a piece, before tax.
    pub unit_price: Decimal,
    /// Price of all pieces, before tax.
    pub total: Decimal,
    /// ISO 4217 code.
    pub currency: String,
}

fn one() -> f64 {
    1.0
}

// The reference is what the serializer hands over.
#[allow(clippy::trivially_copy_pass_by_ref)]
fn is_one(value: &f64) -> bool {
    *value == 1.0
}

/// The offer was taken.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Booking {
    /// The job.
    pub job: u64,
    /// The machine's id.
    pub machine: String,
    /// Prints to be made.
    pub prints: u32,
    /// Not to be begun before.
    pub from: DateTime,
    /// When the customer was told it is printed.
    pub ready: DateTime,
}

/// A print began.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Start {
    /// The job.
    pub job: u64,
    /// When.
    pub began: DateTime,
    /// Hours the machine showed at its start.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shown_h: Option<f64>,
}

/// A print ended well.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Actual {
    /// The job.
    pub job: u64,
    /// When it ended.
    pub ended: DateTime,
    /// Hours it took.
    pub hours: f64,
    /// Grams the scale showed, part and support.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grams: Option<f64>,
}

/// A print failed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Failed {
    /// The job.
    pub job: u64,
    /// When.
    pub stopped: DateTime,
    /// Hours it had run.
    pub hours: f64,
    /// The layer it had come to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub layer: Option<u32>,
    /// Why, in the owner's words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cause: Option<String>,
    /// Plastic lost, g, where it was weighed; else it follows from the hours.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grams: Option<f64>,
}

impl Failed {
    /// Plastic lost, g: as weighed, else in proportion to the hours, at most a whole print.
    pub fn lost_g(&self, offer: &Offer) -> f64 {
        let share = (self.hours * 3600.0 / offer.seconds).min(1.0);
        self.grams.unwrap_or(offer.grams * share)
    }
}

/// How a job came to its end.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum End {
    /// All pieces went to the customer.
    Delivered,
    /// The customer said no.
    Declined,
    /// The shop gave it up.
    GivenUp,
}

/// A job came to its end.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Closed {
    /// The job.
    pub job: u64,
    /// How.
    pub end: End,
}

/// What is on a spool now.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Spool {
    /// The material's id.
    pub material: String,
    /// Plastic left, g.
    pub grams: f64,
}

/// An earlier entry was wrong.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Correction {
    /// The number of the entry put right.
    pub of: u64,
    /// What it should have said: keys of that entry with their right values.
    pub set: serde_json::Map<String, serde_json::Value>,
    /// Why.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// Corrections were written into the shop file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Learned {
    /// Keys of the shop file and what they are now.
    pub set: serde_json::Map<String, serde_json::Value>,
}

impl What {
    /// Its name in the book.
    pub fn name(&self) -> &'static str {
        match self {
            What::Enquiry(_) => "enquiry",
            What::Offer(_) => "offer",
            What::Booking(_) => "booking",
            What::Start(_) => "start",
            What::Actual(_) => "actual",
            What::Failed(_) => "failed",
            What::Closed(_) => "closed",
            What::Spool(_) => "spool",
            What::Correction(_) => "correction",
            What::Learned(_) => "learned",
        }
    }

    /// The job it belongs to.
    pub fn job(&self) -> Option<u64> {
        match self {
            What::Enquiry(e) => Some(e.job),
            What::Offer(e) => Some(e.job),
            What::Booking(e) => Some(e.job),
            What::Start(e) => Some(e.job),
            What::Actual(e) => Some(e.job),
            What::Failed(e) => Some(e.job),
            What::Closed(e) => Some(e.job),
            What::Spool(_) | What::Correction(_) | What::Learned(_) => None,
        }
    }
}
