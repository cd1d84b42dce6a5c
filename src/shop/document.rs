//! Reads `[document]`: how the document that goes to a customer is written. The table and each of its keys may be left out.

use super::ShopError;
use super::field::Field;
use super::nearest::nearest;
use super::table::{ShopTable, shortened};

/// Keys of `[document]`.
pub(super) const KEYS: [&str; 6] = [
    "language",
    "lengths",
    "paper",
    "sender",
    "terms",
    "valid_days",
];

const VALID: Field = Field::new(
    "valid_days",
    "the days for which a quote holds",
    "days",
    1.0,
    3650.0,
);

/// More lines than this are no letterhead, and more terms nobody reads.
const MOST_LINES: usize = 60;

/// The language of a document and with it how numbers are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Language {
    /// English, with a decimal point.
    #[default]
    English,
    /// German, with a decimal comma.
    German,
}

/// What lengths on a document are told in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Lengths {
    /// Millimetres.
    #[default]
    Millimetre,
    /// Inches.
    Inch,
}

/// The sheet a document is set for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    /// 210 x 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 x 11 inches.
    Letter,
}

/// How documents are written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DocumentStyle {
    /// Their language.
    pub language: Language,
    /// What lengths are told in.
    pub lengths: Lengths,
    /// The sheet.
    pub paper: Paper,
    /// The lines of the shop's letterhead under its name: address, telephone, registration.
    pub sender: Vec<String>,
    /// The terms of business, in the shop's own words, a sentence each.
    pub terms: Vec<String>,
    /// For how many days a quote holds.
    pub valid_days: u32,
}

impl Default for DocumentStyle {
    /// English, millimetres, A4, 30 days, no letterhead and no terms.
    fn default() -> Self {
        DocumentStyle {
            language: Language::English,
            lengths: Lengths::Millimetre,
            paper: Paper::A4,
            sender: Vec::new(),
            terms: Vec::new(),
            valid_days: 30,
        }
    }
}

/// Reads the table; the defaults where there is none.
pub(super) fn read_document(table: Option<&ShopTable<'_>>) -> Result<DocumentStyle, ShopError> {
    let default = DocumentStyle::default();
    let Some(table) = table else {
        return Ok(default);
    };
    let days = table
        .number(&VALID)?
        .unwrap_or(f64::from(default.valid_days));
    if days.fract() != 0.0 {
        let fault = format!("{days} is no whole number; {}", VALID.right());
        return Err(table.error(VALID.key, fault));
    }
    Ok(DocumentStyle {
        language: one_of(
            table,
            "language",
            &[("en", Language::English), ("de", Language::German)],
        )?,
        lengths: one_of(
            table,
            "lengths",
            &[("mm", Lengths::Millimetre), ("inch", Lengths::Inch)],
        )?,
        paper: one_of(
            table,
            "paper",
            &[("a4", Paper::A4), ("letter", Paper::Letter)],
        )?,
        sender: lines(table, "sender", "list the lines of the letterhead as text")?,
        terms: lines(table, "terms", "list the terms as text, a sentence each")?,
        // Whole, and within the field's range.
        valid_days: days as u32,
    })
}

fn one_of<T: Copy + Default>(
    table: &ShopTable<'_>,
    key: &'static str,
    values: &[(&str, T)],
) -> Result<T, ShopError> {
    let names: Vec<&str> = values.iter().map(|(name, _)| *name).collect();
    let right = format!("give one of \"{}\"", names.join("\", \""));
    let Some(given) = table.text(key, &right)? else {
        return Ok(T::default());
    };
    match values.iter().find(|(name, _)| *name == given) {
        Some((_, value)) => Ok(*value),
        None => {
            let hint = match nearest(given, names) {
                Some(near) => format!("did you mean \"{near}\"?"),
                None => right,
            };
            Err(table.error(
                key,
                format!("{} is not known here; {hint}", shortened(given)),
            ))
        }
    }
}

fn lines(table: &ShopTable<'_>, key: &'static str, right: &str) -> Result<Vec<String>, ShopError> {
    let lines = table.texts(key, right)?.unwrap_or_default();
    if lines.len() > MOST_LINES {
        let fault = format!(
            "{} lines are too many; give at most {MOST_LINES}",
            lines.len()
        );
        return Err(table.error(key, fault));
    }
    Ok(lines.into_iter().map(str::to_owned).collect())
}

/// The table as `shop show` writes it: a line a fact.
pub(super) fn document_lines(style: &DocumentStyle) -> Vec<String> {
    let language = match style.language {
        Language::English => "English",
        Language::German => "German",
    };
    let lengths = match style.lengths {
        Lengths::Millimetre => "mm",
        Lengths::Inch => "inches",
    };
    let paper = match style.paper {
        Paper::A4 => "A4",
        Paper::Letter => "Letter",
    };
    let count = |lines: &[String], what: &str| match lines.len() {
        0 => format!("no {what}"),
        n => format!("{n} lines of {what}"),
    };
    vec![format!(
        "documents in {language}, lengths in {lengths}, on {paper}; quotes hold for {} days; {}, {}",
        style.valid_days,
        count(&style.sender, "letterhead"),
        count(&style.terms, "terms"),
    )]
}
