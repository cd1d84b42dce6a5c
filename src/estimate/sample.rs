//! A few layers of an option, planned again on changed contours: enough for a ratio, never for a price.

use super::asked::Asked;
use super::option::Made;
use super::table::Estimate;
use super::walk::{Way, walk};
use crate::bead::Apron;
use crate::mesh::{InspectedMesh, Mesh};
use crate::motion::Limits;
use crate::pose::{Pose, place};
use crate::section::{Layers, Region};

/// The option picked (or the first that can make the part, where none is), posed and ready to be cut here and there.
pub(super) struct Sample {
    /// The part in its pose.
    pub posed: Mesh,
    layers: Layers,
    way: Way,
    limits: Limits,
}

impl Sample {
    /// Nothing where no option can make the part.
    pub fn of(part: &InspectedMesh, asked: &Asked<'_>, estimate: &Estimate) -> Option<Sample> {
        let picked = estimate.picked().map(|(_, made)| made);
        let made: &Made =
            picked.or_else(|| estimate.options.iter().find_map(|option| option.made()))?;
        let posed = place(&part.mesh, &Pose::new(estimate.down, made.pose.turn_deg));
        let layers = asked.layers(posed.box_mm().1.z, made.bead.height_mm());
        // Layers of a sample have no neighbours to be floor or roof to.
        let way = Way {
            floor_mm: 0.0,
            roof_mm: 0.0,
            apron: Apron::default(),
            ..asked.way(made.bead, made.perimeters)
        };
        Some(Sample {
            posed,
            layers,
            way,
            limits: made.limits,
        })
    }

    /// The middles of an even choice of at most so many layers, mm.
    pub fn planes_mm(&self, most: usize) -> Vec<f64> {
        let count = self.layers.count.min(most);
        (0..count)
            .map(|i| {
                let layer = (2 * i + 1) * self.layers.count / (2 * count);
                self.layers.middle_mm(layer)
            })
            .collect()
    }

    /// Seconds of paths, travels and stretch of such layers without support, before any correction.
    pub fn seconds(&self, regions: &[Region]) -> Option<f64> {
        let sampled = Layers {
            count: regions.len(),
            ..self.layers
        };
        let support = vec![Region::default(); regions.len()];
        let (_, clocks) = walk(regions, &support, &sampled, &self.way, &[self.limits]);
        let seconds = clocks.first()?.layers.seconds();
        (seconds > 0.0).then_some(seconds)
    }
}
