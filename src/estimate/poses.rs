//! What each pose makes of an option, and what each of the best few trades away.

use std::cmp::Ordering;

use nalgebra::Vector3;
use rayon::prelude::*;
use rust_decimal::Decimal;

use super::EstimateError;
use super::ask::Ask;
use super::asked::Asked;
use super::candidate::candidates;
use super::face::FaceFinish;
use super::finish::Steps;
use super::making::make_all;
use super::option::{Made, PartOption};
use super::pose_sample::PoseSample;
use super::table::{Amounts, run};
use crate::cost::ledger;
use crate::mesh::InspectedMesh;
use crate::pose::{Down, Footprints, PoseFit, Rest};
use crate::shop::{Machine, Material, Nozzle, Shop};

/// Layers looked at in each pose before the best few are computed in full.
const SAMPLE: usize = 16;
/// Faces on which the part stands that are looked at, those with the largest contact first.
const MOST_STANDING: usize = 44;
/// Poses shown beside the one in use.
const SHOWN: usize = 4;
/// A part taller than so many times the least width of what it stands on may topple or sway (common practice, no source).
pub const TALL_ON_ITS_FOOT: f64 = 5.0;

/// Poses of a part on one option.
#[derive(Debug, Clone, PartialEq)]
pub struct PoseTable {
    /// `MACHINE/NOZZLE`.
    pub option: String,
    /// The pose in use first, then the others by price.
    pub poses: Vec<PoseFigures>,
    /// Poses that were looked at.
    pub looked_at: usize,
    /// Of these, poses that do not fit the option's machine.
    pub do_not_fit: usize,
}

/// What one pose makes of a part.
#[derive(Debug, Clone, PartialEq)]
pub struct PoseFigures {
    /// The pose and its clearances.
    pub fit: PoseFit,
    /// Layers.
    pub layers: usize,
    /// Hours of a piece, h.
    pub hours: f64,
    /// Mass of the part, g.
    pub mass_g: f64,
    /// Mass of its support, g.
    pub support_g: f64,
    /// Price of a piece before tax.
    pub unit_price: Decimal,
    /// Chance that a start does not end in a good part.
    pub failure_probability: f64,
    /// Mean cusp height, um.
    pub cusp_um: f64,
    /// The face asked for.
    pub face: Option<FaceFinish>,
    /// How the layers and beads lie to the direction loaded.
    pub loaded: Option<Loaded>,
    /// What the first layer of the part covers, mm2.
    pub foot_mm2: f64,
    /// Height over the least width of the hull around all that stands on the bed.
    pub height_to_foot: f64,
}

/// How a part's layers and beads lie to a direction it is loaded along.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Loaded {
    /// Between the direction and the layers, degrees: 0 lies in them, 90 pulls them apart.
    pub off_layers_deg: f64,
    /// Between the direction and the beads, the mean by length, degrees.
    pub off_beads_deg: f64,
}

impl Loaded {
    fn of(along: &Vector3<f64>, rest: Rest, beads_off_deg: f64) -> Loaded {
        Loaded {
            off_layers_deg: off_layers_deg(along, rest),
            off_beads_deg: beads_off_deg,
        }
    }
}

/// The angle between a direction of the part and the layers of a pose, degrees, 0 to 90.
pub(super) fn off_layers_deg(along: &Vector3<f64>, rest: Rest) -> f64 {
    let down = rest.direction();
    let across = along.cross(&down).norm();
    along.dot(&down).abs().atan2(across).to_degrees()
}

/// One option, looked up.
struct Chosen<'a> {
    part: &'a InspectedMesh,
    asked: Asked<'a>,
    footprints: Footprints<'a>,
    machine: &'a Machine,
    nozzle: &'a Nozzle,
    made: &'a Made,
}

/// A pose that was looked at.
struct Look {
    fit: PoseFit,
    sample: PoseSample,
    unit_price: Decimal,
}

/// Costs the poses of a part on one option that can make it: the six axis-down ones and those in which it stands stably on
/// another face. All are walked in a sample of layers, the best few in full.
///
/// # Errors
/// [`EstimateError`] as [`estimate`](super::estimate).
pub fn pose_table(
    part: &InspectedMesh,
    shop: &Shop,
    ask: &Ask,
    option: &PartOption,
    made: &Made,
) -> Result<PoseTable, EstimateError> {
    let alone = Ask {
        machine: Some(option.machine.clone()),
        nozzle: Some(option.nozzle.clone()),
        ..ask.clone()
    };
    let asked = Asked::of(shop, &alone)?;
    let Some((machine, nozzle)) = asked.pairs().first().copied() else {
        return Ok(PoseTable {
            option: option.name(),
            poses: Vec::new(),
            looked_at: 0,
            do_not_fit: 0,
        });
    };
    let chosen = Chosen {
        part,
        asked,
        footprints: Footprints::of(&part.mesh),
        machine,
        nozzle,
        made,
    };
    chosen.table(option.name())
}

impl Chosen<'_> {
    fn table(&self, option: String) -> Result<PoseTable, EstimateError> {
        let rests = self.rests();
        let space = &self.asked.space_of(self.machine);
        let fits: Vec<PoseFit> = rests
            .iter()
            .filter_map(|rest| self.footprints.pose_fit(*rest, space).ok())
            .collect();
        let do_not_fit = rests.len() - fits.len();
        let looks: Vec<Option<Look>> = fits
            .into_par_iter()
            .map(|fit| self.look(fit))
            .collect::<Result<_, EstimateError>>()?;
        let looks: Vec<Look> = looks.into_iter().flatten().collect();
        let poses: Vec<Option<PoseFigures>> = self
            .best_few(&looks)
            .into_par_iter()
            .map(|look| self.in_full(look))
            .collect::<Result<_, EstimateError>>()?;
        let mut poses: Vec<PoseFigures> = poses.into_iter().flatten().collect();
        let in_use = self.made.pose.down;
        poses.sort_by(|a, b| {
            let order = (a.fit.down != in_use).cmp(&(b.fit.down != in_use));
            order
                .then(a.unit_price.cmp(&b.unit_price))
                .then(a.hours.total_cmp(&b.hours))
        });
        Ok(PoseTable {
            option,
            poses,
            looked_at: rests.len(),
            do_not_fit,
        })
    }

    /// The pose in use, the six axis-down ones, and the faces on which the part stands.
    fn rests(&self) -> Vec<Rest> {
        let mut rests = vec![self.made.pose.down];
        let standing = self.footprints.rests().poses.iter();
        let standing = standing.take(MOST_STANDING).map(|pose| pose.rest);
        for rest in Down::ALL.into_iter().map(Rest::Axis).chain(standing) {
            if !rests.contains(&rest) {
                rests.push(rest);
            }
        }
        rests
    }

    fn look(&self, fit: PoseFit) -> Result<Option<Look>, EstimateError> {
        let along = self.asked.ask.loaded_along;
        let sample = PoseSample::of(
            self.part,
            &self.asked,
            self.made,
            &fit.pose(),
            SAMPLE,
            along,
        );
        let Some(sample) = sample else {
            return Ok(None);
        };
        let material: &Material = self.asked.material;
        let grams = |mm3: f64| mm3 / 1000.0 * material.density_g_cm3 * self.made.grams_correction;
        let seconds = sample.seconds * self.made.correction;
        let (part_g, support_g) = (grams(sample.deposited_mm3), grams(sample.support_mm3));
        if seconds <= 0.0 {
            return Ok(None);
        }
        let mut run = run(
            self.machine,
            self.nozzle,
            material,
            &self.made.seconds,
            &Amounts {
                part_g,
                support_g,
                held_mm2: sample.held_mm2,
                ..self.made.amounts()
            },
        );
        run.seconds = seconds;
        run.start_seconds = run.start_seconds.min(seconds);
        let shop = self.asked.shop;
        let quantity = self.asked.ask.quantity;
        let ledger = ledger(&run, &shop.rates, &shop.attended, shop.currency, quantity)?;
        Ok(Some(Look {
            fit,
            sample,
            unit_price: ledger.unit_price,
        }))
    }

    /// The pose in use, then the one that is best in each respect, then the cheapest of the rest.
    fn best_few<'l>(&self, looks: &'l [Look]) -> Vec<&'l Look> {
        let price = |look: &Look| f64::try_from(look.unit_price).unwrap_or(f64::INFINITY);
        let flatness = |look: &Look| {
            let along = self.asked.ask.loaded_along;
            along.map_or(0.0, |along| off_layers_deg(&along, look.fit.down).round())
        };
        let face = |look: &Look| self.face(look.fit.down).map_or(0.0, |face| face.rank());
        let in_use = self.made.pose.down;
        let mut few: Vec<&Look> = looks.iter().filter(|l| l.fit.down == in_use).collect();
        let respects: [Respect<'_>; 6] = [
            &price,
            &|look| look.sample.seconds,
            &|look| look.sample.support_mm3,
            &flatness,
            &face,
            &|look| height_to_foot(&look.fit, &look.sample),
        ];
        let mut add = |look: &'l Look| {
            if few.len() <= SHOWN && !few.iter().any(|held| held.fit.down == look.fit.down) {
                few.push(look);
            }
        };
        for respect in respects {
            let best = looks.iter().min_by(|a, b| better(respect, a, b));
            best.into_iter().for_each(&mut add);
        }
        let mut cheapest: Vec<&Look> = looks.iter().collect();
        cheapest.sort_by(|a, b| better(&price, a, b));
        cheapest.into_iter().for_each(add);
        few
    }

    fn face(&self, rest: Rest) -> Option<FaceFinish> {
        let direction = self.asked.ask.face?;
        let height_mm = self.made.bead.height_mm();
        let overhang_deg = self.asked.process.overhang_deg;
        FaceFinish::of(&self.part.mesh, &direction, rest, height_mm, overhang_deg)
    }

    fn in_full(&self, look: &Look) -> Result<Option<PoseFigures>, EstimateError> {
        let rest = look.fit.down;
        if rest == self.made.pose.down {
            return Ok(Some(self.figures(look, self.made)));
        }
        let mut candidates = candidates(&self.asked, &self.footprints, rest);
        let steps = Steps::of(&self.part.mesh, rest);
        make_all(self.part, &self.asked, &mut candidates, &steps, rest)?;
        let options = candidates
            .into_iter()
            .map(|candidate| candidate.into_option());
        let made = options.filter_map(|option| option.outcome.ok()).next();
        Ok(made.map(|made| self.figures(look, &made)))
    }

    fn figures(&self, look: &Look, made: &Made) -> PoseFigures {
        let along = self.asked.ask.loaded_along;
        PoseFigures {
            layers: made.layers,
            hours: made.seconds.hours(),
            mass_g: made.mass_g,
            support_g: made.support_g,
            unit_price: made.ledger.unit_price,
            failure_probability: made.ledger.risk.failure_probability,
            cusp_um: made.cusp_um,
            face: self.face(look.fit.down),
            loaded: along
                .zip(look.sample.beads_off_deg)
                .map(|(along, beads)| Loaded::of(&along, look.fit.down, beads)),
            foot_mm2: look.sample.foot_mm2,
            height_to_foot: height_to_foot(&look.fit, &look.sample),
            fit: look.fit.clone(),
        }
    }
}

/// What one pose may be better in than another: the less, the better.
type Respect<'a> = &'a dyn Fn(&Look) -> f64;

fn better(respect: Respect<'_>, a: &Look, b: &Look) -> Ordering {
    let first = respect(a).total_cmp(&respect(b));
    first.then(a.unit_price.cmp(&b.unit_price))
}

fn height_to_foot(fit: &PoseFit, sample: &PoseSample) -> f64 {
    if sample.foot_width_mm > 0.0 {
        fit.size_mm[2] / sample.foot_width_mm
    } else {
        f64::INFINITY
    }
}
