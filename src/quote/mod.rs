//! Takes estimates and ledgers. Gives the answer as text, JSON and CSV.
//!
//! Only this room knows how figures are written: `words` for people, `json` and `csv` for programs.

mod answer;
mod subject;
mod text;
mod why;
mod words;

pub use subject::Subject;
pub use text::{estimate_text, fit_text, measure_text, quote_text};
pub use why::why_text;
