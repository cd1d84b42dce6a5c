//! The order of the pieces.
