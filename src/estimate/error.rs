//! Why nothing can be estimated.

use crate::bead::BeadError;
use crate::bedful::BedfulError;
use crate::cost::CostError;

/// Why nothing can be estimated. The part's or shop's name is put before the sentence by whoever has it.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum EstimateError {
    /// A name the shop does not have.
    #[error("the shop has no {what} \"{given}\"; it has {known}")]
    Unknown {
        /// "machine", "nozzle" or "material".
        what: &'static str,
        /// The name asked for.
        given: String,
        /// The names it has.
        known: String,
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
    /// A machine and nozzle that do not go together.
    #[error("machine \"{machine}\" does not take nozzle \"{nozzle}\"; it takes {takes}")]
    NotTaken {
        /// The machine.
        machine: String,
        /// The nozzle.
        nozzle: String,
        /// The nozzles it takes.
        takes: String,
    },
    /// A layer height no nozzle asked for can lay.
    #[error("{0}")]
    Bead(#[from] BeadError),
    /// Money that can't be computed.
    #[error("{0}")]
    Cost(#[from] CostError),
    /// Copies that can't be placed on a bed.
    #[error("{0}")]
    Bedful(#[from] BedfulError),
    /// Facets that do not hang together.
    #[error(
        "the mesh is a heap of loose facets: {open} of its {edges} edges have one facet only; ask for the part as a closed solid"
    )]
    LooseFacets {
        /// Edges with one facet.
        open: usize,
        /// All edges.
        edges: u32,
    },
    /// A volume that is not known well enough to quote on.
    #[error(
        "the mesh does not enclose a definite volume: somewhere between {low_mm3:.0} and {high_mm3:.0} mm3, too far apart to price; ask \
         for the part as one closed solid"
    )]
    Untrusted {
        /// Least volume, mm3.
        low_mm3: f64,
        /// Greatest volume, mm3.
        high_mm3: f64,
    },
    /// More bodies than are worth computing.
    #[error(
        "the file holds {bodies} separate bodies, more than the {most} that are priced together; ask for the part as one solid"
    )]
    TooManyBodies {
        /// Number of bodies.
        bodies: usize,
        /// Greatest number computed.
        most: usize,
    },
    /// A piece of a part that was cut, which the machine can't make.
    #[error("piece {number} can't be made: {why}")]
    Piece {
        /// Which piece, from 1.
        number: usize,
        /// Why.
        why: String,
    },
    /// More layers than are worth computing.
    #[error(
        "the part is {height_mm:.1} mm high, {layers} layers of {layer_mm} mm; more than {most} is surely a wrong unit"
    )]
    TooManyLayers {
        /// Height of the part, mm.
        height_mm: f64,
        /// Number of layers.
        layers: usize,
        /// Layer height, mm.
        layer_mm: f64,
        /// Greatest number computed.
        most: usize,
    },
}
