//! Something noticed about a part: plain data that every output shows the same way.

/// What a finding is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FindingKind {
    /// Edges used by one facet only: the surface has holes.
    OpenEdges,
    /// Edges used by more than two facets.
    OverusedEdges,
    /// Facets that ran against their neighbours and were turned.
    FlippedFacets,
    /// Whole bodies that were inside out and were turned.
    FlippedBodies,
    /// Facets without area.
    DegenerateFacets,
    /// Facets that repeat another facet.
    DuplicateFacets,
    /// The file's single-precision numbers are coarse where the part lies.
    CoarseCoordinates,
    /// Contours that did not close and were joined to the nearest loose end.
    OpenContours,
    /// Regions narrower than the narrowest bead, which can't be laid.
    DetailLost,
    /// The layer height is large for the nozzle.
    TallLayer,
    /// Some other remark about the part or the answer.
    Remark,
}

impl FindingKind {
    /// Its name in JSON.
    pub fn name(self) -> &'static str {
        match self {
            FindingKind::OpenEdges => "open_edges",
            FindingKind::OverusedEdges => "overused_edges",
            FindingKind::FlippedFacets => "flipped_facets",
            FindingKind::FlippedBodies => "flipped_bodies",
            FindingKind::DegenerateFacets => "degenerate_facets",
            FindingKind::DuplicateFacets => "duplicate_facets",
            FindingKind::CoarseCoordinates => "coarse_coordinates",
            FindingKind::OpenContours => "open_contours",
            FindingKind::DetailLost => "detail_lost",
            FindingKind::TallLayer => "tall_layer",
            FindingKind::Remark => "remark",
        }
    }
}

/// Something noticed about a part.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// What it is about.
    pub kind: FindingKind,
    /// How many times it occurs.
    pub count: u64,
    /// One sentence: where, and what it does to the figures.
    pub detail: String,
    /// Whether it was put right before measuring.
    pub mended: bool,
}
