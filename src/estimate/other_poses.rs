//! What another pose would do to the hours, from a sample of its layers.

use rayon::prelude::*;

use super::asked::Asked;
use super::pose_sample::PoseSample;
use super::table::Estimate;
use crate::mesh::InspectedMesh;
use crate::pose::{Down, Footprints, Pose, Rest};

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
            let sample =
                PoseSample::of(part, asked, made, &Pose::new(down, turn_deg), SAMPLE, None)?;
            Some((down, sample.seconds * made.correction / 3600.0))
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
