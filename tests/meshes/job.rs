//! A part brought from a mesh to a clock, without a shop.

use beadtally::bead::{Bead, Laying};
use beadtally::estimate::{Laid, Way, walk};
use beadtally::mesh::InspectedMesh;
use beadtally::motion::{Clock, Limits, Speeds};
use beadtally::pose::{Down, Pose, place};
use beadtally::section::{Layers, Region, sections};

/// A part's layers.
pub struct Cut {
    /// Where they lie.
    pub layers: Layers,
    /// Their sections.
    pub regions: Vec<Region>,
}

/// Cuts a part as drawn, after scaling it.
pub fn cut(part: &InspectedMesh, scale: f64, layer_mm: f64) -> Cut {
    let posed = place(
        &super::scaled(&part.mesh, scale),
        &Pose::new(Down::ZMinus, 0.0),
    );
    let layers = Layers::of(posed.box_mm().1.z, layer_mm, layer_mm);
    let regions = sections(&posed, &part.topology, &layers).regions;
    Cut { layers, regions }
}

/// Walks layers without support, one clock for each of `limits`.
pub fn walked(cut: &Cut, bead: Bead, perimeters: u32, limits: &[Limits]) -> (Laid, Vec<Clock>) {
    let laying = Laying {
        bead,
        perimeters,
        fill: 1.0,
        support_fraction: 0.2,
    };
    let nothing = vec![Region::default(); cut.regions.len()];
    walk(
        &cut.regions,
        &nothing,
        &cut.layers,
        &Way {
            laying,
            floor_mm: 1.0,
            roof_mm: 1.0,
            apron: Default::default(),
        },
        limits,
    )
}

/// One speed for everything that is laid.
pub fn one_speed(speed_mm_s: f64, travel_mm_s: f64) -> Speeds {
    Speeds {
        outer_mm_s: speed_mm_s,
        inner_mm_s: speed_mm_s,
        fill_mm_s: speed_mm_s,
        open_mm_s: speed_mm_s,
        sliver_mm_s: speed_mm_s,
        support_mm_s: speed_mm_s,
        travel_mm_s,
        first_layer_mm_s: speed_mm_s,
    }
}

/// Limits without overheads, retractions or a least layer time.
pub fn bare_limits(speeds: Speeds, acceleration_mm_s2: f64, melt_cap_mm3_s: Option<f64>) -> Limits {
    Limits {
        speeds,
        acceleration_mm_s2,
        corner_deviation_mm: 0.02,
        melt_cap_mm3_s,
        retraction_s: 0.0,
        least_layer_s: 0.0,
        layer_change_s: 0.0,
        start_s: 0.0,
    }
}
