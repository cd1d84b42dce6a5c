//! The copies of a bed, each walked alone at its turn, and the bed put together from them.

use rayon::prelude::*;

use super::asked::Asked;
use super::bed_clock::{Copy, bed_clock};
use super::bedfuls::BedMade;
use super::option::{Made, Seconds};
use super::walk::{Laid, Way, walk_watched};
use crate::bead::{Apron, Columns, Role};
use crate::bedful::{Bedful, Beds};
use crate::cost::Risk;
use crate::mesh::InspectedMesh;
use crate::motion::{LayerTime, Limit, Limits};
use crate::plane::Region;
use crate::pose::{Pose, Rest, place};
use crate::section::{Layers, sections};

/// A part as it stands on a bed.
#[derive(Clone, Copy)]
pub(super) struct Standing<'a> {
    pub mesh: &'a InspectedMesh,
    pub down: Rest,
}

/// What one copy of a part at one turn lays, alone and without stretch.
struct CopyWalked {
    part: usize,
    turn_deg: f64,
    layers: Vec<LayerTime>,
    laid: Laid,
}

/// Every part at every turn it has on the beds.
pub(super) struct Walked {
    copies: Vec<CopyWalked>,
    /// What the purge line adds to the first layer.
    purge: LayerTime,
    density_g_mm3: f64,
}

/// A bed on the clock.
pub(super) struct BedWalked {
    pub copies: u32,
    pub seconds: Seconds,
    pub limit: Limit,
    pub mass_g: f64,
    pub support_g: f64,
    pub surface_mm2: f64,
    pub held_mm2: f64,
}

impl BedWalked {
    pub fn made(self, times: u32, risk: Risk) -> BedMade {
        BedMade {
            copies: self.copies,
            times,
            seconds: self.seconds,
            limit: self.limit,
            mass_g: self.mass_g,
            support_g: self.support_g,
            risk,
        }
    }
}

impl Walked {
    pub fn of(parts: &[Standing<'_>], asked: &Asked<'_>, beds: &Beds, alone: &[&Made]) -> Walked {
        let mut turns: Vec<(usize, f64)> = Vec::new();
        for placed in beds.kinds.iter().flat_map(|(bed, _)| &bed.placements) {
            let turn = (placed.item, placed.turn_deg);
            if !turns.contains(&turn) {
                turns.push(turn);
            }
        }
        let walked: Vec<(CopyWalked, LayerTime)> = turns
            .par_iter()
            .map(|(part, turn_deg)| walked(&parts[*part], *part, *turn_deg, asked, alone[*part]))
            .collect();
        Walked {
            purge: walked.first().map(|(_, purge)| *purge).unwrap_or_default(),
            copies: walked.into_iter().map(|(copy, _)| copy).collect(),
            density_g_mm3: asked.material.density_g_cm3 / 1000.0,
        }
    }

    pub fn bed(&self, bed: &Bedful, alone: &[&Made]) -> BedWalked {
        let mut copies = Vec::new();
        let (mut part_mm3, mut support_mm3) = (0.0, 0.0);
        let (mut surface_mm2, mut held_mm2) = (0.0, 0.0);
        // All parts of a bed share machine, nozzle, plastic and their settings.
        let one = alone[0];
        for placed in &bed.placements {
            let found = self
                .copies
                .iter()
                .find(|c| c.part == placed.item && c.turn_deg == placed.turn_deg);
            let (Some(copy), Some((at_mm, _))) = (found, placed.outline.box_mm()) else {
                continue;
            };
            part_mm3 += copy.laid.deposited_mm3;
            support_mm3 += copy.laid.support_mm3;
            surface_mm2 += alone[copy.part].surface_mm2;
            held_mm2 += copy.laid.held_mm2;
            copies.push(Copy {
                layers: &copy.layers,
                at_mm,
            });
        }
        let clock = bed_clock(&copies, &self.purge, &one.limits);
        let thickness_mm = one.first_layer_mm;
        let purge_mm = self.purge.laid_mm[Role::Support.index()];
        support_mm3 += purge_mm * one.bead.spacing_mm() * thickness_mm;
        let grams = |mm3: f64| mm3 * self.density_g_mm3 * one.grams_correction;
        BedWalked {
            copies: bed.copies(),
            seconds: Seconds::of(&clock, one.correction),
            limit: clock.limit(),
            mass_g: grams(part_mm3),
            support_g: grams(support_mm3),
            surface_mm2,
            held_mm2,
        }
    }
}

fn walked(
    part: &Standing<'_>,
    index: usize,
    turn_deg: f64,
    asked: &Asked<'_>,
    alone: &Made,
) -> (CopyWalked, LayerTime) {
    let posed = place(&part.mesh.mesh, &Pose::new(part.down, turn_deg));
    let layers = asked.layers(posed.box_mm().1.z, alone.bead.height_mm());
    let cut = sections(&posed, &part.mesh.topology, &layers).regions;
    let support = asked.support(&cut, &layers);
    let with_line = asked.way(alone.bead, alone.perimeters);
    let way = Way {
        apron: Apron {
            purge_line_mm: 0.0,
            ..with_line.apron
        },
        ..with_line
    };
    let limits = Limits {
        least_layer_s: 0.0,
        ..alone.limits
    };
    let mut times = Vec::new();
    let (laid, _) = walk_watched(&cut, &support, &layers, &way, &[limits], |_, _, of| {
        times.extend(of.first())
    });
    let purge = if with_line.apron.purge_line_mm > 0.0 && !cut.is_empty() {
        let first = first_layer(&cut[..1], &support, &layers, &with_line, &limits);
        let without = times.first().copied().unwrap_or_default();
        more(&first, &without)
    } else {
        LayerTime::default()
    };
    let copy = CopyWalked {
        part: index,
        turn_deg,
        layers: times,
        laid,
    };
    (copy, purge)
}

fn first_layer(
    cut: &[Region],
    support: &Columns,
    layers: &Layers,
    way: &Way,
    limits: &Limits,
) -> LayerTime {
    let layers = Layers {
        count: 1,
        ..*layers
    };
    let mut first = LayerTime::default();
    walk_watched(cut, support, &layers, way, &[*limits], |_, _, of| {
        first = of.first().copied().unwrap_or_default();
    });
    first
}

/// What the first layer with a purge line has beyond the one without.
fn more(with: &LayerTime, without: &LayerTime) -> LayerTime {
    let role = Role::Support.index();
    let mut line = LayerTime::default();
    line.laying_s[role] = (with.laying_s[role] - without.laying_s[role]).max(0.0);
    line.laid_mm[role] = (with.laid_mm[role] - without.laid_mm[role]).max(0.0);
    line.melt_held_s = (with.melt_held_s - without.melt_held_s).max(0.0);
    line.bead_mm3 = (with.bead_mm3 - without.bead_mm3).max(0.0);
    line
}
