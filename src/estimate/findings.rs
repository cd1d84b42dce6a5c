//! What is noticed about a part once its options are known.

use super::option::{Made, PartOption};
use super::table::Estimate;
use crate::mesh::{Finding, FindingKind, InspectedMesh};

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
            format!("; first near ({x:.1}, {y:.1}, {z:.1}) mm of the posed part")
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
