//! What was typed behind `--read`, taken apart.

use super::BenchError;

/// A positive number.
pub(super) fn number(given: &str, right: &'static str) -> Result<f64, BenchError> {
    let wrong = || BenchError::NoReading {
        given: crate::mesh::plain_text(given.trim()),
        right,
    };
    let number: f64 = given.trim().parse().map_err(|_| wrong())?;
    // Not a number and infinity are spelled in ways that `parse` takes.
    if number.is_finite() && number > 0.0 {
        Ok(number)
    } else {
        Err(wrong())
    }
}

/// A list between commas that must have so many items.
pub(super) fn items<'t>(
    text: &'t str,
    needed: usize,
    right: &'static str,
) -> Result<Vec<&'t str>, BenchError> {
    let items: Vec<&str> = text.split(',').collect();
    if items.len() == needed {
        return Ok(items);
    }
    Err(BenchError::Count {
        found: items.iter().filter(|item| !item.trim().is_empty()).count(),
        needed,
        right,
    })
}

/// A setting and what was found there, on both sides of a colon; the setting is a positive number.
pub(super) fn pair<'t>(item: &'t str, right: &'static str) -> Result<(f64, &'t str), BenchError> {
    match item.split_once(':') {
        Some((setting, found)) => Ok((number(setting, right)?, found.trim())),
        None => Err(BenchError::NoReading {
            given: crate::mesh::plain_text(item.trim()),
            right,
        }),
    }
}
