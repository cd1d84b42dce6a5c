//! What a purchase does to a shop, as text and as JSON.

use std::fmt::Write;

use serde::Serialize;

use super::json::{FORMAT, line as json_line};
use super::words::{WIDTH, money, wrap};
use crate::cost::decimal::round_money;
use crate::payback::{Month, Payback, Purchase, Work};
use crate::shop::Shop;

/// What a purchase does, for its owner.
pub fn payback_text(
    work: &[Work<'_>],
    found: &Payback,
    purchase: &Purchase,
    shop: &Shop,
) -> String {
    let mut text = String::new();
    let currency = shop.currency;
    let sentence = |text: &mut String, sentence: &str| {
        line!(text, "{}", wrap(sentence, WIDTH, "  "));
    };
    sentence(&mut text, &verdict(found, purchase, shop));
    line!(
        text,
        "\n  {:<26} {:>5}  {:<24} {:>9} {:>7}  {:<20}",
        "part",
        "month",
        "made on",
        "cost each",
        "h",
        ""
    );
    for (of, [before, after]) in work.iter().zip(&found.parts) {
        let name = super::words::own_name(of.name);
        row(&mut text, name, &of.monthly.to_string(), before, "as it is");
        row(&mut text, "", "", after, "with the purchase");
    }
    line!(text, "");
    for (loads, when) in found
        .overbooked
        .iter()
        .zip(["as it is", "with the purchase"])
    {
        for (machine, asked_h, possible_h) in loads {
            sentence(
                &mut text,
                &format!(
                    "The shop {when} can't make this month: {machine} is asked for {asked_h:.0} h and can print {possible_h:.0} h of such \
                     starts in its attended week; hours beyond that are neither freed nor sold."
                ),
            );
        }
    }
    if !is_used(found, purchase) {
        return text;
    }
    let [before_h, after_h] = found.hours_on_present;
    sentence(
        &mut text,
        &format!(
            "Hours of a month on the machines there are: {before_h:.0} before, {after_h:.0} after, {:.0} freed; {:.0} on what is \
             bought. Failed prints and clearing are in them.",
            (before_h - after_h).max(0.0),
            found.hours_on_bought
        ),
    );
    sentence(
        &mut text,
        &format!(
            "Spent on a month's pieces, overhead and the write-off of machines left out: {} {}. An hour of the present machines brings in \
             {} above what is spent in it.",
            money(found.saved_per_month.abs(), currency),
            if found.saved_per_month.is_sign_negative() {
                "more"
            } else {
                "less"
            },
            money(found.earned_per_h, currency)
        ),
    );
    let [one, other] = found.assumption.months.map(in_words);
    sentence(
        &mut text,
        &format!(
            "Largest assumption: {}: {one} against {other}.",
            found.assumption.what
        ),
    );
    sentence(
        &mut text,
        "Costs are without margin and with overhead; every part is made by the plan that costs least, a month's pieces as one \
         order. Rent of the place, training and interest on the price are not in it.",
    );
    if shop.demonstration {
        sentence(&mut text, super::remarks::INVENTED);
    }
    text
}

fn verdict(found: &Payback, purchase: &Purchase, shop: &Shop) -> String {
    let price = money(found.price, shop.currency);
    let names = purchase.names();
    if !is_used(found, purchase) {
        return format!(
            "{names} ({price}) is not worth buying for these parts: none of them costs less on it (--use-it puts them there all the \
             same)."
        );
    }
    match (found.months, found.months_if_sold) {
        (Some(months), Some(sold)) => format!(
            "{names} ({price}) is paid back in {months:.1} months by what is spent less, in {sold:.1} where the hours freed are sold."
        ),
        (None, Some(sold)) => format!(
            "{names} ({price}) saves nothing by itself; it is paid back in {sold:.1} months where the hours freed are sold."
        ),
        _ => format!("{names} ({price}) is never paid back by these parts."),
    }
}

/// An amount with the currency's decimals, as every other one has them.
fn in_minor_units(amount: rust_decimal::Decimal, shop: &Shop) -> String {
    let digits = shop.currency.exponent().map_or(0, u32::from);
    round_money(amount, digits).to_string()
}

fn is_used(found: &Payback, purchase: &Purchase) -> bool {
    let mut after = found.parts.iter().map(|[_, after]| &after.plan);
    after.any(|plan| purchase.is_used_by(&plan.machine, &plan.nozzle))
}

fn in_words(months: Option<f64>) -> String {
    months.map_or("never".to_owned(), |months| format!("{months:.1} months"))
}

fn row(text: &mut String, part: &str, monthly: &str, month: &Month, when: &str) {
    let part: String = part.chars().take(26).collect();
    line!(
        text,
        "  {part:<26} {monthly:>5}  {:<24} {:>9} {:>7.1}  {when:<20}",
        month.plan.name(),
        month.unit_cost,
        month.machine_h,
    );
}

/// What a purchase does, for programs.
pub fn payback_json(
    work: &[Work<'_>],
    found: &Payback,
    purchase: &Purchase,
    shop: &Shop,
) -> String {
    json_line(&PaybackObject {
        format: FORMAT,
        shop: &shop.name,
        currency: shop.currency.code(),
        demonstration_shop: shop.demonstration,
        bought: purchase.machines.iter().chain(&purchase.nozzles).collect(),
        price: in_minor_units(found.price, shop),
        parts: work
            .iter()
            .zip(&found.parts)
            .map(|(of, [before, after])| PartObject {
                part: of.name,
                monthly: of.monthly,
                before: MonthObject::of(before),
                after: MonthObject::of(after),
            })
            .collect(),
        hours_on_present_before: found.hours_on_present[0],
        hours_on_present_after: found.hours_on_present[1],
        hours_on_bought: found.hours_on_bought,
        saved_per_month: found.saved_per_month.to_string(),
        overbooked_before: Overbooked::of(&found.overbooked[0]),
        overbooked_after: Overbooked::of(&found.overbooked[1]),
        earned_per_machine_hour: found.earned_per_h.to_string(),
        months: found.months,
        months_if_freed_hours_are_sold: found.months_if_sold,
        largest_assumption: AssumptionObject {
            what: &found.assumption.what,
            months: found.assumption.months,
        },
    })
}

#[derive(Serialize)]
struct PaybackObject<'a> {
    format: u32,
    shop: &'a str,
    currency: &'static str,
    demonstration_shop: bool,
    bought: Vec<&'a String>,
    price: String,
    parts: Vec<PartObject<'a>>,
    hours_on_present_before: f64,
    hours_on_present_after: f64,
    hours_on_bought: f64,
    saved_per_month: String,
    overbooked_before: Vec<Overbooked<'a>>,
    overbooked_after: Vec<Overbooked<'a>>,
    earned_per_machine_hour: String,
    months: Option<f64>,
    months_if_freed_hours_are_sold: Option<f64>,
    largest_assumption: AssumptionObject<'a>,
}

#[derive(Serialize)]
struct Overbooked<'a> {
    machine: &'a str,
    asked_h: f64,
    possible_h: f64,
}

impl<'a> Overbooked<'a> {
    fn of(loads: &'a [(String, f64, f64)]) -> Vec<Self> {
        let load = |(machine, asked_h, possible_h): &'a (String, f64, f64)| Overbooked {
            machine,
            asked_h: *asked_h,
            possible_h: *possible_h,
        };
        loads.iter().map(load).collect()
    }
}

#[derive(Serialize)]
struct PartObject<'a> {
    part: &'a str,
    monthly: u32,
    before: MonthObject<'a>,
    after: MonthObject<'a>,
}

#[derive(Serialize)]
struct MonthObject<'a> {
    machine: &'a str,
    nozzle: &'a str,
    unit_cost: String,
    spent: String,
    machine_h: f64,
}

#[derive(Serialize)]
struct AssumptionObject<'a> {
    what: &'a str,
    months: [Option<f64>; 2],
}

impl<'a> MonthObject<'a> {
    fn of(month: &'a Month) -> Self {
        MonthObject {
            machine: &month.plan.machine,
            nozzle: &month.plan.nozzle,
            unit_cost: month.unit_cost.to_string(),
            spent: month.spent.to_string(),
            machine_h: month.machine_h,
        }
    }
}
