//! What is noticed about a part once its options are known.

use super::option::{Made, PartOption};
use super::table::Estimate;
use crate::mesh::{Finding, FindingKind, InspectedMesh};
use crate::shop::Material;

/// Lost detail is a finding from this share of the part and this volume on (design, Perimeters).
const LOST_SHARE: f64 = 0.001;
const LOST_MM3: f64 = 1.0;

/// What the options do to the part that its owner should know.
pub(super) fn option_findings(estimate: &Estimate, part: &InspectedMesh) -> Vec<Finding> {
    let mut findings = Vec::new();
    let lost = |made: &Made| {
        made.detail_lost_mm3 >= LOST_MM3
            && made.detail_lost_mm3 >= LOST_SHARE * part.mass.volume_mm3.abs()
    };
    let losing: Vec<(&PartOption, &Made)> = estimate
        .options
        .iter()
        .filter_map(|o| Some((o, o.made()?)))
        .filter(|(_, m)| lost(m))
        .collect();
    let most = losing
        .iter()
        .max_by(|a, b| a.1.detail_lost_mm3.total_cmp(&b.1.detail_lost_mm3));
    if let Some((_, made)) = most {
        let at = made.detail_lost_at_mm.map_or(String::new(), |[x, y, z]| {
            format!(
                "; at most {:.1} mm2 in one layer, near ({x:.1}, {y:.1}, {z:.1}) mm of the posed part",
                made.detail_lost_mm2
            )
        });
        let each: Vec<String> = losing
            .iter()
            .map(|(option, made)| {
                let share = 100.0 * made.detail_lost_mm3 / part.mass.volume_mm3.abs();
                format!(
                    "{} {:.1} mm3 ({share:.1} %)",
                    option.name(),
                    made.detail_lost_mm3
                )
            })
            .collect();
        findings.push(Finding::new(
            FindingKind::DetailLost,
            losing.len(),
            format!(
                "detail narrower than the bead is lost and not charged: {}{at}",
                each.join(", ")
            ),
        ));
    }
    let tall: Vec<String> = estimate
        .options
        .iter()
        .filter(|o| o.made().is_some_and(|m| m.bead.is_tall()))
        .map(PartOption::name)
        .collect();
    if !tall.is_empty() {
        findings.push(Finding::new(FindingKind::TallLayer, tall.len(), format!(
                "the layer height is above 0.8 of the nozzle on {}; beads may not bond (common practice, no source)",
                tall.join(", ")
            )));
    }
    findings
}

/// Where layers of the option picked take longer than the plastic allows. Of the others their advice tells.
pub(super) fn long_layers(estimate: &Estimate, material: &Material) -> Option<Finding> {
    let (option, made) = estimate.picked()?;
    let (count, sentence) = too_long(made, material)?;
    let detail = format!("{}: {sentence}", option.name());
    Some(Finding::new(FindingKind::LongLayers, count, detail))
}

/// How many layers take longer than the plastic allows, and in words; `None` where none does. The first layer lies on the bed,
/// which is warm.
pub(super) fn too_long(made: &Made, material: &Material) -> Option<(usize, String)> {
    let most_s = material.most_layer_s?;
    let bonded = made.profile.iter().skip(1);
    let over = bonded.filter(|layer| layer.seconds > most_s);
    let worst = over
        .clone()
        .max_by(|a, b| a.seconds.total_cmp(&b.seconds))?;
    let count = over.count();
    Some((
        count,
        format!(
            "{count} layers take longer than the {most_s:.0} s of {} (shop file), up to {:.0} s at {:.1} mm: what lies below has cooled, and \
             the next layer bonds less",
            material.id, worst.seconds, worst.top_mm
        ),
    ))
}
