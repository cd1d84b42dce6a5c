//! The shop used when none is given.

use super::{Shop, read_shop};

/// The shop file of the built-in demonstration shop: a workshop that makes fittings for small wooden sailing boats.
/// What it has and charges is invented; each number carries a comment with its basis.
pub const DEMONSTRATION_TOML: &str = include_str!("demonstration.toml");

/// The built-in demonstration shop, with [`Shop::demonstration`] set so that every output can say so.
// The text is part of the program and the same on every run, and a test reads it: it can't fail for a user.
#[allow(clippy::expect_used)]
pub fn demonstration() -> Shop {
    let shop = read_shop(DEMONSTRATION_TOML, "demonstration.toml")
        .expect("the built-in shop file is read by the tests");
    Shop {
        demonstration: true,
        ..shop
    }
}

/// A commented shop file for an owner to fill in. It is a valid shop file as it stands.
pub fn new_shop_file() -> String {
    include_str!("starter.toml").to_owned()
}
