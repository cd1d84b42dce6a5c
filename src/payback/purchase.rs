//! A shop with something bought for it.

use rust_decimal::Decimal;
use toml_edit::{Array, DocumentMut, Item, Value};

use crate::shop::{Shop, read_shop};

/// What may be bought, and what belongs to it.
const LISTS: [&str; 3] = ["machine", "nozzle", "measured"];

/// A shop after a purchase.
#[derive(Debug, Clone, PartialEq)]
pub struct Purchase {
    /// The shop with what was bought in it.
    pub shop: Shop,
    /// Ids of the bought machines.
    pub machines: Vec<String>,
    /// Ids of the bought nozzles.
    pub nozzles: Vec<String>,
    /// What they cost together.
    pub price: Decimal,
}

impl Purchase {
    /// Whether an option uses something that was bought.
    pub fn is_used_by(&self, machine: &str, nozzle: &str) -> bool {
        self.machines.iter().any(|id| id == machine) || self.nozzles.iter().any(|id| id == nozzle)
    }

    /// What was bought, by id.
    pub fn names(&self) -> String {
        let all: Vec<&str> = self
            .machines
            .iter()
            .chain(&self.nozzles)
            .map(String::as_str)
            .collect();
        all.join(" and ")
    }
}

/// Puts the `[[machine]]`, `[[nozzle]]` and `[[measured]]` of a purchase file into a shop file. Bought nozzles go onto the machines
/// named in `nozzles_on`, beside those that are bought and list them.
///
/// # Errors
/// One sentence: a purchase that is no TOML, holds anything else or nothing to buy; an id the shop has already; a nozzle that goes on
/// no machine; and whatever makes the shop with the purchase no good shop file.
pub fn bought(
    shop_text: &str,
    purchase_text: &str,
    purchase_file: &str,
    nozzles_on: &[String],
) -> Result<Purchase, String> {
    let wrong = |why: String| format!("{purchase_file}: {why}");
    let parse = |text: &str| {
        text.parse::<DocumentMut>()
            .map_err(|fault| wrong(format!("not TOML ({})", first_line(fault.message()))))
    };
    let mut shop: DocumentMut = parse(shop_text)?;
    let purchase = parse(purchase_text)?;
    if let Some((key, _)) = purchase.iter().find(|(key, _)| !LISTS.contains(key)) {
        return Err(wrong(format!(
            "{key:?} is nothing that is bought; give [[machine]], [[nozzle]] and the [[measured]] rows that go with them, as in a shop file"
        )));
    }
    for list in LISTS {
        let item = purchase.get(list);
        if item.is_some_and(|item| item.as_array_of_tables().is_none()) {
            return Err(wrong(format!(
                "{list} is no list; write [[{list}]] above each one"
            )));
        }
    }
    let machines = ids(&purchase, "machine");
    let nozzles = ids(&purchase, "nozzle");
    if machines.is_empty() && nozzles.is_empty() {
        return Err(wrong(
            "nothing is bought; give at least one [[machine]] or [[nozzle]], as in a shop file"
                .to_owned(),
        ));
    }
    put_on(&mut shop, &nozzles, nozzles_on).map_err(wrong)?;
    let listed = |id: &String| lists(&shop, id) || lists(&purchase, id);
    if let Some(id) = nozzles.iter().find(|id| !listed(id)) {
        return Err(wrong(format!(
            "nozzle {id} goes on no machine; say which with --on MACHINE"
        )));
    }
    // A list of tables may be gone on with anywhere in a TOML file.
    let shop = read_shop(&format!("{shop}\n{purchase_text}"), "the shop with it")
        .map_err(|error| wrong(format!("{}: {}", error.key, error.message)))?;
    let price = shop
        .machines
        .iter()
        .filter(|m| machines.contains(&m.id))
        .map(|m| m.price)
        .chain(
            shop.nozzles
                .iter()
                .filter(|n| nozzles.contains(&n.id))
                .map(|n| n.price),
        )
        .sum();
    Ok(Purchase {
        shop,
        machines,
        nozzles,
        price,
    })
}

fn first_line(text: &str) -> &str {
    text.lines().next().unwrap_or_default()
}

fn ids(document: &DocumentMut, list: &str) -> Vec<String> {
    let tables = document.get(list).and_then(Item::as_array_of_tables);
    let ids = tables
        .into_iter()
        .flatten()
        .filter_map(|table| table.get("id")?.as_str());
    ids.map(str::to_owned).collect()
}

/// Adds nozzles to the lists of the machines named.
fn put_on(shop: &mut DocumentMut, nozzles: &[String], on: &[String]) -> Result<(), String> {
    let machines = shop
        .get_mut("machine")
        .and_then(Item::as_array_of_tables_mut);
    let Some(machines) = machines else {
        return Err("the shop has no machines".to_owned());
    };
    for id in on {
        let machine = machines
            .iter_mut()
            .find(|table| table.get("id").and_then(Item::as_str) == Some(id));
        let Some(machine) = machine else {
            return Err(format!("--on {id}: the shop has no such machine"));
        };
        let Some(list) = machine.get_mut("nozzles").and_then(Item::as_array_mut) else {
            return Err(format!("machine {id} lists no nozzles"));
        };
        add_missing(list, nozzles);
    }
    Ok(())
}

/// Whether a machine of a file lists a nozzle.
fn lists(file: &DocumentMut, nozzle: &str) -> bool {
    let machines = file.get("machine").and_then(Item::as_array_of_tables);
    machines.into_iter().flatten().any(|machine| {
        let list = machine.get("nozzles").and_then(Item::as_array);
        list.is_some_and(|list| list.iter().any(|of| of.as_str() == Some(nozzle)))
    })
}

fn add_missing(list: &mut Array, nozzles: &[String]) {
    for nozzle in nozzles {
        if !list.iter().any(|of| of.as_str() == Some(nozzle)) {
            list.push(Value::from(nozzle.as_str()));
        }
    }
}
