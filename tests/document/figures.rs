//! Every dress says the same figures, to the cent, in both languages.

use beadtally::quote::{Audience, Dress, Offer, customer_json};
use beadtally::shop::{Language, Lengths};

use super::{DRESSES, offer, plain, shop, text};

const QUANTITIES: [u32; 5] = [1, 2, 10, 100, 1234];

/// The figures of each row of a table as a dress has them, as plain decimals, in the order in which they are read.
fn numbers(said: &str, language: Language) -> Vec<String> {
    let words = said.split_whitespace();
    words.map(|word| plain(word, language)).collect()
}

fn holds_in_order(words: &[String], wanted: &[String]) -> bool {
    words.windows(wanted.len()).any(|window| window == wanted)
}

fn customer_rows(offer: &Offer<'_>) -> Vec<Vec<String>> {
    let lots = offer.lots.iter().map(|lot| &lot.plan.ledger);
    lots.map(|ledger| {
        vec![
            ledger.quantity.to_string(),
            ledger.unit_price.to_string(),
            ledger.subtotal.to_string(),
            ledger.tax.to_string(),
            ledger.total.to_string(),
        ]
    })
    .collect()
}

#[test]
fn every_row_of_prices_stands_in_every_dress_to_the_cent_in_both_languages() {
    for language in [Language::English, Language::German] {
        let shop = shop(language);
        let offer = offer("cleat.stl", &shop, &QUANTITIES);
        for dress in DRESSES {
            let words = numbers(&text(&offer, Audience::Customer, dress), language);
            for row in customer_rows(&offer) {
                assert!(
                    holds_in_order(&words, &row),
                    "{language:?} {dress:?} {row:?}: {words:?}"
                );
            }
        }
    }
}

#[test]
fn the_customers_json_says_the_rows_of_the_ledgers() {
    let shop = shop(Language::German);
    let offer = offer("cleat.stl", &shop, &QUANTITIES);
    let line = customer_json(&offer);
    let told: serde_json::Value = serde_json::from_str(&line).unwrap();
    assert_eq!(told["format"], 1);
    let rows: Vec<Vec<String>> = told["prices"]
        .as_array()
        .unwrap()
        .iter()
        .map(|price| {
            let text = |key: &str| price[key].as_str().unwrap().to_owned();
            let mut row = vec![price["quantity"].to_string()];
            row.extend(["unit_price", "subtotal", "tax", "total"].map(text));
            row
        })
        .collect();
    assert_eq!(rows, customer_rows(&offer));
    assert_eq!(told["prices"][0]["likely"], "2026-12-03");
    assert_eq!(told["prices"][0]["cheaper"]["total"], "1234.99");
}

/// Written by hand: days, a validity of 30 days from 26 November, an amount of four digits.
#[test]
fn days_and_amounts_are_written_as_each_language_writes_them() {
    let expected = [
        (
            Language::English,
            [
                "26 November 2026",
                "26 December 2026",
                "3 December 2026",
                "9 March 2027",
                "1,234.99 EUR",
            ],
        ),
        (
            Language::German,
            [
                "26. November 2026",
                "26. Dezember 2026",
                "3. Dezember 2026",
                "9. März 2027",
                "1.234,99 EUR",
            ],
        ),
    ];
    for (language, wanted) in expected {
        let shop = shop(language);
        let offer = offer("cleat.stl", &shop, &[1, 2]);
        for dress in DRESSES {
            let said = text(&offer, Audience::Customer, dress);
            let said: Vec<&str> = said.split_whitespace().collect();
            let said = said.join(" ");
            for words in wanted {
                assert!(
                    said.contains(words),
                    "{language:?} {dress:?}: no {words} in {said}"
                );
            }
        }
    }
}

/// 132 x 56 x 48 mm as the part's generator has it; an inch is 25.4 mm by definition, so 5.1969 x 2.2047 x 1.8898 in.
#[test]
fn a_shop_that_thinks_in_inches_says_inches() {
    let mut shop = shop(Language::English);
    let said = text(
        &offer("cleat.stl", &shop, &[1]),
        Audience::Customer,
        Dress::Text,
    );
    assert!(
        said.contains("132.0 x 56.0 x 48.0 mm") && said.contains("0.3 mm"),
        "{said}"
    );
    shop.document.lengths = Lengths::Inch;
    let said = text(
        &offer("cleat.stl", &shop, &[1]),
        Audience::Customer,
        Dress::Text,
    );
    assert!(
        said.contains("5.20 x 2.20 x 1.89 in") && said.contains("0.0118 in"),
        "{said}"
    );
    assert!(!said.contains(" mm"), "{said}");
}

#[test]
fn the_owners_dresses_hold_every_line_that_is_charged_with_its_formula() {
    for language in [Language::English, Language::German] {
        let shop = shop(language);
        let offer = offer("cleat.stl", &shop, &QUANTITIES);
        let ledger = &offer.lots[0].plan.ledger;
        for dress in DRESSES {
            let said = text(&offer, Audience::Owner, dress);
            let words = numbers(&said, language);
            let letters: String = said.split_whitespace().collect();
            // Lines that come to nothing are told by their names alone.
            for line in ledger.lines.iter().filter(|line| !line.amount.is_zero()) {
                let formula: String = line.detail.split_whitespace().take(3).collect();
                assert!(
                    words.contains(&line.amount.to_string()),
                    "{dress:?}: {line:?}"
                );
                assert!(
                    letters.contains(&formula),
                    "{dress:?}: {line:?} in {letters}"
                );
            }
            for lot in &offer.lots {
                let l = &lot.plan.ledger;
                let row = [
                    l.quantity.to_string(),
                    l.unit_price.to_string(),
                    l.unit_cost.to_string(),
                    l.total.to_string(),
                ];
                assert!(holds_in_order(&words, &row), "{dress:?}: {row:?}");
            }
        }
    }
}

/// The answer stands first on a terminal, and no line is wider than 100 letters.
#[test]
fn the_owners_text_begins_with_the_answer_and_keeps_to_100_columns() {
    let shop = shop(Language::German);
    let offer = offer("cleat.stl", &shop, &QUANTITIES);
    let said = text(&offer, Audience::Owner, Dress::Text);
    let plan = &offer.lots[0].plan;
    assert!(said.starts_with(&format!("{} (", plan.machine)), "{said}");
    for line in said.lines() {
        assert!(line.chars().count() <= 100, "{line}");
    }
}

/// The issue's own figures: one print of 60 h at 0.3 % per hour and 2 % per start needs e^0.18 / 0.98 = 1.2216 starts.
#[test]
fn the_owner_reads_what_a_longer_print_would_need() {
    let shop = shop(Language::English);
    let said = text(
        &offer("cleat.stl", &shop, &[1]),
        Audience::Owner,
        Dress::Text,
    );
    let said: Vec<&str> = said.split_whitespace().collect();
    let said = said.join(" ");
    assert!(
        said.contains("at 0.3 % per hour and 2 % per start needs"),
        "{said}"
    );
    assert!(said.contains("one of 60 h 1.22"), "{said}");
}
