//! The whole answer: a part, its pose, and every option of a shop.

use rayon::prelude::*;

use super::ask::{Ask, Walls};
use super::finish::Steps;
use super::lead::{LeadTime, first_opening_min, lead_time};
use super::option::{Made, PartOption, Refusal, Seconds};
use super::pick::{Pick, pick};
use super::walk::{Laid, Way, walk};
use super::{EstimateError, other_poses};
use crate::bead::{Bead, Laying, Overhang, perimeters_for_wall, support_regions};
use crate::cost::{Ledger, Run, ledger, price_breaks};
use crate::mesh::{Finding, FindingKind, InspectedMesh};
use crate::motion::{Clock, Limits, Speeds};
use crate::pose::{Down, Footprints, Pose, PoseFit, SupportGuess, choose_down, place};
use crate::section::{Layers, Region, sections};
use crate::shop::{Machine, Material, MeasuredRow, Nozzle, RowUsed, Shop, refusals};

/// More layers than this is surely a wrong unit.
pub(super) const MOST_LAYERS: usize = 20_000;
/// Lost detail is a finding from this share of the part and this volume on (design, Perimeters).
const LOST_SHARE: f64 = 0.001;
const LOST_MM3: f64 = 1.0;

/// Every option of a shop for one part.
#[derive(Debug, Clone, PartialEq)]
pub struct Estimate {
    /// The plastic's id.
    pub material: String,
    /// Which of the part's axes points down.
    pub down: Down,
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

    /// The ledgers of the option picked at several quantities; none where none is picked.
    ///
    /// # Errors
    /// [`EstimateError::Cost`] where money can't be computed.
    pub fn breaks(&self, shop: &Shop, quantities: &[u32]) -> Result<Vec<Ledger>, EstimateError> {
        let Some((option, made)) = self.picked() else {
            return Ok(Vec::new());
        };
        let (machine, nozzle) = (shop.machine(&option.machine), shop.nozzle(&option.nozzle));
        let (Some(machine), Some(nozzle), Some(material)) =
            (machine, nozzle, shop.material(&self.material))
        else {
            return Ok(Vec::new());
        };
        let run = run(
            machine,
            nozzle,
            material,
            &made.seconds,
            made.mass_g,
            made.support_g,
        );
        Ok(price_breaks(
            &run,
            &shop.rates,
            &shop.attended,
            shop.currency,
            quantities,
        )?)
    }

    /// How long the pieces asked for take on the machine picked, from the week's first opening.
    pub fn lead_time(&self, shop: &Shop) -> Option<LeadTime> {
        let (option, made) = self.picked()?;
        let clearing_h = shop.machine(&option.machine)?.failures.clearing_h;
        let from_min = first_opening_min(&shop.attended);
        Some(lead_time(
            &shop.attended,
            from_min,
            made.seconds.hours(),
            clearing_h,
            made.ledger.quantity,
        ))
    }
}

fn run<'a>(
    machine: &'a Machine,
    nozzle: &'a Nozzle,
    material: &'a Material,
    seconds: &Seconds,
    part_g: f64,
    support_g: f64,
) -> Run<'a> {
    let (seconds, start_seconds) = (seconds.whole_s(), seconds.start_s);
    Run {
        machine,
        nozzle,
        material,
        seconds,
        start_seconds,
        part_g,
        support_g,
    }
}

impl Ask {
    /// Whether a shop has what is asked, and all numbers are in their ranges.
    ///
    /// # Errors
    /// [`EstimateError`] with what the shop has or what would be right.
    pub fn check(&self, shop: &Shop) -> Result<(), EstimateError> {
        Asked::of(shop, self).map(|_| ())
    }
}

/// Estimates a part on every option of a shop.
///
/// # Errors
/// [`EstimateError`] where something is asked that the shop does not have, a number is out of range, or money can't be
/// computed.
pub fn estimate(part: &InspectedMesh, shop: &Shop, ask: &Ask) -> Result<Estimate, EstimateError> {
    let asked = Asked::of(shop, ask)?;
    let footprints = Footprints::of(&part.mesh);
    let (down, down_why) = down(part, &footprints, shop, ask);
    let mut candidates = candidates(&asked, &footprints, down)?;
    let steps = Steps::of(&place(&part.mesh, &Pose::new(down, 0.0)));
    make_all(part, &asked, &mut candidates, &steps, down)?;
    let options: Vec<PartOption> = candidates.into_iter().map(|c| c.into_option()).collect();
    let pick = pick(&options, shop, ask);
    let mut result = Estimate {
        material: asked.material.id.clone(),
        down,
        down_why,
        size_mm: size_mm(&footprints, down),
        other_pose: None,
        findings: part.findings.clone(),
        options,
        pick,
    };
    result.findings.extend(option_findings(&result, part));
    result.other_pose = other_poses::remark(part, &asked, &footprints, &result);
    Ok(result)
}

fn size_mm(footprints: &Footprints, down: Down) -> [f64; 3] {
    // Axis-down rotations only trade axes.
    (Pose::new(down, 0.0).rotation * footprints.size_mm())
        .abs()
        .into()
}

/// What is asked, looked up in the shop.
pub(super) struct Asked<'a> {
    pub shop: &'a Shop,
    pub ask: &'a Ask,
    pub material: &'a Material,
}

impl<'a> Asked<'a> {
    fn of(shop: &'a Shop, ask: &'a Ask) -> Result<Asked<'a>, EstimateError> {
        let id = ask.material.as_deref().unwrap_or(&shop.default_material);
        let material = shop
            .material(id)
            .ok_or_else(|| unknown("material", id, shop.materials.iter().map(|m| m.id.as_str())))?;
        if let Some(id) = ask
            .machine
            .as_deref()
            .filter(|id| shop.machine(id).is_none())
        {
            return Err(unknown(
                "machine",
                id,
                shop.machines.iter().map(|m| m.id.as_str()),
            ));
        }
        if let Some(id) = ask.nozzle.as_deref().filter(|id| shop.nozzle(id).is_none()) {
            return Err(unknown(
                "nozzle",
                id,
                shop.nozzles.iter().map(|n| n.id.as_str()),
            ));
        }
        if let (Some(machine), Some(nozzle)) = (&ask.machine, &ask.nozzle) {
            let takes = shop
                .machine(machine)
                .map(|m| m.nozzles.as_slice())
                .unwrap_or_default();
            if !takes.contains(nozzle) {
                let (machine, nozzle, takes) = (machine.clone(), nozzle.clone(), takes.join(", "));
                return Err(EstimateError::NotTaken {
                    machine,
                    nozzle,
                    takes,
                });
            }
        }
        check_ranges(ask)?;
        Ok(Asked {
            shop,
            ask,
            material,
        })
    }

    /// Every machine with every nozzle it takes, where asked for, in the shop's order.
    fn pairs(&self) -> Vec<(&'a Machine, &'a Nozzle)> {
        let shop = self.shop;
        let wanted = |asked: &Option<String>, id: &str| asked.as_deref().is_none_or(|a| a == id);
        let machines = shop
            .machines
            .iter()
            .filter(|m| wanted(&self.ask.machine, &m.id));
        machines
            .flat_map(|m| {
                m.nozzles
                    .iter()
                    .filter_map(move |n| Some((m, shop.nozzle(n)?)))
            })
            .filter(|(_, n)| wanted(&self.ask.nozzle, &n.id))
            .collect()
    }

    pub fn overhang(&self) -> Option<Overhang> {
        let process = &self.shop.process;
        let free = |mm: f64| if self.ask.base_model { 0.0 } else { mm };
        self.ask.support.then(|| Overhang {
            angle_deg: process.overhang_deg,
            free_span_mm: free(process.free_span_mm),
            free_hole_mm: free(process.free_hole_mm),
        })
    }

    pub fn way(&self, bead: Bead, perimeters: u32) -> Way {
        Way {
            laying: Laying {
                bead,
                perimeters,
                fill: self.ask.fill,
                support_fraction: self.shop.process.support_fraction,
            },
            floor_mm: self.shop.process.floor_mm,
            roof_mm: self.shop.process.roof_mm,
        }
    }
}

fn unknown<'a>(
    what: &'static str,
    given: &str,
    known: impl Iterator<Item = &'a str>,
) -> EstimateError {
    EstimateError::Unknown {
        what,
        given: given.to_owned(),
        known: known.collect::<Vec<_>>().join(", "),
    }
}

fn check_ranges(ask: &Ask) -> Result<(), EstimateError> {
    let inside = |what, given: f64, least: f64, most: f64, right| {
        let fine = given.is_finite() && given >= least && given <= most;
        if fine {
            Ok(())
        } else {
            Err(EstimateError::OutOfRange { what, given, right })
        }
    };
    inside(
        "the fill",
        ask.fill,
        0.01,
        1.0,
        "a fraction from 0.01 to 1 (1 is solid)",
    )?;
    match ask.walls {
        Some(Walls::ThicknessMm(mm)) => {
            inside(
                "the wall thickness",
                mm,
                0.05,
                500.0,
                "a wall from 0.05 to 500 mm",
            )?;
        }
        Some(Walls::Count(n)) => {
            inside(
                "the number of perimeters",
                f64::from(n),
                1.0,
                1000.0,
                "1 to 1000 perimeters",
            )?;
        }
        None => {}
    }
    if let Some(mm) = ask.layer_height_mm {
        inside(
            "the layer height",
            mm,
            0.02,
            20.0,
            "a layer height from 0.02 to 20 mm",
        )?;
    }
    if let Some(mm) = ask.floors.smallest_feature_mm {
        inside(
            "the smallest feature",
            mm,
            0.01,
            1000.0,
            "a width from 0.01 to 1000 mm",
        )?;
    }
    if ask.quantity == 0 {
        return Err(EstimateError::OutOfRange {
            what: "the quantity",
            given: 0.0,
            right: "at least 1 piece",
        });
    }
    Ok(())
}

fn down(part: &InspectedMesh, footprints: &Footprints, shop: &Shop, ask: &Ask) -> (Down, String) {
    if let Some(down) = ask.down {
        return (down, "as asked".to_owned());
    }
    let wanted = |m: &&Machine| ask.machine.as_deref().is_none_or(|id| id == m.id);
    let spaces: Vec<_> = shop
        .machines
        .iter()
        .filter(wanted)
        .map(|m| m.space)
        .collect();
    let guess = SupportGuess {
        overhang_deg: shop.process.overhang_deg,
        support_fraction: shop.process.support_fraction,
    };
    let chosen = choose_down(
        &part.mesh,
        footprints,
        &spaces,
        part.mass.volume_mm3,
        &guess,
    );
    (chosen.down, chosen.why)
}

/// An option on its way from a pair of names to an outcome.
struct Candidate<'a> {
    machine: &'a Machine,
    nozzle: &'a Nozzle,
    state: State,
}

enum State {
    Refused(Refusal),
    Possible(Box<Possible>),
    Done(Box<Made>),
}

/// What is known of an option before its layers are laid.
#[derive(Clone)]
struct Possible {
    pose: PoseFit,
    bead: Bead,
    perimeters: u32,
    row: Option<RowUsed>,
    limits: Limits,
}

impl Candidate<'_> {
    fn into_option(self) -> PartOption {
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

fn candidates<'a>(
    asked: &Asked<'a>,
    footprints: &Footprints,
    down: Down,
) -> Result<Vec<Candidate<'a>>, EstimateError> {
    let mut candidates = Vec::new();
    let (mut bead_error, mut some_bead) = (None, false);
    for (machine, nozzle) in asked.pairs() {
        let mut reasons = refusals(machine, nozzle, asked.material, asked.ask.force_soft_nozzle);
        let pose = footprints.pose_fit(down, &machine.space);
        if let Err(miss) = &pose {
            reasons.insert(0, does_not_fit(&miss.words, footprints, machine));
        }
        let row = asked.shop.row_for(machine, nozzle, asked.material);
        let bead = bead(nozzle, row.as_ref(), asked.ask.layer_height_mm);
        match &bead {
            Ok(_) => some_bead = true,
            Err(error) => {
                reasons.push(error.to_string());
                bead_error.get_or_insert(*error);
            }
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
        candidates.push(Candidate {
            machine,
            nozzle,
            state,
        });
    }
    match bead_error {
        Some(error) if !some_bead => Err(error.into()),
        _ => Ok(candidates),
    }
}

fn does_not_fit(words: &str, footprints: &Footprints, machine: &Machine) -> String {
    let other = Down::ALL
        .into_iter()
        .find(|down| footprints.fits(*down, &machine.space));
    match other {
        Some(down) => format!(
            "does not fit: {words}; {} it would fit (--down {down})",
            down.in_words()
        ),
        None => format!("does not fit: {words}"),
    }
}

fn bead(
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

fn limits(machine: &Machine, material: &Material, row: Option<&RowUsed>) -> Limits {
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

/// Options that lay the same beads in the same turn, walked together.
struct Group {
    turn_deg: f64,
    bead: Bead,
    perimeters: u32,
    members: Vec<usize>,
}

fn make_all(
    part: &InspectedMesh,
    asked: &Asked<'_>,
    candidates: &mut [Candidate<'_>],
    steps: &Steps,
    down: Down,
) -> Result<(), EstimateError> {
    let groups = groups(candidates);
    // Groups that share turn and layer height share their sections too.
    let mut by_sections: Vec<Vec<&Group>> = Vec::new();
    for group in &groups {
        let alike = |g: &&Group| {
            g.turn_deg == group.turn_deg && g.bead.height_mm() == group.bead.height_mm()
        };
        match by_sections
            .iter_mut()
            .find(|set| set.first().is_some_and(alike))
        {
            Some(set) => set.push(group),
            None => by_sections.push(vec![group]),
        }
    }
    let views: &[Candidate<'_>] = candidates;
    let walked: Vec<Vec<Walked>> = by_sections
        .par_iter()
        .map(|set| walk_set(part, asked, views, set, down))
        .collect::<Result<_, EstimateError>>()?;
    for walked in walked.into_iter().flatten() {
        for (member, clock) in walked.members.iter().zip(&walked.clocks) {
            let candidate = &mut candidates[*member];
            let State::Possible(possible) = &candidate.state else {
                continue;
            };
            let made = made(
                asked,
                candidate.machine,
                candidate.nozzle,
                possible,
                &walked,
                clock,
                steps,
            )?;
            candidate.state = State::Done(Box::new(made));
        }
    }
    Ok(())
}

fn groups(candidates: &[Candidate<'_>]) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for (index, candidate) in candidates.iter().enumerate() {
        let State::Possible(possible) = &candidate.state else {
            continue;
        };
        let (turn_deg, bead, perimeters) =
            (possible.pose.turn_deg, possible.bead, possible.perimeters);
        let same =
            |g: &&mut Group| g.turn_deg == turn_deg && g.bead == bead && g.perimeters == perimeters;
        match groups.iter_mut().find(same) {
            Some(group) => group.members.push(index),
            None => groups.push(Group {
                turn_deg,
                bead,
                perimeters,
                members: vec![index],
            }),
        }
    }
    groups
}

struct Walked {
    members: Vec<usize>,
    laid: Laid,
    layers: usize,
    clocks: Vec<Clock>,
}

fn walk_set(
    part: &InspectedMesh,
    asked: &Asked<'_>,
    candidates: &[Candidate<'_>],
    set: &[&Group],
    down: Down,
) -> Result<Vec<Walked>, EstimateError> {
    let (turn_deg, height_mm) = (set[0].turn_deg, set[0].bead.height_mm());
    let posed = place(&part.mesh, &Pose::new(down, turn_deg));
    let layers = Layers::of(posed.box_mm().1.z, height_mm, height_mm);
    if layers.count > MOST_LAYERS {
        return Err(EstimateError::TooManyLayers {
            height_mm: layers.part_mm,
            layers: layers.count,
            layer_mm: height_mm,
            most: MOST_LAYERS,
        });
    }
    let cut = sections(&posed, &part.topology, &layers);
    drop(posed);
    let support = match asked.overhang() {
        Some(overhang) => support_regions(&cut.regions, &layers, &overhang),
        None => vec![Region::default(); cut.regions.len()],
    };
    let walked = set.par_iter().map(|group| {
        let limits: Vec<Limits> = group
            .members
            .iter()
            .filter_map(|m| match &candidates[*m].state {
                State::Possible(possible) => Some(possible.limits),
                _ => None,
            })
            .collect();
        let way = asked.way(group.bead, group.perimeters);
        let (laid, clocks) = walk(&cut.regions, &support, &layers, &way, &limits);
        Walked {
            members: group.members.clone(),
            laid,
            layers: layers.count,
            clocks,
        }
    });
    Ok(walked.collect())
}

fn made(
    asked: &Asked<'_>,
    machine: &Machine,
    nozzle: &Nozzle,
    possible: &Possible,
    walked: &Walked,
    clock: &Clock,
    steps: &Steps,
) -> Result<Made, EstimateError> {
    let laid = &walked.laid;
    let grams = |mm3: f64| mm3 / 1000.0 * asked.material.density_g_cm3;
    let seconds = Seconds::of(clock, machine.correction);
    let (mass_g, support_g) = (grams(laid.deposited_mm3), grams(laid.support_mm3));
    let run = run(machine, nozzle, asked.material, &seconds, mass_g, support_g);
    let shop = asked.shop;
    let ledger = ledger(
        &run,
        &shop.rates,
        &shop.attended,
        shop.currency,
        asked.ask.quantity,
    )?;
    let laying_s: f64 = seconds.laying_s.iter().sum();
    let laid_mm3 = laid.deposited_mm3 + laid.support_mm3;
    Ok(Made {
        pose: possible.pose.clone(),
        bead: possible.bead,
        perimeters: possible.perimeters,
        layers: walked.layers,
        solid_fill_layers: laid.solid_fill_layers,
        bead_length_mm: clock.layers.laid_mm,
        travel_mm: clock.layers.travel_mm,
        deposited_mm3: laid.deposited_mm3,
        support_mm3: laid.support_mm3,
        detail_lost_mm3: laid.lost_mm3,
        detail_lost_at_mm: laid.lost_at_mm,
        mass_g,
        support_g,
        seconds,
        limit: clock.limit(),
        limit_share: clock.shares(),
        mean_flow_mm3_s: if laying_s > 0.0 {
            laid_mm3 / laying_s
        } else {
            0.0
        },
        limits: possible.limits,
        cusp_um: steps.cusp_um(possible.bead.height_mm()),
        greatest_cusp_um: steps.greatest_cusp_um(possible.bead.height_mm()),
        roughness_um: steps.roughness_um(possible.bead.height_mm()),
        row: possible.row.clone(),
        correction: machine.correction,
        ledger,
    })
}

impl Seconds {
    /// A clock's seconds, every part scaled by the machine's correction.
    pub(super) fn of(clock: &Clock, correction: f64) -> Seconds {
        Seconds {
            laying_s: clock.layers.laying_s.map(|s| s * correction),
            travel_s: clock.layers.travel_s * correction,
            layer_change_s: clock.layer_change_s * correction,
            cooling_s: clock.layers.stretch_s * correction,
            start_s: clock.start_s * correction,
        }
    }
}

fn option_findings(estimate: &Estimate, part: &InspectedMesh) -> Vec<Finding> {
    let mut findings = Vec::new();
    let lost = |made: &Made| {
        made.detail_lost_mm3 >= LOST_MM3
            && made.detail_lost_mm3 >= LOST_SHARE * part.mass.volume_mm3.abs()
    };
    let losing: Vec<(&PartOption, &Made)> = estimate
        .options
        .iter()
        .filter_map(|o| Some((o, o.made()?)))
        .filter(|(_, m)| lost(m))
        .collect();
    let worst = losing
        .iter()
        .max_by(|a, b| a.1.detail_lost_mm3.total_cmp(&b.1.detail_lost_mm3));
    if let Some((option, made)) = worst {
        let at = made.detail_lost_at_mm.map_or(String::new(), |[x, y, z]| {
            format!(", first near ({x:.1}, {y:.1}, {z:.1}) mm of the posed part")
        });
        findings.push(Finding {
            kind: FindingKind::DetailLost,
            count: losing.len() as u64,
            detail: format!(
                "{} of the options lose detail narrower than their bead; the most {}: {:.1} mm3 ({:.1} % of the part){at}",
                losing.len(),
                option.name(),
                made.detail_lost_mm3,
                100.0 * made.detail_lost_mm3 / part.mass.volume_mm3.abs(),
            ),
            mended: false,
        });
    }
    let tall: Vec<String> = estimate
        .options
        .iter()
        .filter(|o| o.made().is_some_and(|m| m.bead.is_tall()))
        .map(PartOption::name)
        .collect();
    if !tall.is_empty() {
        findings.push(Finding {
            kind: FindingKind::TallLayer,
            count: tall.len() as u64,
            detail: format!(
                "the layer height is above 0.8 of the nozzle on {}; beads may not bond (common practice, no source)",
                tall.join(", ")
            ),
            mended: false,
        });
    }
    findings
}
