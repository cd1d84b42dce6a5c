//! Takes a shop file. Gives validated machines, nozzles, materials and rates.
//!
//! [`read_shop`] turns the text of a TOML file into a [`Shop`], or into one sentence that says what is wrong and what
//! would be right. [`Shop::row_for`] finds the measured row of an option, [`refusals`] says why an option can't be
//! printed, [`describe`] shows a shop to its owner. Knows neither parts nor how money is rounded, and reads no files.

mod closed_days;
mod demonstration;
mod describe;
mod document;
mod error;
mod field;
mod file;
mod joining;
mod kind;
mod lookup;
mod machine;
mod moulding;
mod nearest;
mod plastic;
mod process;
mod rates;
mod refusals;
mod row;
mod space;
mod table;
mod tool;
mod types;
mod week;
mod what_if;

pub use closed_days::ShopCalendar;
pub use demonstration::{DEMONSTRATION_TOML, demonstration, new_shop_file};
pub use describe::describe;
pub use document::{DocumentStyle, Language, Lengths, Paper};
pub use error::ShopError;
pub use file::{MAX_SHOP_BYTES, read_shop, read_shop_bytes};
pub use joining::Joining;
pub use kind::MachineKind;
pub use lookup::no_row;
pub use moulding::Moulding;
pub use rates::{BoughtIn, JobTerms, Rates};
pub use refusals::refusals;
pub use types::*;
pub use what_if::{changed_text, with_changes};
