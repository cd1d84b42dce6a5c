//! Options on their way: who can take the part at all, with which bead and which limits.

use super::ask::Walls;
use super::asked::Asked;
use super::option::{Made, PartOption, Refusal};
use crate::bead::{Bead, perimeters_for_wall};
use crate::motion::{Limits, Speeds};
use crate::pose::{BuildSpace, Down, Footprints, PoseFit, Rest};
use crate::shop::{Machine, Material, MeasuredRow, Nozzle, RowUsed, refusals};

/// An option on its way from a pair of names to an outcome.
pub(super) struct Candidate<'a> {
    pub machine: &'a Machine,
    pub nozzle: &'a Nozzle,
    pub state: State,
}

/// How far an option has come.
pub(super) enum State {
    Refused(Refusal),
    Possible(Box<Possible>),
    Done(Box<Made>),
}

/// What is known of an option before its layers are laid.
#[derive(Clone)]
pub(super) struct Possible {
    pub pose: PoseFit,
    pub bead: Bead,
    pub perimeters: u32,
    pub row: Option<RowUsed>,
    pub limits: Limits,
}

impl Candidate<'_> {
    pub fn into_option(self) -> PartOption {
        let nothing = || Refusal {
            fits: true,
            reasons: vec!["it was not computed".to_owned()],
        };
        PartOption {
            machine: self.machine.id.clone(),
            nozzle: self.nozzle.id.clone(),
            outcome: match self.state {
                State::Refused(refusal) => Err(refusal),
                State::Done(made) => Ok(*made),
                State::Possible(_) => Err(nothing()),
            },
        }
    }
}

/// Every pair asked for, refused with its reasons or possible.
pub(super) fn candidates<'a>(
    asked: &Asked<'a>,
    footprints: &Footprints<'_>,
    down: Rest,
) -> Vec<Candidate<'a>> {
    // A machine's nozzles share its bed.
    let mut poses: Vec<(&str, Result<PoseFit, String>)> = Vec::new();
    let candidate = |(machine, nozzle): (&'a Machine, &'a Nozzle)| {
        let mut reasons = refusals(machine, nozzle, asked.material, asked.ask.force_soft_nozzle);
        let pose = match poses.iter().find(|(id, _)| *id == machine.id) {
            Some((_, pose)) => pose.clone(),
            None => {
                let space = asked.space_of(machine);
                let pose = footprints
                    .pose_fit(down, &space)
                    .map_err(|miss| does_not_fit(&miss.words, footprints, &space));
                poses.push((&machine.id, pose.clone()));
                pose
            }
        };
        if let Err(why) = &pose {
            reasons.insert(0, why.clone());
        }
        let row = asked.shop.row_for(machine, nozzle, asked.material);
        let bead = bead(nozzle, row.as_ref(), asked.ask.layer_height_mm);
        if let Err(error) = &bead {
            reasons.push(error.to_string());
        }
        if let Some(first_mm) = asked
            .process
            .first_layer_mm
            .filter(|mm| *mm > nozzle.diameter_mm)
        {
            reasons.push(format!(
                "the first layer of {first_mm} mm is above the nozzle's {} mm",
                nozzle.diameter_mm
            ));
        }
        let fits = pose.is_ok();
        let state = match (pose, bead) {
            (Ok(pose), Ok(bead)) if reasons.is_empty() => State::Possible(Box::new(Possible {
                pose,
                bead,
                perimeters: perimeters(asked, &bead),
                limits: limits(machine, asked.material, row.as_ref()),
                row,
            })),
            _ => State::Refused(Refusal { fits, reasons }),
        };
        Candidate {
            machine,
            nozzle,
            state,
        }
    };
    asked.pairs().into_iter().map(candidate).collect()
}

fn does_not_fit(words: &str, footprints: &Footprints<'_>, space: &BuildSpace) -> String {
    let other = Down::ALL
        .into_iter()
        .find(|down| footprints.fits(*down, space));
    match other {
        Some(down) => format!(
            "does not fit: {words}; {} it would fit (--down {down})",
            down.in_words()
        ),
        None => format!("does not fit: {words}"),
    }
}

pub(crate) fn bead(
    nozzle: &Nozzle,
    row: Option<&RowUsed>,
    layer_height_mm: Option<f64>,
) -> Result<Bead, crate::bead::BeadError> {
    let usual = Bead::of_nozzle(nozzle.diameter_mm)?;
    let row = row.map(|r| &r.row);
    let from_row = |value: fn(&MeasuredRow) -> Option<f64>| row.and_then(value);
    let height_mm = layer_height_mm
        .or(from_row(|r| r.layer_height_mm))
        .unwrap_or(usual.height_mm());
    // A layer asked for that is higher than the usual bead is wide gets a bead as wide as it is high.
    let width_mm = from_row(|r| r.bead_width_mm)
        .unwrap_or(usual.width_mm())
        .max(height_mm);
    Bead::new(nozzle.diameter_mm, height_mm, width_mm)
}

fn perimeters(asked: &Asked<'_>, bead: &Bead) -> u32 {
    match asked
        .ask
        .walls
        .unwrap_or(Walls::ThicknessMm(asked.shop.process.wall_mm))
    {
        Walls::Count(count) => count,
        Walls::ThicknessMm(mm) => perimeters_for_wall(mm, bead),
    }
}

pub(crate) fn limits(machine: &Machine, material: &Material, row: Option<&RowUsed>) -> Limits {
    Limits {
        speeds: row.map_or(machine.speeds, |r| speeds(&machine.speeds, &r.row)),
        acceleration_mm_s2: machine.acceleration_mm_s2,
        corner_deviation_mm: machine.corner_deviation_mm,
        melt_cap_mm3_s: row.map(|r| r.row.melt_limit_mm3_s * (1.0 - r.row.margin)),
        retraction_s: machine.retraction_s,
        least_layer_s: material.least_layer_s,
        layer_change_s: machine.layer_change_s,
        start_s: machine.start_s,
    }
}

/// The machine's speeds, but for those a measured row gives.
fn speeds(machine: &Speeds, row: &MeasuredRow) -> Speeds {
    Speeds {
        outer_mm_s: row.outer_mm_s.unwrap_or(machine.outer_mm_s),
        inner_mm_s: row.inner_mm_s.unwrap_or(machine.inner_mm_s),
        fill_mm_s: row.fill_mm_s.unwrap_or(machine.fill_mm_s),
        open_mm_s: row.open_mm_s.unwrap_or(machine.open_mm_s),
        sliver_mm_s: row.sliver_mm_s.unwrap_or(machine.sliver_mm_s),
        support_mm_s: row.support_mm_s.unwrap_or(machine.support_mm_s),
        ..*machine
    }
}
