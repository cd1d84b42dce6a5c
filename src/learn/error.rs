//! Why nothing can be learnt from what was given.

/// Why nothing can be learnt from what was given. Each message says what is wrong and what would be right.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LearnError {
    /// An estimated or actual figure, a band's end or an interval that is not a finite number above 0.
    #[error("{what} is {value}: it must be a finite number above 0")]
    NotPositive {
        /// What the number was to be.
        what: &'static str,
        /// What it was.
        value: f64,
    },
    /// An age or a time that is not a finite number of at least 0.
    #[error("{what} is {value}: it must be a finite number of at least 0")]
    NotAQuantity {
        /// What the number was to be.
        what: &'static str,
        /// What it was.
        value: f64,
    },
    /// A chance that is not above 0 and below 1.
    #[error("{what} is {value}: it must be above 0 and below 1")]
    NotAChance {
        /// What the number was to be.
        what: &'static str,
        /// What it was.
        value: f64,
    },
    /// An actual figure so far from the estimate that one of the two must be in another unit or of another job.
    #[error(
        "estimated {estimated}, actual {actual}: they differ by more than a factor of {most}; one of them is in \
         another unit or belongs to another job"
    )]
    NotTheSameJob {
        /// What was estimated, h or g.
        estimated: f64,
        /// What it took, h or g.
        actual: f64,
        /// The greatest factor that is taken.
        most: f64,
    },
    /// A band that does not hold its own estimate.
    #[error("the band from {from} to {to} does not hold its own estimate of {estimated}")]
    BandWithoutEstimate {
        /// The band's lower end, h or g.
        from: f64,
        /// What was estimated, h or g.
        estimated: f64,
        /// The band's upper end, h or g.
        to: f64,
    },
    /// More starts failed than there were.
    #[error("{early_failures} starts failed of {starts}: there must be at least as many starts")]
    MoreFailuresThanStarts {
        /// Starts that failed in their first layers.
        early_failures: u64,
        /// All starts.
        starts: u64,
    },
    /// Failures while printing without a printed hour.
    #[error("{failures} failures while printing in 0 hours: give the hours that were printed")]
    FailuresWithoutHours {
        /// Failures after the start.
        failures: u64,
    },
    /// A count that no shop has, and for which distributions are no longer computed well.
    #[error("{what} is {value}: it must be at most {most}")]
    TooMany {
        /// What was counted.
        what: &'static str,
        /// The count.
        value: f64,
        /// The greatest that is taken.
        most: f64,
    },
    /// The library of distributions refused numbers that had passed every check here.
    #[error("the distribution of {what} can't be computed from these counts")]
    NoDistribution {
        /// What was to be known.
        what: &'static str,
    },
}

/// A finite number above 0.
pub(super) fn positive(what: &'static str, value: f64) -> Result<f64, LearnError> {
    if value.is_finite() && value > 0.0 {
        Ok(value)
    } else {
        Err(LearnError::NotPositive { what, value })
    }
}

/// A finite number of at least 0.
pub(super) fn quantity(what: &'static str, value: f64) -> Result<f64, LearnError> {
    if value.is_finite() && value >= 0.0 {
        Ok(value)
    } else {
        Err(LearnError::NotAQuantity { what, value })
    }
}
