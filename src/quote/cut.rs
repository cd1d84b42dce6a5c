//! A part cut into pieces: where, what the pieces are, and what they cost together.

use std::fmt::Write;

use super::remarks::INVENTED;
use super::words::{WIDTH, by, capitalised, cubic, duration, grams, hang, pieces, wrap};
use crate::cut::CutPlan;
use crate::estimate::Together;
use crate::shop::Shop;

/// A part cut for a machine.
#[derive(Debug, Clone, PartialEq)]
pub struct CutPart {
    /// Volume of the whole part, mm3.
    pub volume_mm3: f64,
    /// The machine's id.
    pub machine: String,
    /// The cuts and the pieces.
    pub plan: CutPlan,
    /// The pieces' estimate, or why there is none.
    pub together: Result<Together, String>,
}

/// Lines of a ledger that say nothing where nothing is joined.
const OF_JOINTS: [&str; 3] = ["joining", "adhesive", "hardware"];

/// What is said of a part that machines hold as it is.
pub fn whole_text(part: &str, machines: &[String]) -> String {
    let sentence = format!(
        "{part}: nothing was cut, for it fits whole on {}. Name another machine with --machine to cut it for that one.",
        machines.join(", ")
    );
    wrap(&sentence, WIDTH, "  ") + "\n"
}

/// What is said of a part that can't be cut.
pub fn not_cut_text(part: &str, why: &str) -> String {
    format!(
        "{part}\n{}\n",
        wrap(&format!("  {}.", capitalised(why)), WIDTH, "  ")
    )
}

/// The cuts, the pieces, their price together, and the files they were written to.
pub fn cut_text(part: &str, cut: &CutPart, written: &[String], shop: &Shop) -> String {
    let mut text = String::new();
    let mut say = |sentence: String, indent: usize| line!(text, "{}", hang(&sentence, indent));
    let count = u32::try_from(cut.plan.pieces.len()).unwrap_or(u32::MAX);
    say(format!("{part} on {}: {}.", cut.machine, cut.plan.words), 2);
    for each in &cut.plan.cuts {
        let joints = match each.joints {
            1 => "one joint".to_owned(),
            count => format!("{count} joints"),
        };
        say(
            format!(
                "  cut across {} at {:.1} mm: {joints} of {:.1} cm2 in all, at least {:.1} mm wide; {}",
                each.axis,
                each.at_mm,
                each.joint_mm2 / 100.0,
                each.least_width_mm,
                each.why
            ),
            4,
        );
    }
    for (number, piece) in cut.plan.pieces.iter().enumerate() {
        let size: [f64; 3] = (piece.box_mm.1 - piece.box_mm.0).into();
        let made = cut.together.as_ref().ok().map(|together| {
            let made = &together.pieces[number];
            format!(
                ", {}, {} and {} with nozzle {}",
                made.rests,
                duration(made.made.seconds.whole_s()),
                grams(made.made.mass_g + made.made.support_g),
                made.nozzle
            )
        });
        let made = made.unwrap_or_default();
        let volume = cubic(piece.volume_mm3);
        say(
            format!("  piece {}: {} mm, {volume}{made}", number + 1, by(size, 1)),
            11,
        );
    }
    let sum_mm3: f64 = cut.plan.pieces.iter().map(|piece| piece.volume_mm3).sum();
    say(
        format!(
            "  {} of {} in all, the part {}; every piece is closed.",
            pieces(count),
            cubic(sum_mm3),
            cubic(cut.volume_mm3)
        ),
        2,
    );
    match &cut.together {
        Ok(together) => price(&mut say, together, cut.plan.joints(), shop),
        Err(why) => say(format!("  Not priced: {why}."), 2),
    }
    for path in written {
        say(format!("  {path} is written."), 2);
    }
    if shop.demonstration {
        say(INVENTED.to_owned(), 2);
    }
    text
}

fn price(say: &mut impl FnMut(String, usize), together: &Together, joints: usize, shop: &Shop) {
    let code = together.order.currency.code();
    say(
        format!(
            "  As one order in {}: {}, {}.",
            together.material,
            duration(3600.0 * together.hours),
            grams(together.mass_g + together.support_g)
        ),
        2,
    );
    let lines = together.order.lines.iter();
    for line in lines.filter(|line| joints > 0 || !OF_JOINTS.contains(&line.line)) {
        say(
            format!("  {:<16}{:>11}  {}", line.line, line.amount, line.detail),
            31,
        );
    }
    let order = &together.order;
    say(
        format!("  {:<16}{:>11}  {code}, tax included", "total", order.total),
        31,
    );
    say(
        format!(
            "  {:<16}{:>11}  {code}, to compare",
            "before tax", order.subtotal
        ),
        31,
    );
    for line in &together.elsewhere {
        say(
            format!(
                "  A larger machine elsewhere instead: {} {code} before tax ({}).",
                line.amount, line.detail
            ),
            2,
        );
    }
    let assumed = shop.joining.assumed_in_words().filter(|_| joints > 0);
    if let Some(assumed) = assumed {
        say(format!("  {assumed}"), 2);
    }
}
