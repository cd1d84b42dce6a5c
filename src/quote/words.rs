//! How figures are written for people. Every text output goes through here, so that a figure reads the same everywhere.

use rust_decimal::Decimal;

use crate::estimate::{Band, Made};
use crate::motion::Limit;
pub use crate::wrap::{WIDTH, wrap};

/// Hours and minutes: `9 h 40 min`, `38 min`, `4 d 6 h` never: an owner books hours.
pub fn duration(seconds: f64) -> String {
    let minutes = (seconds / 60.0).round() as u64;
    match (minutes / 60, minutes % 60) {
        (0, m) => format!("{m} min"),
        (h, m) => format!("{h} h {m:02} min"),
    }
}

/// Hours and minutes for a table column: `9:40`.
pub fn hours_column(seconds: f64) -> String {
    let minutes = (seconds / 60.0).round() as u64;
    format!("{}:{:02}", minutes / 60, minutes % 60)
}

/// The hours of a band: `8 h 35 min to 10 h 20 min`.
pub fn from_to(band: &Band) -> String {
    format!("{} to {}", duration(band.from_s), duration(band.to_s))
}

/// Grams: whole from 100 on, else one decimal.
pub fn grams(mass_g: f64) -> String {
    if mass_g >= 100.0 {
        format!("{mass_g:.0} g")
    } else {
        format!("{mass_g:.1} g")
    }
}

/// Volume in cm3, which is what a spool is thought of in.
pub fn cubic(volume_mm3: f64) -> String {
    let cm3 = volume_mm3 / 1000.0;
    if cm3 >= 100.0 {
        format!("{cm3:.0} cm3")
    } else {
        format!("{cm3:.2} cm3")
    }
}

/// A length without needless zeros: `6`, `6.4`, `0.36`.
pub fn length(mm: f64) -> String {
    let text = format!("{mm:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A box: `120.0 x 80.0 x 40.0 mm`.
pub fn size(size_mm: [f64; 3]) -> String {
    format!("{} mm", by(size_mm, 1))
}

/// A box in inches.
pub fn size_inch(size_mm: [f64; 3]) -> String {
    format!("{} in", by(inches(size_mm), 2))
}

/// Three lengths side by side.
pub fn by([x, y, z]: [f64; 3], digits: usize) -> String {
    format!("{x:.digits$} x {y:.digits$} x {z:.digits$}")
}

/// Millimetres in inches (exactly 25.4 by the international definition).
pub fn inches(size_mm: [f64; 3]) -> [f64; 3] {
    size_mm.map(|mm| mm / 25.4)
}

/// A sentence with a capital at its start.
pub fn capitalised(sentence: &str) -> String {
    let mut letters = sentence.chars();
    letters.next().map_or(String::new(), |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// A part's own name: the folders it lies in are the owner's business.
pub fn own_name(part: &str) -> &str {
    part.rsplit(['/', '\\']).next().unwrap_or(part)
}

/// `1 piece`, `3 pieces`.
pub fn pieces(count: u32) -> String {
    if count == 1 {
        "1 piece".to_owned()
    } else {
        format!("{count} pieces")
    }
}

/// An amount with its currency: `38.20 EUR`.
pub fn money(amount: Decimal, currency: iso_currency::Currency) -> String {
    format!("{amount} {}", currency.code())
}

/// What holds the speed down, in plain words.
pub fn held_by(made: &Made) -> String {
    let [motion, melt, cooling] = made.limit_share.map(|s| (100.0 * s).round() as u32);
    let (word, share) = match made.limit {
        Limit::Motion => ("the machine's motion", motion),
        Limit::Melt => ("the nozzle's melt rate", melt),
        Limit::Cooling => ("cooling of its short layers", cooling),
    };
    format!("held by {word} {share} % of the time")
}

/// How a part is turned and how much room it has: `as drawn, turned 23 degrees, 6 mm to spare`.
pub fn placed(made: &Made) -> String {
    let turn =
        crate::pose::turn_in_words(made.pose.turn_deg).map_or(String::new(), |t| format!(", {t}"));
    format!(
        "{}{turn}, {} mm to spare",
        made.pose.down.in_words(),
        spare(made)
    )
}

/// The least clearance on any side, whole millimetres rounded down so that nothing is promised too much.
pub fn spare(made: &Made) -> String {
    let spare_mm = made.pose.margin_mm.min(made.pose.above_mm);
    if spare_mm >= 10.0 {
        format!("{:.0}", spare_mm.floor())
    } else {
        format!("{:.1}", (spare_mm * 10.0).floor() / 10.0)
    }
}

/// Breaks a line at [`WIDTH`]; later lines start at `column`, under its text.
pub fn hang(sentence: &str, column: usize) -> String {
    let (head, tail) = sentence.split_at(
        sentence
            .char_indices()
            .nth(column)
            .map_or(sentence.len(), |c| c.0),
    );
    let body = wrap(tail, WIDTH - column, "");
    let indent = format!("\n{}", " ".repeat(column));
    format!("{head}{}", body.replace('\n', &indent))
}

/// A pose and why it was chosen; the reason may begin with the pose itself.
pub fn pose_sentence(down: &str, why: &str) -> String {
    if why.starts_with(down) {
        why.to_owned()
    } else {
        format!("{down}, {why}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_whole_minutes() {
        assert_eq!(duration(34_800.0), "9 h 40 min");
        assert_eq!(duration(2_290.0), "38 min");
        assert_eq!(duration(3_599.0), "1 h 00 min");
        assert_eq!(hours_column(3_900.0), "1:05");
    }

    #[test]
    fn wrapped_text_keeps_its_words_and_its_width() {
        let text = "one two three four five six seven";
        let wrapped = wrap(text, 13, "  ");
        assert!(
            wrapped.lines().all(|l| l.chars().count() <= 13),
            "{wrapped}"
        );
        assert_eq!(
            wrapped.split_whitespace().collect::<Vec<_>>().join(" "),
            text
        );
    }
}
