//! What another pose makes of an option, from an even sample of its layers: the real walk over few planes.

use nalgebra::Vector3;

use super::asked::Asked;
use super::making::MOST_LAYERS;
use super::option::Made;
use super::walk::walk_watched;
use crate::bead::{Apron, LayerPlan};
use crate::mesh::InspectedMesh;
use crate::motion::Clock;
use crate::plane::{Region, convex_hull, least_width_mm};
use crate::pose::{Pose, place};
use crate::section::{Layers, sections_at};

/// What a sample says of a pose.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct PoseSample {
    /// The whole job before any correction, s.
    pub seconds: f64,
    /// Plastic of the part, mm3.
    pub deposited_mm3: f64,
    /// Plastic of its support, mm3.
    pub support_mm3: f64,
    /// Area held up, mm2.
    pub held_mm2: f64,
    /// What the first layer of the part covers, support left out, mm2.
    pub foot_mm2: f64,
    /// The least width of the hull around all that stands on the bed, support among it, mm.
    pub foot_width_mm: f64,
    /// The mean angle between the part's beads and a direction, by length, degrees; none where no direction was named.
    pub beads_off_deg: Option<f64>,
}

impl PoseSample {
    /// Looks at `most` layers of a part in a pose, laid as `made` lays it; `along` is a direction of the part as drawn.
    /// Nothing where the pose has more layers than any estimate is made of.
    pub fn of(
        part: &InspectedMesh,
        asked: &Asked<'_>,
        made: &Made,
        pose: &Pose,
        most: usize,
        along: Option<Vector3<f64>>,
    ) -> Option<PoseSample> {
        let posed = place(&part.mesh, pose);
        let whole = asked.layers(posed.box_mm().1.z, made.bead.height_mm());
        if whole.count > MOST_LAYERS {
            return None;
        }
        // The first plane is the first layer's own, to see what stands on the bed; it is left out of all sums.
        let count = whole.count.min(most);
        let thick_mm = whole.part_mm / count as f64;
        let evenly = (0..count).map(|k| (k as f64 + 0.5) * thick_mm);
        let planes_mm: Vec<f64> = std::iter::once(whole.middle_mm(0)).chain(evenly).collect();
        let mut cut = sections_at(&posed, &part.topology, &planes_mm);
        let first = cut.regions.remove(0);
        // Support columns follow from how far each section reaches over the one below it, whatever lies between.
        let coarse = Layers {
            first_mm: thick_mm,
            height_mm: thick_mm,
            part_mm: whole.part_mm,
            count,
        };
        let support = asked.support(&cut.regions, &coarse);
        let mut way = asked.way(made.bead, made.perimeters);
        let mut limits = made.limits;
        if count < whole.count {
            // No layer of the sample is the first one, which is slower and has the apron around it.
            way.apron = Apron::default();
            limits.speeds.first_layer_mm_s = f64::INFINITY;
        }
        let layers = Layers {
            count,
            first_mm: made.bead.height_mm(),
            ..whole
        };
        let along = along.map(|direction| pose.rotation * direction.normalize());
        let mut spread = Spread::default();
        let (laid, clocks) = walk_watched(
            &cut.regions,
            &support,
            &layers,
            &way,
            &[limits],
            |_, plan, _| {
                if let Some(along) = &along {
                    spread.add(plan, along);
                }
            },
        );
        let share = whole.count as f64 / count as f64;
        let standing = support
            .open
            .first()
            .map_or(first.clone(), |columns| first.or(columns));
        Some(PoseSample {
            seconds: seconds(clocks.first()?, share),
            deposited_mm3: laid.deposited_mm3 * share,
            support_mm3: laid.support_mm3 * share,
            held_mm2: laid.held_mm2,
            foot_mm2: first.area_mm2(),
            foot_width_mm: width_mm(&standing),
            beads_off_deg: along.map(|_| spread.mean_deg()),
        })
    }
}

fn seconds(clock: &Clock, share: f64) -> f64 {
    (clock.seconds() - clock.start_s) * share + clock.start_s
}

fn width_mm(region: &Region) -> f64 {
    let points: Vec<_> = region.rings().flatten().map(Into::into).collect();
    least_width_mm(&convex_hull(points.iter().copied()))
}

/// Angles between beads and a direction, weighed by length.
#[derive(Debug, Default)]
struct Spread {
    length_mm: f64,
    angle_mm_deg: f64,
}

impl Spread {
    fn add(&mut self, plan: &LayerPlan, along: &Vector3<f64>) {
        for path in plan.islands.iter().flatten() {
            let back = path.points_mm.first().filter(|_| path.closed);
            let ends = path.points_mm.iter().skip(1).chain(back);
            for (from, to) in path.points_mm.iter().zip(ends) {
                let (x, y) = (to[0] - from[0], to[1] - from[1]);
                let length_mm = x.hypot(y);
                if length_mm > 0.0 {
                    let cosine = ((x * along.x + y * along.y) / length_mm).abs().min(1.0);
                    self.length_mm += length_mm;
                    self.angle_mm_deg += length_mm * cosine.acos().to_degrees();
                }
            }
        }
    }

    fn mean_deg(&self) -> f64 {
        if self.length_mm > 0.0 {
            self.angle_mm_deg / self.length_mm
        } else {
            0.0
        }
    }
}
