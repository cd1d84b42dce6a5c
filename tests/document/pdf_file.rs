//! The PDF as a file: its sheet, its fonts, its tags, and that the same offer gives the same bytes.

use std::collections::BTreeMap;

use beadtally::quote::{Audience, Dress};
use beadtally::shop::{Language, Paper};
use pdf_extract::{Dictionary, Document, Object};

use super::{DRESSES, bytes, offer, shop};

fn file(language: Language, paper: Paper, audience: Audience, quantities: &[u32]) -> Vec<u8> {
    let mut shop = shop(language);
    shop.document.paper = paper;
    bytes(&offer("cleat.stl", &shop, quantities), audience, Dress::Pdf)
}

fn opened(bytes: &[u8]) -> Document {
    Document::load_mem(bytes).unwrap()
}

fn dictionaries(pdf: &Document) -> Vec<&Dictionary> {
    let objects = pdf.objects.values();
    objects
        .filter_map(|object| match object {
            Object::Dictionary(dictionary) => Some(dictionary),
            Object::Stream(stream) => Some(&stream.dict),
            _ => None,
        })
        .collect()
}

/// How many nodes of each kind the order of reading holds.
fn tags(pdf: &Document) -> BTreeMap<String, usize> {
    let mut tags = BTreeMap::new();
    for dictionary in dictionaries(pdf) {
        let kind = dictionary.get(b"S").and_then(Object::as_name);
        if let (Ok(kind), true) = (kind, dictionary.has(b"P") && dictionary.has(b"K")) {
            *tags
                .entry(String::from_utf8_lossy(kind).into_owned())
                .or_insert(0) += 1;
        }
    }
    tags
}

#[test]
fn the_same_offer_gives_the_same_bytes_and_another_day_gives_others() {
    let shop = shop(Language::English);
    let one = offer("cleat.stl", &shop, &[1, 10, 100]);
    let mut other = one.clone();
    other.date = jiff::civil::date(2026, 11, 27);
    for audience in [Audience::Customer, Audience::Owner] {
        for dress in DRESSES {
            let first = bytes(&one, audience, dress);
            assert!(
                first == bytes(&one, audience, dress),
                "{audience:?} {dress:?}"
            );
            assert!(
                first != bytes(&other, audience, dress),
                "{audience:?} {dress:?}"
            );
        }
    }
}

/// ISO 216 gives 210 x 297 mm, the other sheet is 8.5 x 11 in; a point is 1/72 in.
#[test]
fn the_sheet_is_the_one_that_the_shop_asks_for() {
    let expected = [
        (Paper::A4, [210.0 / 25.4 * 72.0, 297.0 / 25.4 * 72.0]),
        (Paper::Letter, [8.5 * 72.0, 11.0 * 72.0]),
    ];
    for (paper, size) in expected {
        let pdf = opened(&file(Language::English, paper, Audience::Customer, &[1]));
        for page in pdf.get_pages().values() {
            let page = pdf.get_dictionary(*page).unwrap();
            let sheet = page.get(b"MediaBox").unwrap().as_array().unwrap();
            let side = |i: usize| f64::from(sheet[i].as_float().unwrap());
            assert!(
                (side(2) - side(0) - size[0]).abs() < 0.01,
                "{paper:?} {sheet:?}"
            );
            assert!(
                (side(3) - side(1) - size[1]).abs() < 0.01,
                "{paper:?} {sheet:?}"
            );
        }
    }
}

#[test]
fn the_file_is_tagged_and_states_its_language_and_its_title() {
    for (language, code, title) in [
        (Language::English, "en", "Quotation for cleat.stl"),
        (Language::German, "de", "Angebot für cleat.stl"),
    ] {
        let bytes = file(language, Paper::A4, Audience::Customer, &[1, 10, 100]);
        let pdf = opened(&bytes);
        let catalog = pdf.catalog().unwrap();
        let marked = catalog
            .get_deref(b"MarkInfo", &pdf)
            .unwrap()
            .as_dict()
            .unwrap();
        assert!(marked.get(b"Marked").unwrap().as_bool().unwrap());
        assert_eq!(
            catalog.get(b"Lang").unwrap().as_str().unwrap(),
            code.as_bytes()
        );
        let view = catalog
            .get_deref(b"ViewerPreferences", &pdf)
            .unwrap()
            .as_dict()
            .unwrap();
        assert!(view.get(b"DisplayDocTitle").unwrap().as_bool().unwrap());
        let metadata = String::from_utf8_lossy(&bytes).into_owned();
        assert!(metadata.contains("pdfuaid:part"), "no claim to ISO 14289-1");
        assert!(metadata.contains(title), "{title}");
        assert!(metadata.contains("2026-11-26"));
    }
}

/// One heading of the document and those of its sections; a table for the facts twice, prices and dates; a figure for each view and
/// for the plot, every one with words in its place.
#[test]
fn headings_tables_lists_and_figures_are_tagged_as_what_they_are() {
    let pdf = opened(&file(
        Language::English,
        Paper::A4,
        Audience::Customer,
        &[1, 10, 100],
    ));
    let tags = tags(&pdf);
    let count = |kind: &str| tags.get(kind).copied().unwrap_or(0);
    assert_eq!(count("H1"), 1, "{tags:?}");
    assert_eq!(count("H2"), 6, "{tags:?}");
    assert_eq!(count("Table"), 4, "{tags:?}");
    assert_eq!(count("Figure"), 5, "{tags:?}");
    assert_eq!(count("L"), 3, "{tags:?}");
    // Names of seven facts, five columns of prices, three of dates.
    assert_eq!(count("TH"), 15, "{tags:?}");
    let figures = dictionaries(&pdf).into_iter().filter(|d| {
        d.get(b"S")
            .and_then(Object::as_name)
            .is_ok_and(|kind| kind == b"Figure")
    });
    for figure in figures {
        assert!(!figure.get(b"Alt").unwrap().as_str().unwrap().is_empty());
    }
}

#[test]
fn every_font_of_the_file_is_embedded() {
    let pdf = opened(&file(
        Language::German,
        Paper::A4,
        Audience::Owner,
        &[1, 10, 100],
    ));
    let fonts: Vec<&Dictionary> = dictionaries(&pdf)
        .into_iter()
        .filter(|d| {
            d.get(b"Type")
                .and_then(Object::as_name)
                .is_ok_and(|kind| kind == b"FontDescriptor")
        })
        .collect();
    assert!(fonts.len() >= 2, "regular and bold");
    for font in fonts {
        assert!(font.has(b"FontFile2") || font.has(b"FontFile3"), "{font:?}");
    }
}

#[test]
fn five_hundred_quantities_flow_over_pages_and_each_page_has_the_head_again() {
    let quantities: Vec<u32> = (1..=500).collect();
    let bytes = file(
        Language::English,
        Paper::A4,
        Audience::Customer,
        &quantities,
    );
    let pages = pdf_extract::extract_text_from_mem_by_pages(&bytes).unwrap();
    let with_rows: Vec<&String> = pages
        .iter()
        .filter(|page| {
            page.split_whitespace()
                .filter(|w| w.ends_with(|c: char| c.is_ascii_digit()))
                .count()
                > 100
        })
        .collect();
    assert!(
        with_rows.len() >= 8,
        "{} of {} pages",
        with_rows.len(),
        pages.len()
    );
    for page in with_rows {
        let words: Vec<&str> = page.split_whitespace().collect();
        assert!(words.join(" ").contains("Total with tax, EUR"), "{page}");
        assert!(page.contains(&format!("of {}", pages.len())), "{page}");
    }
}
