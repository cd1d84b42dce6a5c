//! Which option to recommend, and why.

use super::ask::{Ask, BestBy, Floors};
use super::lead::lead_time;
use super::option::{Made, PartOption};
use crate::shop::Shop;

/// The option recommended.
#[derive(Debug, Clone, PartialEq)]
pub struct Pick {
    /// Its place among the options; `None` where none will do.
    pub option: Option<usize>,
    /// Why this one, or why none.
    pub why: String,
    /// Options that would be cheaper, quicker or finer, one sentence each.
    pub instead: Vec<String>,
}

/// A quicker option is named where it takes less than this share of the time.
const WORTH_SHARE: f64 = 0.9;

type Candidate<'a> = (usize, &'a PartOption, &'a Made);

/// Picks an option: the cheapest that reaches the job's floors; without floors the cheapest with the shop's default
/// nozzle; `best_by` decides by something else.
pub(super) fn pick(options: &[PartOption], shop: &Shop, ask: &Ask) -> Pick {
    let all: Vec<Candidate<'_>> = options
        .iter()
        .enumerate()
        .filter_map(|(i, o)| Some((i, o, o.made()?)))
        .collect();
    if all.is_empty() {
        return none("no option of this shop can make it".to_owned());
    }
    let able: Vec<Candidate<'_>> = all
        .iter()
        .copied()
        .filter(|c| misses(c.1, c.2, shop, ask).is_empty())
        .collect();
    if able.is_empty() {
        let nearest = best(&all, BestBy::Finish).map(|c| (c.1.name(), misses(c.1, c.2, shop, ask)));
        let (name, misses) = nearest.unwrap_or_default();
        return none(format!(
            "no option reaches the floors; {name}: {}",
            misses.join(", ")
        ));
    }
    let (chosen, why) = choose(&able, shop, ask);
    match chosen {
        Some(chosen) => Pick {
            option: Some(chosen.0),
            why,
            instead: instead(&able, chosen),
        },
        None => none("no option of this shop can make it".to_owned()),
    }
}

fn none(why: String) -> Pick {
    Pick {
        option: None,
        why,
        instead: Vec::new(),
    }
}

/// The options among which the price decides how an order is made: those that reach the floors, of which without floors only
/// the shop's usual nozzle counts; where finish or time decides, the option picked alone.
pub(super) fn eligible(
    options: &[PartOption],
    picked: usize,
    shop: &Shop,
    ask: &Ask,
) -> Vec<usize> {
    if matches!(ask.best_by, Some(BestBy::Time | BestBy::Finish)) {
        return vec![picked];
    }
    let usual = ask.best_by.is_none()
        && ask.floors.are_none()
        && options[picked].nozzle == shop.default_nozzle;
    let able = options.iter().enumerate().filter(|(_, option)| {
        let reaches = |made| misses(option, made, shop, ask).is_empty();
        (!usual || option.nozzle == shop.default_nozzle) && option.made().is_some_and(reaches)
    });
    able.map(|(index, _)| index).collect()
}

fn choose<'a>(able: &[Candidate<'a>], shop: &Shop, ask: &Ask) -> (Option<Candidate<'a>>, String) {
    let floors = if ask.floors.are_none() {
        ""
    } else {
        " that reaches the floors"
    };
    if let Some(by) = ask.best_by {
        let word = match by {
            BestBy::Price => "cheapest",
            BestBy::Time => "quickest",
            BestBy::Finish => "finest",
        };
        return (best(able, by), format!("the {word} option{floors}"));
    }
    if !ask.floors.are_none() {
        return (
            best(able, BestBy::Price),
            format!("the cheapest option{floors}"),
        );
    }
    let usual: Vec<Candidate<'a>> = able
        .iter()
        .copied()
        .filter(|c| c.1.nozzle == shop.default_nozzle)
        .collect();
    if usual.is_empty() {
        let why = format!(
            "the cheapest option; the shop's usual nozzle {} can't make it",
            shop.default_nozzle
        );
        return (best(able, BestBy::Price), why);
    }
    (
        best(&usual, BestBy::Price),
        "the cheapest with the shop's usual nozzle".to_owned(),
    )
}

fn best<'a>(candidates: &[Candidate<'a>], by: BestBy) -> Option<Candidate<'a>> {
    let price = |c: &Candidate<'a>| c.2.ledger.unit_price;
    let seconds = |c: &Candidate<'a>| c.2.seconds.whole_s();
    candidates.iter().copied().min_by(|a, b| {
        // Under the least order prices tie: then the one that costs the shop less.
        let by_price = price(a)
            .cmp(&price(b))
            .then(a.2.ledger.cost.cmp(&b.2.ledger.cost))
            .then(seconds(a).total_cmp(&seconds(b)));
        match by {
            BestBy::Price => by_price,
            BestBy::Time => seconds(a)
                .total_cmp(&seconds(b))
                .then(price(a).cmp(&price(b))),
            BestBy::Finish => (a.2.cusp_um.total_cmp(&b.2.cusp_um))
                .then(a.2.bead.height_mm().total_cmp(&b.2.bead.height_mm()))
                .then(by_price),
        }
    })
}

/// The floors an option does not reach, in plain words.
fn misses(option: &PartOption, made: &Made, shop: &Shop, ask: &Ask) -> Vec<String> {
    let Floors {
        used_as,
        smallest_feature_mm,
        due,
    } = ask.floors;
    let mut misses = Vec::new();
    if let Some(used_as) = used_as.filter(|u| made.bead.height_mm() > u.most_layer_mm() + 1e-9) {
        misses.push(format!(
            "layers of {} mm are above the {:.2} mm for {}",
            made.bead.height_mm(),
            used_as.most_layer_mm(),
            used_as.in_words()
        ));
    }
    let least_mm = (0.85 * made.bead.nozzle_mm()).min(0.7 * made.bead.width_mm());
    if let Some(feature_mm) = smallest_feature_mm.filter(|f| *f < least_mm) {
        misses.push(format!(
            "lays nothing narrower than {least_mm:.2} mm, and {feature_mm} mm is to be kept"
        ));
    }
    if let Some(due) = due {
        let clearing_h = shop
            .machine(&option.machine)
            .map_or(0.0, |m| m.failures.clearing_h);
        let print_h = made.seconds.hours();
        let takes_h = lead_time(
            &shop.attended,
            due.from_week_min,
            print_h,
            clearing_h,
            ask.quantity,
        )
        .hours;
        if takes_h > due.in_h {
            misses.push(format!(
                "{takes_h:.0} h until done are more than the {:.0} h left",
                due.in_h
            ));
        }
    }
    misses
}

/// What would be cheaper, quicker or finer than the pick.
fn instead(able: &[Candidate<'_>], chosen: Candidate<'_>) -> Vec<String> {
    let mut sentences = Vec::new();
    let (_, _, made) = chosen;
    if let Some((_, option, cheaper)) =
        best(able, BestBy::Price).filter(|c| c.2.ledger.unit_price < made.ledger.unit_price)
    {
        sentences.push(format!(
            "{} would be cheaper: {} each",
            option.name(),
            cheaper.ledger.unit_price
        ));
    }
    if let Some((_, option, quicker)) = best(able, BestBy::Time)
        .filter(|c| c.2.seconds.whole_s() < WORTH_SHARE * made.seconds.whole_s())
    {
        sentences.push(format!(
            "{} would be quicker: {:.1} h, {} each",
            option.name(),
            quicker.seconds.hours(),
            quicker.ledger.unit_price
        ));
    }
    if let Some((_, option, finer)) = best(able, BestBy::Finish).filter(|c| {
        c.2.cusp_um < made.cusp_um - 1e-9 || c.2.bead.height_mm() < made.bead.height_mm() - 1e-9
    }) {
        sentences.push(format!(
            "{} would be finer: layers of {} mm, {} each",
            option.name(),
            finer.bead.height_mm(),
            finer.ledger.unit_price
        ));
    }
    sentences
}
