//! From a posed part to a clock: sections, beads, order and motion, layer by layer.
//!
//! Beads and their order do not depend on a machine's limits, so options that lay the same beads are walked together and
//! timed each with its own limits. Layers are planned and timed in parallel, in runs short enough to keep memory small;
//! the order of paths follows the nozzle from layer to layer and is found one after the other. All sums are taken in the
//! order of the layers, so one thread or many give the same bytes.

use std::sync::Arc;

use rayon::prelude::*;

use crate::bead::{
    Apron, Columns, Course, Exposed, LayerInput, LayerPlan, Laying, Role, apron_paths,
    contact_paths, exposed, plan_layer, route_layer,
};
use crate::motion::{Clock, LayerTime, Limits, time_layer};
use crate::section::{Layers, Region};

/// Layers planned at once.
const RUN: usize = 32;

/// How a part is walked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Way {
    /// Beads, perimeters and fill.
    pub laying: Laying,
    /// Solid thickness under open fill, mm.
    pub floor_mm: f64,
    /// Solid thickness over open fill, mm.
    pub roof_mm: f64,
    /// What is laid around the part on the bed.
    pub apron: Apron,
}

/// What a walk found, the same for every machine that lays these beads.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Laid {
    /// Plastic of the part: (section - lost) x height, open fill at its fraction, mm3.
    pub deposited_mm3: f64,
    /// Plastic of the support, mm3.
    pub support_mm3: f64,
    /// What can't be laid, mm3.
    pub lost_mm3: f64,
    /// The most that can't be laid in one layer, mm2.
    pub lost_mm2: f64,
    /// Where that is in the posed part, mm: on the piece of that layer which loses most.
    pub lost_at_mm: Option<[f64; 3]>,
    /// How much of the part's underside is held up by support, seen from below, mm2.
    pub held_mm2: f64,
    /// Layers with fill of which at most 1 % is open.
    pub solid_fill_layers: usize,
    /// Volume of the layer stack, mm3: sum of section areas times thickness, before anything is lost; what the sections
    /// themselves can be held against the mesh by.
    pub section_mm3: f64,
}

/// Walks a part once and times it under each of `limits`.
///
/// `support` holds the support columns of each section, empty ones where nothing is held up.
pub fn walk(
    sections: &[Region],
    support: &[Region],
    layers: &Layers,
    way: &Way,
    limits: &[Limits],
) -> (Laid, Vec<Clock>) {
    let columns = Columns {
        open: support.to_vec(),
        ..Columns::default()
    };
    walk_watched(sections, &columns, layers, way, limits, |_, _, _| {})
}

/// As [`walk`], with support that may meet the part in solid layers; `watch` is shown every layer in order: its number, its
/// paths, and its time under each of `limits`.
pub fn walk_watched(
    sections: &[Region],
    support: &Columns,
    layers: &Layers,
    way: &Way,
    limits: &[Limits],
    mut watch: impl FnMut(usize, &LayerPlan, &[LayerTime]),
) -> (Laid, Vec<Clock>) {
    let mut laid = Laid {
        held_mm2: support.held_mm2,
        ..Laid::default()
    };
    let mut clocks: Vec<Clock> = limits.iter().map(Clock::started).collect();
    let mut nozzle_mm = [0.0; 2];
    let mut earlier = Vec::new();
    let all: Vec<usize> = (0..sections.len()).collect();
    for run in all.chunks(RUN) {
        let inputs: Vec<LayerInput<'_>> = run
            .par_iter()
            .map(|k| input(sections, &support.open, layers, way, *k))
            .collect();
        let plans = plan_run(&inputs, &way.laying, &earlier);
        let courses: Vec<Course> = plans
            .iter()
            .zip(run)
            .map(|(plan, k)| {
                let beyond = with_settings(plan, sections, support, layers, way, *k);
                route_layer(beyond.as_ref().unwrap_or(plan), &mut nozzle_mm)
            })
            .collect();
        let times: Vec<Vec<LayerTime>> = run
            .par_iter()
            .zip(&courses)
            .map(|(k, course)| {
                limits
                    .iter()
                    .map(|l| time_layer(course, l, *k == 0))
                    .collect()
            })
            .collect();
        for ((k, plan), layer_times) in run.iter().zip(&plans).zip(&times) {
            laid.add(plan, layers, *k, way.laying.fill);
            watch(*k, plan, layer_times);
            for ((clock, time), limits) in clocks.iter_mut().zip(layer_times).zip(limits) {
                clock.add(time, limits);
            }
            laid.support_mm3 +=
                support_mm3(layer_times.first(), &way.laying, layers.thickness_mm(*k));
        }
        earlier = inputs.into_iter().zip(plans).rev().take(2).collect();
    }
    (laid, clocks)
}

/// A layer's plan with its apron and its solid support, where it has any.
fn with_settings(
    plan: &LayerPlan,
    sections: &[Region],
    support: &Columns,
    layers: &Layers,
    way: &Way,
    k: usize,
) -> Option<LayerPlan> {
    let thickness_mm = layers.thickness_mm(k);
    let solid = support.solid.get(k).filter(|solid| !solid.is_empty());
    let apron = (k == 0 && way.apron != Apron::default()).then(|| {
        let standing = sections[0].or(&support.open[0]);
        let standing = solid.map_or(standing.clone(), |solid| standing.or(solid));
        apron_paths(&way.apron, &standing, &way.laying, thickness_mm)
    });
    if solid.is_none() && apron.is_none() {
        return None;
    }
    let mut plan = plan.clone();
    plan.apron = apron.unwrap_or_default();
    if let Some(solid) = solid {
        plan.support
            .extend(contact_paths(solid, &way.laying, k, thickness_mm));
    }
    Some(plan)
}

fn support_mm3(time: Option<&LayerTime>, laying: &Laying, thickness_mm: f64) -> f64 {
    let laid_mm = time.map_or(0.0, |t| t.laid_mm[Role::Support.index()]);
    laid_mm * laying.bead.spacing_mm() * thickness_mm
}

fn input<'a>(
    sections: &'a [Region],
    support: &'a [Region],
    layers: &Layers,
    way: &Way,
    k: usize,
) -> LayerInput<'a> {
    let layers_in = |mm: f64| (mm / layers.height_mm - 1e-9).ceil().max(0.0) as usize;
    let exposed = if way.laying.fill < 1.0 {
        exposed(sections, k, layers_in(way.floor_mm), layers_in(way.roof_mm))
    } else {
        Exposed::Everything
    };
    LayerInput {
        section: &sections[k],
        support: &support[k],
        exposed,
        thickness_mm: layers.thickness_mm(k),
        layer: k,
    }
}

/// Plans a run of layers. A layer like one of the two before it has the same paths (upright walls make most layers so),
/// which are then planned once.
fn plan_run(
    inputs: &[LayerInput<'_>],
    laying: &Laying,
    earlier: &[(LayerInput<'_>, Arc<LayerPlan>)],
) -> Vec<Arc<LayerPlan>> {
    let same_as: Vec<Option<usize>> = (0..inputs.len())
        .map(|i| (i >= 2 && same_paths(&inputs[i], &inputs[i - 2])).then(|| i - 2))
        .collect();
    let mut plans: Vec<Option<Arc<LayerPlan>>> = inputs
        .par_iter()
        .zip(&same_as)
        .map(|(input, same)| {
            if same.is_some() {
                return None;
            }
            let known = earlier.iter().find(|(before, _)| same_paths(input, before));
            Some(known.map_or_else(
                || Arc::new(plan_layer(input, laying)),
                |(_, plan)| plan.clone(),
            ))
        })
        .collect();
    for i in 0..plans.len() {
        if let Some(earlier) = same_as[i] {
            plans[i] = plans[earlier].clone();
        }
    }
    plans.into_iter().flatten().collect()
}

fn same_paths(a: &LayerInput<'_>, b: &LayerInput<'_>) -> bool {
    a.layer % 2 == b.layer % 2
        && a.thickness_mm == b.thickness_mm
        && a.section == b.section
        && a.support == b.support
        && a.exposed == b.exposed
}

impl Laid {
    fn add(&mut self, plan: &LayerPlan, layers: &Layers, k: usize, fill: f64) {
        let thickness_mm = layers.thickness_mm(k);
        let solid_mm2 = plan.section_mm2 - plan.lost_mm2 - plan.open_mm2 * (1.0 - fill);
        self.deposited_mm3 += solid_mm2 * thickness_mm;
        self.section_mm3 += plan.section_mm2 * thickness_mm;
        if plan.fill_mm2 > 0.0 && plan.open_mm2 <= 0.01 * plan.fill_mm2 {
            self.solid_fill_layers += 1;
        }
        let lost_mm3 = plan.lost_mm2 * thickness_mm;
        self.lost_mm3 += lost_mm3;
        if plan.lost_mm2 > self.lost_mm2 {
            self.lost_mm2 = plan.lost_mm2;
            self.lost_at_mm = plan.lost_at_mm.map(|[x, y]| [x, y, layers.middle_mm(k)]);
        }
    }
}
