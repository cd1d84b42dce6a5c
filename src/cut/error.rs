//! Why a part can't be cut.

use super::Axis;
use crate::mesh::MeshError;

/// Why a part can't be cut. The part's name is put before the sentence by whoever has it.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CutError {
    /// The surface has gaps, so what is solid on either side of a plane is not known.
    #[error(
        "the mesh is not closed, so it can't be cut into solid pieces; ask for the part as one closed solid"
    )]
    NotClosed,
    /// A plane that is no number.
    #[error("a cut at {at_mm} mm is no place; give a finite position")]
    NoPlace {
        /// What was given.
        at_mm: f64,
    },
    /// The plane can't be capped here.
    #[error(
        "the cut across {axis} at {at_mm:.3} mm can't be closed: the surface crosses itself there; cut a few millimetres away or ask \
         for the part as one clean solid"
    )]
    NotCapped {
        /// Across which axis.
        axis: Axis,
        /// Where on it, mm.
        at_mm: f64,
    },
    /// More vertices than an index holds.
    #[error("the mesh is too large to be cut: its vertices would pass what can be numbered")]
    TooMany,
    /// More solids than are cut.
    #[error(
        "the part is made of {bodies} separate bodies, and only up to {most} are cut; send them one by one or in groups"
    )]
    TooManyBodies {
        /// How many it has.
        bodies: usize,
        /// The most.
        most: usize,
    },
    /// The machine has no room at all.
    #[error("the machine's bed has no room inside its edge margins, so no piece fits it")]
    NoRoom,
    /// Nothing was found within the budget.
    #[error(
        "no way was found to make every piece fit with up to {most} cuts; ask for the part in pieces or use a larger machine"
    )]
    NoneFound {
        /// Most cuts tried.
        most: usize,
    },
    /// The pieces do not add up.
    #[error(
        "the pieces have {pieces_mm3:.3} mm3 together where the part has {part_mm3:.3} mm3; ask for the part as one clean solid"
    )]
    VolumeLost {
        /// Sum of the pieces, mm3.
        pieces_mm3: f64,
        /// The part, mm3.
        part_mm3: f64,
    },
    /// A piece that is no solid.
    #[error("a piece is no solid: {0}")]
    Piece(#[from] MeshError),
}
