//! Takes what was estimated and what it took, and counts of failures. Gives corrections with intervals, errors before and after,
//! chances of failure and the width that bands should have.
//!
//! [`correction`] is the factor estimates are to be multiplied by, [`errors_left_out`] what it is worth on jobs it has not seen,
//! [`band_factor`] how wide bands should be, [`failures`] what a machine's failures tell of the next ones. All of it is
//! computed from numbers alone: the room knows no machine, no file and no clock, and whoever asks tells the jobs' ages.
//! Nothing here changes an estimate by itself.

mod bands;
mod correction;
mod error;
mod failures;
mod left_out;
mod pair;
mod student;
mod track;

pub use bands::{BAND_FACTORS, BAND_LEVEL, BandFactor, BandedPair, LearntBand, band_factor};
pub use correction::{Correction, EXTREME, LEVEL, correction};
pub use error::LearnError;
pub use failures::{
    ChanceOf, Exposure, FAILURE_LEVEL, FailuresLearnt, Learnt, RATE_PER_H, RateOf, START_CHANCE,
    failures, failures_from,
};
pub use left_out::{Errors, Off, errors_left_out};
pub use pair::{GREATEST_RATIO, Pair};
pub use track::{FIRST_CHANGE_JOBS, HALF_LIFE_DAYS};
