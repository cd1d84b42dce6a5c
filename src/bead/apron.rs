//! What is laid on the bed around a part: a line that purges the nozzle, and a brim.

use super::{Laying, Path, Role};
use crate::section::Region;

/// What is laid before and around the first layer. The base model has none.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Apron {
    /// Length of the purge line, mm; 0 for none.
    pub purge_line_mm: f64,
    /// How far the brim reaches out, mm; 0 for none.
    pub brim_mm: f64,
}

/// The paths of an apron around what stands on the bed, the purge line first. All are laid as support: they come off.
///
/// The brim is `round(brim / s)` closed beads, spacing `s` apart, around the outer outlines; holes stay free, for a brim in a
/// hole is worth more time to take out than it holds. The purge line is one straight from rest to rest that ends at the
/// posed part's lower box corner, where the job begins, so that it costs no travel.
pub fn apron_paths(
    apron: &Apron,
    standing: &Region,
    laying: &Laying,
    thickness_mm: f64,
) -> Vec<Path> {
    let spacing_mm = laying.bead.spacing_mm();
    let path = |points_mm: Vec<[f64; 2]>, closed: bool| Path {
        role: Role::Support,
        points_mm,
        closed,
        straight_mm: None,
        bead_mm2: spacing_mm * thickness_mm,
    };
    let mut paths = Vec::new();
    if apron.purge_line_mm > 0.0 {
        paths.push(path(vec![[-apron.purge_line_mm, 0.0], [0.0, 0.0]], false));
    }
    let loops = (apron.brim_mm / spacing_mm).round() as usize;
    if loops == 0 {
        return paths;
    }
    let filled = standing.without_holes();
    for i in 0..loops {
        let outline = filled.grow((i as f64 + 0.5) * spacing_mm).without_holes();
        paths.extend(outline.rings().map(|ring| path(ring, true)));
    }
    paths
}
