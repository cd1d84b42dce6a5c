//! Reads a shop file: text in, a validated shop out.

use std::collections::HashMap;

use iso_currency::Currency;
use toml_edit::{Document, Item, Table};

use super::document::{self, DocumentStyle, read_document};
use super::joining::{self, Joining, read_joining};
use super::moulding::{self, Moulding, read_moulding};
use super::nearest::nearest;
use super::process::{self, read_process};
use super::rates::{self, read_rates};
use super::table::{ShopTable, Source, shortened};
use super::{
    Machine, Material, MeasuredRow, Nozzle, Process, Rates, Shop, ShopError, closed_days, machine,
    plastic, row, tool, week,
};

/// A shop file longer than this is refused, bytes: a thousand machines take less.
pub const MAX_SHOP_BYTES: usize = 1024 * 1024;

const TABLES: [&str; 10] = [
    "shop", "process", "machine", "nozzle", "material", "measured", "rates", "joining", "moulding",
    "document",
];

const SHOP_KEYS: [&str; 7] = [
    "name",
    "currency",
    "default_material",
    "default_nozzle",
    "attended",
    closed_days::TIME_ZONE,
    closed_days::HOLIDAYS,
];

/// Reads a shop from the bytes of its file; `file_name` is what errors call the file.
///
/// # Errors
/// As [`read_shop`], and where the bytes are not UTF-8 text.
pub fn read_shop_bytes(bytes: &[u8], file_name: &str) -> Result<Shop, ShopError> {
    if bytes.len() > MAX_SHOP_BYTES {
        return Err(too_long(file_name, bytes.len()));
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => read_shop(text, file_name),
        Err(fault) => {
            let line = bytes[..fault.valid_up_to()]
                .iter()
                .filter(|b| **b == b'\n')
                .count()
                + 1;
            Err(ShopError {
                file: file_name.to_owned(),
                line: Some(line),
                key: String::new(),
                message: "not UTF-8 text; save the shop file as plain UTF-8 text".to_owned(),
            })
        }
    }
}

/// Reads a shop from the text of its file; `file_name` is what errors call the file.
///
/// # Errors
/// The first thing found wrong, with its line and key and what would be right: text that is not TOML, unknown or
/// missing keys, values of the wrong type or outside their range, ids that are double or name nothing, sizes and
/// hours that contradict each other, and text over [`MAX_SHOP_BYTES`].
pub fn read_shop(text: &str, file_name: &str) -> Result<Shop, ShopError> {
    if text.len() > MAX_SHOP_BYTES {
        return Err(too_long(file_name, text.len()));
    }
    let source = Source {
        file: file_name,
        text,
    };
    let document = Document::parse(text).map_err(|fault| not_toml(source, &fault))?;
    let file = File {
        source,
        root: document.as_table(),
    };
    file.only_known_tables()?;

    let nozzles = file.read_list("nozzle", &tool::KEYS, tool::read_nozzle)?;
    let materials = file.read_list("material", &plastic::KEYS, plastic::read_material)?;
    let machines = file.read_list("machine", &machine::KEYS, machine::read_machine)?;
    let stock = Stock::of(&machines, &nozzles, &materials);
    file.check_nozzles(&stock, &nozzles)?;
    file.check_machines(&stock, &machines)?;
    let measured = file.read_measured(&stock)?;

    let table = file.single("shop", "[shop]", &SHOP_KEYS)?;
    let named = |key: &str, what: &str, ids: &[&str]| {
        let right = format!("give the id of {what}");
        let id = table.need_text(key, &right)?;
        if ids.contains(&id) {
            return Ok(id.to_owned());
        }
        Err(table.error(key, unknown_id(id, what, ids.iter().copied())))
    };
    let material_ids: Vec<&str> = materials
        .iter()
        .map(|material| material.id.as_str())
        .collect();
    let nozzle_ids: Vec<&str> = nozzles.iter().map(|nozzle| nozzle.id.as_str()).collect();
    Ok(Shop {
        name: table.need_text("name", "give the shop's name")?.to_owned(),
        demonstration: false,
        currency: read_currency(&table)?,
        attended: week::read_week(&table)?,
        calendar: closed_days::read_calendar(&table)?,
        default_material: named("default_material", "a [[material]]", &material_ids)?,
        default_nozzle: named("default_nozzle", "a [[nozzle]]", &nozzle_ids)?,
        process: file.read_process()?,
        rates: file.read_rates()?,
        joining: file.read_joining()?,
        document: file.read_document()?,
        moulding: file.read_moulding()?,
        machines,
        nozzles,
        materials,
        measured,
    })
}

fn too_long(file_name: &str, bytes: usize) -> ShopError {
    ShopError {
        file: file_name.to_owned(),
        line: None,
        key: String::new(),
        message: format!(
            "{bytes} bytes is no shop file; give a text file of at most {MAX_SHOP_BYTES} bytes"
        ),
    }
}

/// The parser's complaint in the shape of all others.
fn not_toml(source: Source<'_>, fault: &toml_edit::TomlError) -> ShopError {
    // At the end of the text the parser may give no place, or one past the last line break.
    let end = source.text.trim_end().len();
    let at = fault.span().map_or(end, |span| span.start.min(end));
    let complaint: String = fault
        .message()
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    let message =
        format!("not TOML here ({complaint}); write key = value, with text in \"quotes\"");
    source.error(Some(at), String::new(), message)
}

fn read_currency(table: &ShopTable<'_>) -> Result<Currency, ShopError> {
    const RIGHT: &str = "give an ISO 4217 code such as \"EUR\"";
    let code = table.need_text("currency", RIGHT)?;
    match Currency::from_code(code) {
        // Metals, test codes and baskets have no minor unit to round a line to.
        Some(currency) if currency.exponent().is_some() => Ok(currency),
        Some(_) => Err(table.error(
            "currency",
            format!("{} is no money one pays with; {RIGHT}", shortened(code)),
        )),
        None => {
            let upper = code.to_ascii_uppercase();
            let right = match Currency::from_code(&upper) {
                Some(_) => format!("write \"{upper}\""),
                None => RIGHT.to_owned(),
            };
            Err(table.error(
                "currency",
                format!("{} is not an ISO 4217 code; {right}", shortened(code)),
            ))
        }
    }
}

/// That an id names nothing, and which names would.
pub(super) fn unknown_id<'a>(
    id: &str,
    what: &str,
    known: impl Iterator<Item = &'a str> + Clone,
) -> String {
    let hint = match nearest(id, known.clone()) {
        Some(near) => format!("did you mean \"{near}\"?"),
        None => {
            let mut some: Vec<&str> = known.take(13).collect();
            let more = if some.len() == 13 { ", …" } else { "" };
            some.truncate(12);
            format!("the file has {}{more}", some.join(", "))
        }
    };
    format!(
        "{} is not the id of {what} in this file; {hint}",
        shortened(id)
    )
}

/// Everything by its id.
pub(super) struct Stock<'s> {
    pub machines: HashMap<&'s str, &'s Machine>,
    pub nozzles: HashMap<&'s str, &'s Nozzle>,
    pub materials: HashMap<&'s str, &'s Material>,
}

impl<'s> Stock<'s> {
    fn of(machines: &'s [Machine], nozzles: &'s [Nozzle], materials: &'s [Material]) -> Self {
        Self {
            machines: machines
                .iter()
                .map(|machine| (machine.id.as_str(), machine))
                .collect(),
            nozzles: nozzles
                .iter()
                .map(|nozzle| (nozzle.id.as_str(), nozzle))
                .collect(),
            materials: materials
                .iter()
                .map(|material| (material.id.as_str(), material))
                .collect(),
        }
    }
}

/// The parsed file.
struct File<'a> {
    source: Source<'a>,
    root: &'a Table,
}

/// Reads one entry of a list, given its id.
type ReadEntry<T> = fn(&ShopTable<'_>, &str) -> Result<T, ShopError>;

impl<'a> File<'a> {
    fn only_known_tables(&self) -> Result<(), ShopError> {
        let Some((name, item)) = self.root.iter().find(|(name, _)| !TABLES.contains(name)) else {
            return Ok(());
        };
        let at = self
            .root
            .key(name)
            .and_then(|key| key.span())
            .or_else(|| item.span());
        let hint = match nearest(name, TABLES) {
            Some(near) => format!("did you mean {}?", header_of(near)),
            None => format!("the tables are {}", TABLES.map(header_of).join(", ")),
        };
        let kind = if item.is_value() {
            "a key outside any table"
        } else {
            "not a table of a shop file"
        };
        let place = format!("key {}", shortened(name).trim_matches('"'));
        Err(self
            .source
            .error(at.map(|span| span.start), place, format!("{kind}; {hint}")))
    }

    /// A table that stands once in the file.
    fn single(
        &self,
        name: &'static str,
        header: &'static str,
        known: &[&str],
    ) -> Result<ShopTable<'a>, ShopError> {
        let Some(item) = self.root.get(name) else {
            let message =
                format!("missing; add a table {header} (`shop new` writes one to fill in)");
            return Err(self.source.error(None, header.to_owned(), message));
        };
        ShopTable::new(
            self.source,
            item,
            start_of(item),
            header,
            header.to_owned(),
            known,
        )
    }

    /// The tables of a list such as `[[machine]]`, none where the file has none.
    fn list(&self, name: &'static str, known: &[&str]) -> Result<Vec<ShopTable<'a>>, ShopError> {
        let header = header_of(name);
        let tables = match self.root.get(name) {
            None => return Ok(Vec::new()),
            Some(Item::ArrayOfTables(tables)) => tables,
            Some(item) => {
                let message =
                    format!("not a list; write {header} with two brackets above each one");
                return Err(self
                    .source
                    .error(start_of(item), format!("table {name}"), message));
            }
        };
        let numbered = tables.iter().enumerate();
        numbered
            .map(|(index, entries)| {
                let at = entries.span().map(|span| span.start);
                let place = match entries.get("id").and_then(Item::as_str) {
                    Some(id) => format!("{name} {}", shortened(id)),
                    None => format!("{name} {}", index + 1),
                };
                ShopTable::of(self.source, entries, at, header, place, known)
            })
            .collect()
    }

    /// A list of things with ids; at least one, no id twice.
    fn read_list<T>(
        &self,
        name: &'static str,
        known: &[&str],
        read: ReadEntry<T>,
    ) -> Result<Vec<T>, ShopError> {
        let tables = self.list(name, known)?;
        if tables.is_empty() {
            let header = header_of(name);
            let message =
                format!("missing; add at least one {header} (`shop new` writes one to fill in)");
            return Err(self.source.error(None, header.to_owned(), message));
        }
        let mut ids = std::collections::HashSet::new();
        tables
            .iter()
            .map(|table| {
                let id = table.id()?;
                if !ids.insert(id) {
                    let fault =
                        format!("\"{id}\" is already the id of another {name}; give each its own");
                    return Err(table.error("id", fault));
                }
                read(table, id)
            })
            .collect()
    }

    /// Every nozzle fits some machine: one that fits none is a slip in a machine's list or left over.
    fn check_nozzles(&self, stock: &Stock<'_>, nozzles: &[Nozzle]) -> Result<(), ShopError> {
        let taken: std::collections::HashSet<&str> = stock
            .machines
            .values()
            .flat_map(|machine| machine.nozzles.iter().map(String::as_str))
            .collect();
        let Some(index) = nozzles
            .iter()
            .position(|nozzle| !taken.contains(nozzle.id.as_str()))
        else {
            return Ok(());
        };
        let tables = self.list("nozzle", &tool::KEYS)?;
        let fault =
            "no machine takes this nozzle; add its id to the nozzles of a machine, or remove it";
        Err(tables[index].error("id", fault))
    }

    fn check_machines(&self, stock: &Stock<'_>, machines: &[Machine]) -> Result<(), ShopError> {
        for (index, machine) in machines.iter().enumerate() {
            if let Some(id) = machine
                .nozzles
                .iter()
                .find(|id| !stock.nozzles.contains_key(id.as_str()))
            {
                let tables = self.list("machine", &machine::KEYS)?;
                let known = stock.nozzles.keys().copied();
                return Err(tables[index].error("nozzles", unknown_id(id, "a [[nozzle]]", known)));
            }
        }
        Ok(())
    }

    fn read_measured(&self, stock: &Stock<'_>) -> Result<Vec<MeasuredRow>, ShopError> {
        let mut tables = self.list("measured", &row::KEYS)?;
        let mut seen = std::collections::HashSet::new();
        let mut rows = Vec::with_capacity(tables.len());
        for table in &mut tables {
            let row = row::read_row(table, stock)?;
            if !seen.insert((
                row.machine.clone(),
                row.nozzle.clone(),
                row.material.clone(),
            )) {
                let fault =
                    "an earlier [[measured]] has the same machine, nozzle and material; keep one";
                return Err(table.error("machine", fault));
            }
            rows.push(row);
        }
        Ok(rows)
    }

    fn read_process(&self) -> Result<Process, ShopError> {
        read_process(&self.single("process", "[process]", &process::KEYS)?)
    }

    fn read_joining(&self) -> Result<Joining, ShopError> {
        if !self.root.contains_key("joining") {
            return read_joining(None);
        }
        let table = self.single("joining", "[joining]", &joining::KEYS)?;
        read_joining(Some(&table))
    }

    fn read_moulding(&self) -> Result<Moulding, ShopError> {
        if !self.root.contains_key("moulding") {
            return read_moulding(None);
        }
        let table = self.single("moulding", "[moulding]", &moulding::KEYS)?;
        read_moulding(Some(&table))
    }

    fn read_rates(&self) -> Result<Rates, ShopError> {
        read_rates(&self.single("rates", "[rates]", &rates::KEYS)?)
    }

    fn read_document(&self) -> Result<DocumentStyle, ShopError> {
        if !self.root.contains_key("document") {
            return read_document(None);
        }
        let table = self.single("document", "[document]", &document::KEYS)?;
        read_document(Some(&table))
    }
}

fn start_of(item: &Item) -> Option<usize> {
    item.span().map(|span| span.start)
}

/// A table's header as the file writes it.
fn header_of(name: &str) -> &'static str {
    match name {
        "shop" => "[shop]",
        "process" => "[process]",
        "rates" => "[rates]",
        "joining" => "[joining]",
        "document" => "[document]",
        "moulding" => "[moulding]",
        "machine" => "[[machine]]",
        "nozzle" => "[[nozzle]]",
        "material" => "[[material]]",
        _ => "[[measured]]",
    }
}
