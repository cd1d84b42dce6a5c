//! Takes a shop's attended hours, its zone and holidays, and what each machine still has to print. Gives dates.
//!
//! [`WorkingTime`] tells when somebody is there, [`Queue`] is what a machine has to do, [`delivery`] follows all of them to the day
//! on which an order can leave, undisturbed and with failures, and [`pace`] says how many prints a week a machine makes. A print
//! starts only when somebody is there, runs on through the night, and waits on its bed until somebody is there again. Knows no
//! mesh, no price and no job book, and never asks what time it is.

mod chance;
mod delivery;
mod error;
mod pace;
mod queue;
mod run;
mod working_time;

pub use chance::Stream;
pub use delivery::{Delivery, Ends, QueueTimes, delivery};
pub use error::CalendarError;
pub(crate) use pace::end_s;
pub use pace::{Pace, pace};
pub use queue::{Chances, MOST_SPOOL_CHANGES, MOST_STARTS, Print, Queue};
pub use run::{Tries, tries};
pub use working_time::WorkingTime;
pub(crate) use working_time::timestamp;
