//! Takes paths and a machine's limits. Gives seconds, and which limit held.
//!
//! `profile` times one stroke (textbook kinematics), `layer` a layer with its travels and its least time. No price is
//! known here.

mod layer;
mod limits;
mod profile;

pub use layer::{Clock, LayerTime, Limit, time_layer, travel_s};
pub use limits::{Limits, Speeds};
pub use profile::{Pace, StrokeTime, corner_speed_squared, rest_to_rest_s, segment_s, time_stroke};

/// A travel longer than this costs a retraction, mm (design, Motion).
pub const RETRACTION_FROM_MM: f64 = 2.0;
