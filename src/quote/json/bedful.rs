//! An order on full beds as JSON.

use serde::Serialize;

use super::{FORMAT, line};
use crate::bedful::Bedful;
use crate::estimate::{BedMade, Bedfuls, BedsMade, MachineBeds};
use crate::plane::Region;

/// The beds of an order on every machine, with every place.
pub fn bedful_json(parts: &[String], answer: &Bedfuls) -> String {
    let picked = answer
        .picked()
        .map(|(machine, nozzle, _)| format!("{}/{nozzle}", machine.machine));
    line(&BedfulsObject {
        format: FORMAT,
        parts: parts
            .iter()
            .zip(&answer.down)
            .map(|(part, down)| PartObject {
                part,
                down: down.to_string(),
            })
            .collect(),
        material: &answer.material,
        clearance_mm: answer.clearance_mm,
        machines: answer.machines.iter().map(MachineObject::of).collect(),
        cheapest: picked,
    })
}

#[derive(Serialize)]
struct BedfulsObject<'a> {
    format: u32,
    parts: Vec<PartObject<'a>>,
    material: &'a str,
    clearance_mm: f64,
    machines: Vec<MachineObject<'a>>,
    cheapest: Option<String>,
}

#[derive(Serialize)]
struct PartObject<'a> {
    part: &'a str,
    down: String,
}

type Rings = Vec<Vec<[f64; 2]>>;

#[derive(Serialize)]
struct MachineObject<'a> {
    machine: &'a str,
    usable_mm: Rings,
    beds: Vec<BedObject>,
    left: &'a [u32],
    options: Vec<OptionObject<'a>>,
}

#[derive(Serialize)]
struct BedObject {
    times: u32,
    copies: u32,
    capped: bool,
    placements: Vec<PlacementObject>,
}

#[derive(Serialize)]
struct PlacementObject {
    /// Which of the parts, from 0.
    part: usize,
    turn_deg: f64,
    at_mm: [f64; 2],
    outline_mm: Rings,
}

#[derive(Serialize)]
struct OptionObject<'a> {
    nozzle: &'a str,
    refused: Option<&'a str>,
    made: Option<MadeObject>,
}

#[derive(Serialize)]
struct MadeObject {
    pieces: u32,
    seconds: f64,
    alone_seconds: f64,
    currency: &'static str,
    unit_cost: String,
    unit_price: String,
    total: String,
    alone_unit_cost: String,
    alone_unit_price: String,
    machine_hours: String,
    beds: Vec<BedMadeObject>,
}

#[derive(Serialize)]
struct BedMadeObject {
    times: u32,
    copies: u32,
    seconds: f64,
    seconds_each: f64,
    limit: &'static str,
    mass_g: f64,
    support_g: f64,
    failure_probability: f64,
    copies_at_risk: u32,
    extra_machine_h: f64,
    lost_plastic_g: f64,
}

fn rings(region: &Region) -> Rings {
    region.rings().collect()
}

impl<'a> MachineObject<'a> {
    fn of(machine: &'a MachineBeds) -> MachineObject<'a> {
        MachineObject {
            machine: &machine.machine,
            usable_mm: rings(&machine.usable),
            beds: machine
                .beds
                .kinds
                .iter()
                .map(|(bed, times)| BedObject::of(bed, *times))
                .collect(),
            left: &machine.beds.left,
            options: machine
                .options
                .iter()
                .map(|(nozzle, made)| OptionObject {
                    nozzle,
                    refused: made.as_ref().err().map(String::as_str),
                    made: made.as_ref().ok().map(MadeObject::of),
                })
                .collect(),
        }
    }
}

impl BedObject {
    fn of(bed: &Bedful, times: u32) -> BedObject {
        let placements = bed.placements.iter().map(|placed| PlacementObject {
            part: placed.item,
            turn_deg: placed.turn_deg,
            at_mm: placed.at_mm,
            outline_mm: rings(&placed.outline),
        });
        BedObject {
            times,
            copies: bed.copies(),
            capped: bed.capped,
            placements: placements.collect(),
        }
    }
}

impl MadeObject {
    fn of(made: &BedsMade) -> MadeObject {
        MadeObject {
            pieces: made.pieces(),
            seconds: made.whole_s(),
            alone_seconds: made.alone_s,
            currency: made.ledger.currency.code(),
            unit_cost: made.ledger.unit_cost.to_string(),
            unit_price: made.ledger.unit_price.to_string(),
            total: made.ledger.total.to_string(),
            alone_unit_cost: made.alone.unit_cost.to_string(),
            alone_unit_price: made.alone.unit_price.to_string(),
            machine_hours: made.ledger.machine_hours.to_string(),
            beds: made.beds.iter().map(BedMadeObject::of).collect(),
        }
    }
}

impl BedMadeObject {
    fn of(bed: &BedMade) -> BedMadeObject {
        BedMadeObject {
            times: bed.times,
            copies: bed.copies,
            seconds: bed.seconds.whole_s(),
            seconds_each: bed.seconds.whole_s() / f64::from(bed.copies.max(1)),
            limit: bed.limit.name(),
            mass_g: bed.mass_g,
            support_g: bed.support_g,
            failure_probability: bed.risk.failure_probability,
            copies_at_risk: bed.copies,
            extra_machine_h: bed.risk.extra_machine_h,
            lost_plastic_g: bed.risk.lost_share * (bed.mass_g + bed.support_g),
        }
    }
}
