//! Takes a shop and what was read off a watch, a scale or a bent strip. Gives the parts and sheets for measuring what the shop
//! file asks for, and from the readings the lines to put into it.
//!
//! `setup` says what is measured with what, `reading` takes apart what was typed. `flow` finds the melt limit from weighed
//! feedstock, `course`, `stopwatch` and `solve` acceleration and corner deviation from two times, `bonding` the nozzle temperatures that
//! hold from bent strips, `density` the density as printed from one part on the scale. `solid` makes the parts, `sheet` the pages
//! for the bench, `answer` what is said of readings, `json` both for other programs. Reads no files.

mod answer;
mod bonding;
mod course;
mod density;
mod error;
mod flow;
mod json;
mod page;
mod reading;
mod setup;
mod sheet;
mod solid;
mod solve;
mod stopwatch;
mod toml;

pub use answer::{bonding_answer, density_answer, flow_answer, stopwatch_answer};
pub use bonding::{Bonding, BondingPlan, BondingVerdict, StripReading};
pub use course::{Course, CourseKind};
pub use density::{Density, DensityPlan};
pub use error::BenchError;
pub use flow::{FlowPlan, FlowRow, FlowVerdict, MeltLimit, WeighedFeed};
pub use json::answer_json;
pub use setup::{Chosen, Setup};
pub use sheet::{bonding_sheet, density_sheet, flow_sheet, stopwatch_sheet};
pub use solid::{prism, stl_bytes};
pub use stopwatch::{Motion, MotionVerdict, StopwatchPlan};
pub use toml::{bonding_toml, density_toml, flow_toml, stopwatch_toml};
