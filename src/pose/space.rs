//! The room a machine offers.

/// The shape of a bed, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bed {
    /// A rectangle `x_mm` wide and `y_mm` deep.
    Rectangle {
        /// Width along x, mm.
        x_mm: f64,
        /// Depth along y, mm.
        y_mm: f64,
    },
    /// A round bed.
    Circle {
        /// Diameter, mm.
        diameter_mm: f64,
    },
}

/// The room a machine offers to a part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BuildSpace {
    /// Shape of the bed.
    pub bed: Bed,
    /// Usable height, mm.
    pub height_mm: f64,
    /// Strip along the bed's edge that a part must keep clear of, mm, at least 0.
    pub edge_margin_mm: f64,
}
