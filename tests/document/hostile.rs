//! Names and texts that nobody expects: they break neither the page nor the PDF.

use beadtally::quote::{Audience, Dress};
use beadtally::shop::Language;

use super::{DRESSES, bytes, offer, shop, text};

const SCRIPT: &str = "<script>alert(1)</script>\" onload=\"x.stl";

#[test]
fn a_name_that_is_a_script_stays_a_name() {
    let mut shop = shop(Language::English);
    shop.name = SCRIPT.to_owned();
    shop.document.sender = vec![SCRIPT.to_owned()];
    shop.document.terms = vec![format!("</style>{SCRIPT}")];
    let offer = offer(SCRIPT, &shop, &[1, 2, 3]);
    for audience in [Audience::Customer, Audience::Owner] {
        let page = String::from_utf8(bytes(&offer, audience, Dress::Html)).unwrap();
        assert!(
            !page.contains("<script") && !page.contains("\" onload"),
            "{page}"
        );
        assert!(page.contains("&lt;script&gt;"));
        assert_eq!(page.matches("</style>").count(), 1);
    }
}

/// Letters that the font has not or that run from the right, letters joined of several, signs that turn text round, control
/// characters, marks of byte order, nothing at all.
#[test]
fn names_in_any_letters_give_a_file_that_opens() {
    let names = [
        "部品の図面.stl",
        "قطعة الغيار 12.stl",
        "חלק 7 block.stl",
        "e\u{301}\u{302}\u{303}.stl",
        "\u{202e}lts.kcolb",
        "a\u{0}b\tc\nd\u{feff}.stl",
        "\u{1f6a4}\u{200d}\u{1f3fd}.stl",
        "\u{ffff}\u{e000}.stl",
        "",
        " ",
    ];
    for name in names {
        let mut shop = shop(Language::German);
        shop.name = format!("{name} {name}");
        shop.document.sender = vec![name.to_owned(); 3];
        let offer = offer(name, &shop, &[1, 2, 3]);
        for audience in [Audience::Customer, Audience::Owner] {
            for dress in DRESSES {
                assert!(
                    !bytes(&offer, audience, dress).is_empty(),
                    "{name:?} {dress:?}"
                );
            }
            let pdf = bytes(&offer, audience, Dress::Pdf);
            let opened = pdf_extract::Document::load_mem(&pdf).unwrap();
            assert!(!opened.get_pages().is_empty(), "{name:?}");
            // A letter that the font has not is a stand-in with the letter behind it, which ISO 14289-1 allows.
            let claim = String::from_utf8_lossy(&pdf).contains("pdfuaid:part");
            assert!(
                claim,
                "{name:?}: written without the claim to be accessible"
            );
        }
    }
}

#[test]
fn a_name_of_twenty_thousand_letters_is_broken_over_lines_and_pages() {
    let name = format!("{}.stl", "block".repeat(4000));
    let mut shop = shop(Language::English);
    shop.document.terms = vec!["word ".repeat(5000), "w".repeat(20_000)];
    let offer = offer(&name, &shop, &[1]);
    let said = text(&offer, Audience::Customer, Dress::Pdf);
    let letters: String = said.split_whitespace().collect();
    assert!(
        letters.matches("block").count() >= 3900,
        "the name is all there"
    );
    let page = String::from_utf8(bytes(&offer, Audience::Customer, Dress::Html)).unwrap();
    assert!(page.contains(&name));
}

/// Right to left: the first letter of the name stands furthest to the right, so a reader of places finds them in turned order, and
/// the letters are all there.
#[test]
fn letters_that_the_font_has_are_drawn_whatever_their_direction() {
    let shop = shop(Language::English);
    let offer = offer("חלק.stl", &shop, &[1]);
    let said = text(&offer, Audience::Customer, Dress::Pdf);
    for letter in "חלק".chars() {
        assert!(said.contains(letter), "{letter} in {said}");
    }
}
