//! All paths of one layer, not yet ordered.

use super::cover::Exposed;
use super::perimeter::{StepBead, lengthwise, step};
use super::raster::{Raster, raster};
use super::{Bead, Path, Role};
use crate::section::Region;

/// What is narrower than this many spacings is filled lengthwise (design, Fill).
const LENGTHWISE_SPACINGS: f64 = 12.0;

/// How a part is laid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Laying {
    /// The bead.
    pub bead: Bead,
    /// Number of perimeters, at least 1.
    pub perimeters: u32,
    /// Fraction of solid in open fill, above 0; 1 is solid.
    pub fill: f64,
    /// Support lines lie `spacing / support_fraction` apart, above 0, at most 1.
    pub support_fraction: f64,
}

/// What a layer's paths follow from. Two layers with equal inputs have equal paths.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerInput<'a> {
    /// The section.
    pub section: &'a Region,
    /// Support columns in this layer.
    pub support: &'a Region,
    /// What of the section is floor or roof; not looked at where the fill is solid.
    pub exposed: Exposed,
    /// Thickness of the layer, mm.
    pub thickness_mm: f64,
    /// Layer number, 0 at the bed; only whether it is even matters.
    pub layer: usize,
}

/// The paths of a layer.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LayerPlan {
    /// Purge line and brim, laid before all else.
    pub apron: Vec<Path>,
    /// Support.
    pub support: Vec<Path>,
    /// Per island (connected piece of the section) its paths.
    pub islands: Vec<Vec<Path>>,
    /// Area of the section, mm2.
    pub section_mm2: f64,
    /// What of it can't be laid, mm2.
    pub lost_mm2: f64,
    /// Where most of that lies, mm; `None` where nothing is lost.
    pub lost_at_mm: Option<[f64; 2]>,
    /// What of it is open fill, mm2.
    pub open_mm2: f64,
    /// All fill, open fill among it, mm2.
    pub fill_mm2: f64,
}

/// Lays one layer.
pub fn plan_layer(input: &LayerInput<'_>, laying: &Laying) -> LayerPlan {
    let mut plan = LayerPlan {
        section_mm2: input.section.area_mm2(),
        ..LayerPlan::default()
    };
    let bead_mm2 = laying.bead.spacing_mm() * input.thickness_mm;
    if !input.support.is_empty() {
        let how = Raster {
            role: Role::Support,
            pitch_mm: laying.bead.spacing_mm() / laying.support_fraction,
            spacing_mm: laying.bead.spacing_mm(),
            layer: input.layer,
            bead_mm2,
        };
        plan.support = raster(input.support, input.support, &how);
    }
    let mut worst_mm2 = 0.0;
    for island in input.section.pieces() {
        let laid = lay_island(&island, input, laying);
        if laid.lost_mm2 > worst_mm2 {
            worst_mm2 = laid.lost_mm2;
            plan.lost_at_mm = island.outer_points_mm().next();
        }
        plan.lost_mm2 += laid.lost_mm2;
        plan.open_mm2 += laid.open_mm2;
        plan.fill_mm2 += laid.fill_mm2;
        plan.islands.push(laid.paths);
    }
    plan
}

struct Island {
    paths: Vec<Path>,
    lost_mm2: f64,
    open_mm2: f64,
    fill_mm2: f64,
}

fn lay_island(island: &Region, input: &LayerInput<'_>, laying: &Laying) -> Island {
    let bead = &laying.bead;
    let outermost = step(island, &StepBead::outermost(bead, input.thickness_mm));
    let mut laid = Island {
        paths: outermost.paths,
        lost_mm2: outermost.lost_mm2,
        open_mm2: 0.0,
        fill_mm2: 0.0,
    };
    let mut rest = outermost.rest;
    let behind = StepBead::behind(bead, input.thickness_mm, Role::Inner);
    for _ in 1..laying.perimeters {
        if rest.is_empty() {
            return laid;
        }
        let next = step(&rest, &behind);
        laid.paths.extend(next.paths);
        rest = next.rest;
    }
    fill(&rest, input, laying, &mut laid);
    laid
}

/// What is narrower than twelve spacings goes lengthwise, the rest is raster, part of it open.
fn fill(inside: &Region, input: &LayerInput<'_>, laying: &Laying, laid: &mut Island) {
    if inside.is_empty() {
        return;
    }
    let spacing_mm = laying.bead.spacing_mm();
    laid.fill_mm2 += inside.area_mm2();
    let radius_mm = LENGTHWISE_SPACINGS / 2.0 * spacing_mm;
    let core = inside.offset_unthinned(-radius_mm);
    // Where every side survives the way in, the way out leads back, and nothing is narrow.
    let (wide, narrow) = if core.has_the_sides_of(inside) {
        (inside.clone(), Region::default())
    } else {
        let wide = core.grow(radius_mm);
        let narrow = inside.minus(&wide);
        (wide, narrow)
    };
    let lengthwise_bead = StepBead::behind(&laying.bead, input.thickness_mm, Role::Fill);
    for piece in narrow.pieces() {
        laid.paths.extend(lengthwise(&piece, &lengthwise_bead));
    }
    if wide.is_empty() {
        return;
    }
    // Opening with mitred corners reaches beyond a rounded corner; the raster must not.
    let wide = if narrow.is_empty() {
        inside.clone()
    } else {
        wide.and(inside)
    };
    let (solid, open) = solid_and_open(wide, input, laying);
    let how = |role, pitch_mm| Raster {
        role,
        pitch_mm,
        spacing_mm,
        layer: input.layer,
        bead_mm2: spacing_mm * input.thickness_mm,
    };
    laid.paths
        .extend(raster(&solid, inside, &how(Role::Fill, spacing_mm)));
    if !open.is_empty() {
        laid.open_mm2 += open.area_mm2();
        laid.paths.extend(raster(
            &open,
            inside,
            &how(Role::Open, spacing_mm / laying.fill),
        ));
    }
}

fn solid_and_open(wide: Region, input: &LayerInput<'_>, laying: &Laying) -> (Region, Region) {
    if laying.fill >= 1.0 {
        return (wide, Region::default());
    }
    match &input.exposed {
        Exposed::Everything => (wide, Region::default()),
        // Solid specks narrower than a bead stay open.
        Exposed::Only(exposed) => {
            let solid = wide
                .and(exposed)
                .open(laying.bead.spacing_mm() / 2.0)
                .and(&wide);
            let open = wide.minus(&solid);
            (solid, open)
        }
    }
}
