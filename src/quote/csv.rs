//! The list of files as CSV for a spreadsheet (RFC 4180, with plain line feeds).

use csv::{Error, Writer};
use rust_decimal::Decimal;

use super::TriageRow;

/// Columns in the order in which an owner decides.
const COLUMNS: [&str; 19] = [
    "part",
    "verdict",
    "size_x_mm",
    "size_y_mm",
    "size_z_mm",
    "size_x_inch",
    "size_y_inch",
    "size_z_inch",
    "trust",
    "machine",
    "nozzle",
    "turn_deg",
    "hours",
    "price",
    "currency",
    "earned_per_machine_hour",
    "worst_finding",
    "ask",
    "shop",
];

/// A text that begins with one of these is run by spreadsheets as a formula, or makes the next character its first.
const FORMULA_STARTS: [char; 4] = ['=', '+', '-', '@'];

/// The list as CSV: a line of column names, then a line per file. What is not known is left empty.
///
/// Numbers are rounded for reading: 0.001 mm, 0.0001 inch, 0.01 degrees, 0.001 h. A text that a spreadsheet would run
/// as a formula gets a quote mark (') before it.
pub fn triage_csv(rows: &[TriageRow]) -> String {
    // Rows of one length written to memory do not fail; should one, the text says so instead of being short.
    written(rows).unwrap_or_else(|error| format!("error: {error}\n"))
}

fn written(rows: &[TriageRow]) -> Result<String, Error> {
    let mut writer = Writer::from_writer(Vec::new());
    writer.write_record(COLUMNS)?;
    for row in rows {
        writer.write_record(fields(row))?;
    }
    let bytes = writer.into_inner().map_err(|error| error.into_error())?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

fn fields(row: &TriageRow) -> [String; COLUMNS.len()] {
    let [x_mm, y_mm, z_mm] = lengths(row.size_mm, 3);
    let [x_inch, y_inch, z_inch] = lengths(row.size_inch(), 4);
    [
        safe(&row.part),
        row.verdict.name().to_owned(),
        x_mm,
        y_mm,
        z_mm,
        x_inch,
        y_inch,
        z_inch,
        text(&row.trust),
        text(&row.machine),
        text(&row.nozzle),
        number(row.turn_deg, 2),
        number(row.hours, 3),
        money(row.price),
        text(&row.currency),
        money(row.earned_per_machine_hour),
        text(&row.worst_finding),
        text(&row.ask),
        text(&row.shop),
    ]
}

fn lengths(size: Option<[f64; 3]>, digits: usize) -> [String; 3] {
    match size {
        Some(size) => size.map(|length| number(Some(length), digits)),
        None => Default::default(),
    }
}

fn number(value: Option<f64>, digits: usize) -> String {
    value.map_or_else(String::new, |value| format!("{value:.digits$}"))
}

fn money(amount: Option<Decimal>) -> String {
    amount.map_or_else(String::new, |amount| amount.to_string())
}

fn text(words: &Option<String>) -> String {
    words.as_deref().map_or_else(String::new, safe)
}

/// A text no spreadsheet takes for a formula. Blanks and control characters in front are looked through, as some
/// spreadsheets drop them while reading.
fn safe(words: &str) -> String {
    let ignored = |c: char| c.is_whitespace() || c.is_control() || c == '\u{feff}';
    if words
        .trim_start_matches(ignored)
        .starts_with(FORMULA_STARTS)
    {
        format!("'{words}")
    } else {
        words.to_owned()
    }
}
