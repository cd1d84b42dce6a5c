//! Everything that a quote says, before it is dressed as text, JSON, a page or a PDF.

use jiff::ToSpan;
use jiff::civil::Date;
use rust_decimal::Decimal;

use super::subject::Subject;
use crate::cost::Ledger;
use crate::estimate::{Ask, LeadTime, Plan};
use crate::service::ServiceNote;

/// A quote. Every dress is made from this and computes nothing of its own.
#[derive(Debug, Clone)]
pub struct Offer<'a> {
    /// The part, its mesh, the shop and the answer.
    pub subject: Subject<'a>,
    /// What was asked.
    pub ask: &'a Ask,
    /// The day of the quote, the shop's own.
    pub date: Date,
    /// One lot for each quantity asked, in the order asked; the first is the one whose ledger is shown. Empty where no option can
    /// make the part.
    pub lots: Vec<Lot>,
    /// Quantity and price of a piece before tax at quantities up to the largest asked, for the plot of price against quantity.
    pub curve: Vec<(u32, Decimal)>,
    /// What the customer's use of the part brings up.
    pub service: Vec<ServiceNote>,
    /// The pace of the option picked, without a calendar.
    pub lead: Option<LeadTime>,
}

impl Offer<'_> {
    /// The ledger that is shown: that of the first quantity asked.
    pub fn ledger(&self) -> Option<&Ledger> {
        self.lots.first().map(|lot| &lot.plan.ledger)
    }

    /// The last day on which the quote holds.
    pub fn valid_until(&self) -> Date {
        let days = i64::from(self.subject.shop.document.valid_days);
        // At the end of all dates a quote holds for ever.
        self.date.checked_add(days.days()).unwrap_or(Date::MAX)
    }
}

/// One quantity of a quote.
#[derive(Debug, Clone)]
pub struct Lot {
    /// How it is made and what it costs.
    pub plan: Plan,
    /// When it can be sent; `None` where the calendar has no answer.
    pub dates: Option<ShipDates>,
    /// How many of its prints the machine makes, such as "one a day"; empty where the calendar has no answer.
    pub pace: String,
    /// A larger quantity that costs less in all, where there is one: quantity, its total with tax.
    pub cheaper: Option<(u32, Decimal)>,
}

/// When an order can be sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ShipDates {
    /// As likely before as after.
    pub likely: Date,
    /// In nine of ten cases by then.
    pub safe: Date,
}
