//! Why there is no mould.

/// Why there is no mould. Each message says what is wrong and what would be right.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MouldError {
    /// A part whose surface has gaps.
    #[error(
        "the part is not closed, so nothing says what the mould must leave free; ask for it as one closed solid"
    )]
    NotClosed,
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
    /// No direction at all.
    #[error(
        "the mould must open along some direction; give an axis of the part, such as z, or three numbers x,y,z"
    )]
    NoDirection,
    /// A parting plane that does not pass through the part.
    #[error(
        "the parting height {given_mm} mm lies outside the part, which runs from {low_mm:.2} to {high_mm:.2} mm along the opening"
    )]
    PartingOutside {
        /// The height asked for, mm.
        given_mm: f64,
        /// The part's least height, mm.
        low_mm: f64,
        /// Its greatest, mm.
        high_mm: f64,
    },
    /// A mesh too large to look at from all sides.
    #[error(
        "the part has {facets} facets, more than the {most} a mould is made of; ask for a coarser export"
    )]
    TooMany {
        /// Its facets.
        facets: usize,
        /// The most.
        most: usize,
    },
    /// A boolean that did not come out closed.
    #[error(
        "the mould does not come out as a closed solid ({why}); the part's surface runs through itself or touches itself, ask for it as one \
         clean solid, or move --parting-height by a tenth of a millimetre"
    )]
    NotBuilt {
        /// What the boolean library or the check says.
        why: String,
    },
}
