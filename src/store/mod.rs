//! The job book: what was asked, offered, booked and printed, and what really happened. One file, only ever added to.
//!
//! `entry` is what it says, `book` its file, `jobs` what follows from the entries, `correct` what a correction changes, `checks`
//! what can't be, `floor` what is on each machine until when, `shape` by what a part is known again, `history` what the book knows of
//! hours and failures, `lessons` what that teaches, `taken` what of it goes into the shop file, `list` its way out and in.

mod book;
mod checks;
mod correct;
mod entry;
mod error;
mod floor;
mod history;
mod jobs;
mod lessons;
mod list;
mod shape;
mod taken;

pub use book::{Added, Book};
pub use entry::{
    Actual, Booking, Closed, Correction, End, Enquiry, Entry, Failed, Learned, Offer, Spool, Start,
    What,
};
pub use error::{StoreError, said};
pub use floor::{Placed, Slip, floor, late, place, ready};
pub use history::{AfterFailure, Observed, Row, after_failure, exposures, observed};
pub use jobs::{Job, Jobs, Print, Standing};
pub use lessons::{FailureLesson, Lessons, RowLesson};
pub use list::{check_list, csv, json_lines, read_json_lines};
pub use shape::{Shape, content};
