//! Exponential failures: the two averages that every expected value here is made of, stable for small exponents.

use super::CostError;

/// The greatest number of failures expected in one print (rate times hours) for which a cost is given. Beyond it the
/// chance of one uninterrupted print is under 2e-22: no shop would wait for it, and the figures would mean nothing.
pub const GREATEST_EXPECTED_FAILURES: f64 = 50.0;

/// Failures expected in `hours` at a rate per hour, refused where the print would never finish.
pub(super) fn expected_failures(hours: f64, rate_per_h: f64) -> Result<f64, CostError> {
    let hours = quantity("the length of the print in hours", hours)?;
    let rate_per_h = quantity("the failure rate per hour", rate_per_h)?;
    let expected = hours * rate_per_h;
    if expected <= GREATEST_EXPECTED_FAILURES {
        Ok(expected)
    } else {
        Err(CostError::NeverFinishes { hours, rate_per_h })
    }
}

/// The value itself where it is finite and at least 0.
pub(super) fn quantity(what: &'static str, value: f64) -> Result<f64, CostError> {
    if value.is_finite() && value >= 0.0 {
        Ok(value)
    } else {
        Err(CostError::NotAQuantity { what, value })
    }
}

/// `(1 - e^-x) / x`, 1 at 0: the mean of `e^-t` over 0 to x.
pub(super) fn mean_decay(x: f64) -> f64 {
    if x == 0.0 { 1.0 } else { -(-x).exp_m1() / x }
}

/// `(x - 1 + e^-x) / x^2`, 1/2 at 0: `mean_decay`, weighted by the distance to the far end.
pub(super) fn mean_decay_to_end(x: f64) -> f64 {
    // below this the difference loses more digits than six terms of the series leave out
    const SERIES_BELOW: f64 = 0.02;
    if x.abs() < SERIES_BELOW {
        0.5 - x
            * (1.0 / 6.0 - x * (1.0 / 24.0 - x * (1.0 / 120.0 - x * (1.0 / 720.0 - x / 5040.0))))
    } else {
        (x + (-x).exp_m1()) / (x * x)
    }
}

/// `(e^x - 1)/x - 1`: what is lost to restarts per unit of a run that expects x failures.
pub(super) fn lost_share(x: f64) -> f64 {
    x * mean_decay_to_end(-x)
}
