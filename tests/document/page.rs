//! The page: one file that asks nothing of a network.

use beadtally::quote::{Audience, Dress};
use beadtally::shop::{Language, Paper};

use super::{bytes, offer, shop};

fn page(language: Language, paper: Paper, audience: Audience) -> String {
    let mut shop = shop(language);
    shop.document.paper = paper;
    let offer = offer("cleat.stl", &shop, &[1, 10, 100]);
    String::from_utf8(bytes(&offer, audience, Dress::Html)).unwrap()
}

#[test]
fn the_page_holds_everything_itself_and_runs_nothing() {
    for audience in [Audience::Customer, Audience::Owner] {
        let page = page(Language::English, Paper::A4, audience);
        for banned in [
            "<script",
            "<link",
            "<iframe",
            "<object",
            "url(",
            "@import",
            "onload",
            "href=\"http",
            "src=\"http",
        ] {
            assert!(!page.contains(banned), "{banned}");
        }
        // The one address is the name of SVG, which nothing fetches.
        let addresses = page.matches("http").count();
        assert_eq!(
            addresses,
            page.matches("xmlns=\"http://www.w3.org/2000/svg\"").count()
        );
        assert_eq!(
            page.matches(" src=\"").count(),
            page.matches(" src=\"data:image/png;base64,").count()
        );
    }
}

#[test]
fn the_page_states_its_language_its_sheet_and_words_for_every_picture() {
    for (language, code) in [(Language::English, "en"), (Language::German, "de")] {
        for (paper, size) in [(Paper::A4, "size:A4"), (Paper::Letter, "size:letter")] {
            let page = page(language, paper, Audience::Customer);
            assert!(page.starts_with(&format!("<!DOCTYPE html><html lang=\"{code}\">")));
            assert!(page.contains(size), "{size}");
            let pictures = page.matches("<img ").count();
            assert_eq!(pictures, 4);
            assert_eq!(page.matches(" alt=\"cleat.stl").count(), pictures);
            assert_eq!(page.matches("<svg role=\"img\" aria-label=\"").count(), 1);
        }
    }
}

/// Every element that needs an end has one, in the right order: the rule of HTML, read by a list of the elements that never end.
#[test]
fn every_element_of_the_page_is_closed_in_order() {
    const VOID: [&str; 4] = ["meta", "br", "img", "!DOCTYPE"];
    let page = page(Language::English, Paper::A4, Audience::Owner);
    let mut open: Vec<String> = Vec::new();
    for piece in page.split('<').skip(1) {
        let tag = piece.split_once('>').unwrap().0;
        let name = tag
            .trim_start_matches('/')
            .split([' ', '/'])
            .next()
            .unwrap()
            .trim()
            .to_owned();
        if tag.starts_with('/') {
            assert_eq!(open.pop().as_deref(), Some(name.as_str()));
        } else if !tag.ends_with('/') && !VOID.contains(&name.as_str()) {
            open.push(name);
        }
    }
    assert!(open.is_empty(), "{open:?}");
}
