//! The book as a list: JSON Lines, which can be read back, and a spreadsheet.

use jiff::civil::DateTime;

use super::entry::{Entry, What};
use super::error::{StoreError, refused, said};
use super::jobs::Jobs;

/// One entry per line, whole.
///
/// # Errors
/// None in practice: an entry has only text keys.
pub fn json_lines(entries: &[Entry]) -> Result<String, StoreError> {
    let lines = entries.iter().map(|entry| {
        serde_json::to_string(entry)
            .map(|line| line + "\n")
            .map_err(|e| StoreError::Unusable(e.to_string()))
    });
    lines.collect()
}

/// Reads what [`json_lines`] wrote.
///
/// # Errors
/// A line that is no entry.
pub fn read_json_lines(text: &str) -> Result<Vec<Entry>, StoreError> {
    let lines = text.lines().enumerate();
    let told = lines.filter(|(_, line)| !line.trim().is_empty());
    told.map(|(k, line)| {
        serde_json::from_str(line).or_else(|e| {
            refused(format!(
                "line {} is no entry of a job book: {e}; give a file that `beadtally jobs export` wrote",
                k + 1
            ))
        })
    })
    .collect()
}

/// Whether entries go together: numbered from 1 without a gap, in the order of their times up to `now`, each fitting those before.
///
/// # Errors
/// What does not go together.
pub fn check_list(entries: &[Entry], now: DateTime) -> Result<(), StoreError> {
    if entries.is_empty() {
        return refused("there is no entry in it; give a file that `beadtally jobs export` wrote");
    }
    let mut jobs = Jobs::default();
    let mut last = DateTime::MIN;
    for (entry, number) in entries.iter().zip(1..) {
        if entry.number != number {
            return refused(format!(
                "entry {number} is missing: the list goes on with {}; export the book again",
                entry.number
            ));
        }
        if entry.at < last || entry.at > now {
            return refused(format!(
                "entry {number} was made on {}, which is out of turn; export the book again",
                said(entry.at)
            ));
        }
        last = entry.at;
        jobs.take(entry)
            .map_err(|e| StoreError::Refused(format!("entry {number}: {e}")))?;
    }
    Ok(())
}

const COLUMNS: [&str; 17] = [
    "number", "at", "entry", "job", "part", "customer", "machine", "nozzle", "material",
    "quantity", "hours", "grams", "total", "currency", "time", "layer", "note",
];

/// One row per entry, with the columns that a spreadsheet can use.
///
/// # Errors
/// None in practice: it is written to memory.
pub fn csv(entries: &[Entry]) -> Result<String, StoreError> {
    let unusable = |e: String| StoreError::Unusable(e);
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer
        .write_record(COLUMNS)
        .map_err(|e| unusable(e.to_string()))?;
    for entry in entries {
        writer
            .write_record(row(entry))
            .map_err(|e| unusable(e.to_string()))?;
    }
    let bytes = writer.into_inner().map_err(|e| unusable(e.to_string()))?;
    String::from_utf8(bytes).map_err(|e| unusable(e.to_string()))
}

fn row(entry: &Entry) -> [String; 17] {
    let mut row: [String; 17] = Default::default();
    row[0] = entry.number.to_string();
    row[1] = entry.at.to_string();
    row[2] = entry.what.name().to_owned();
    row[3] = entry
        .what
        .job()
        .map_or(String::new(), |job| job.to_string());
    let mut set = |column: &str, text: String| {
        if let Some(k) = COLUMNS.iter().position(|c| *c == column) {
            // A text that a spreadsheet would take for a formula is marked as text.
            let formula =
                text.starts_with(['=', '+', '@', '\t']) || text.starts_with("-") && text.len() > 1;
            row[k] = if formula { format!("'{text}") } else { text };
        }
    };
    match &entry.what {
        What::Enquiry(e) => {
            set("part", e.part.clone());
            set("customer", e.customer.clone().unwrap_or_default());
            set("quantity", e.quantity.to_string());
            set("note", e.note.clone().unwrap_or_default());
        }
        What::Offer(e) => {
            set("machine", e.machine.clone());
            set("nozzle", e.nozzle.clone());
            set("material", e.material.clone());
            set("quantity", e.quantity.to_string());
            set("hours", format!("{:.3}", e.seconds / 3600.0));
            set("grams", format!("{:.2}", e.grams));
            set("total", e.total.to_string());
            set("currency", e.currency.clone());
        }
        What::Booking(e) => {
            set("machine", e.machine.clone());
            set("quantity", e.prints.to_string());
            set("time", e.ready.to_string());
        }
        What::Start(e) => {
            set("time", e.began.to_string());
            set("hours", e.shown_h.map_or(String::new(), |h| h.to_string()));
        }
        What::Actual(e) => {
            set("hours", e.hours.to_string());
            set("grams", e.grams.map_or(String::new(), |g| g.to_string()));
            set("time", e.ended.to_string());
        }
        What::Failed(e) => {
            set("hours", e.hours.to_string());
            set("grams", e.grams.map_or(String::new(), |g| g.to_string()));
            set("layer", e.layer.map_or(String::new(), |l| l.to_string()));
            set("time", e.stopped.to_string());
            set("note", e.cause.clone().unwrap_or_default());
        }
        What::Closed(e) => {
            let end = super::jobs::Standing::Closed(e.end);
            set("note", end.words().to_owned());
        }
        What::Spool(e) => {
            set("material", e.material.clone());
            set("grams", e.grams.to_string());
        }
        What::Correction(e) => {
            let keys: Vec<String> = e.set.iter().map(|(k, v)| format!("{k} = {v}")).collect();
            let why = e
                .why
                .as_ref()
                .map_or(String::new(), |why| format!(": {why}"));
            set(
                "note",
                format!("of entry {}: {}{why}", e.of, keys.join(", ")),
            );
        }
        What::Learned(e) => {
            let keys: Vec<String> = e.set.iter().map(|(k, v)| format!("{k} = {v}")).collect();
            set("note", keys.join(", "));
        }
    }
    row
}
