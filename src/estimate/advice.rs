//! What to do about an option, and why: its bead, its walls, its nozzle, and what would make it quicker. Everything said of
//! hours was planned again, nothing is a rule of thumb.

use super::findings::too_long;
use super::option::{Made, PartOption};
use super::profile::stretch_together_s;
use super::replan::Change;
use super::table::Estimate;
use crate::motion::Limit;
use crate::shop::{Material, Nozzle, NozzleMetal, Shop};

/// A saving below this share of the hours is not worth a purchase.
const WORTH_SHARE: f64 = 0.03;
/// More of a part than this are not put on one bed for the sake of cooling.
const MOST_TOGETHER: u32 = 6;

/// Sentences about an option that can make the part; none for one that can't.
pub fn advice(estimate: &Estimate, option: &PartOption, shop: &Shop) -> Vec<String> {
    let names = (
        shop.nozzle(&option.nozzle),
        shop.material(&estimate.material),
    );
    let (Some(made), (Some(nozzle), Some(material))) = (option.made(), names) else {
        return Vec::new();
    };
    let mut all = vec![of_bead(made), of_walls(made), of_nozzle(nozzle, material)];
    all.extend(of_bond(made, material));
    all.extend(what_would_help(estimate, option, shop));
    all
}

/// What would make an option quicker, planned again; nothing for one that can't make the part.
pub fn what_would_help(estimate: &Estimate, option: &PartOption, shop: &Shop) -> Vec<String> {
    let (Some(made), Some(material)) = (option.made(), shop.material(&estimate.material)) else {
        return Vec::new();
    };
    let mut all = vec![of_limit(made, material)];
    all.extend(of_wider(estimate, option, made));
    all.extend(of_cooling(made));
    all
}

fn of_bead(made: &Made) -> String {
    let (d, h, w) = (
        made.bead.nozzle_mm(),
        made.bead.height_mm(),
        made.bead.width_mm(),
    );
    format!(
        "layers of {h} mm and beads {w} mm wide are {:.2} and {:.2} of the nozzle (0.6 and 1.2 are usual, common practice); layers up \
         to {:.2} mm are laid with it, 0.8 of it",
        h / d,
        w / d,
        made.bead.tall_from_mm()
    )
}

fn of_walls(made: &Made) -> String {
    let n = made.perimeters;
    let wall_mm = made.wall_mm();
    let (word, each) = if n == 1 {
        ("perimeter makes", String::new())
    } else {
        (
            "perimeters make",
            format!(" + {} x {:.3}", n - 1, made.bead.spacing_mm()),
        )
    };
    format!(
        "{n} {word} a wall of {}{each} = {wall_mm:.2} mm",
        made.bead.width_mm()
    )
}

fn of_nozzle(nozzle: &Nozzle, material: &Material) -> String {
    let (metal, id) = (nozzle.metal.name(), &material.id);
    match (material.abrasive, nozzle.metal.soft()) {
        (true, true) => {
            format!("{id} is abrasive and wears this {metal} nozzle; it was asked for all the same")
        }
        (true, false) => format!("{id} is abrasive: {metal} stands it"),
        (false, true) if nozzle.metal == NozzleMetal::Brass => {
            format!("{id} is plain: brass is enough, and it conducts heat better than steel")
        }
        (false, true) => format!("{id} is plain: {metal} is enough"),
        (false, false) => format!("{id} is plain and would not need {metal}"),
    }
}

/// Time from layer to layer: what is laid on must be firm, and not yet cold.
fn of_bond(made: &Made, material: &Material) -> Option<String> {
    if let Some((_, sentence)) = too_long(made, material) {
        return Some(sentence);
    }
    let (least, greatest) = made.layer_seconds()?;
    let most = material
        .most_layer_s
        .map_or(String::new(), |s| format!(" and {s:.0} s at most"));
    Some(format!(
        "a layer takes {:.0} s (at {:.1} mm) to {:.0} s (at {:.1} mm); {} wants {:.0} s at least{most}",
        least.seconds,
        least.top_mm,
        greatest.seconds,
        greatest.top_mm,
        material.id,
        material.least_layer_s
    ))
}

fn of_limit(made: &Made, material: &Material) -> String {
    let whole_s = made.seconds.whole_s();
    let saved = |change: Change| Some(1.0 - made.seconds_with(change)? / whole_s);
    let percent = |share: f64| format!("{:.0} %", 100.0 * share.max(0.0));
    let means: Vec<(&str, f64)> = [
        (
            "a machine of twice the speeds and acceleration",
            Change::MotionDoubled,
        ),
        ("a nozzle of twice the melt rate", Change::MeltDoubled),
        (
            "one so hot that it melts a fifth more",
            Change::MeltFifthMore,
        ),
    ]
    .into_iter()
    .filter_map(|(what, change)| Some((what, saved(change)?)))
    .collect();
    let said: Vec<String> = means
        .iter()
        .map(|(what, share)| format!("{what} {}", percent(*share)))
        .collect();
    let [motion, melt, cooling] = made.limit_share;
    let (word, share) = match made.limit {
        Limit::Motion => ("the machine's motion", motion),
        Limit::Melt => ("the melt rate", melt),
        Limit::Cooling => ("cooling", cooling),
    };
    let verdict = if means.iter().all(|(_, share)| *share < WORTH_SHARE) {
        "; none of them is worth it".to_owned()
    } else if melt > 0.0 {
        let (least_c, most_c) = material.nozzle_c;
        format!("; {} is laid at {least_c:.0} to {most_c:.0} C", material.id)
    } else {
        String::new()
    };
    format!(
        "held by {word} {} of the time; planned again, {} would save of the hours{verdict}",
        percent(share),
        in_a_row(&said)
    )
}

fn in_a_row(all: &[String]) -> String {
    match all {
        [] => String::new(),
        [one] => one.clone(),
        [before @ .., last] => format!("{} and {last}", before.join(", ")),
    }
}

/// The next wider nozzle of the same machine, as it stands in the same estimate.
fn of_wider(estimate: &Estimate, option: &PartOption, made: &Made) -> Option<String> {
    let here_mm = made.bead.nozzle_mm();
    let wider = estimate
        .options
        .iter()
        .filter(|o| o.machine == option.machine);
    let (other, there) = wider
        .filter_map(|o| Some((o, o.made()?)))
        .filter(|(_, m)| m.bead.nozzle_mm() > here_mm)
        .min_by(|a, b| a.1.bead.nozzle_mm().total_cmp(&b.1.bead.nozzle_mm()))?;
    let share = 1.0 - there.seconds.whole_s() / made.seconds.whole_s();
    let word = if share >= 0.0 { "fewer" } else { "more" };
    Some(format!(
        "the wider nozzle {} takes {:.0} % {word} hours on this machine, {} instead of {} each",
        other.nozzle,
        100.0 * share.abs(),
        there.ledger.unit_price,
        made.ledger.unit_price
    ))
}

/// How many on a bed let none wait for its layers to cool.
fn of_cooling(made: &Made) -> Option<String> {
    let whole_s = made.seconds.whole_s();
    let waiting_s = made.seconds.cooling_s;
    if waiting_s < WORTH_SHARE * whole_s {
        return None;
    }
    let enough = |n: &u32| stretch_together_s(&made.profile, *n) < WORTH_SHARE * whole_s;
    let together = (2..=MOST_TOGETHER).find(enough).unwrap_or(MOST_TOGETHER);
    let left_s = stretch_together_s(&made.profile, together);
    // Heating and levelling are shared as well.
    let each_s =
        whole_s - waiting_s + left_s - made.seconds.start_s * (1.0 - 1.0 / f64::from(together));
    Some(format!(
        "short layers wait {:.0} min to cool; {together} on a bed at once, where it holds them, would take about {:.0} min each instead of \
         {:.0} (travel between them not counted), and all are lost together where one fails",
        waiting_s / 60.0,
        each_s / 60.0,
        whole_s / 60.0
    ))
}
