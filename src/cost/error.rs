//! Why a cost can't be given.

use rust_decimal::Decimal;

/// Why a cost can't be given. Each message says what is wrong and what would be right.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CostError {
    /// A time, mass, power or factor that is not a finite number of at least 0.
    #[error("{what} is {value}: it must be a finite number of at least 0")]
    NotAQuantity {
        /// What the number was to be.
        what: &'static str,
        /// What it was.
        value: f64,
    },
    /// A negative price, rate or amount.
    #[error("{what} is {value}: it must be at least 0")]
    Negative {
        /// What the amount was to be.
        what: &'static str,
        /// What it was.
        value: Decimal,
    },
    /// Something that others are divided by is 0 (or rounds to 0).
    #[error("{what} is 0: it must be above 0")]
    Zero {
        /// What is 0.
        what: &'static str,
    },
    /// A chance or a share that must stay below 1 does not.
    #[error("{what} is {value}: it must be below 1")]
    NotBelowOne {
        /// What the share was to be.
        what: &'static str,
        /// What it was.
        value: f64,
    },
    /// A discount that eats more than the profit.
    #[error(
        "a discount of {} on a list price of {list} is more than the profit of {profit}: the order would be sold below its cost; \
         give a smaller discount",
        super::words::percent(*discount)
    )]
    BelowCost {
        /// The discount, a fraction.
        discount: Decimal,
        /// The profit without it.
        profit: Decimal,
        /// The list price.
        list: Decimal,
    },
    /// A run that is shorter than its own heating.
    #[error(
        "heating takes {start_seconds} s of a run of {seconds} s: the run must be at least as long"
    )]
    HeatingLongerThanRun {
        /// The heating part, s.
        start_seconds: Decimal,
        /// The whole run, s.
        seconds: Decimal,
    },
    /// An order of no pieces.
    #[error("the quantity is 0: ask for at least 1 piece")]
    NoPieces,
    /// A currency without a minor unit (a precious metal, a test code) can't be rounded to one.
    #[error("{code} has no minor unit to round to: use a currency that goods are priced in")]
    NoMinorUnit {
        /// ISO 4217 code.
        code: &'static str,
    },
    /// A figure too large for decimal arithmetic (28 digits).
    #[error("{what} is too large to compute: check the times, masses and prices it is made of")]
    TooLarge {
        /// What could not be held.
        what: &'static str,
    },
    /// More than [`GREATEST_EXPECTED_FAILURES`](crate::cost::GREATEST_EXPECTED_FAILURES) failures are expected in
    /// one uninterrupted print.
    #[error(
        "this print would practically never finish: at {rate_per_h} failures an hour, {hours} h without one \
         are out of reach; cut the part, speed it up or make the machine more reliable"
    )]
    NeverFinishes {
        /// Length of the print, h.
        hours: f64,
        /// Failures per hour.
        rate_per_h: f64,
    },
    /// A week in which nobody is ever there, so a failed print would wait for ever.
    #[error("the week has no attended hours: give at least one weekday hours")]
    NeverAttended,
    /// An interval that is empty, runs backwards or leaves its day.
    #[error(
        "weekday {day} is attended from minute {from} to {to}: it must end after it begins and by minute 1440"
    )]
    BadInterval {
        /// Weekday, Monday is 1.
        day: usize,
        /// Begin, minutes after midnight.
        from: u32,
        /// End, minutes after midnight.
        to: u32,
    },
}
