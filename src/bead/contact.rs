//! Where support comes close to the part: a gap kept free, and layers laid solid under it. Both are settings; the base model
//! has neither.

use rayon::prelude::*;

use super::raster::{Raster, raster};
use super::{Laying, Path, Role};
use crate::section::{Layers, Region};

/// How support meets the part.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Contact {
    /// Gap between support and part on every side, mm; 0 for none. Under and over the part it is rounded up to whole layers.
    pub clearance_mm: f64,
    /// Layers of support under the part that are laid solid.
    pub layers: u32,
}

/// The support columns of a stack of sections.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Columns {
    /// What is laid with the spacing of support, one set per section.
    pub open: Vec<Region>,
    /// What is laid solid under the part, one set per section; empty where no layer has any.
    pub solid: Vec<Region>,
    /// How much of the part's underside they hold up, seen from below, mm2, where that was asked.
    pub held_mm2: f64,
}

impl Columns {
    /// No support at all in so many layers.
    pub fn none(layers: usize) -> Columns {
        Columns {
            open: vec![Region::default(); layers],
            ..Columns::default()
        }
    }

    /// Takes the gap out of columns and parts what is laid solid from the rest.
    pub fn with_contact(
        columns: Vec<Region>,
        sections: &[Region],
        layers: &Layers,
        contact: &Contact,
    ) -> Columns {
        if *contact == Contact::default() {
            return Columns {
                open: columns,
                ..Columns::default()
            };
        }
        let gap = (contact.clearance_mm / layers.height_mm - 1e-9)
            .ceil()
            .max(0.0) as usize;
        let cleared: Vec<Region> = columns
            .par_iter()
            .enumerate()
            .map(|(k, column)| cleared(column, sections, k, gap, contact.clearance_mm))
            .collect();
        if contact.layers == 0 {
            return Columns {
                open: cleared,
                ..Columns::default()
            };
        }
        let (open, solid) = cleared
            .into_par_iter()
            .enumerate()
            .map(|(k, column)| {
                let first = (k + gap + 1).min(sections.len());
                let past = (first + contact.layers as usize).min(sections.len());
                let solid = column.and(&union(&sections[first..past]));
                (column.minus(&solid), solid)
            })
            .unzip();
        Columns {
            open,
            solid,
            held_mm2: 0.0,
        }
    }
}

fn union(sections: &[Region]) -> Region {
    let mut all = sections.to_vec();
    all.dedup();
    all.iter().fold(Region::default(), |so_far, s| so_far.or(s))
}

fn cleared(
    column: &Region,
    sections: &[Region],
    k: usize,
    gap: usize,
    clearance_mm: f64,
) -> Region {
    if column.is_empty() {
        return column.clone();
    }
    let past = (k + gap + 1).min(sections.len());
    let near = union(&sections[k.saturating_sub(gap)..past]);
    column.minus(&near.or(&sections[k].grow(clearance_mm)))
}

/// The lines of a layer's solid support.
pub fn contact_paths(
    solid: &Region,
    laying: &Laying,
    layer: usize,
    thickness_mm: f64,
) -> Vec<Path> {
    let spacing_mm = laying.bead.spacing_mm();
    let how = Raster {
        role: Role::Support,
        pitch_mm: spacing_mm,
        spacing_mm,
        layer,
        bead_mm2: spacing_mm * thickness_mm,
    };
    raster(solid, solid, &how)
}
