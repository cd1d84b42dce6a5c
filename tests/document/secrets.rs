//! What the shop pays, earns and risks stays out of the customer's version.

use beadtally::quote::{Audience, Dress, Offer, customer_json};
use beadtally::shop::Language;

use super::{DRESSES, offer, plain, shop, text};

/// Every figure of the owner's that the customer does not read for another reason: a price, a total, a tax.
fn secrets(offer: &Offer<'_>) -> Vec<String> {
    let ledgers = || offer.lots.iter().map(|lot| &lot.plan.ledger);
    let open: Vec<String> = ledgers()
        .flat_map(|l| [l.unit_price, l.subtotal, l.tax, l.total])
        .map(|amount| amount.to_string())
        .collect();
    let mut kept: Vec<String> = ledgers()
        .flat_map(|l| {
            let lines = l.lines.iter().map(|line| line.amount);
            let more = [
                l.cost,
                l.unit_cost,
                l.earned_per_machine_hour,
                l.machine_hours,
            ];
            lines.chain(more).collect::<Vec<_>>()
        })
        .filter(|amount| !amount.is_zero())
        .map(|amount| amount.to_string())
        .collect();
    kept.retain(|secret| !open.contains(secret));
    kept
}

/// Words that only the owner's version may hold. Machines and nozzles by their ids; lines of the ledger by their names.
const OWNERS_WORDS: [&str; 12] = [
    "margin",
    "overhead",
    "floor",
    "failures",
    "upkeep",
    "earns",
    "ledger",
    "risk",
    "Gewinn",
    "Untergrenze",
    "Risiko",
    "hardened",
];

#[test]
fn no_cost_no_margin_and_no_machine_gets_into_the_customers_version() {
    for language in [Language::English, Language::German] {
        let shop = shop(language);
        let offer = offer(
            "/home/owner/secret customer/cleat.stl",
            &shop,
            &[1, 3, 10, 100],
        );
        let secrets = secrets(&offer);
        assert!(secrets.len() > 20, "{secrets:?}");
        let mut told: Vec<String> = DRESSES
            .iter()
            .map(|dress| text(&offer, Audience::Customer, *dress))
            .collect();
        told.push(customer_json(&offer).replace(['"', ',', ':'], " "));
        for said in &told {
            let words: Vec<String> = said
                .split(|c: char| c.is_whitespace() || "();%".contains(c))
                .map(|word| plain(word.trim_end_matches(['.', ',']), language))
                .collect();
            for secret in &secrets {
                assert!(!words.contains(secret), "{secret} in {said}");
            }
            for word in OWNERS_WORDS {
                assert!(!said.contains(word), "{word} in {said}");
            }
            for machine in &shop.machines {
                assert!(!words.contains(&machine.id), "{} in {said}", machine.id);
            }
            assert!(!said.contains("secret customer"), "{said}");
        }
        // The same search finds them in the owner's, so it can fail.
        let owners = text(&offer, Audience::Owner, Dress::Text);
        assert!(
            OWNERS_WORDS.iter().filter(|w| owners.contains(**w)).count() >= 4,
            "{owners}"
        );
    }
}

/// The bytes of the files themselves hold none of the owner's words either: no comment, no name in the metadata.
#[test]
fn the_bytes_of_the_customers_files_hold_no_folder_and_no_ledger() {
    let shop = shop(Language::English);
    let offer = offer("/home/owner/secret customer/cleat.stl", &shop, &[1, 3]);
    for dress in DRESSES {
        let bytes = super::bytes(&offer, Audience::Customer, dress);
        let letters = String::from_utf8_lossy(&bytes);
        for word in ["secret customer", "/home/owner", "overhead", "unit_cost"] {
            assert!(!letters.contains(word), "{word} in {dress:?}");
        }
    }
}
