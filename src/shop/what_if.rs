//! A shop with one of its values changed, to see what that would do.

use toml_edit::{DocumentMut, Item, Table, Value};

use super::{Shop, ShopError, read_shop};

/// The lists of a shop file whose entries are named by an id, or by what they go together for.
const LISTS: [&str; 4] = ["machine", "nozzle", "material", "measured"];
const SINGLES: [&str; 6] = [
    "shop", "process", "rates", "joining", "moulding", "document",
];

/// Reads a shop from the text of its file with values changed. Each change is `KEY=VALUE`: `process.wall_mm=2`,
/// `machine.ID.acceleration_mm_s2=8000`, `machine.ID.speeds_mm_s.outer=150`, `nozzle.ID.diameter_mm=1`,
/// `material.ID.least_layer_s=5`, `measured.MACHINE/NOZZLE/MATERIAL.melt_limit_mm3_s=30`. A row that the file does not have is
/// added by its melt limit.
///
/// # Errors
/// A sentence that names the change and says what would be right; the shop must be as good as any other afterwards.
pub fn with_changes(text: &str, file_name: &str, changes: &[String]) -> Result<Shop, String> {
    let changed = changed_text(text, file_name, "--what-if ", changes)?;
    read_shop(&changed, file_name)
        .map_err(|error| format!("--what-if {}: {}", changes.join(" "), without_place(&error)))
}

/// The text of a shop file with values changed as in [`with_changes`], its comments and order kept. `said` stands before a
/// change in an error. Whether the shop is in order then is for its reader to say.
///
/// # Errors
/// A sentence that names the change and says what would be right.
pub fn changed_text(
    text: &str,
    file_name: &str,
    said: &str,
    changes: &[String],
) -> Result<String, String> {
    let mut document: DocumentMut = text
        .parse()
        .map_err(|fault: toml_edit::TomlError| format!("{file_name}: {}", fault.message()))?;
    for change in changes {
        let wrong = |why: String| format!("{said}{change}: {why}");
        let (key, value) = change.split_once('=').ok_or_else(|| {
            wrong("this is no KEY=VALUE; give for example process.wall_mm=2".to_owned())
        })?;
        put(&mut document, key.trim(), value.trim()).map_err(wrong)?;
    }
    Ok(document.to_string())
}

/// An error of the changed text: its line is not that of the owner's file.
fn without_place(error: &ShopError) -> String {
    format!("{}: {}", error.key, error.message)
}

fn put(document: &mut DocumentMut, key: &str, value: &str) -> Result<(), String> {
    let (kind, rest) = key.split_once('.').ok_or_else(no_such_table)?;
    let root = document.as_table_mut();
    if ["joining", "moulding"].contains(&kind) && !root.contains_key(kind) {
        // The tables that a file may leave out.
        root.insert(kind, Item::Table(Table::new()));
    }
    if SINGLES.contains(&kind) {
        let table = root.get_mut(kind).and_then(Item::as_table_mut);
        return set(table.ok_or_else(no_such_table)?, rest, value);
    }
    if !LISTS.contains(&kind) {
        return Err(no_such_table());
    }
    if let Some((at, path)) = entry(root, kind, rest) {
        let list = root.get_mut(kind).and_then(Item::as_array_of_tables_mut);
        let table = list
            .and_then(|list| list.get_mut(at))
            .ok_or_else(no_such_table)?;
        return set(table, &path, value);
    }
    if kind == "measured" {
        return add_row(root, rest, value);
    }
    Err(format!(
        "there is no such {kind}; the shop has {}",
        names(root, kind).join(", ")
    ))
}

fn no_such_table() -> String {
    format!(
        "the key begins with one of {}, then a dot",
        [&SINGLES[..], &LISTS[..]].concat().join(", ")
    )
}

/// What the entries of a list are called on the command line.
fn names(root: &Table, kind: &str) -> Vec<String> {
    let entries = root.get(kind).and_then(Item::as_array_of_tables);
    let text = |table: &Table, key: &str| {
        let value = table.get(key).and_then(Item::as_str);
        value.unwrap_or_default().to_owned()
    };
    entries.map_or(Vec::new(), |entries| {
        entries
            .iter()
            .map(|table| match kind {
                "measured" => ["machine", "nozzle", "material"]
                    .map(|k| text(table, k))
                    .join("/"),
                _ => text(table, "id"),
            })
            .collect()
    })
}

/// The entry a key belongs to, and what is left of the key. Ids may hold dots, so the longest that fits is meant.
fn entry(root: &Table, kind: &str, rest: &str) -> Option<(usize, String)> {
    let names = names(root, kind).into_iter().enumerate();
    names
        .filter_map(|(at, name)| {
            let path = rest.strip_prefix(&name)?.strip_prefix('.')?;
            Some((name.len(), at, path.to_owned()))
        })
        .max_by_key(|(length, _, _)| *length)
        .map(|(_, at, path)| (at, path))
}

fn add_row(root: &mut Table, rest: &str, value: &str) -> Result<(), String> {
    let right =
        "give measured.MACHINE/NOZZLE/MATERIAL.melt_limit_mm3_s first, which begins a new row";
    let (names, key) = rest.rsplit_once('.').ok_or(right)?;
    let [machine, nozzle, material] = names.split('/').collect::<Vec<_>>()[..] else {
        return Err(right.to_owned());
    };
    if key != "melt_limit_mm3_s" {
        return Err(format!("there is no such measured row; {right}"));
    }
    let mut row = Table::new();
    for (key, id) in [
        ("machine", machine),
        ("nozzle", nozzle),
        ("material", material),
    ] {
        row.insert(key, toml_edit::value(id));
    }
    set(&mut row, key, value)?;
    let list = root
        .entry("measured")
        .or_insert_with(|| Item::ArrayOfTables(toml_edit::ArrayOfTables::new()));
    let list = list.as_array_of_tables_mut().ok_or_else(no_such_table)?;
    list.push(row);
    Ok(())
}

/// Sets a key, which may lead through sub-tables. Whether it is one that a shop file knows is judged when the shop is read.
fn set(table: &mut Table, path: &str, value: &str) -> Result<(), String> {
    let mut steps: Vec<&str> = path.split('.').collect();
    let Some(last) = steps.pop().filter(|last| !last.is_empty()) else {
        return Err("the key ends with a dot; name the value to change".to_owned());
    };
    let mut at: &mut dyn toml_edit::TableLike = table;
    for step in steps {
        let inner = at
            .entry(step)
            .or_insert_with(|| Item::Value(Value::InlineTable(toml_edit::InlineTable::new())));
        at = inner
            .as_table_like_mut()
            .ok_or_else(|| format!("{step} holds no keys of its own"))?;
    }
    // What is no TOML value is taken as text, so that names need no quotes.
    let value = value
        .parse::<Value>()
        .unwrap_or_else(|_| Value::from(value));
    at.insert(last, Item::Value(value));
    Ok(())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;
    use crate::shop::DEMONSTRATION_TOML;

    fn changed(change: &str) -> Result<Shop, String> {
        with_changes(
            DEMONSTRATION_TOML,
            "demonstration.toml",
            &[change.to_owned()],
        )
    }

    #[test]
    fn any_value_of_a_shop_file_can_be_changed_by_its_key() {
        assert_eq!(changed("process.wall_mm=2").unwrap().process.wall_mm, 2.0);
        let shop = changed("machine.fast.acceleration_mm_s2 = 12000").unwrap();
        assert_eq!(shop.machine("fast").unwrap().acceleration_mm_s2, 12_000.0);
        let shop = changed("machine.fast.speeds_mm_s.outer=90").unwrap();
        assert_eq!(shop.machine("fast").unwrap().speeds.outer_mm_s, 90.0);
        let shop = changed("nozzle.0.6-hardened.diameter_mm=0.7").unwrap();
        assert_eq!(shop.nozzle("0.6-hardened").unwrap().diameter_mm, 0.7);
        let shop = changed("measured.fast/0.6-hardened/petg-cf.melt_limit_mm3_s=40").unwrap();
        assert!(shop.measured.iter().any(|row| row.melt_limit_mm3_s == 40.0));
    }

    #[test]
    fn a_row_that_is_not_there_begins_with_its_melt_limit() {
        let before = changed("process.wall_mm=2").unwrap().measured.len();
        let shop = changed("measured.round/0.6-hardened/petg-cf.melt_limit_mm3_s=12").unwrap();
        assert_eq!(shop.measured.len(), before + 1);
    }

    #[test]
    fn a_change_that_makes_no_sense_says_what_would() {
        let refused = |change: &str, part: &str| {
            let sentence = changed(change).unwrap_err();
            assert!(sentence.starts_with("--what-if "), "{sentence}");
            assert!(sentence.contains(part), "{sentence}");
        };
        refused("process.wall_mm", "KEY=VALUE");
        refused("walls.wall_mm=2", "begins with one of");
        refused("machine.quick.price=2", "slow, fast");
        refused("process.wall_mm=-2", "is negative");
        refused("process.walls_mm=2", "wall_mm");
        refused("machine.fast.price=cheap", "");
        refused("process.=2", "ends with a dot");
        refused(
            "measured.fast/0.6-hardened.margin=0.1",
            "MACHINE/NOZZLE/MATERIAL",
        );
    }
}
