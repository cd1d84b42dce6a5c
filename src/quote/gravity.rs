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
        FindingKind::Cavities => 10,
        FindingKind::CoarseCoordinates => 11,
        FindingKind::ClosedHoles => 12,
        FindingKind::OverusedEdges => 13,
        FindingKind::Remark => 14,
        FindingKind::LooseSpecks => 15,
        FindingKind::DoubledBodies => 16,
        FindingKind::FlippedBodies => 17,
        FindingKind::Cracks => 18,
        FindingKind::DuplicateFacets => 19,
        FindingKind::DegenerateFacets => 20,
    };
    if finding.mended { place + 30 } else { place }
}
