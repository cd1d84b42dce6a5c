//! Takes estimates and ledgers. Gives the answer as text, JSON, CSV and pages.
//!
//! Only this room knows how figures are written: `words` for people, `json` and `csv` for programs. `triage` is the one
//! row a part has in a list, whichever way the list is written.

/// A line of text. Writing to a `String` can't fail.
macro_rules! line {
    ($text:expr, $($arg:tt)*) => {{ let _ = writeln!($text, $($arg)*); }};
}

mod answer;
mod bed_picture;
mod bedful;
mod book;
mod csv;
mod cut;
mod document;
mod fit;
mod gravity;
mod json;
mod layers;
mod lessons;
mod list;
mod offer;
mod options;
mod page;
mod payback;
mod picture;
mod poses;
mod remarks;
mod risk_words;
mod subject;
mod text;
mod tooling;
mod tooling_json;
mod tooling_plot;
mod triage;
mod what_if;
mod why;
mod words;

pub use self::bed_picture::PictureKind;
pub use self::bedful::{bedful_svg, bedful_text};
pub use self::book::{
    after_failure_text, entry_text, floor_text, history_text, jobs_text, met_text,
};
pub use self::csv::triage_csv;
pub use self::cut::{CutPart, cut_text, not_cut_text, whole_text};
pub use self::document::{
    Align, Audience, Block, Column, Document, DocumentError, Dress, Picture, Plot, Table,
    customer_json, document, dressed, quote_text,
};
pub use self::fit::{FitRow, fit_svg, fit_text};
pub use self::json::{
    FORMAT, after_failure_json, bad_part_json, bedful_json, cut_json, estimate_json,
    estimate_layers_json, estimate_poses_json, fit_json, floor_json, jobs_json, lessons_json,
    measure_json, met_json, quote_json, whole_json, with_history,
};
pub use self::layers::{layers_svg, layers_text};
pub use self::lessons::lessons_text;
pub use self::list::{ListEntry, fit_list_text, measure_list_text, triage_text};
pub use self::offer::{Lot, Offer, ShipDates};
pub use self::page::measure_page;
pub use self::payback::{payback_json, payback_text};
pub use self::poses::poses_text;
pub use self::subject::Subject;
pub use self::text::{estimate_text, measure_text};
pub use self::tooling::{tooling_answer, tooling_text};
pub use self::tooling_json::{tooling_json, tooling_no_json};
pub use self::tooling_plot::tooling_svg;
pub use self::triage::{TriageRow, Verdict};
pub use self::what_if::{what_if_json, what_if_text};
pub use self::why::why_text;
