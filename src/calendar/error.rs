//! What keeps a date from being given.

use jiff::civil::Date;
use thiserror::Error;

/// Why no date can be given.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum CalendarError {
    /// Holidays, or a week without hours, for too long.
    #[error(
        "nobody is in the shop within two years from {from}; give a weekday hours, or the holidays an end"
    )]
    NeverAttended {
        /// The day from which was looked.
        from: Date,
    },
    /// A time that is none, or longer than anybody would wait.
    #[error("{what} is {value} s; give a number of 0 to {most}")]
    NotATime {
        /// What it should be.
        what: &'static str,
        /// What was given, s.
        value: f64,
        /// The most that is taken, s.
        most: i64,
    },
    /// A chance or rate that is none.
    #[error("{what} is {value}; give a number of at least 0{below}")]
    NotAChance {
        /// What it should be.
        what: &'static str,
        /// What was given.
        value: f64,
        /// What it must be below, in words; empty where nothing.
        below: &'static str,
    },
    /// A print that fails nearly always.
    #[error(
        "a print of {hours:.0} h would need {starts:.0} starts on average; a shop would not wait for it, split the part or bring \
         the failures down"
    )]
    NeverFinishes {
        /// Length of the print, h.
        hours: f64,
        /// Starts that one good print takes on average.
        starts: f64,
    },
    /// A print for which one would change spools all day.
    #[error("a print needs {given} spool changes; at most {most} are followed")]
    TooManySpoolChanges {
        /// Changes given.
        given: u32,
        /// The most that is followed.
        most: u32,
    },
    /// Nothing to do.
    #[error("nothing is to be printed; give at least one print")]
    NoPrints,
    /// Calendars end.
    #[error("the order would end after the year 9998; ask for fewer prints")]
    TooFar,
}
