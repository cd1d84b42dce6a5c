//! What lies around the part in a mould: a block or a shell, a flange, keys and a pouring opening.

use super::MouldError;

/// How a mould looks from outside.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// A box around the part.
    Block,
    /// The same thickness everywhere, on a flange.
    Shell,
}

/// What a mould is to be like.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MouldAsk {
    /// Material around the part, mm, 2 to 200.
    pub wall_mm: f64,
    /// How far the flange reaches beyond the wall, mm, 0 for none, at most 500.
    pub flange_mm: f64,
    /// Block or shell.
    pub shape: Shape,
    /// Whether the halves get pins and sockets that find each other.
    pub keys: bool,
    /// Whether a closed mould gets a pouring opening.
    pub pouring: bool,
}

impl MouldAsk {
    /// The flange of a shape where none is asked for, mm: a block needs none, a shell twice its wall to be clamped by.
    pub fn usual_flange_mm(shape: Shape, wall_mm: f64) -> f64 {
        match shape {
            Shape::Block => 0.0,
            Shape::Shell => 2.0 * wall_mm,
        }
    }

    /// Refuses numbers that make no mould.
    ///
    /// # Errors
    /// [`MouldError::OutOfRange`].
    pub fn check(&self) -> Result<(), MouldError> {
        let inside = |what, given: f64, least: f64, most: f64, right| {
            if given.is_finite() && (least..=most).contains(&given) {
                Ok(())
            } else {
                Err(MouldError::OutOfRange { what, given, right })
            }
        };
        inside(
            "the mould's wall",
            self.wall_mm,
            2.0,
            200.0,
            "a wall from 2 to 200 mm",
        )?;
        inside(
            "the flange",
            self.flange_mm,
            0.0,
            500.0,
            "a flange from 0 to 500 mm, 0 for none",
        )
    }
}
