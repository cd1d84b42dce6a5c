//! What the job book adds to an estimate: whether the part was met before, and when its prints could be done after what is
//! booked.

use std::path::Path;

use jiff::{SignedDuration, Timestamp, Zoned};

use super::args::ShopFile;
use super::parts::name;
use super::run::Estimated;
use super::{Failure, jobs::book_path};
use crate::quote;
use crate::shop::Shop;
use crate::store::{self, Book, Booking, Jobs, Placed, Shape};

/// The jobs of a book, where there is one.
pub(super) struct History {
    jobs: Option<Jobs>,
    /// Why the book beside the shop file can't be read.
    trouble: Option<String>,
    now: Zoned,
}

impl History {
    /// The book named, else the one beside the shop file, where there is one.
    pub fn of(book: Option<&Path>, shop: &ShopFile) -> Result<History, Failure> {
        let now = Zoned::now();
        let none = |trouble| History {
            jobs: None,
            trouble,
            now: now.clone(),
        };
        if book.is_none() && shop.file.is_none() {
            return Ok(none(None));
        }
        let path = book_path(book, shop.file.as_deref())?;
        if book.is_none() && !path.exists() {
            return Ok(none(None));
        }
        let jobs = Book::open_existing(&path).and_then(|book| book.jobs());
        match jobs {
            Ok(jobs) => Ok(History {
                jobs: Some(jobs),
                trouble: None,
                now,
            }),
            // A book that was asked for must be there; one that lies beside the shop file must not keep a price back.
            Err(error) if book.is_none() => Ok(none(Some(format!("{}: {error}", name(&path))))),
            Err(error) => Err(Failure::of(format!("{}: {error}", name(&path)))),
        }
    }

    /// When a machine prints what is booked on it, each with the clearing after it; before a rush goes only what runs.
    pub fn busy(&self, machine: &str, shop: &Shop) -> Vec<(Timestamp, Timestamp)> {
        let Some(jobs) = &self.jobs else {
            return Vec::new();
        };
        let now = shop.calendar.clock(&self.now);
        let clearing_h = shop.machine(machine).map_or(0.0, |m| m.failures.clearing_h);
        let clearing = SignedDuration::from_secs_f64(clearing_h * 3600.0);
        let booked = store::floor(jobs, shop, now).into_iter();
        booked
            .filter(|placed| placed.machine == machine && (placed.running || !shop.rates.job.rush))
            .map(|placed| {
                let to = placed.to.saturating_add(clearing);
                (shop.calendar.moment(placed.from), shop.calendar.moment(to))
            })
            .collect()
    }

    /// Jobs about the same part, and where the prints of the option picked would go.
    fn answer(&self, estimated: &Estimated, shop: &Shop) -> Option<Answer<'_>> {
        let jobs = self.jobs.as_ref()?;
        let mesh = &estimated.mesh;
        let met = jobs.met(&store::content(&mesh.mesh), &Shape::of(mesh));
        let now = shop.calendar.clock(&self.now);
        let placed = estimated.estimate.picked().map(|(option, made)| {
            let booking = Booking {
                job: jobs.next_number(),
                machine: option.machine.clone(),
                prints: made.ledger.quantity,
                from: now,
                ready: now,
            };
            let hours = made.seconds.hours();
            store::place(jobs, shop, &booking, hours, now)
        });
        Some(Answer {
            jobs,
            met,
            placed: placed.unwrap_or_default(),
        })
    }

    /// In words, after an estimate.
    pub fn text(&self, estimated: &Estimated, shop: &Shop) -> String {
        if let Some(trouble) = &self.trouble {
            return format!("\nNothing from the job book: {trouble}.\n");
        }
        self.answer(estimated, shop).map_or(String::new(), |a| {
            quote::history_text(&a.met, &a.placed, a.jobs)
        })
    }

    /// As the last key of an estimate's object.
    pub fn in_object(&self, object: String, estimated: &Estimated, shop: &Shop) -> String {
        match self.answer(estimated, shop) {
            Some(a) => quote::with_history(object, &a.met, &a.placed, a.jobs),
            None => object,
        }
    }
}

struct Answer<'a> {
    jobs: &'a Jobs,
    met: Vec<(u64, bool)>,
    placed: Vec<Placed>,
}
