//! Something noticed about a part: plain data that every output shows the same way.

use nalgebra::Point3;

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
    /// Places where neighbours missed each other by a hair and were joined.
    Cracks,
    /// Openings that were closed.
    ClosedHoles,
    /// Facets that run through each other.
    SelfIntersection,
    /// Bodies that share space.
    OverlappingBodies,
    /// Bodies that repeat another.
    DoubledBodies,
    /// Hollow spaces without a way out.
    Cavities,
    /// Bodies smaller than a bead.
    LooseSpecks,
    /// Walls thinner than a bead.
    ThinWalls,
    /// Bodies that do not touch: several parts, or one?
    SeparateBodies,
    /// The unit the file was drawn in.
    Unit,
    /// The file's single-precision numbers are coarse where the part lies.
    CoarseCoordinates,
    /// Contours that did not close and were joined to the nearest loose end.
    OpenContours,
    /// Regions narrower than the narrowest bead, which can't be laid.
    DetailLost,
    /// The layer height is large for the nozzle.
    TallLayer,
    /// Layers that take so long that the next bonds badly.
    LongLayers,
    /// Walls near a step in the number of beads across them.
    BeadSteps,
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
            FindingKind::Cracks => "cracks",
            FindingKind::ClosedHoles => "closed_holes",
            FindingKind::SelfIntersection => "self_intersection",
            FindingKind::OverlappingBodies => "overlapping_bodies",
            FindingKind::DoubledBodies => "doubled_bodies",
            FindingKind::Cavities => "cavities",
            FindingKind::LooseSpecks => "loose_specks",
            FindingKind::ThinWalls => "thin_walls",
            FindingKind::SeparateBodies => "separate_bodies",
            FindingKind::Unit => "unit",
            FindingKind::CoarseCoordinates => "coarse_coordinates",
            FindingKind::OpenContours => "open_contours",
            FindingKind::DetailLost => "detail_lost",
            FindingKind::TallLayer => "tall_layer",
            FindingKind::LongLayers => "long_layers",
            FindingKind::BeadSteps => "bead_steps",
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
    /// Where the first or the worst of it is, mm, as the file draws the part.
    pub at_mm: Option<Point3<f64>>,
    /// The body it is on, from 0 in the file's order, where the part has several.
    pub body: Option<u32>,
}

impl Finding {
    /// A finding that was not mended and has no place.
    pub fn new(kind: FindingKind, count: usize, detail: impl Into<String>) -> Finding {
        Finding {
            kind,
            count: count as u64,
            detail: detail.into(),
            mended: false,
            at_mm: None,
            body: None,
        }
    }

    /// The same, put right before measuring.
    pub fn mended(mut self) -> Finding {
        self.mended = true;
        self
    }

    /// The same, with a place.
    pub fn at(mut self, at_mm: Point3<f64>) -> Finding {
        self.at_mm = Some(at_mm);
        self
    }

    /// The same, on a body.
    pub fn on_body(mut self, body: u32) -> Finding {
        self.body = Some(body);
        self
    }
}
