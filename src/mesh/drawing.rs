//! What a file draws, as it says it: nothing is judged, mended or brought to millimetres yet.

use super::{Finding, Unit};

/// What one mesh file draws.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// The format's name, for people: "STL", "OBJ"….
    pub format: &'static str,
    /// The unit the file states; none where its format has no place for one.
    pub unit: Option<Unit>,
    /// The things to make, at least one. Each holds at least one facet.
    pub parts: Vec<DrawnPart>,
}

/// One thing to make.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawnPart {
    /// Its name in the file, where the file gives several parts.
    pub name: Option<String>,
    /// How many of it the file asks for; 1 in formats that can't say.
    pub copies: u32,
    /// Its surface, in the file's unit.
    pub surface: Surface,
    /// What was noticed while reading.
    pub notes: Vec<Finding>,
}

/// Triangles over shared points, in the file's unit. Every index is in range; coordinates are finite; equal points need not
/// be one point.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Surface {
    /// Corner points.
    pub points: Vec<[f64; 3]>,
    /// Three point indices per facet, counter-clockwise seen from outside.
    pub triangles: Vec<[u32; 3]>,
    /// Whether the points are known to be single-precision numbers of which no two are equal.
    pub distinct_singles: bool,
}

impl Drawing {
    /// A drawing of a single nameless part in a format that states no unit.
    pub(super) fn of_one(format: &'static str, surface: Surface, notes: Vec<Finding>) -> Drawing {
        Drawing {
            format,
            unit: None,
            parts: vec![DrawnPart {
                name: None,
                copies: 1,
                surface,
                notes,
            }],
        }
    }
}

/// Where a mesh comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Source {
    /// The format's name, for people.
    pub format: &'static str,
    /// The unit its numbers were taken in.
    pub unit: Unit,
    /// Whether the file states that unit; else it was assumed or given.
    pub unit_stated: bool,
    /// How many of the part the file asks for.
    pub copies: u32,
}

impl Default for Source {
    /// A mesh that was made in millimetres and comes from no file.
    fn default() -> Self {
        Source {
            format: "mesh",
            unit: Unit::Millimetre,
            unit_stated: true,
            copies: 1,
        }
    }
}
