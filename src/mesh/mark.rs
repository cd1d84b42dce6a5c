//! Places to be marked in a drawing of the part.

use nalgebra::Point3;

use super::FindingKind;

/// A line, or a point where both ends are equal, that shows where a finding is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mark {
    /// What it shows.
    pub kind: FindingKind,
    /// Its ends, mm, as the file draws the part.
    pub ends_mm: [Point3<f64>; 2],
}

/// More marks than this say nothing more to the eye.
pub const MOST_MARKS: usize = 20_000;
