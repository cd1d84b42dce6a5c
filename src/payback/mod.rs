//! Takes a shop, what is to be bought for it, and the parts it makes every month. Gives what the purchase does to hours and costs,
//! and after how many months it is paid back.
//!
//! `purchase` puts the bought machines and nozzles into the shop; `months` holds the two shops against each other.

mod months;
mod purchase;

pub use months::{Assumption, Month, Payback, PaybackError, Work, payback};
pub use purchase::{Purchase, bought};
