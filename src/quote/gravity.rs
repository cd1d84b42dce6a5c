//! Which finding matters most: one order for every output.

use crate::mesh::{Finding, FindingKind};

/// The finding that matters most.
pub(super) fn worst(findings: &[Finding]) -> Option<&Finding> {
    findings.iter().min_by_key(|finding| rank(finding))
}

/// How much a finding matters, least first: what leaves the solid in doubt, what is lost of it, how rough or weak it
/// comes out; what was mended or changes no figure last. A judgement without source.
pub(super) fn rank(finding: &Finding) -> usize {
    let place = match finding.kind {
        FindingKind::Unit => 0,
        FindingKind::FlippedFacets => 1,
        FindingKind::OpenEdges => 2,
        FindingKind::OverlappingBodies => 3,
        FindingKind::SelfIntersection => 4,
        FindingKind::OpenContours => 5,
        FindingKind::SeparateBodies => 6,
        FindingKind::DetailLost => 7,
        FindingKind::ThinWalls => 8,
        FindingKind::TallLayer => 9,
        FindingKind::LongLayers => 10,
        FindingKind::Cavities => 11,
        FindingKind::CoarseCoordinates => 12,
        FindingKind::ClosedHoles => 13,
        FindingKind::BeadSteps => 14,
        FindingKind::OverusedEdges => 15,
        FindingKind::Remark => 16,
        FindingKind::LooseSpecks => 17,
        FindingKind::DoubledBodies => 18,
        FindingKind::FlippedBodies => 19,
        FindingKind::Cracks => 20,
        FindingKind::DuplicateFacets => 21,
        FindingKind::DegenerateFacets => 22,
    };
    if finding.mended { place + 30 } else { place }
}
