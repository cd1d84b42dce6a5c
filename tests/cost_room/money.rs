//! Decimal money: conversion at the door, rounding to the minor unit.

use beadtally::cost::{decimal, share_of};
use iso_currency::Currency;
use rust_decimal::Decimal;

use crate::fixture::{dec, free_order};

/// References 10, half-even: SEEN (money-library documents; a booking service's page on prices).
#[test]
fn halves_are_rounded_to_the_even_neighbour() {
    for (exact, rounded) in [
        ("1.5", "2"),
        ("2.5", "2"),
        ("3.5", "4"),
        ("-2.5", "-2"),
        ("0.5", "0"),
        ("2.51", "3"),
    ] {
        assert_eq!(decimal::round_money(dec(exact), 0), dec(rounded), "{exact}");
    }
}

/// References 10, half-up trap: SEEN (a release note).
#[test]
fn halves_of_a_cent_are_not_rounded_up_and_products_stay_exact() {
    assert_eq!(decimal::round_money(dec("10.185"), 2).to_string(), "10.18");
    assert_eq!(decimal::round_money(dec("0.125"), 2).to_string(), "0.12");
    assert_eq!(share_of(dec("175"), dec("9.825")).unwrap(), dec("1719.375")); // 1719.3749999999998 in floats
}

/// ISO 4217 exponents, references 10: JPY 0 and EUR, USD, GBP 2 SEEN; KWD, TND 3 and KRW, ISK 0 from memory.
#[test]
fn each_currency_has_its_own_decimals() {
    use Currency::{EUR, GBP, ISK, JPY, KRW, KWD, TND, USD};
    for (currency, digits) in [
        (JPY, 0),
        (KRW, 0),
        (ISK, 0),
        (EUR, 2),
        (USD, 2),
        (GBP, 2),
        (KWD, 3),
        (TND, 3),
    ] {
        assert_eq!(
            decimal::minor_digits(currency).unwrap(),
            digits,
            "{currency:?}"
        );
    }
    assert!(decimal::minor_digits(Currency::XAU).is_err());
}

#[test]
fn a_ledger_is_printed_in_the_decimals_of_its_currency() {
    for (currency, line, total) in [
        (Currency::JPY, "12", "12"),
        (Currency::EUR, "12.35", "12.35"),
        (Currency::KWD, "12.346", "12.346"),
    ] {
        let mut order = free_order();
        order.currency = currency;
        order.part_g = 1000.0;
        order.material.price_per_kg = dec("12.34567");
        let ledger = order.ledger().unwrap();
        assert_eq!(ledger.line("plastic").unwrap().amount.to_string(), line);
        assert_eq!(ledger.total.to_string(), total);
        assert!(ledger.adds_up());
    }
}

#[test]
fn measured_numbers_become_decimal_at_their_step() {
    assert_eq!(
        decimal::seconds("t", 20_160.5).unwrap(),
        Decimal::from(20_160)
    );
    assert_eq!(decimal::grams("m", 412.304_9).unwrap(), dec("412.30"));
    assert_eq!(decimal::factor("f", 0.1 + 0.2).unwrap(), dec("0.3"));
    assert_eq!(decimal::factor("f", 1.0 / 3.0).unwrap(), dec("0.333333333"));
    assert_eq!(
        decimal::factor("f", f64::MIN_POSITIVE).unwrap(),
        Decimal::ZERO
    );
    assert_eq!(decimal::factor("f", -0.0).unwrap().to_string(), "0");
}

/// 600 s at 0.03 an hour is half a cent exactly: a rate divided by 3600 first would tip it over.
#[test]
fn an_exact_half_stays_exact_until_it_is_rounded() {
    let mut order = free_order();
    order.seconds = 600.0;
    order.machine.price = dec("0.03");
    assert_eq!(
        order.ledger().unwrap().line("machine").unwrap().amount,
        dec("0.00")
    );
    order.machine.price = dec("0.09");
    assert_eq!(
        order.ledger().unwrap().line("machine").unwrap().amount,
        dec("0.02")
    );
}
