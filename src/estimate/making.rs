//! From options that are possible to what each makes: beads walked once, clocks, grams and money.

use rayon::prelude::*;

use super::EstimateError;
use super::asked::Asked;
use super::candidate::{Candidate, Possible, State};
use super::finish::Steps;
use super::option::{Made, Refusal, Seconds};
use super::profile::LayerFigures;
use super::replan::{Change, changes, replanned};
use super::table::{Amounts, run};
use super::walk::{Laid, Way, walk_watched};
use crate::bead::{Bead, Columns};
use crate::cost::ledger;
use crate::mesh::{Finding, FindingKind, InspectedMesh};
use crate::motion::{Clock, LayerTime, Limits};
use crate::pose::{Pose, Rest, place};
use crate::section::{Layers, Region, sections};
use crate::shop::{Doubt, Machine, Nozzle};

/// More layers than this is surely a wrong unit.
pub(super) const MOST_LAYERS: usize = 20_000;

/// Options that lay the same beads in the same turn, walked together.
struct Group {
    turn_deg: f64,
    bead: Bead,
    perimeters: u32,
    members: Vec<usize>,
    /// The limits of each member, each followed by its changed ones.
    limits: Vec<Vec<(Option<Change>, Limits)>>,
}

/// Walks every possible option and puts what it makes in its place. Gives the contours that did not close.
pub(super) fn make_all(
    part: &InspectedMesh,
    asked: &Asked<'_>,
    candidates: &mut [Candidate<'_>],
    steps: &Steps,
    down: Rest,
) -> Result<Gaps, EstimateError> {
    let groups = groups(candidates, &asked.process.doubt);
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
    let walked: Vec<Vec<Walked>> = by_sections
        .par_iter()
        .map(|set| walk_set(part, asked, set, down))
        .collect::<Result<_, EstimateError>>()?;
    let mut gaps = Gaps::default();
    for walked in walked.into_iter().flatten() {
        gaps = gaps.worse(walked.gaps);
        for (member, timed) in walked.members.iter().zip(&walked.timed) {
            let candidate = &mut candidates[*member];
            let State::Possible(possible) = &candidate.state else {
                continue;
            };
            if walked.laid.deposited_mm3 <= 0.0 {
                candidate.state = State::Refused(Refusal {
                    fits: true,
                    reasons: vec![format!(
                        "nothing of the part is wide enough for a bead of {} mm; is its unit right?",
                        possible.bead.width_mm()
                    )],
                });
                continue;
            }
            let made = made(
                asked,
                candidate.machine,
                candidate.nozzle,
                possible,
                &walked,
                timed,
                steps,
            )?;
            candidate.state = State::Done(Box::new(made));
        }
    }
    Ok(gaps)
}

fn groups(candidates: &[Candidate<'_>], doubt: &Doubt) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for (index, candidate) in candidates.iter().enumerate() {
        let State::Possible(possible) = &candidate.state else {
            continue;
        };
        let changed = changes(&possible.limits, possible.row.as_ref(), doubt).into_iter();
        let limits: Vec<(Option<Change>, Limits)> = std::iter::once((None, possible.limits))
            .chain(changed.map(|(change, limits)| (Some(change), limits)))
            .collect();
        let (turn_deg, bead, perimeters) =
            (possible.pose.turn_deg, possible.bead, possible.perimeters);
        let same =
            |g: &&mut Group| g.turn_deg == turn_deg && g.bead == bead && g.perimeters == perimeters;
        match groups.iter_mut().find(same) {
            Some(group) => {
                group.members.push(index);
                group.limits.push(limits);
            }
            None => groups.push(Group {
                turn_deg,
                bead,
                perimeters,
                members: vec![index],
                limits: vec![limits],
            }),
        }
    }
    groups
}

/// Contours that did not close, in the stack of layers that has the most of them.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Gaps {
    contours: usize,
    longest_mm: f64,
}

impl Gaps {
    fn worse(self, other: Gaps) -> Gaps {
        if other.contours > self.contours {
            other
        } else {
            self
        }
    }

    /// What the owner should know of them.
    pub fn finding(self) -> Option<Finding> {
        (self.contours > 0).then(|| Finding::new(FindingKind::OpenContours, self.contours, format!(
                "{} contours of the layers did not close and were joined to the nearest loose end, over {:.2} mm at the most",
                self.contours, self.longest_mm
            )).mended())
    }
}

struct Walked {
    /// The part's surface, mm2.
    surface_mm2: f64,
    gaps: Gaps,
    members: Vec<usize>,
    laid: Laid,
    layers: Layers,
    timed: Vec<Timed>,
}

/// One member of a group on the clock.
struct Timed {
    clock: Clock,
    /// The same with one input changed.
    changed: Vec<(Change, Clock)>,
    /// Its layers.
    profile: Vec<(f64, LayerTime)>,
}

fn walk_set(
    part: &InspectedMesh,
    asked: &Asked<'_>,
    set: &[&Group],
    down: Rest,
) -> Result<Vec<Walked>, EstimateError> {
    let (turn_deg, height_mm) = (set[0].turn_deg, set[0].bead.height_mm());
    let posed = place(&part.mesh, &Pose::new(down, turn_deg));
    let layers = asked.layers(posed.box_mm().1.z, height_mm);
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
    let gaps = Gaps {
        contours: cut.joined_contours,
        longest_mm: cut.longest_gap_mm,
    };
    let support = asked.support(&cut.regions, &layers);
    let walked = set.par_iter().map(|group| {
        let way = asked.way(group.bead, group.perimeters);
        let (laid, timed) = walk_group(&cut.regions, &support, &layers, &way, group);
        Walked {
            surface_mm2: part.mass.area_mm2,
            gaps,
            members: group.members.clone(),
            laid,
            layers,
            timed,
        }
    });
    Ok(walked.collect())
}

fn walk_group(
    sections: &[Region],
    support: &Columns,
    layers: &Layers,
    way: &Way,
    group: &Group,
) -> (Laid, Vec<Timed>) {
    let all: Vec<Limits> = group.limits.iter().flatten().map(|(_, l)| *l).collect();
    // Where in the list each member's own limits stand.
    let firsts: Vec<usize> = group
        .limits
        .iter()
        .scan(0, |next, of_member| {
            let first = *next;
            *next += of_member.len();
            Some(first)
        })
        .collect();
    let mut profiles: Vec<Vec<(f64, LayerTime)>> = vec![Vec::new(); firsts.len()];
    let (laid, clocks) = walk_watched(sections, support, layers, way, &all, |_, plan, times| {
        for (profile, first) in profiles.iter_mut().zip(&firsts) {
            profile.push((plan.section_mm2, times[*first]));
        }
    });
    let members = group.limits.iter().zip(&firsts).zip(profiles);
    let timed = members.map(|((of_member, first), profile)| Timed {
        clock: clocks[*first],
        changed: of_member
            .iter()
            .zip(&clocks[*first..])
            .filter_map(|((change, _), clock)| Some(((*change)?, *clock)))
            .collect(),
        profile,
    });
    (laid, timed.collect())
}

fn made(
    asked: &Asked<'_>,
    machine: &Machine,
    nozzle: &Nozzle,
    possible: &Possible,
    walked: &Walked,
    timed: &Timed,
    steps: &Steps,
) -> Result<Made, EstimateError> {
    let (laid, clock) = (&walked.laid, &timed.clock);
    let own = possible.row.as_ref().and_then(|row| row.own());
    let correction = own
        .and_then(|row| row.correction)
        .unwrap_or(machine.correction);
    let grams_correction = own.and_then(|row| row.grams_correction).unwrap_or(1.0);
    let grams = |mm3: f64| mm3 / 1000.0 * asked.material.density_g_cm3 * grams_correction;
    let seconds = Seconds::of(clock, correction);
    let (mass_g, support_g) = (grams(laid.deposited_mm3), grams(laid.support_mm3));
    let surface_mm2 = walked.surface_mm2;
    let amounts = Amounts {
        part_g: mass_g,
        support_g,
        surface_mm2,
        held_mm2: laid.held_mm2,
    };
    let run = run(machine, nozzle, asked.material, &seconds, &amounts);
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
        first_layer_mm: walked.layers.first_mm,
        layers: walked.layers.count,
        solid_fill_layers: laid.solid_fill_layers,
        bead_length_mm: clock.layers.laid_mm,
        travel_mm: clock.layers.travel_mm,
        deposited_mm3: laid.deposited_mm3,
        support_mm3: laid.support_mm3,
        detail_lost_mm3: laid.lost_mm3,
        detail_lost_mm2: laid.lost_mm2,
        detail_lost_at_mm: laid.lost_at_mm,
        mass_g,
        support_g,
        surface_mm2,
        held_mm2: laid.held_mm2,
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
        greatest_cusp_at_mm: steps.greatest_at_mm,
        roughness_um: steps.roughness_um(possible.bead.height_mm()),
        row: possible.row.clone(),
        correction,
        grams_correction,
        replanned: replanned(clock, &timed.changed, &possible.limits, correction),
        profile: timed
            .profile
            .iter()
            .enumerate()
            .map(|(k, (area_mm2, time))| {
                LayerFigures::of(
                    k,
                    &walked.layers,
                    *area_mm2,
                    time,
                    &possible.limits,
                    correction,
                )
            })
            .collect(),
        band: None,
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
