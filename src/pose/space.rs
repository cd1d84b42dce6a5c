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

impl BuildSpace {
    /// Whether a box of that size fits square on the bed, whichever of its sides is down, mm.
    pub fn holds_box(&self, size_mm: [f64; 3]) -> bool {
        (0..3).any(|up| {
            let [a, b] = [size_mm[(up + 1) % 3], size_mm[(up + 2) % 3]];
            let room = 2.0 * self.edge_margin_mm;
            let on_bed = match self.bed {
                Bed::Rectangle { x_mm, y_mm } => {
                    let (x, y) = (x_mm - room, y_mm - room);
                    (a <= x && b <= y) || (b <= x && a <= y)
                }
                Bed::Circle { diameter_mm } => a.hypot(b) <= diameter_mm - room,
            };
            on_bed && size_mm[up] <= self.height_mm
        })
    }
}
