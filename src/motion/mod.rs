//! Takes paths and a machine's limits. Gives seconds, and which limit held.

mod limits;

/// A travel longer than this costs a retraction, mm (design value, common practice).
pub const RETRACTION_FROM_MM: f64 = 2.0;

pub use limits::{Limits, Speeds};
