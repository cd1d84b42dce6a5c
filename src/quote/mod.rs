//! Takes estimates and ledgers. Gives the answer as text, JSON and CSV.

mod csv;
mod json;
mod triage;

pub use self::csv::triage_csv;
pub use self::json::{FORMAT, bad_part_json, estimate_json, fit_json, measure_json, quote_json};
pub use self::triage::{TriageRow, Verdict};
