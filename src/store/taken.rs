//! What of the lessons is written into the shop file, and what is not yet.

use super::jobs::Jobs;
use super::lessons::Lessons;
use crate::learn::Errors;
use crate::shop::Shop;

/// Corrections are written to so many digits behind the point: finer ones are not known.
const DIGITS: i32 = 4;
/// Fewer prints than this write no correction: one may be the exception.
const FEWEST_PRINTS: usize = 3;
/// Fewer prints than this do not change a band: in its tests the factor holds what it says from about 20 on, and is of use from half.
const FEWEST_BANDS: usize = 10;

impl Lessons {
    /// Keys of the shop file with their new values, and sentences on what is not written and why.
    pub fn changes(&self, shop: &Shop, jobs: &Jobs) -> (Vec<(String, f64)>, Vec<String>) {
        let rounded = |value: f64| {
            let scale = 10f64.powi(DIGITS);
            (value * scale).round() / scale
        };
        let mut changes = Vec::new();
        let mut left_out = Vec::new();
        for lesson in &self.rows {
            let key = lesson.row.name();
            let Some(of_shop) = lesson.row.of_shop(shop) else {
                left_out.push(format!(
                "not written: the shop file has no [[measured]] row for {key}; measure its melt limit first (beadtally bench flow)"
            ));
                continue;
            };
            let mut put = |name: &str, now: Option<f64>, value: f64| {
                let value = rounded(value);
                if now.unwrap_or(1.0) != value {
                    changes.push((format!("measured.{key}.{name}"), value));
                }
            };
            if lesson.hours.pairs < FEWEST_PRINTS {
                left_out.push(format!(
                    "not written: {key} has {} of the {FEWEST_PRINTS} prints it takes",
                    lesson.hours.pairs
                ));
                continue;
            }
            let better =
                |errors: &Option<Errors>| errors.is_some_and(|e| e.after.median <= e.before.median);
            if better(&lesson.hours_errors) {
                put("correction", of_shop.correction, lesson.hours.factor);
            } else {
                left_out.push(format!(
                    "not written: the hours of {key} are no better with a correction"
                ));
            }
            if let Some(grams) = lesson
                .grams
                .as_ref()
                .filter(|_| better(&lesson.grams_errors))
            {
                put("grams_correction", of_shop.grams_correction, grams.factor);
            }
            if lesson.bands.pairs >= FEWEST_BANDS {
                put("band_factor", of_shop.band_factor, lesson.bands.factor);
            } else {
                left_out.push(format!(
                "not written: how good the bands of {key} are is told after {FEWEST_BANDS} prints, it has {}",
                lesson.bands.pairs
            ));
            }
        }
        for lesson in &self.failures {
            let Some(machine) = shop.machine(&lesson.machine) else {
                continue;
            };
            let key = |name: &str| format!("machine.{}.failures.{name}", lesson.machine);
            if !machine.failures.by_default && !jobs.has_learned(&key("rate_per_h")) {
                left_out.push(format!(
                "not written: {} has its own start_chance and rate_per_h in the shop file; take them out first",
                lesson.machine
            ));
                continue;
            }
            let mut put = |name: &str, now: f64, value: f64| {
                let value = (value * 1e6).round() / 1e6;
                if now != value {
                    changes.push((key(name), value));
                }
            };
            let learnt = &lesson.learnt;
            put(
                "start_chance",
                machine.failures.start_chance,
                learnt.start_chance.mean,
            );
            put(
                "rate_per_h",
                machine.failures.rate_per_h,
                learnt.rate_per_h.mean,
            );
        }
        (changes, left_out)
    }
}
