//! Money of a shop file is read from its own digits.

#![allow(clippy::unwrap_used, clippy::expect_used)]

use beadtally::shop::{DEMONSTRATION_TOML, read_shop};

fn price_of_fast(written: &str) -> String {
    let text = DEMONSTRATION_TOML.replacen("price = 1350", &format!("price = {written}"), 1);
    read_shop(&text, "shop.toml")
        .unwrap()
        .machine("fast")
        .unwrap()
        .price
        .to_string()
}

#[test]
fn money_is_read_exactly_from_number_or_text() {
    // 0.1 and 1349.99 have no finite binary form; a way through f64 would show in the last of these.
    assert_eq!(price_of_fast("0.1"), "0.1");
    assert_eq!(price_of_fast("1349.99"), "1349.99");
    assert_eq!(price_of_fast("1_349.90"), "1349.90");
    assert_eq!(price_of_fast("\"1349.90\""), "1349.90");
    assert_eq!(price_of_fast("1350"), "1350");
    assert_eq!(price_of_fast("0"), "0");
    assert_eq!(
        price_of_fast("1234567890.123456789012345"),
        "1234567890.123456789012345"
    );
    assert_eq!(price_of_fast("1.35e3"), "1350");
}

#[test]
fn upkeep_that_a_kind_starts_from_is_a_part_of_the_price() {
    // 80 % of 300 over 6000 h is 0.04 per hour.
    let shop = read_shop(&beadtally::shop::new_shop_file(), "shop.toml").unwrap();
    assert_eq!(shop.machine("a").unwrap().upkeep_per_h.to_string(), "0.04");
}
