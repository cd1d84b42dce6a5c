//! Shows a shop to its owner as text.

use super::closed_days::calendar_lines;
use super::document::document_lines;
use super::joining::joining_lines;
use super::moulding::moulding_lines;
use super::rates::rates_lines;
use super::week::clock;
use super::{Failures, Machine, Material, MeasuredRow, Nozzle, Process, Shop};
use crate::pose::Bed;

/// Lines are kept within this many letters.
const WIDTH: usize = 100;

const DAY_NAMES: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];

/// A shop as text of at most 100 columns: machines, nozzles, plastics, measured rows, rates, and what in them is
/// assumed or invented. Money is shown as the file gives it.
pub fn describe(shop: &Shop) -> String {
    let mut page = Page::default();
    head(&mut page, shop);
    for machine in &shop.machines {
        describe_machine(&mut page, shop, machine);
    }
    page.heading("Nozzles");
    let column = column(shop.nozzles.iter().map(|nozzle| nozzle.id.as_str()));
    for nozzle in &shop.nozzles {
        page.named(&nozzle.id, column, &nozzle_facts(nozzle));
    }
    page.heading("Materials");
    let column = self::column(shop.materials.iter().map(|material| material.id.as_str()));
    for material in &shop.materials {
        describe_material(&mut page, column, material);
    }
    page.heading("Measured");
    let names: Vec<String> = shop.measured.iter().map(row_name).collect();
    let column = self::column(names.iter().map(String::as_str));
    if shop.measured.is_empty() {
        page.line(
            "no rows: nothing here knows how much the machines can melt, so hours may be too low",
        );
    }
    for row in &shop.measured {
        page.named(&row_name(row), column, &row_facts(row));
    }
    describe_rates(&mut page, shop);
    page.text
}

fn head(page: &mut Page, shop: &Shop) {
    page.line(&shop.name);
    if shop.demonstration {
        page.line(
            "This is the built-in demonstration shop: what it has, pays and charges is invented. \
             Name your own with --shop FILE; `shop new` writes one to fill in.",
        );
    }
    let code = shop.currency.code();
    page.line(&format!(
        "Money in {code}. Default plastic {}, default nozzle {}.",
        shop.default_material, shop.default_nozzle
    ));
    let days = shop
        .attended
        .days
        .iter()
        .zip(DAY_NAMES)
        .filter(|(hours, _)| !hours.is_empty());
    let days: Vec<String> = days
        .map(|(hours, name)| {
            let hours: Vec<String> = hours.iter().map(|interval| clock(*interval)).collect();
            format!("{name} {}", hours.join(" "))
        })
        .collect();
    page.line(&format!("Attended: {}", days.join(", ")));
    for line in calendar_lines(&shop.calendar) {
        page.line(&line);
    }
    let process = &shop.process;
    page.line(&format!(
        "Walls {} mm, floor {} mm, roof {} mm; support under faces leaning over {} degrees, at {} of solid, \
         but not under spans up to {} mm nor cross-holes up to {} mm",
        process.wall_mm,
        process.floor_mm,
        process.roof_mm,
        process.overhang_deg,
        percent(process.support_fraction),
        process.free_span_mm,
        process.free_hole_mm
    ));
    page.line(&beyond_the_model(process));
    let doubt = &process.doubt;
    page.line(&format!(
        "Bands: a measured melt limit within {}, a borrowed one within {}, speeds and acceleration within {}",
        percent(doubt.melt),
        percent(doubt.borrowed_melt),
        percent(doubt.motion)
    ));
}

/// First layer, brim, purge line, clearance and contact layers, as far as the shop sets them.
fn beyond_the_model(process: &Process) -> String {
    let first = match process.first_layer_mm {
        Some(mm) => format!("First layer {mm} mm"),
        None => "First layer as high as the others".to_owned(),
    };
    let mut all = vec![first];
    let mut set = |what: &str, mm: f64| {
        all.push(if mm > 0.0 {
            format!("{what} {mm} mm")
        } else {
            format!("no {what}")
        });
    };
    set("brim", process.brim_mm);
    set("purge line", process.purge_line_mm);
    set("clearance under the part", process.support_clearance_mm);
    all.push(match process.contact_layers {
        0 => "no contact layers".to_owned(),
        n => format!("{n} contact layers"),
    });
    all.join(", ")
}

fn describe_machine(page: &mut Page, shop: &Shop, machine: &Machine) {
    page.heading(&format!("Machine {}: {}", machine.id, machine.what));
    let space = &machine.space;
    let bed = match &space.bed {
        Bed::Rectangle { x_mm, y_mm } => format!("bed {x_mm} x {y_mm} mm"),
        Bed::Circle { diameter_mm } => format!("round bed of {diameter_mm} mm"),
        Bed::Polygon { corners_mm } => format!("bed with the corners {} mm", points(corners_mm)),
    };
    page.line(&format!(
        "{bed}, {} mm high, {} mm kept clear at the edge; {}; feedstock {} mm",
        space.height_mm,
        space.edge_margin_mm,
        if machine.enclosed { "enclosed" } else { "open" },
        machine.feedstock_mm
    ));
    for corners in &space.keep_out_mm {
        page.line(&format!("kept clear on the bed: {} mm", points(corners)));
    }
    if let Some(reach) = &space.reach {
        page.line(&format!(
            "the nozzle reaches from {} to {} mm",
            points(&[reach.from_mm]),
            points(&[reach.to_mm])
        ));
    }
    for step in &space.narrower_above {
        page.line(&format!(
            "above {} mm the part stays {} mm inside the bed's edge",
            step.from_mm, step.inset_mm
        ));
    }
    page.line(&format!(
        "nozzle {} to {} C, bed {} to {} C; takes {}",
        machine.nozzle_min_c,
        machine.nozzle_max_c,
        machine.bed_min_c,
        machine.bed_max_c,
        machine.nozzles.join(", ")
    ));
    let speeds = &machine.speeds;
    page.line(&format!(
        "mm/s: outer {}, inner {}, fill {}, open {}, sliver {}, support {}, travel {}, first layer {}",
        speeds.outer_mm_s,
        speeds.inner_mm_s,
        speeds.fill_mm_s,
        speeds.open_mm_s,
        speeds.sliver_mm_s,
        speeds.support_mm_s,
        speeds.travel_mm_s,
        speeds.first_layer_mm_s
    ));
    page.line(&format!(
        "{} mm/s2, {} mm off a corner; {} s per retraction, {} s per layer, {} s per job",
        machine.acceleration_mm_s2,
        machine.corner_deviation_mm,
        machine.retraction_s,
        machine.layer_change_s,
        machine.start_s
    ));
    page.line(&format!(
        "price {} over {}, upkeep {} per hour; {} W heating, {} W printing",
        machine.price,
        life(machine),
        machine.upkeep_per_h,
        machine.heating_w,
        machine.printing_w
    ));
    page.line(&failures_line(&machine.failures));
    if machine.correction != 1.0 {
        page.line(&format!(
            "estimated hours are multiplied by {}",
            machine.correction
        ));
    }
    if !shop.measured.iter().any(|row| row.machine == machine.id) {
        page.line(
            "no measured row: nothing here knows how much it can melt, so hours may be too low",
        );
    }
    if let (Some(kind), false) = (machine.kind, machine.assumed.is_empty()) {
        page.line(&format!(
            "assumed, by judgement, as starting values of the kind \"{}\": {}",
            kind.name(),
            machine.assumed.join(", ")
        ));
    }
}

/// Places on a bed: "(0, 0), (20, 35.5)".
fn points(corners_mm: &[[f64; 2]]) -> String {
    let all: Vec<String> = corners_mm
        .iter()
        .map(|[x, y]| format!("({x}, {y})"))
        .collect();
    all.join(", ")
}

fn failures_line(failures: &Failures) -> String {
    let basis = if failures.by_default {
        "defaults by judgement, no record"
    } else {
        "this machine's record"
    };
    format!(
        "failures: {} of starts ({} h lost), {} per hour ({} h to clear); {basis}",
        percent(failures.start_chance),
        failures.start_lost_h,
        percent(failures.rate_per_h),
        failures.clearing_h
    )
}

fn life(machine: &Machine) -> String {
    match &machine.life_basis {
        Some(basis) => format!(
            "{:.0} h ({} years at {} use)",
            machine.life_h,
            basis.years,
            percent(basis.utilisation)
        ),
        None => format!("{} h", machine.life_h),
    }
}

fn nozzle_facts(nozzle: &Nozzle) -> String {
    let failures = if nozzle.failure_factor == 1.0 {
        String::new()
    } else {
        format!(", failures x {}", nozzle.failure_factor)
    };
    format!(
        "{} mm, {}, price {}; lasts {} g plain, {} g abrasive{failures}",
        nozzle.diameter_mm,
        nozzle.metal.name(),
        nozzle.price,
        nozzle.life_plain_g,
        nozzle.life_abrasive_g
    )
}

fn describe_material(page: &mut Page, column: usize, material: &Material) {
    let mut facts = vec![
        format!("{} g/cm3", material.density_g_cm3),
        format!(
            "{} per kg in spools of {} g",
            material.price_per_kg, material.spool_g
        ),
        format!(
            "nozzle {} to {} C",
            material.nozzle_c.0, material.nozzle_c.1
        ),
        format!("bed {} C", material.bed_c),
    ];
    if material.abrasive {
        facts.push("abrasive".to_owned());
    }
    if material.needs_enclosure {
        facts.push("needs an enclosed machine".to_owned());
    }
    let diameters: Vec<String> = material.feedstock_mm.iter().map(f64::to_string).collect();
    facts.push(format!("feedstock {} mm", diameters.join(" or ")));
    facts.push(format!("{} s a layer at least", material.least_layer_s));
    if let Some(most_s) = material.most_layer_s {
        facts.push(format!("{most_s} s at most"));
    }
    if let Some(glass) = material.glass_transition_c {
        facts.push(format!("glass transition {glass} C"));
    }
    if let Some(deflection) = material.heat_deflection_c {
        facts.push(format!("heat deflection {deflection} C"));
    }
    if let Some((at_c, hours)) = material.drying {
        facts.push(format!("dry at {at_c} C for {hours} h"));
    }
    facts.push(format!("{} wasted", percent(material.waste)));
    if material.spool_rest_g > 0.0 {
        facts.push(format!("{} g left on a spool", material.spool_rest_g));
    }
    if !material.stocked {
        facts.push("bought for the order in whole spools".to_owned());
    }
    if material.failure_factor != 1.0 {
        facts.push(format!("failures x {}", material.failure_factor));
    }
    facts.extend(stands_facts(material));
    page.named(&material.id, column, &material.what);
    page.named("", column, &facts.join(", "));
    for caution in &material.cautions {
        page.named("", column, &format!("caution: {caution}"));
    }
}

/// What a plastic stands, as far as the shop says.
fn stands_facts(material: &Material) -> impl Iterator<Item = String> {
    let stands = material.stands;
    [
        ("the sun", stands.sun),
        ("salt water", stands.salt_water),
        ("food", stands.food),
    ]
    .into_iter()
    .filter_map(|(what, does)| {
        Some(match does? {
            true => format!("stands {what}"),
            false => format!("does not stand {what}"),
        })
    })
}

fn row_name(row: &MeasuredRow) -> String {
    format!("{}/{}/{}", row.machine, row.nozzle, row.material)
}

fn row_facts(row: &MeasuredRow) -> String {
    let mut facts = vec![format!(
        "melts {} mm3/s, {} kept back",
        row.melt_limit_mm3_s,
        percent(row.margin)
    )];
    let sizes = [("layer", row.layer_height_mm), ("bead", row.bead_width_mm)];
    facts.extend(
        sizes
            .iter()
            .filter_map(|(name, size)| Some(format!("{name} {} mm", (*size)?))),
    );
    let speeds = [
        ("outer", row.outer_mm_s),
        ("inner", row.inner_mm_s),
        ("fill", row.fill_mm_s),
        ("open", row.open_mm_s),
        ("sliver", row.sliver_mm_s),
        ("support", row.support_mm_s),
    ];
    facts.extend(
        speeds
            .iter()
            .filter_map(|(name, v)| Some(format!("{name} {} mm/s", (*v)?))),
    );
    let learnt = [
        ("hours", row.correction),
        ("grams", row.grams_correction),
        ("band", row.band_factor),
    ];
    facts.extend(
        learnt
            .iter()
            .filter_map(|(name, factor)| Some(format!("{name} x {}", (*factor)?))),
    );
    facts.join(", ")
}

fn describe_rates(page: &mut Page, shop: &Shop) {
    page.heading(&format!("Rates, {}", shop.currency.code()));
    for line in rates_lines(&shop.rates, percent) {
        page.line(&line);
    }
    for line in joining_lines(&shop.joining) {
        page.line(&line);
    }
    for line in moulding_lines(&shop.moulding) {
        page.line(&line);
    }
    for line in document_lines(&shop.document) {
        page.line(&line);
    }
}

/// Width of a column of names, with a gap behind it; long names take what they need and no more than a third.
fn column<'a>(names: impl Iterator<Item = &'a str>) -> usize {
    names
        .map(|name| name.chars().count())
        .max()
        .unwrap_or(0)
        .min(WIDTH / 3)
        + 2
}

/// A fraction as a percentage, to a thousandth of one.
fn percent(fraction: f64) -> String {
    let text = format!("{:.3}", fraction * 100.0);
    format!("{} %", text.trim_end_matches('0').trim_end_matches('.'))
}

/// Text under way, folded to [`WIDTH`].
#[derive(Default)]
struct Page {
    text: String,
    /// Whether a heading has been put.
    under_heading: bool,
}

impl Page {
    fn heading(&mut self, heading: &str) {
        self.under_heading = true;
        self.text.push('\n');
        self.fold(heading, 0, 2);
    }

    /// A line under a heading, indented by two; before the first heading, not indented.
    fn line(&mut self, line: &str) {
        let indent = if self.under_heading { 2 } else { 0 };
        self.fold(line, indent, indent + 2);
    }

    /// A name in a column of its own and what there is to say of it.
    fn named(&mut self, name: &str, column: usize, facts: &str) {
        // A name that fills its column still keeps a space behind it.
        let gap = if name.chars().count() >= column {
            " "
        } else {
            ""
        };
        self.fold(&format!("{name:<column$}{gap}{facts}"), 2, 2 + column);
    }

    /// Puts a line that begins after `indent` spaces and goes on below after `hang`.
    fn fold(&mut self, line: &str, indent: usize, hang: usize) {
        let mut rest = line.trim_end();
        let mut margin = indent;
        loop {
            let cut = place_to_fold(rest, WIDTH - margin);
            self.text.push_str(&" ".repeat(margin));
            self.text.push_str(rest[..cut].trim_end());
            self.text.push('\n');
            rest = rest[cut..].trim_start();
            if rest.is_empty() {
                return;
            }
            margin = hang;
        }
    }
}

/// Where to cut a text so that at most `room` letters stand before: behind the last comma or semicolon of the last
/// third, so that a figure stays with its unit, else at the last space, else anywhere.
fn place_to_fold(text: &str, room: usize) -> usize {
    let Some((end, _)) = text.char_indices().nth(room) else {
        return text.len();
    };
    let head = &text[..end];
    let late = |at: &usize| *at > head.len() * 2 / 3;
    let pause = [", ", "; "]
        .iter()
        .filter_map(|mark| head.rfind(mark))
        .max()
        .filter(late);
    match (pause, head.rfind(' ')) {
        (Some(at), _) => at + 1,
        (None, Some(space)) if !head[..space].trim().is_empty() => space,
        _ => end,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_percentage_is_written_without_idle_digits() {
        assert_eq!(percent(0.003), "0.3 %");
        assert_eq!(percent(0.2), "20 %");
        assert_eq!(percent(0.0), "0 %");
    }

    #[test]
    fn a_word_longer_than_a_line_is_cut_and_not_lost() {
        let mut page = Page::default();
        page.fold(&"x".repeat(250), 4, 6);
        assert!(page.text.lines().all(|line| line.chars().count() <= WIDTH));
        assert_eq!(page.text.matches('x').count(), 250);
    }
}
