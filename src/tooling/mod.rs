//! Takes a part, a shop and how it is to be moulded. Gives the mould with its hours, what a moulded piece costs against a printed
//! one, and the quantity at which the answer flips.
//!
//! ```text
//! mould (geometry) + estimate (hours, grams) + cost (money) -> make -> piece -> flip
//! ```
//!
//! The mould goes through the same estimator as any part. Knows neither files nor how figures are written.

mod answer;
mod ask;
mod error;
mod flip;
mod heat;
mod make;
mod money;

pub use answer::{Answer, No, Row, Tooling, tooling};
pub use ask::ToolingAsk;
pub use error::ToolingError;
pub use flip::{Flip, Totals, flip, open_end};
pub use heat::{Heat, heat_of};
pub use make::HalfMade;
pub use money::{Laminate, PieceCost, ToolCost, piece_cost, tool_cost};
