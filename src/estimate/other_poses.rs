//! What another pose would do to the hours, from a sample of its layers.

use rayon::prelude::*;

use super::asked::Asked;
use super::making::MOST_LAYERS;
use super::option::Made;
use super::table::Estimate;
use super::walk::walk_watched;
use crate::mesh::InspectedMesh;
use crate::motion::Clock;
use crate::pose::{Down, Footprints, Pose, Rest, place};
use crate::section::{Layers, sections_at};

/// A pose whose hours differ by more than this share is worth a remark (design, Pose).
const WORTH_SHARE: f64 = 0.20;
/// Layers looked at in each pose.
const SAMPLE: usize = 12;

/// One sentence where another pose of the picked option takes over a fifth less or more hours, else `None`. The hours of
/// the other poses are taken from an even sample of their layers, close enough for a remark and never for a price.
pub(super) fn remark(
    part: &InspectedMesh,
    asked: &Asked<'_>,
    footprints: &Footprints<'_>,
    estimate: &Estimate,
) -> Option<String> {
    let (option, made) = estimate.picked()?;
    let machine = asked.shop.machine(&option.machine)?;
    let space = asked.space_of(machine);
    let poses: Vec<(Down, f64)> = Down::ALL
        .into_iter()
        .filter(|down| Rest::from(*down) != estimate.down)
        .filter_map(|down| Some((down, footprints.pose_fit(down, &space).ok()?.turn_deg)))
        .collect();
    let hours: Vec<(Down, f64)> = poses
        .into_par_iter()
        .filter_map(|(down, turn_deg)| {
            let clock = sampled(part, asked, made, &Pose::new(down, turn_deg))?;
            Some((down, clock * made.correction / 3600.0))
        })
        .collect();
    let here = made.seconds.hours();
    let apart = |h: f64| h / here - 1.0;
    let quickest = hours.iter().min_by(|a, b| a.1.total_cmp(&b.1))?;
    let slowest = hours.iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
    let (down, hours) = if apart(quickest.1) < -WORTH_SHARE {
        *quickest
    } else if apart(slowest.1) > WORTH_SHARE {
        *slowest
    } else {
        return None;
    };
    let word = if hours < here { "less" } else { "more" };
    Some(format!(
        "{} the same option would take about {:.0} % {word} time (about {hours:.1} h, from a sample of layers; --down {down} computes it)",
        down.in_words(),
        100.0 * apart(hours).abs(),
    ))
}

fn sampled(part: &InspectedMesh, asked: &Asked<'_>, made: &Made, pose: &Pose) -> Option<f64> {
    let posed = place(&part.mesh, pose);
    let height_mm = made.bead.height_mm();
    let whole = asked.layers(posed.box_mm().1.z, height_mm);
    if whole.count > MOST_LAYERS {
        return None;
    }
    let count = whole.count.min(SAMPLE);
    let thick_mm = whole.part_mm / count as f64;
    let planes_mm: Vec<f64> = (0..count).map(|k| (k as f64 + 0.5) * thick_mm).collect();
    let cut = sections_at(&posed, &part.topology, &planes_mm);
    // Support columns follow from how far each section reaches over the one below it, whatever lies between.
    let coarse = Layers {
        first_mm: thick_mm,
        height_mm: thick_mm,
        part_mm: whole.part_mm,
        count,
    };
    let support = asked.support(&cut.regions, &coarse);
    let way = asked.way(made.bead, made.perimeters);
    let layers = Layers {
        count,
        first_mm: height_mm,
        ..whole
    };
    let (_, clocks) = walk_watched(
        &cut.regions,
        &support,
        &layers,
        &way,
        &[made.limits],
        |_, _, _| {},
    );
    let clock: &Clock = clocks.first()?;
    let share = whole.count as f64 / count as f64;
    Some((clock.seconds() - clock.start_s) * share + clock.start_s)
}
