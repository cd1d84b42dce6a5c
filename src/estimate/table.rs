//! The whole answer: a part, its pose, and every option of a shop.

use super::EstimateError;
use super::ask::Ask;
use super::asked::Asked;
use super::band;
use super::bead_steps;
use super::candidate::candidates;
use super::findings::{long_layers, option_findings};
use super::finish::Steps;
use super::making::make_all;
use super::option::{Made, PartOption, Seconds};
use super::other_poses;
use super::pick::{Pick, pick};
use super::sample::Sample;
use super::way_down::way_down;
use crate::cost::Run;
use crate::mesh::{Finding, Grade, InspectedMesh};
use crate::pose::{Footprints, Rest};
use crate::shop::{Machine, Material, Nozzle, Shop};

/// Every option of a shop for one part.
#[derive(Debug, Clone, PartialEq)]
pub struct Estimate {
    /// The plastic's id.
    pub material: String,
    /// Which of the part's directions points down.
    pub down: Rest,
    /// Why that one.
    pub down_why: String,
    /// Size of the part as posed and square, mm.
    pub size_mm: [f64; 3],
    /// What another pose would do to the hours of the option picked, where that is more than a fifth.
    pub other_pose: Option<String>,
    /// What was found about the part, the mesh's findings first.
    pub findings: Vec<Finding>,
    /// Every machine with every nozzle it takes, in the shop's order.
    pub options: Vec<PartOption>,
    /// The option recommended, or why none is.
    pub pick: Pick,
}

impl Estimate {
    /// The option recommended, with what it makes.
    pub fn picked(&self) -> Option<(&PartOption, &Made)> {
        let option = &self.options[self.pick.option?];
        Some((option, option.made()?))
    }
}

/// One run of an option, for the ledger.
pub(super) fn run<'a>(
    machine: &'a Machine,
    nozzle: &'a Nozzle,
    material: &'a Material,
    seconds: &Seconds,
    amounts: &Amounts,
) -> Run<'a> {
    let (seconds, start_seconds) = (seconds.whole_s(), seconds.start_s);
    Run {
        machine,
        nozzle,
        material,
        seconds,
        start_seconds,
        part_g: amounts.part_g,
        support_g: amounts.support_g,
        surface_mm2: amounts.surface_mm2,
        held_mm2: amounts.held_mm2,
    }
}

/// What a run lays and what is done to it by hand.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Amounts {
    /// Mass of the part, g.
    pub part_g: f64,
    /// Mass of its support, g.
    pub support_g: f64,
    /// Surface of the part, mm2.
    pub surface_mm2: f64,
    /// Area that its support holds up, mm2.
    pub held_mm2: f64,
}

impl Made {
    /// What one piece alone lays and has done to it.
    pub(super) fn amounts(&self) -> Amounts {
        Amounts {
            part_g: self.mass_g,
            support_g: self.support_g,
            surface_mm2: self.surface_mm2,
            held_mm2: self.held_mm2,
        }
    }
}

/// Estimates a part on every option of a shop.
///
/// # Errors
/// [`EstimateError`] where something is asked that the shop does not have, a number is out of range, or money can't be
/// computed.
pub fn estimate(part: &InspectedMesh, shop: &Shop, ask: &Ask) -> Result<Estimate, EstimateError> {
    let asked = Asked::of(shop, ask)?;
    refuse_what_has_no_price(part)?;
    let footprints = Footprints::of(&part.mesh);
    let (down, down_why) = way_down(part, &footprints, &asked);
    let mut candidates = candidates(&asked, &footprints, down);
    let steps = Steps::of(&part.mesh, down);
    let gaps = make_all(part, &asked, &mut candidates, &steps, down)?;
    let options: Vec<PartOption> = candidates.into_iter().map(|c| c.into_option()).collect();
    let pick = pick(&options, shop, ask);
    let mut result = Estimate {
        material: asked.material.id.clone(),
        down,
        down_why,
        size_mm: footprints.size_in(down),
        other_pose: None,
        findings: part.findings.clone(),
        options,
        pick,
    };
    let sample = Sample::of(part, &asked, &result);
    band::attach(part, &asked, sample.as_ref(), &mut result)?;
    result.findings.extend(gaps.finding());
    result.findings.extend(option_findings(&result, part));
    result.findings.extend(long_layers(&result, asked.material));
    let steps = sample.and_then(|sample| bead_steps::finding(part, &sample, &result));
    result.findings.extend(steps);
    result.other_pose = other_poses::remark(part, &asked, &footprints, &result);
    Ok(result)
}

/// Bodies priced together as one part, at most: a floor of specks takes the model for ever, and nobody prints it.
const MOST_BODIES: usize = 20_000;

/// Sections of loose facets mean nothing, and their crossings take for ever to sort out; a volume that nobody knows has no price.
fn refuse_what_has_no_price(part: &InspectedMesh) -> Result<(), EstimateError> {
    let (open, edges) = (part.topology.open_edges.len(), part.topology.edge_count);
    if 2 * open > edges as usize {
        return Err(EstimateError::LooseFacets { open, edges });
    }
    let bodies = part.topology.bodies;
    if bodies > MOST_BODIES {
        return Err(EstimateError::TooManyBodies {
            bodies,
            most: MOST_BODIES,
        });
    }
    if part.trust.grade == Grade::Refused {
        let [low_mm3, high_mm3] = part.trust.volume_bounds_mm3;
        return Err(EstimateError::Untrusted { low_mm3, high_mm3 });
    }
    Ok(())
}
