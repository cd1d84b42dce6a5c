//! Takes seconds, grams, rates and a quantity. Gives a ledger whose lines add up to the total.
