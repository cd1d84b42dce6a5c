//! How figures are written on a document: by its language, and in its unit of length.

use jiff::civil::Date;
use rust_decimal::Decimal;

use super::phrases::{Phrases, phrases};
use crate::shop::{DocumentStyle, Language, Lengths};

/// Writes figures for one document.
#[derive(Debug, Clone, Copy)]
pub(super) struct Figures {
    language: Language,
    lengths: Lengths,
}

impl Figures {
    pub fn of(style: &DocumentStyle) -> Figures {
        Figures {
            language: style.language,
            lengths: style.lengths,
        }
    }

    pub fn phrases(&self) -> &'static Phrases {
        phrases(self.language)
    }

    /// An amount with the decimals it has: `1,234.50`, `1.234,50`.
    pub fn amount(&self, amount: Decimal) -> String {
        self.written(&amount.to_string())
    }

    /// An amount with its currency: `38.20 EUR`.
    pub fn money(&self, amount: Decimal, currency: iso_currency::Currency) -> String {
        format!("{} {}", self.amount(amount), currency.code())
    }

    /// A number with so many decimals.
    pub fn number(&self, value: f64, digits: usize) -> String {
        self.written(&format!("{value:.digits$}"))
    }

    /// A whole number.
    pub fn count(&self, count: u32) -> String {
        self.written(&count.to_string())
    }

    /// A number with at most so many decimals and no needless zeros.
    pub fn short(&self, value: f64, most_digits: usize) -> String {
        let text = format!("{value:.most_digits$}");
        let short = if text.contains('.') {
            text.trim_end_matches('0').trim_end_matches('.')
        } else {
            &text
        };
        self.written(short)
    }

    /// A length of a part's size or of a layer: `0.36 mm`, `0.0142 in`.
    pub fn length(&self, mm: f64) -> String {
        match self.lengths {
            Lengths::Millimetre => format!("{} mm", self.short(mm, 3)),
            Lengths::Inch => format!("{} in", self.number(mm / 25.4, 4)),
        }
    }

    /// A box: `120.0 x 80.0 x 40.0 mm`.
    pub fn size(&self, size_mm: [f64; 3]) -> String {
        let (unit, digits, per_mm) = match self.lengths {
            Lengths::Millimetre => ("mm", 1, 1.0),
            Lengths::Inch => ("in", 2, 1.0 / 25.4),
        };
        let [x, y, z] = size_mm.map(|mm| self.number(mm * per_mm, digits));
        format!("{x} x {y} x {z} {unit}")
    }

    /// A day with its month by name: `26 November 2026`, `26. November 2026`.
    pub fn date(&self, date: Date) -> String {
        let month = usize::from(date.month().unsigned_abs()).saturating_sub(1);
        let month = self.phrases().months.get(month).copied().unwrap_or("");
        let point = match self.language {
            Language::English => "",
            Language::German => ".",
        };
        format!("{}{point} {month} {}", date.day(), date.year())
    }

    /// What a line of a ledger is called; by its own name where the language has none for it.
    pub fn ledger_line(&self, line: &str) -> String {
        let names = self.phrases().owner.ledger_lines.iter();
        let mut known = names.filter(|(name, _)| *name == line);
        let own = || line.replace('_', " ");
        known
            .next()
            .map_or_else(own, |(_, told)| (*told).to_owned())
    }

    /// A plain decimal number in the signs of the language, its whole part in groups of three.
    fn written(&self, plain: &str) -> String {
        let (point, group) = match self.language {
            Language::English => ('.', ','),
            Language::German => (',', '.'),
        };
        let (sign, digits) = match plain.strip_prefix('-') {
            Some(digits) => ("-", digits),
            None => ("", plain),
        };
        let (whole, rest) = digits.split_once('.').unwrap_or((digits, ""));
        let mut text = sign.to_owned();
        for (place, digit) in whole.chars().enumerate() {
            if place > 0 && (whole.len() - place) % 3 == 0 {
                text.push(group);
            }
            text.push(digit);
        }
        if !rest.is_empty() {
            text.push(point);
            text += rest;
        }
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn figures(language: Language) -> Figures {
        Figures {
            language,
            lengths: Lengths::Inch,
        }
    }

    /// How both languages write numbers: common practice, no source.
    #[test]
    fn a_number_has_the_point_and_the_groups_of_its_language() {
        let (en, de) = (figures(Language::English), figures(Language::German));
        let amount = Decimal::new(-123_456_750, 2);
        assert_eq!(en.amount(amount), "-1,234,567.50");
        assert_eq!(de.amount(amount), "-1.234.567,50");
        assert_eq!(de.amount(Decimal::new(99_950, 2)), "999,50");
        assert_eq!(en.count(1000), "1,000");
        assert_eq!(en.short(100.0, 0), "100");
        assert_eq!(de.short(0.360, 3), "0,36");
    }

    /// 25.4 mm are one inch by the international definition.
    #[test]
    fn a_length_of_25_4_mm_is_an_inch() {
        assert_eq!(figures(Language::English).length(25.4), "1.0000 in");
        let size = figures(Language::German).size([25.4, 50.8, 12.7]);
        assert_eq!(size, "1,00 x 2,00 x 0,50 in");
    }

    #[test]
    fn a_day_is_written_with_its_month_by_name() {
        let day = jiff::civil::date(2026, 3, 5);
        assert_eq!(figures(Language::English).date(day), "5 March 2026");
        assert_eq!(figures(Language::German).date(day), "5. März 2026");
    }
}
