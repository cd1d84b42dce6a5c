//! What is laid is what was cut: the beads' lengths times their sections against the area of the layers, no jump in the
//! time of a wall that the number of its beads does not explain, and no bead outside the part.
#![allow(clippy::unwrap_used, clippy::expect_used)]

#[path = "../meshes/mod.rs"]
mod meshes;

mod inside;
mod parts;
mod volume;
mod walls;

use beadtally::bead::{Bead, Course, Exposed, LayerInput, Laying, plan_layer, route_layer};
use beadtally::section::Region;

fn laying(bead: Bead, perimeters: u32) -> Laying {
    Laying {
        bead,
        perimeters,
        fill: 1.0,
        support_fraction: 0.2,
    }
}

/// The paths of a solid layer, and its area less what is lost, mm2.
fn course(section: &Region, layer: usize, laying: &Laying) -> (Course, f64) {
    let input = LayerInput {
        section,
        support: &Region::default(),
        exposed: Exposed::Everything,
        thickness_mm: laying.bead.height_mm(),
        layer,
    };
    let plan = plan_layer(&input, laying);
    let kept_mm2 = plan.section_mm2 - plan.lost_mm2;
    (route_layer(&plan, &mut [0.0; 2]), kept_mm2)
}

/// Volume of all beads, mm3.
fn beads_mm3(course: &Course) -> f64 {
    let strokes = course.strokes.iter();
    strokes
        .map(|stroke| stroke.segments_mm.iter().sum::<f64>() * stroke.bead_mm2)
        .sum()
}
