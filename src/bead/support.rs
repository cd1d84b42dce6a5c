//! What must be held up, and the columns that do it.

use crate::section::{Layers, Region};

/// When a downward face needs holding up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Overhang {
    /// A face that leans more than this from the vertical is held up, degrees, above 0 and below 90.
    pub angle_deg: f64,
    /// Spans up to this long, held on both sides, are not, mm; 0 holds up all (the base model).
    pub free_span_mm: f64,
    /// Cross-holes up to this diameter are not, mm; 0 holds up all (the base model).
    pub free_hole_mm: f64,
}

/// Gaps this close to the allowed span count as within it, mm: contours are thinned that far.
const SPAN_SLACK_MM: f64 = 0.02;

/// What reaches out is grown back this much further than it was cut, mm, so that thinning leaves no film between a step
/// and the layer it starts from.
const FILM_MM: f64 = 0.05;

/// Columns are thinned to this, mm: coarser than the part, whose surface they must not touch anyway.
const COLUMN_THIN_MM: f64 = 0.1;
/// Every so many layers gaps in the columns narrower than this are closed and what is narrower is dropped, mm.
const COLUMN_LEAST_MM: f64 = 0.3;
const COLUMN_TIDY_LAYERS: usize = 8;

/// The support of every layer: columns under what must be held up, down to the bed or to the part.
pub fn support_regions(sections: &[Region], layers: &Layers, overhang: &Overhang) -> Vec<Region> {
    support_and_held(sections, layers, overhang).0
}

/// As [`support_regions`], and how much of the part's underside they hold up, seen from below, mm2.
pub fn support_and_held(
    sections: &[Region],
    layers: &Layers,
    overhang: &Overhang,
) -> (Vec<Region>, f64) {
    let mut columns = vec![Region::default(); sections.len()];
    let steps = steps_to_hold(sections, layers, overhang);
    for k in (0..sections.len().saturating_sub(1)).rev() {
        columns[k] = column(
            &columns[k + 1],
            &steps[k + 1],
            &sections[k],
            sections[k] == sections[k + 1],
        );
        if k % COLUMN_TIDY_LAYERS == 0 && columns[k] != columns[k + 1] {
            columns[k] = tidy(&columns[k]).minus(&sections[k]);
        }
    }
    let held_mm2 = steps.iter().map(Region::area_mm2).sum();
    (columns, held_mm2)
}

fn tidy(column: &Region) -> Region {
    let half_mm = COLUMN_LEAST_MM / 2.0;
    column
        .offset_unthinned(half_mm)
        .offset_unthinned(-2.0 * half_mm)
        .offset_unthinned(half_mm)
        .thinned_to(COLUMN_THIN_MM)
}

/// The column through a layer from the one above it and the step it must hold there. A step overlaps the column a little,
/// so that no film parts the two, and the outline is thinned, or a tall column would gather a corner from every layer.
fn column(above: &Region, step: &Region, section: &Region, upright: bool) -> Region {
    if step.is_empty() && (above.is_empty() || upright) {
        return above.clone();
    }
    let joined = if step.is_empty() {
        above.clone()
    } else {
        above.or(&step.offset_unthinned(FILM_MM / 2.0))
    };
    let free = joined.minus(section);
    free.thinned_to(COLUMN_THIN_MM)
}

/// What each layer has over nothing and must be held up by the layer below: where it reaches out further than
/// `h tan(angle)`, the whole step there.
fn steps_to_hold(sections: &[Region], layers: &Layers, overhang: &Overhang) -> Vec<Region> {
    use rayon::prelude::*;
    (0..sections.len())
        .into_par_iter()
        .map(|k| {
            if k == 0 || sections[k] == sections[k - 1] {
                return Region::default();
            }
            let reach_mm = layers.thickness_mm(k) * overhang.angle_deg.to_radians().tan();
            let step = step_to_hold(&sections[k], &sections[k - 1], reach_mm);
            if step.is_empty() {
                step
            } else {
                without_free(step, sections, layers, k, overhang)
            }
        })
        .collect()
}

fn step_to_hold(section: &Region, below: &Region, reach_mm: f64) -> Region {
    let over = section.minus(&below.grow(reach_mm));
    if over.is_empty() {
        return over;
    }
    over.grow(reach_mm + FILM_MM).and(section).minus(below)
}

/// Takes away what holds itself: a span across a gap that closes at this layer, and the roof of a small cross-hole.
fn without_free(
    step: Region,
    sections: &[Region],
    layers: &Layers,
    k: usize,
    overhang: &Overhang,
) -> Region {
    let below = &sections[k - 1];
    let mut left = step;
    if overhang.free_span_mm > 0.0 {
        let spanned = gaps_up_to(below, overhang.free_span_mm).and(&sections[k]);
        // A gap still open in this layer is not spanned: its sides end in the air.
        let closed: Vec<Region> = spanned
            .pieces()
            .into_iter()
            .filter(|piece| is_held_on_both_sides(piece, &sections[k], below))
            .collect();
        for piece in closed {
            left = left.minus(&piece.grow(SPAN_SLACK_MM));
        }
    }
    if overhang.free_hole_mm > 0.0 && !left.is_empty() {
        left = left.minus(&roofs_of_small_holes(
            &left,
            sections,
            layers,
            k,
            overhang.free_hole_mm,
        ));
    }
    left
}

/// Gaps between solid and solid at most `width_mm` wide.
fn gaps_up_to(section: &Region, width_mm: f64) -> Region {
    section.close(width_mm / 2.0 + SPAN_SLACK_MM).minus(section)
}

/// Whether a spanning piece closes its gap: outside the part below, nothing of the gap around it is left open above.
fn is_held_on_both_sides(piece: &Region, section: &Region, below: &Region) -> bool {
    let around = piece.grow(4.0 * SPAN_SLACK_MM);
    let open_beside = around.minus(section).minus(below);
    // Along the open ends of a groove the span borders on air; across it, it borders on the part below.
    let held_mm2 = around.minus(piece).and(below).area_mm2();
    held_mm2 > open_beside.area_mm2()
}

/// The parts of a step above a gap that stays at most `diameter_mm` wide all the way down to solid, at most that deep.
fn roofs_of_small_holes(
    step: &Region,
    sections: &[Region],
    layers: &Layers,
    k: usize,
    diameter_mm: f64,
) -> Region {
    let depth = (diameter_mm / layers.height_mm).ceil() as usize + 1;
    let mut falling = step.clone();
    let mut landed = Region::default();
    for below in sections[k.saturating_sub(depth)..k].iter().rev() {
        let on_solid = falling.and(below);
        if !on_solid.is_empty() {
            landed = landed.or(&on_solid);
        }
        falling = falling.minus(below).and(&gaps_up_to(below, diameter_mm));
        if falling.is_empty() {
            break;
        }
    }
    landed
}
