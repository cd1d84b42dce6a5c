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
        FindingKind::FlippedFacets => 0,
        FindingKind::OpenEdges => 1,
        FindingKind::OpenContours => 2,
        FindingKind::OverusedEdges => 3,
        FindingKind::DetailLost => 4,
        FindingKind::TallLayer => 5,
        FindingKind::CoarseCoordinates => 6,
        FindingKind::Remark => 7,
        FindingKind::FlippedBodies => 8,
        FindingKind::DuplicateFacets => 9,
        FindingKind::DegenerateFacets => 10,
    };
    if finding.mended { place + 20 } else { place }
}
