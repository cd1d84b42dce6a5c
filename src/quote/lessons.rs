//! What the job book teaches, in words.

use std::fmt::Write;

use crate::learn::{Correction, Errors};
use crate::shop::Shop;
use crate::store::Lessons;

/// What the book teaches.
pub fn lessons_text(lessons: &Lessons, shop: &Shop) -> String {
    if lessons.rows.is_empty() && lessons.failures.is_empty() {
        return "no print has ended yet: nothing to learn from\n".to_owned();
    }
    let mut text = String::new();
    for lesson in &lessons.rows {
        let row = &lesson.row;
        let now = row.of_shop(shop);
        let prints = lesson.hours.pairs;
        let _ = writeln!(
            text,
            "{}, {prints} {}",
            row.name(),
            if prints == 1 { "print" } else { "prints" }
        );
        line(
            &mut text,
            "hours",
            &lesson.hours,
            now.and_then(|r| r.correction),
        );
        errors(&mut text, lesson.hours_errors.as_ref());
        for (limit, correction) in &lesson.by_limit {
            let _ = writeln!(
                text,
                "      held by {limit}: x {:.3} ({:.3} to {:.3}), {} prints",
                correction.factor, correction.from, correction.to, correction.pairs
            );
        }
        if let Some(grams) = &lesson.grams {
            line(
                &mut text,
                "grams",
                grams,
                now.and_then(|r| r.grams_correction),
            );
            errors(&mut text, lesson.grams_errors.as_ref());
        }
        let bands = &lesson.bands;
        let _ = writeln!(
            text,
            "  bands  {} of {} held the hours; x {:.2} makes them hold {:.0} % of prints; in the shop file: {}",
            bands.inside,
            bands.pairs,
            bands.factor,
            100.0 * bands.level,
            said(now.and_then(|r| r.band_factor))
        );
    }
    for lesson in &lessons.failures {
        let (seen, learnt) = (&lesson.exposure, &lesson.learnt);
        let (p, r) = (&learnt.start_chance, &learnt.rate_per_h);
        let _ = writeln!(
            text,
            "{}: {} {}, {} failed early; {:.1} h printed past that, {} failed in them",
            lesson.machine,
            seen.starts,
            if seen.starts == 1 { "start" } else { "starts" },
            seen.early_failures,
            seen.hours,
            seen.failures
        );
        let file = shop.machine(&lesson.machine).map(|m| m.failures);
        let _ = writeln!(
            text,
            "  chance per start {:.2} % ({:.2} to {:.2}){}",
            100.0 * p.mean,
            100.0 * p.from,
            100.0 * p.to,
            file.map_or(String::new(), |f| format!(
                ", shop file {:.2} %",
                100.0 * f.start_chance
            ))
        );
        let _ = writeln!(
            text,
            "  failures per hour {:.3} % ({:.3} to {:.3}){}; 90 % lie between",
            100.0 * r.mean,
            100.0 * r.from,
            100.0 * r.to,
            file.map_or(String::new(), |f| format!(
                ", shop file {:.3} %",
                100.0 * f.rate_per_h
            ))
        );
    }
    text
}

fn said(value: Option<f64>) -> String {
    value.map_or("none".to_owned(), |value| format!("x {value}"))
}

fn line(text: &mut String, what: &str, correction: &Correction, now: Option<f64>) {
    let _ = writeln!(
        text,
        "  {what}  x {:.3} ({:.0} % between {:.3} and {:.3}) of the model's; in the shop file: {}",
        correction.factor,
        100.0 * correction.level,
        correction.from,
        correction.to,
        said(now)
    );
}

fn errors(text: &mut String, errors: Option<&Errors>) {
    let Some(errors) = errors else { return };
    let percent = |share: f64| format!("{:.1} %", 100.0 * share);
    let _ = writeln!(
        text,
        "      off by {} (median), {} (nine in ten) without it; {}, {} with it, each left out in turn",
        percent(errors.before.median),
        percent(errors.before.ninth_decile),
        percent(errors.after.median),
        percent(errors.after.ninth_decile)
    );
}
