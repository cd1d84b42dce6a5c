//! Takes seconds, grams, rates and a quantity. Gives a ledger whose lines add up to the total.
//!
//! Money is decimal from the moment it enters. Time, plastic and odds are computed in double precision before this
//! room and become decimal in one place, [`decimal`]: seconds at 1 s, grams at 0.01 g, every other factor at 1e-9.
//! [`ledger`] is the way in; [`Restart`] is what a print's failures cost, [`Absence`] how long a failed one waits for
//! somebody; the small charges ([`plastic_cost`], [`labour_cost`], [`machine_rate_per_h`] ...) are what the ledger's
//! lines are made of and serve the mould against the piece as well.

mod absence;
mod charge;
mod decay;
pub mod decimal;
mod error;
mod ledger;
mod order;
mod lines;
mod once;
mod risk;
mod sheet;
mod terms;
mod words;

pub use absence::Absence;
pub use charge::{
    HourlyRate, break_even_quantity, energy_cost, labour_cost, machine_rate_per_h, margin_on,
    nozzle_cost, plastic_cost, share_of,
};
pub use decay::GREATEST_EXPECTED_FAILURES;
pub use error::CostError;
pub use ledger::{Ledger, LedgerLine, Run, Starts, ledger, order_ledger, price_breaks};
pub use order::{Joints, Order, elsewhere, joining_lines, order};
pub use risk::{Restart, Risk};
pub use sheet::{LINES, charged};
