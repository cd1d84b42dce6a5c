//! The pieces of a part that was cut, estimated and priced as one order.

use rayon::prelude::*;

use super::ask::Ask;
use super::option::{Made, PartOption};
use super::table::{Estimate, estimate, run};
use super::{EstimateError, Refusal};
use crate::cost::{Joints, LedgerLine, Order, elsewhere, order};
use crate::cut::{CutPlan, Piece};
use crate::shop::Shop;

/// One piece, estimated.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceMade {
    /// The nozzle's id.
    pub nozzle: String,
    /// How it rests on the bed, in words.
    pub rests: String,
    /// What the option makes of it.
    pub made: Made,
}

/// The pieces of a part on one machine.
#[derive(Debug, Clone, PartialEq)]
pub struct Together {
    /// The machine's id.
    pub machine: String,
    /// The plastic's id.
    pub material: String,
    /// The pieces, in the plan's order.
    pub pieces: Vec<PieceMade>,
    /// Hours of all pieces one after another, each started once, h.
    pub hours: f64,
    /// Mass of the pieces, g.
    pub mass_g: f64,
    /// Mass of their support, g.
    pub support_g: f64,
    /// What the order costs and what is charged.
    pub order: Order,
    /// What a shop with a larger machine would ask instead, by the prices the owner knows.
    pub elsewhere: Vec<LedgerLine>,
}

/// Estimates the pieces of a plan on one machine and prices them and their joining as one order of `ask.quantity` parts. All pieces
/// take the nozzle picked for the largest where they can. Every piece rests as is best for it, so a rest that is asked for the
/// whole part does not count.
///
/// # Errors
/// [`EstimateError`] as for any part; [`EstimateError::Piece`] where the machine can't make a piece.
pub fn estimate_pieces(
    plan: &CutPlan,
    shop: &Shop,
    ask: &Ask,
    machine: &str,
) -> Result<Together, EstimateError> {
    let ask = Ask {
        machine: Some(machine.to_owned()),
        down: None,
        ..ask.clone()
    };
    let largest = (0..plan.pieces.len())
        .max_by(|a, b| {
            let volume = |i: &usize| plan.pieces[*i].volume_mm3;
            volume(a).total_cmp(&volume(b)).then(b.cmp(a))
        })
        .ok_or(EstimateError::Piece {
            number: 0,
            why: "there is no piece".to_owned(),
        })?;
    let first = estimate(&plan.pieces[largest].part, shop, &ask)?;
    let nozzle = picked(&first, largest)?.0.nozzle.clone();
    let same = Ask {
        nozzle: Some(nozzle),
        ..ask.clone()
    };
    let pieces = plan
        .pieces
        .par_iter()
        .enumerate()
        .map(|(number, piece)| {
            if number == largest {
                piece_made(&first, number)
            } else {
                one(piece, number, shop, &same, &ask)
            }
        })
        .collect::<Result<Vec<_>, _>>()?;
    together(plan, shop, &ask, machine, first.material, pieces)
}

fn one(
    piece: &Piece,
    number: usize,
    shop: &Shop,
    same: &Ask,
    any: &Ask,
) -> Result<PieceMade, EstimateError> {
    let with_same = estimate(&piece.part, shop, same)?;
    if with_same.picked().is_some() {
        return piece_made(&with_same, number);
    }
    piece_made(&estimate(&piece.part, shop, any)?, number)
}

fn piece_made(estimate: &Estimate, number: usize) -> Result<PieceMade, EstimateError> {
    let (option, made) = picked(estimate, number)?;
    Ok(PieceMade {
        nozzle: option.nozzle.clone(),
        rests: estimate.down.in_words(),
        made: made.clone(),
    })
}

fn picked(estimate: &Estimate, number: usize) -> Result<(&PartOption, &Made), EstimateError> {
    estimate.picked().ok_or_else(|| {
        let refusal = |option: &PartOption| -> Option<Refusal> { option.outcome.clone().err() };
        let refused = estimate.options.iter().find_map(refusal);
        EstimateError::Piece {
            number: number + 1,
            why: refused.map_or_else(|| estimate.pick.why.clone(), |r| r.reasons.join("; ")),
        }
    })
}

fn together(
    plan: &CutPlan,
    shop: &Shop,
    ask: &Ask,
    machine: &str,
    material: String,
    pieces: Vec<PieceMade>,
) -> Result<Together, EstimateError> {
    let sum = |of: fn(&Made) -> f64| pieces.iter().map(|piece| of(&piece.made)).sum::<f64>();
    let (seconds_s, mass_g) = (sum(|m| m.seconds.whole_s()), sum(|m| m.mass_g));
    let support_g = sum(|m| m.support_g);
    let runs: Vec<_> = pieces
        .iter()
        .filter_map(|piece| {
            let made = &piece.made;
            Some(run(
                shop.machine(machine)?,
                shop.nozzle(&piece.nozzle)?,
                shop.material(&material)?,
                &made.seconds,
                &made.amounts(),
            ))
        })
        .collect();
    let joints = Joints {
        faces: plan.joints(),
        area_mm2: plan.joint_mm2(),
    };
    let order = order(
        &runs,
        &joints,
        &shop.joining,
        &shop.rates,
        &shop.attended,
        shop.currency,
        ask.quantity,
    )?;
    let elsewhere = elsewhere(
        &shop.joining,
        mass_g,
        seconds_s,
        shop.currency,
        ask.quantity,
    )?;
    Ok(Together {
        machine: machine.to_owned(),
        material,
        pieces,
        hours: seconds_s / 3600.0,
        mass_g,
        support_g,
        order,
        elsewhere,
    })
}
