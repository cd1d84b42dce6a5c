//! Two answers side by side: the shop as it is, and with one value changed.

use std::fmt::Write;

use serde::Serialize;

use super::json::FORMAT;
use super::words::{WIDTH, from_to, hours_column, wrap};
use crate::estimate::{Estimate, Made, PartOption};

/// One option before and after.
struct Pair<'a> {
    option: &'a PartOption,
    before: Option<&'a Made>,
    after: Option<&'a Made>,
    why_not: Option<String>,
}

fn pairs<'a>(before: &'a Estimate, after: &'a Estimate) -> Vec<Pair<'a>> {
    let with = |option: &'a PartOption| {
        let old = before.options.iter().find(|o| o.name() == option.name());
        let refusal = option.outcome.as_ref().err();
        Pair {
            option,
            before: old.and_then(PartOption::made),
            after: option.made(),
            why_not: refusal.map(|refusal| refusal.reasons.join("; ")),
        }
    };
    after.options.iter().map(with).collect()
}

/// Every option that can make the part before or after, hours and price side by side.
pub fn what_if_text(part: &str, changes: &[String], before: &Estimate, after: &Estimate) -> String {
    let mut text = String::new();
    let what = format!(
        "{part}, in {}, if {}:",
        after.material,
        changes.join(" and ")
    );
    line!(text, "{}", wrap(&what, WIDTH, "  "));
    line!(
        text,
        "\n  {:<24} {:>8} {:>8} {:>7}   {:>9} {:>9} {:>7}   held by",
        "option",
        "h:min",
        "then",
        "%",
        "price",
        "then",
        "%"
    );
    let mut unchanged = 0;
    for pair in pairs(before, after) {
        let (name, both) = (pair.option.name(), (pair.before, pair.after));
        match both {
            (Some(was), Some(is)) if same(was, is) => match (&was.band, &is.band) {
                (Some(then), Some(now)) if from_to(then) != from_to(now) => {
                    let sentence = format!(
                        "  {name}: hours and price stay, the band becomes {} instead of {}",
                        from_to(now),
                        from_to(then)
                    );
                    line!(text, "{}", wrap(&sentence, WIDTH, "    "));
                }
                _ => unchanged += 1,
            },
            (Some(was), Some(is)) => line!(text, "{}", changed_row(&name, was, is)),
            (None, Some(is)) => line!(
                text,
                "  {name:<24} {:>8} {:>8} {:>7}   {:>9} {:>9} {:>7}   {}",
                "-",
                hours_column(is.seconds.whole_s()),
                "",
                "-",
                is.ledger.unit_price,
                "",
                is.limit.name()
            ),
            (Some(_), None) => {
                let sentence = format!("  {name}: no longer, {}", pair.why_not.unwrap_or_default());
                line!(text, "{}", wrap(&sentence, WIDTH, "    "));
            }
            (None, None) => {}
        }
    }
    if unchanged > 0 {
        let many = if unchanged == 1 {
            "1 option stays as it is".to_owned()
        } else {
            format!("{unchanged} options stay as they are")
        };
        line!(text, "  {many}.");
    }
    let pick = |estimate: &Estimate| {
        estimate
            .picked()
            .map_or("none".to_owned(), |(option, _)| option.name())
    };
    let (was, is) = (pick(before), pick(after));
    if was == is {
        line!(text, "  The pick stays {is}.");
    } else {
        line!(text, "  The pick becomes {is} instead of {was}.");
    }
    text
}

fn same(was: &Made, is: &Made) -> bool {
    was.seconds.whole_s() == is.seconds.whole_s() && was.ledger.unit_price == is.ledger.unit_price
}

fn changed_row(name: &str, was: &Made, is: &Made) -> String {
    let (then_s, now_s) = (is.seconds.whole_s(), was.seconds.whole_s());
    let (then, now) = (is.ledger.unit_price, was.ledger.unit_price);
    let price_percent = ((then - now) * rust_decimal::Decimal::ONE_HUNDRED)
        .checked_div(now)
        .map_or(String::new(), |share| format!("{share:+.1}"));
    let held = if was.limit == is.limit {
        is.limit.name().to_owned()
    } else {
        format!("{}, was {}", is.limit.name(), was.limit.name())
    };
    format!(
        "  {name:<24} {:>8} {:>8} {:>+7.1}   {now:>9} {then:>9} {price_percent:>7}   {held}",
        hours_column(now_s),
        hours_column(then_s),
        100.0 * (then_s / now_s - 1.0),
    )
}

/// The same as one JSON object.
pub fn what_if_json(part: &str, changes: &[String], before: &Estimate, after: &Estimate) -> String {
    let pick = |estimate: &Estimate| estimate.picked().map(|(option, _)| option.name());
    super::json::line(&WhatIfObject {
        format: FORMAT,
        part,
        material: &after.material,
        what_if: changes,
        options: pairs(before, after).iter().map(PairObject::of).collect(),
        pick: pick(before),
        pick_then: pick(after),
    })
}

#[derive(Serialize)]
struct WhatIfObject<'a> {
    format: u32,
    part: &'a str,
    material: &'a str,
    what_if: &'a [String],
    options: Vec<PairObject<'a>>,
    pick: Option<String>,
    pick_then: Option<String>,
}

#[derive(Serialize)]
struct PairObject<'a> {
    machine: &'a str,
    nozzle: &'a str,
    seconds: Option<f64>,
    seconds_then: Option<f64>,
    unit_price: Option<String>,
    unit_price_then: Option<String>,
    limit: Option<&'static str>,
    limit_then: Option<&'static str>,
    why_not_then: Option<&'a str>,
}

impl<'a> PairObject<'a> {
    fn of(pair: &'a Pair<'a>) -> Self {
        let seconds = |made: Option<&Made>| made.map(|m| m.seconds.whole_s());
        let price = |made: Option<&Made>| made.map(|m| m.ledger.unit_price.to_string());
        let limit = |made: Option<&Made>| made.map(|m| m.limit.name());
        PairObject {
            machine: &pair.option.machine,
            nozzle: &pair.option.nozzle,
            seconds: seconds(pair.before),
            seconds_then: seconds(pair.after),
            unit_price: price(pair.before),
            unit_price_then: price(pair.after),
            limit: limit(pair.before),
            limit_then: limit(pair.after),
            why_not_then: pair.why_not.as_deref(),
        }
    }
}
