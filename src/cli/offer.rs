//! The `quote` command: what to charge, for one piece or many, and when it can be sent.

use clap::Args;
use jiff::Zoned;
use jiff::civil::{Date, DateTime, Time};
use rust_decimal::Decimal;

use super::args::QuoteArgs;
use super::history::History;
use super::jobs::book_path;
use super::parts::name;
use super::run::{Answers, Estimated, json_lines};
use super::{Failure, NO, Outcome, document, shop};
use crate::estimate::{LeadTime, Lots, Plan, first_opening_min, lead_time, lots, shipping};
use crate::quote::{self, Lot, Offer, ShipDates};
use crate::service::{Service, service_notes};
use crate::shop::{BoughtIn, JobTerms, Shop};

/// What a quote is asked with, beside the part and how it is laid.
#[derive(Debug, Args)]
#[command(next_help_heading = "Terms and use")]
pub struct TermArgs {
    /// A part bought for every piece and its price for one piece; may be given several times
    #[arg(long, value_name = "NAME=PRICE")]
    pub bought_in: Vec<String>,
    /// Take this fraction off the list price, in place of the shop's discounts
    #[arg(long, value_name = "FRACTION")]
    pub discount: Option<f64>,
    /// The order goes before others: charge the shop's surcharge
    #[arg(long)]
    pub rush: bool,
    /// The hottest the part gets in use, C
    #[arg(long, value_name = "C", allow_negative_numbers = true)]
    pub gets_hot: Option<f64>,
    /// The part stands in the sun
    #[arg(long)]
    pub in_sun: bool,
    /// The part meets salt water
    #[arg(long)]
    pub in_salt_water: bool,
    /// The part meets food
    #[arg(long)]
    pub meets_food: bool,
    /// The part carries a load for long
    #[arg(long)]
    pub carries_load: bool,
    /// Somebody can be hurt when the part fails
    #[arg(long)]
    pub can_hurt: bool,
}

impl TermArgs {
    /// The job's own terms.
    pub fn job(&self) -> Result<JobTerms, Failure> {
        if let Some(share) = self.discount.filter(|share| !(0.0..1.0).contains(share)) {
            return Err(Failure::of(format!(
                "--discount: {share} is no discount; give a fraction of at least 0 and below 1, such as 0.05 for 5 %"
            )));
        }
        Ok(JobTerms {
            bought_in: self
                .bought_in
                .iter()
                .map(|given| bought_in(given))
                .collect::<Result<_, Failure>>()?,
            discount: self.discount,
            rush: self.rush,
        })
    }

    /// The use of the part.
    pub fn service(&self) -> Result<Service, Failure> {
        let out_of_range = |c: &f64| !(-100.0..=500.0).contains(c);
        if let Some(c) = self.gets_hot.filter(out_of_range) {
            return Err(Failure::of(format!(
                "--gets-hot: {c} C is no temperature a plastic part is used at; give -100 to 500 C"
            )));
        }
        Ok(Service {
            temperature_c: self.gets_hot,
            sun: self.in_sun,
            salt_water: self.in_salt_water,
            food: self.meets_food,
            load: self.carries_load,
            safety: self.can_hurt,
        })
    }
}

/// A control character, or one that turns the direction of reading.
fn is_no_plain_letter(letter: char) -> bool {
    letter.is_control()
        || matches!(letter, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

fn bought_in(given: &str) -> Result<BoughtIn, Failure> {
    let wrong = || {
        Failure::of(format!(
            "--bought-in {}: this is no NAME=PRICE; give what it is in at most 80 plain letters and what one piece's share of it costs, \
             0 to 1000000000 with a decimal point, such as \"four inserts=1.60\"",
            crate::mesh::plain_text(given)
        ))
    };
    let (what, price) = given.rsplit_once('=').ok_or_else(wrong)?;
    let price: Decimal = price.trim().parse().map_err(|_| wrong())?;
    let what = what.trim();
    let plain = what.chars().count() <= 80 && !what.chars().any(is_no_plain_letter);
    if what.is_empty() || !plain || price < Decimal::ZERO || price > Decimal::from(1_000_000_000) {
        return Err(wrong());
    }
    Ok(BoughtIn {
        what: what.to_owned(),
        price,
    })
}

/// Runs `quote`.
pub(super) fn quote(args: &QuoteArgs) -> Result<Outcome, Failure> {
    if args.quantity.contains(&0) {
        return Err(Failure::of(
            "--quantity: 0 is no quantity; give at least 1 piece",
        ));
    }
    let first = args.quantity.first().copied().unwrap_or(1);
    let service = args.terms.service()?;
    let mut shop = shop::open(&args.shop)?;
    shop.rates.job = args.terms.job()?;
    let book = book_path(args.book.as_deref(), args.shop.file.as_deref()).ok();
    args.document.check(
        &args.files.parts,
        args.shop.file.as_deref(),
        book.as_deref(),
    )?;
    let clock = shop.calendar.clock(&Zoned::now());
    let date = args.document.date(clock.date())?;
    // A day of its own is begun when the next one does, as its dates are; today is as late as it is.
    let asked_at = if date == clock.date() {
        clock
    } else {
        morrow(date)
    };
    let asked_at = asked_at
        .to_zoned(shop.calendar.zone.clone())
        .map_err(|_| Failure::of("--date: the shop's calendar does not reach that day"))?;
    let answers = Answers::at(&args.files, shop, &args.job, first, &asked_at)?;
    let history = History::of(args.book.as_deref(), &args.shop)?;
    let quoted = Quoted {
        answers: &answers,
        quantities: &args.quantity,
        service,
        history: &history,
        date,
    };
    if !args.document.out.is_empty() && answers.parts.len() != 1 {
        return Err(Failure::of(
            "--out: one quotation holds one part; give one file that holds one part",
        ));
    }
    let [(part, Ok(e))] = &answers.parts[..] else {
        return list(args, &quoted);
    };
    let offer = quoted.offer(part, e)?;
    let unmade = offer.lots.is_empty();
    let mut refused = None;
    if unmade && args.document.is_for_customer() {
        refused = args.document.out.first().map(|path| {
            let why = &e.estimate.pick.why;
            format!(
                "{}: not written, for nothing can be offered: {why}",
                name(path)
            )
        });
    } else {
        document::write(&offer, &args.document)?;
    }
    let out = if args.files.json {
        history.in_object(quote::quote_json(&offer), e, &answers.shop) + "\n"
    } else if args.job.csv {
        quote::triage_csv(&answers.rows())
    } else if unmade {
        quote::estimate_text(&offer.subject, &answers.ask)
    } else {
        quote::quote_text(&offer).map_err(|e| Failure::of(e.to_string()))? + &booked(&quoted, e)
    };
    let mut outcome = answers.outcome(out);
    outcome.errors.extend(refused);
    if let Some(late) = late(&offer, args.job.due.as_deref()) {
        outcome.errors.push(format!("{part}: {late}"));
        outcome.exit = outcome.exit.max(NO);
    }
    Ok(outcome)
}

/// The beginning of the day after.
fn morrow(date: Date) -> DateTime {
    date.tomorrow()
        .unwrap_or(date)
        .to_datetime(Time::midnight())
}

/// Why a due day is not met by the first quantity's plan, where it is not.
fn late(offer: &Offer<'_>, due: Option<&str>) -> Option<String> {
    let due: Date = due?.parse().ok()?;
    let lot = offer.lots.first()?;
    match lot.dates {
        Some(dates) if dates.likely <= due => None,
        Some(dates) => Some(format!(
            "--due {due}: not met; by the shop's calendar the order can likely be sent on {}, safely on {}",
            dates.likely, dates.safe
        )),
        None => Some(format!(
            "--due {due}: not known to be met; the shop's calendar has no day for this order"
        )),
    }
}

/// What the job book says of today; nothing for a quote of another day.
fn booked(quoted: &Quoted<'_>, estimated: &Estimated) -> String {
    let shop = &quoted.answers.shop;
    if quoted.date == shop.calendar.clock(&Zoned::now()).date() {
        quoted.history.text(estimated, shop)
    } else {
        String::new()
    }
}

/// Several parts, or one that can't be read.
fn list(args: &QuoteArgs, quoted: &Quoted<'_>) -> Result<Outcome, Failure> {
    let answers = quoted.answers;
    let out = if args.files.json {
        json_lines(&answers.parts, |part, e| {
            let object = quote::quote_json(&quoted.offer(part, e)?);
            Ok(quoted.history.in_object(object, e, &answers.shop))
        })?
    } else if args.job.csv {
        quote::triage_csv(&answers.rows())
    } else if answers.parts.len() == 1 {
        String::new()
    } else {
        quote::triage_text(&answers.rows())
    };
    Ok(answers.outcome(out))
}

/// What is quoted, of whatever part.
struct Quoted<'q> {
    answers: &'q Answers,
    quantities: &'q [u32],
    service: Service,
    history: &'q History,
    date: Date,
}

impl Quoted<'_> {
    /// Everything the quote of a part says.
    fn offer<'a>(&'a self, part: &'a str, estimated: &'a Estimated) -> Result<Offer<'a>, Failure> {
        let subject = self.answers.subject(part, estimated);
        let (shop, ask) = (&self.answers.shop, &self.answers.ask);
        let (mesh, estimate) = (&estimated.mesh, &estimated.estimate);
        let found = lots(mesh, shop, ask, estimate, self.quantities)
            .map_err(|e| Failure::of(format!("{part}: {e}")))?;
        let Lots {
            plans,
            cheaper,
            curve,
        } = found.unwrap_or_default();
        let lots: Vec<Lot> = plans
            .into_iter()
            .zip(cheaper)
            .map(|(plan, cheaper)| self.lot(plan, cheaper, &estimate.material))
            .collect();
        let service = subject.material().map_or(Vec::new(), |material| {
            service_notes(&self.service, material)
        });
        Ok(Offer {
            subject,
            ask,
            date: self.date,
            lead: lots.first().and_then(|lot| lead(lot, shop)),
            lots,
            curve,
            service,
        })
    }
}

impl Quoted<'_> {
    /// A plan with its dates, after what is booked on its machine.
    fn lot(&self, plan: Plan, cheaper: Option<(u32, Decimal)>, material: &str) -> Lot {
        let shop = &self.answers.shop;
        let busy = self.history.busy(&plan.machine, shop);
        // An order comes on the day of the quote at the earliest and is begun at the next opening after it; so the same day gives
        // the same dates, whatever the hour.
        let begins = shop.calendar.moment(morrow(self.date));
        // A quote without dates is still a quote.
        let found = shipping(&plan, shop, material, busy, begins).ok().flatten();
        Lot {
            dates: found.as_ref().map(|found| ShipDates {
                likely: found.delivery.dispatch.likely,
                safe: found.delivery.dispatch.safe,
            }),
            pace: found.map_or(String::new(), |found| found.pace.in_words()),
            plan,
            cheaper,
        }
    }
}

/// The pace of a lot's prints, without a calendar.
fn lead(lot: &Lot, shop: &Shop) -> Option<LeadTime> {
    let start = lot.plan.starts.first()?;
    let clearing_h = shop.machine(&lot.plan.machine)?.failures.clearing_h;
    Some(lead_time(
        &shop.attended,
        first_opening_min(&shop.attended),
        start.seconds / 3600.0,
        clearing_h,
        lot.plan.prints(),
    ))
}
