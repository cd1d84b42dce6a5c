//! Why mould and piece can't be compared.

use crate::cost::CostError;
use crate::estimate::EstimateError;
use crate::mesh::MeshError;
use crate::mould::MouldError;

/// Why mould and piece can't be compared. That the honest answer is no is no error: see [`No`](super::No).
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ToolingError {
    /// There is no such mould.
    #[error("{0}")]
    Mould(#[from] MouldError),
    /// What can't be estimated.
    #[error("{0}")]
    Estimate(#[from] EstimateError),
    /// Money that can't be computed.
    #[error("{0}")]
    Cost(#[from] CostError),
    /// A half that does not come out as a solid.
    #[error("the mould's {half} half is no sound solid: {why}")]
    Half {
        /// Which.
        half: &'static str,
        /// What is wrong with it.
        why: MeshError,
    },
    /// A number outside its range.
    #[error("{what} is {given}; give {right}")]
    OutOfRange {
        /// Which number.
        what: &'static str,
        /// Its value.
        given: f64,
        /// What would be right.
        right: &'static str,
    },
    /// No quantity, or too many side by side.
    #[error("{count} quantities are asked for; give 1 to 100 of them")]
    Quantities {
        /// How many.
        count: usize,
    },
}
