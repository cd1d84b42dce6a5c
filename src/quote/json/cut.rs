//! A cut part, for programs.

use serde::Serialize;

use super::super::cut::CutPart;
use super::quote::LineObject;
use super::{FORMAT, line};

/// The cuts and pieces of a part, and what they cost together. `files` are those that were written, in the pieces' order.
pub fn cut_json(part: &str, cut: &CutPart, files: &[String]) -> String {
    let together = cut.together.as_ref();
    let order = together.ok().map(|together| &together.order);
    line(&CutObject {
        format: FORMAT,
        part,
        machine: &cut.machine,
        fewest_proven: cut.plan.fewest,
        cuts: cut.plan.cuts.iter().map(OneCut::of).collect(),
        pieces: (0..cut.plan.pieces.len())
            .map(|number| PieceObject::of(cut, number, files.get(number)))
            .collect(),
        volume_mm3: cut.volume_mm3,
        material: together.ok().map(|together| together.material.as_str()),
        hours: together.ok().map(|together| together.hours),
        currency: order.map(|order| order.currency.code()),
        ledger: order.map(|order| order.lines.iter().map(LineObject::of).collect()),
        subtotal: order.map(|order| order.subtotal.to_string()),
        tax: order.map(|order| order.tax.to_string()),
        total: order.map(|order| order.total.to_string()),
        not_priced: together.err().map(String::as_str),
        elsewhere: together
            .map(|together| together.elsewhere.iter().map(LineObject::of).collect())
            .unwrap_or_default(),
    })
}

/// A part that machines hold as it is.
pub fn whole_json(part: &str, machines: &[String]) -> String {
    line(&WholeObject {
        format: FORMAT,
        part,
        fits_whole_on: machines,
    })
}

#[derive(Serialize)]
struct WholeObject<'a> {
    format: u32,
    part: &'a str,
    fits_whole_on: &'a [String],
}

#[derive(Serialize)]
struct CutObject<'a> {
    format: u32,
    part: &'a str,
    machine: &'a str,
    fewest_proven: bool,
    cuts: Vec<OneCut<'a>>,
    pieces: Vec<PieceObject<'a>>,
    volume_mm3: f64,
    material: Option<&'a str>,
    hours: Option<f64>,
    currency: Option<&'static str>,
    ledger: Option<Vec<LineObject<'a>>>,
    subtotal: Option<String>,
    tax: Option<String>,
    total: Option<String>,
    not_priced: Option<&'a str>,
    elsewhere: Vec<LineObject<'a>>,
}

#[derive(Serialize)]
struct OneCut<'a> {
    axis: String,
    at_mm: f64,
    joint_mm2: f64,
    joints: usize,
    least_width_mm: f64,
    why: &'a str,
}

impl<'a> OneCut<'a> {
    fn of(cut: &'a crate::cut::Cut) -> Self {
        OneCut {
            axis: cut.axis.to_string(),
            at_mm: cut.at_mm,
            joint_mm2: cut.joint_mm2,
            joints: cut.joints,
            least_width_mm: cut.least_width_mm,
            why: &cut.why,
        }
    }
}

#[derive(Serialize)]
struct PieceObject<'a> {
    size_mm: [f64; 3],
    volume_mm3: f64,
    nozzle: Option<&'a str>,
    hours: Option<f64>,
    mass_g: Option<f64>,
    support_g: Option<f64>,
    file: Option<&'a str>,
}

impl<'a> PieceObject<'a> {
    fn of(cut: &'a CutPart, number: usize, file: Option<&'a String>) -> Self {
        let piece = &cut.plan.pieces[number];
        let made = cut
            .together
            .as_ref()
            .ok()
            .map(|together| &together.pieces[number]);
        PieceObject {
            size_mm: (piece.box_mm.1 - piece.box_mm.0).into(),
            volume_mm3: piece.volume_mm3,
            nozzle: made.map(|made| made.nozzle.as_str()),
            hours: made.map(|made| made.made.seconds.hours()),
            mass_g: made.map(|made| made.made.mass_g),
            support_g: made.map(|made| made.made.support_g),
            file: file.map(String::as_str),
        }
    }
}
