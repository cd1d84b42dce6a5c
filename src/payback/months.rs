//! A month's parts in the shop as it is and in the shop with the purchase.

use rayon::prelude::*;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::purchase::Purchase;
use crate::cost::decimal::round_money;
use crate::estimate::{Ask, BestBy, EstimateError, Plan, estimate, lots, pace_of};
use crate::mesh::InspectedMesh;
use crate::shop::Shop;

/// Weeks of a month, by the year of 365.25 days.
const WEEKS_PER_MONTH: f64 = 365.25 / 12.0 / 7.0;

/// One of the shop's typical parts.
#[derive(Debug, Clone, Copy)]
pub struct Work<'a> {
    /// Its name.
    pub name: &'a str,
    /// Its mesh.
    pub part: &'a InspectedMesh,
    /// Pieces made of it every month, at least 1.
    pub monthly: u32,
}

/// A month of one part in one shop.
#[derive(Debug, Clone, PartialEq)]
pub struct Month {
    /// How it is made.
    pub plan: Plan,
    /// What a piece costs, overhead included and no margin.
    pub unit_cost: Decimal,
    /// The lines before overhead less the write-off of the machine's hours: what is really spent on the month's pieces.
    pub spent: Decimal,
    /// Expected machine hours, failures included, h.
    pub machine_h: f64,
    /// Hours that the machine can print such starts in a month of the shop's week, h.
    pub possible_h: f64,
    /// Whether anything is known of how much the machine melts; without a measured row hours come out too low.
    pub melt_known: bool,
}

/// What the answer hangs on most, and how far it swings with it.
#[derive(Debug, Clone, PartialEq)]
pub struct Assumption {
    /// What is assumed, in plain words.
    pub what: String,
    /// Months to pay back at its two ends; `None` for never.
    pub months: [Option<f64>; 2],
}

/// What a purchase does.
#[derive(Debug, Clone, PartialEq)]
pub struct Payback {
    /// What it costs.
    pub price: Decimal,
    /// Every part before and after.
    pub parts: Vec<[Month; 2]>,
    /// Machine hours of a month on the machines there are now, before and after, h.
    pub hours_on_present: [f64; 2],
    /// Machine hours of a month on what is bought, h.
    pub hours_on_bought: f64,
    /// What is spent less every month, write-off left out.
    pub saved_per_month: Decimal,
    /// What an hour of the present machines brings in today above what is spent in it.
    pub earned_per_h: Decimal,
    /// Machines of which the month asks more hours than they have, before and after: id, hours asked, hours possible.
    pub overbooked: [Vec<(String, f64, f64)>; 2],
    /// Months until the purchase is paid back by what is spent less; `None` where it never is.
    pub months: Option<f64>,
    /// The same where every hour freed on the present machines is sold at what it earns today.
    pub months_if_sold: Option<f64>,
    /// The largest assumption.
    pub assumption: Assumption,
}

/// Why the question can't be answered.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PaybackError {
    /// A part that can't be estimated.
    #[error("{part}: {error}")]
    Part {
        /// Its name.
        part: String,
        /// Why.
        error: EstimateError,
    },
    /// A part that no option of the shop can make, so there is nothing to hold the purchase against.
    #[error("{part}: no option of the shop {when} the purchase can make it: {why}")]
    NoOption {
        /// Its name.
        part: String,
        /// "before" or "after".
        when: &'static str,
        /// Why.
        why: String,
    },
}

/// Holds a shop against itself with a purchase, for a month of parts. Each part is made by the plan that costs least; with `use_it` a
/// part goes onto what is bought wherever that can make it.
///
/// # Errors
/// [`PaybackError`].
pub fn payback(
    work: &[Work<'_>],
    shop: &Shop,
    purchase: &Purchase,
    ask: &Ask,
    use_it: bool,
) -> Result<Payback, PaybackError> {
    let ask = Ask {
        best_by: Some(ask.best_by.unwrap_or(BestBy::Price)),
        ..ask.clone()
    };
    let parts = work
        .par_iter()
        .map(|of| {
            let before = month(of, shop, &ask, "before")?;
            let forced = |machine: &String| Ask {
                machine: Some(machine.clone()),
                ..ask.clone()
            };
            let forced_nozzle = |nozzle: &String| Ask {
                nozzle: Some(nozzle.clone()),
                ..ask.clone()
            };
            let on_it = purchase.machines.iter().map(forced);
            let on_it = on_it.chain(purchase.nozzles.iter().map(forced_nozzle));
            let on_it = on_it
                .filter(|_| use_it)
                .filter_map(|ask| month(of, &purchase.shop, &ask, "after").ok())
                .min_by_key(|month| month.unit_cost);
            let after = match on_it {
                Some(month) => month,
                None => month(of, &purchase.shop, &ask, "after")?,
            };
            Ok([before, after])
        })
        .collect::<Result<Vec<[Month; 2]>, PaybackError>>()?;
    Ok(Payback::of(parts, purchase))
}

fn month(of: &Work<'_>, shop: &Shop, ask: &Ask, when: &'static str) -> Result<Month, PaybackError> {
    let failed = |error| PaybackError::Part {
        part: of.name.to_owned(),
        error,
    };
    let ask = Ask {
        quantity: of.monthly,
        ..ask.clone()
    };
    let answer = estimate(of.part, shop, &ask).map_err(failed)?;
    let found = lots(of.part, shop, &ask, &answer, &[of.monthly]).map_err(failed)?;
    let plan = found.and_then(|lots| lots.plans.into_iter().next());
    let Some(plan) = plan else {
        return Err(PaybackError::NoOption {
            part: of.name.to_owned(),
            when,
            why: answer.pick.why,
        });
    };
    let hours = plan.ledger.machine_hours.to_f64().unwrap_or(0.0);
    Ok(Month {
        unit_cost: plan.ledger.unit_cost,
        spent: spent(&plan, shop),
        machine_h: hours,
        possible_h: possible_h(&plan, shop, &answer.material),
        melt_known: answer.options.iter().any(|option| {
            let same = option.machine == plan.machine && option.nozzle == plan.nozzle;
            same && option.made().is_some_and(|made| made.row.is_some())
        }),
        plan,
    })
}

/// The lines before overhead less the machine's write-off, failed hours with it: that is spent when a machine is bought and not when it
/// prints, and the overhead goes on whatever is printed.
fn spent(plan: &Plan, shop: &Shop) -> Decimal {
    let ledger = &plan.ledger;
    let overhead = ledger
        .line("overhead")
        .map_or(Decimal::ZERO, |line| line.amount);
    let life_h = shop
        .machine(&plan.machine)
        .and_then(|m| Some((m.price, Decimal::from_f64_retain(m.life_h)?)));
    let written_off = life_h
        .and_then(|(price, life_h)| (price * ledger.machine_hours).checked_div(life_h))
        .unwrap_or_default();
    let digits = ledger.cost.scale();
    round_money(ledger.cost - overhead - written_off, digits)
}

/// Hours that a machine can print a plan's starts in a month of the shop's week.
fn possible_h(plan: &Plan, shop: &Shop, material: &str) -> f64 {
    let pace = pace_of(plan, shop, material);
    let start_h = plan
        .starts
        .first()
        .map_or(0.0, |start| start.seconds / 3600.0);
    pace.map_or(f64::INFINITY, |pace| {
        pace.per_week * WEEKS_PER_MONTH * start_h
    })
}

/// The hours asked of each machine in a month, by id, and the most that it can print.
fn loads(parts: &[[Month; 2]], which: usize) -> Vec<(String, f64, f64)> {
    let mut loads: Vec<(String, f64, f64)> = Vec::new();
    for month in parts.iter().map(|pair| &pair[which]) {
        match loads
            .iter_mut()
            .find(|(id, _, _)| *id == month.plan.machine)
        {
            Some((_, asked_h, possible_h)) => {
                *asked_h += month.machine_h;
                *possible_h = possible_h.max(month.possible_h);
            }
            None => loads.push((
                month.plan.machine.clone(),
                month.machine_h,
                month.possible_h,
            )),
        }
    }
    loads
}

impl Payback {
    fn of(parts: Vec<[Month; 2]>, purchase: &Purchase) -> Payback {
        let present = |month: &Month| {
            let bought = purchase.machines.contains(&month.plan.machine);
            if bought { 0.0 } else { month.machine_h }
        };
        let sum = |which: usize, of: &dyn Fn(&Month) -> f64| -> f64 {
            parts.iter().map(|pair| of(&pair[which])).sum()
        };
        let hours_on_present = [sum(0, &present), sum(1, &present)];
        let hours_on_bought = sum(1, &|month| month.machine_h) - hours_on_present[1];
        let saved: Decimal = parts
            .iter()
            .map(|[before, after]| before.spent - after.spent)
            .sum();
        let earned: Decimal = parts
            .iter()
            .map(|[before, _]| before.plan.ledger.subtotal - before.spent)
            .sum();
        let profit_per_h = match hours_on_present[0] {
            hours if hours > 0.0 => earned.to_f64().unwrap_or(0.0) / hours,
            _ => 0.0,
        };
        let [before, after] = [0, 1].map(|which| loads(&parts, which));
        // Hours that a machine does not have can be neither freed nor sold.
        let printable = |loads: &[(String, f64, f64)]| -> f64 {
            let present = loads
                .iter()
                .filter(|(id, _, _)| !purchase.machines.contains(id));
            present
                .map(|(_, asked_h, possible_h)| asked_h.min(*possible_h))
                .sum()
        };
        let freed_h = (printable(&before) - printable(&after)).max(0.0);
        let overbooked = [before, after].map(|loads| {
            let over = loads
                .into_iter()
                .filter(|(_, asked_h, possible_h)| asked_h > possible_h);
            over.collect::<Vec<_>>()
        });
        let price = purchase.price.to_f64().unwrap_or(f64::INFINITY);
        let saved_f = saved.to_f64().unwrap_or(0.0);
        let months = |per_month: f64| (per_month > 0.0).then(|| price / per_month);
        let sold = saved_f + freed_h * profit_per_h;
        Payback {
            price: purchase.price,
            hours_on_present,
            hours_on_bought,
            saved_per_month: saved,
            earned_per_h: Decimal::from_f64_retain(profit_per_h)
                .unwrap_or_default()
                .round_dp(parts.first().map_or(2, |[before, _]| before.spent.scale())),
            overbooked,
            months: months(saved_f),
            months_if_sold: months(sold),
            assumption: unknown_melt(&parts, purchase, [months(sold), months(saved_f)])
                .unwrap_or_else(|| largest(saved_f, sold, &months)),
            parts,
        }
    }
}

/// A purchase that nothing is known of how much it melts: no other assumption weighs as much.
fn unknown_melt(
    parts: &[[Month; 2]],
    purchase: &Purchase,
    months: [Option<f64>; 2],
) -> Option<Assumption> {
    let unknown = parts.iter().map(|[_, after]| after).find(|after| {
        !after.melt_known && purchase.is_used_by(&after.plan.machine, &after.plan.nozzle)
    })?;
    Some(Assumption {
        what: format!(
            "that {} melts whatever its speeds ask for, as nothing is known of its melt limit: its hours are surely too low, so put a \
             [[measured]] row with a figure from its maker or from such a machine into the purchase; with that, whether the hours \
             freed are sold",
            unknown.plan.name()
        ),
        months,
    })
}

/// Of what is assumed that which moves the months most: whether freed hours are sold, or a quarter less and more work.
fn largest(saved: f64, sold: f64, months: &dyn Fn(f64) -> Option<f64>) -> Assumption {
    let sales = Assumption {
        what: "whether the hours freed are sold: all of them at what an hour earns today, or none"
            .to_owned(),
        months: [months(sold), months(saved)],
    };
    let work = Assumption {
        what: "the monthly quantities: a quarter more, or a quarter less".to_owned(),
        months: [months(1.25 * sold), months(0.75 * sold)],
    };
    let swing = |of: &Assumption| match of.months {
        [Some(a), Some(b)] => (a - b).abs(),
        [None, None] => 0.0,
        _ => f64::INFINITY,
    };
    if swing(&sales) >= swing(&work) {
        sales
    } else {
        work
    }
}
