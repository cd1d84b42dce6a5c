//! The `jobs` command: entries made in the job book, and what it answers.

use std::path::{Path, PathBuf};

use jiff::Zoned;
use jiff::civil::DateTime;
use jiff::tz::TimeZone;

use super::args::{ShopFile, UnitArg};
use super::jobs_args::{EnquiryArgs, FailedArgs, JobsArgs, JobsCommand, OfferArgs};
use super::parts::{Reading, name, plain, read, refuse_doubtful_unit};
use super::run::estimate_one;
use super::{Failure, NO, Outcome, job, learn, shop};
use crate::mesh::{InspectedMesh, Mending, UNPACKED_LIMIT_BYTES};
use crate::quote;
use crate::shop::Shop;
use crate::store::{
    self, Actual, Added, Book, Booking, Closed, Correction, Enquiry, Entry, Failed, Jobs, Offer,
    Shape, Spool, Start, StoreError, What,
};

/// The book, the shop and the time of a call.
pub(super) struct Call<'a> {
    pub args: &'a JobsArgs,
    pub path: PathBuf,
    pub shop: Shop,
    pub now: DateTime,
}

/// Runs `jobs`.
pub(super) fn jobs(args: &JobsArgs) -> Result<Outcome, Failure> {
    let file = ShopFile {
        file: args.shop.clone(),
    };
    let path = book_path(args.book.as_deref(), args.shop.as_deref())?;
    let shop = shop::open(&file)?;
    let clock = shop.calendar.clock(&Zoned::now());
    let call = Call {
        args,
        path,
        shop,
        now: match &args.now {
            Some(text) => {
                let now = time("--now", text)?;
                if now.duration_since(clock).as_hours() >= MOST_AHEAD_H {
                    return Err(Failure::of(format!(
                        "--now {text}: this is over a day ahead of the clock; give a time that has been"
                    )));
                }
                now
            }
            None => clock,
        },
    };
    match &args.command {
        JobsCommand::Enquiry(e) => call.enquiry(e),
        JobsCommand::Offer(e) => call.offer(e),
        JobsCommand::Book { job, from } => call.book(*job, from.as_deref()),
        JobsCommand::Start { job, began, shown } => {
            let start = Start {
                job: *job,
                began: call.time_or_now("--began", began.as_deref())?,
                shown_h: *shown,
            };
            call.enter(What::Start(start))
        }
        JobsCommand::Actual {
            job,
            hours,
            grams,
            ended,
        } => {
            let actual = Actual {
                job: *job,
                ended: call.time_or_now("--ended", ended.as_deref())?,
                hours: *hours,
                grams: *grams,
            };
            call.enter(What::Actual(actual))
        }
        JobsCommand::Failed(e) => call.failed(e),
        JobsCommand::Close { job, end } => call.enter(What::Closed(Closed {
            job: *job,
            end: end.end(),
        })),
        JobsCommand::Spool { material, grams } => {
            call.must_stock("material", "plastic", material)?;
            // A spool may be weighed before anybody asks for a part.
            let book = Book::open(&call.path).map_err(|e| call.wrong(&e))?;
            let spool = Spool {
                material: material.clone(),
                grams: *grams,
            };
            call.enter_in(book, What::Spool(spool))
        }
        JobsCommand::Correct { entry, set, why } => call.correct(*entry, set, why.clone()),
        JobsCommand::Again { part, unit } => call.again(part, *unit),
        JobsCommand::List { all } => call.list(*all),
        JobsCommand::Floor => call.floor(),
        JobsCommand::Learn {
            apply,
            take_extreme,
        } => learn::learn(&call, *apply, *take_extreme),
        JobsCommand::Export { csv } => call.export(*csv),
        JobsCommand::Import { file } => call.import(file),
    }
}

/// Where the book lies: where it was said, else beside the shop file.
pub(super) fn book_path(book: Option<&Path>, shop: Option<&Path>) -> Result<PathBuf, Failure> {
    match (book, shop) {
        (Some(book), _) => Ok(book.to_owned()),
        (None, Some(shop)) => Ok(shop.with_extension("jobs")),
        (None, None) => Err(Failure::of(
            "a job book belongs to a shop: give --shop FILE, and the book lies beside it, or --book FILE",
        )),
    }
}

fn time(flag: &str, text: &str) -> Result<DateTime, Failure> {
    text.trim().parse().map_err(|_| {
        Failure::of(format!(
            "{flag} {text}: this is no time; give it as 2026-03-16 14:30"
        ))
    })
}

/// How far ahead a booking may begin, h.
const LONGEST_AHEAD_H: i64 = 2 * 366 * 24;
/// How far `--now` may be ahead of the computer's clock, h: a wrong time would keep every right one out of the book.
const MOST_AHEAD_H: i64 = 24;
/// The longest name, note or cause, characters.
const LONGEST_WORDING: usize = 500;

/// What the owner wrote, on one line.
fn wording(flag: &str, text: Option<&str>) -> Result<Option<String>, Failure> {
    let Some(text) = text.map(str::trim).filter(|text| !text.is_empty()) else {
        return Ok(None);
    };
    // Turned about or hidden text reads otherwise than it is.
    let hidden = |c: char| {
        c.is_control()
            || ('\u{200b}'..='\u{200f}').contains(&c)
            || ('\u{202a}'..='\u{2069}').contains(&c)
    };
    if text.chars().any(hidden) {
        return Err(Failure::of(format!(
            "{flag}: there is a line break or another hidden character in it; give one line of plain text"
        )));
    }
    let count = text.chars().count();
    if count > LONGEST_WORDING {
        return Err(Failure::of(format!(
            "{flag}: {count} characters are too many; give at most {LONGEST_WORDING}"
        )));
    }
    Ok(Some(text.to_owned()))
}

fn done(out: String) -> Result<Outcome, Failure> {
    Ok(Outcome {
        out,
        ..Outcome::default()
    })
}

impl Call<'_> {
    /// An error of the book, with the book's name before it where it is about the file.
    pub fn wrong(&self, error: &StoreError) -> Failure {
        match error {
            StoreError::Refused(sentence) => Failure::of(sentence.clone()),
            _ => Failure::of(format!("{}: {error}", name(&self.path))),
        }
    }

    pub fn existing(&self) -> Result<Book, Failure> {
        Book::open_existing(&self.path).map_err(|e| self.wrong(&e))
    }

    fn time_or_now(&self, flag: &str, text: Option<&str>) -> Result<DateTime, Failure> {
        text.map_or(Ok(self.now), |text| time(flag, text))
    }

    /// What a job was offered on must be in the shop file, or nothing can be said of its cost.
    fn has_stock_of(&self, offer: Option<&Offer>, number: u64) -> Result<(), StoreError> {
        let Some(offer) = offer else { return Ok(()) };
        let ids = [
            ("machine", &offer.machine),
            ("nozzle", &offer.nozzle),
            ("material", &offer.material),
        ];
        let missing = ids
            .iter()
            .find(|(what, id)| !self.stock(what).contains(&id.as_str()));
        match missing {
            Some((what, id)) => Err(StoreError::Refused(format!(
                "job {number} was offered with the {what} {id}, which is not in the shop file; put it back there, or correct the offer"
            ))),
            None => Ok(()),
        }
    }

    /// The ids of the shop's machines, nozzles or materials.
    fn stock(&self, what: &str) -> Vec<&str> {
        let shop = &self.shop;
        match what {
            "machine" => shop.machines.iter().map(|m| m.id.as_str()).collect(),
            "nozzle" => shop.nozzles.iter().map(|n| n.id.as_str()).collect(),
            _ => shop.materials.iter().map(|m| m.id.as_str()).collect(),
        }
    }

    /// Refuses an id that the shop does not have; `called` is what the sentence calls such a thing.
    fn must_stock(&self, what: &str, called: &str, id: &str) -> Result<(), Failure> {
        let known = self.stock(what);
        if known.contains(&id) {
            return Ok(());
        }
        Err(Failure::of(format!(
            "there is no {called} {id} in this shop; it has {}",
            known.join(", ")
        )))
    }

    fn one(&self, path: &Path, unit: Option<UnitArg>) -> Result<(String, InspectedMesh), Failure> {
        let reading = Reading {
            unit,
            mending: Mending::Safe,
            limit_bytes: UNPACKED_LIMIT_BYTES,
            shop: &self.shop,
        };
        let mut parts = read(path, &reading);
        if parts.len() > 1 {
            return Err(Failure::of(format!(
                "{}: this file holds {} parts, and a job is about one; save them one to a file",
                name(path),
                parts.len()
            )));
        }
        let Some((part, mesh)) = parts.pop() else {
            return Err(Failure::of(format!(
                "{}: there is no part in it",
                name(path)
            )));
        };
        let wrong = |error: String| Failure::of(format!("{part}: {error}"));
        let mesh = mesh.map_err(|bad| wrong(bad.error))?;
        refuse_doubtful_unit(&mesh, &reading).map_err(|bad| wrong(bad.error))?;
        // The book outlives the folder that the file lay in.
        let alone = Path::new(&part).file_name().map(|n| n.to_string_lossy());
        Ok((alone.map_or(part.clone(), |n| n.into_owned()), mesh))
    }

    /// Adds what `make` makes of the jobs as they are.
    pub fn add<T>(
        &self,
        book: &mut Book,
        make: impl FnOnce(&Jobs) -> Result<(Vec<What>, T), StoreError>,
    ) -> Result<Added<T>, Failure> {
        book.add(self.now, make).map_err(|e| self.wrong(&e))
    }

    /// Adds one entry to a book that is there, and tells it.
    fn enter(&self, what: What) -> Result<Outcome, Failure> {
        self.enter_in(self.existing()?, what)
    }

    fn enter_in(&self, mut book: Book, what: What) -> Result<Outcome, Failure> {
        let added = self.add(&mut book, |_| Ok((vec![what], ())))?;
        self.told(&added.entries, &added.jobs, String::new())
    }

    /// The entries as JSON, or in words with what there is to add.
    fn told(&self, entries: &[Entry], jobs: &Jobs, more: String) -> Result<Outcome, Failure> {
        if self.args.json {
            return done(store::json_lines(entries).map_err(|e| self.wrong(&e))?);
        }
        let lines: String = entries
            .iter()
            .map(|entry| quote::entry_text(entry, jobs) + "\n")
            .collect();
        done(lines + &more)
    }

    fn enquiry(&self, asked: &EnquiryArgs) -> Result<Outcome, Failure> {
        let customer = wording("--customer", asked.customer.as_deref())?;
        let note = wording("--note", asked.note.as_deref())?;
        let (part, mesh) = self.one(&asked.part, asked.unit)?;
        let mut book = Book::open(&self.path).map_err(|e| self.wrong(&e))?;
        let (content, shape) = (store::content(&mesh.mesh), Shape::of(&mesh));
        let added = self.add(&mut book, |jobs| {
            let met = jobs.met(&content, &shape);
            let enquiry = Enquiry {
                job: jobs.next_number(),
                part,
                customer,
                quantity: asked.quantity,
                note,
                content,
                shape,
            };
            Ok((vec![What::Enquiry(enquiry)], met))
        })?;
        let met = quote::met_text(&added.told, &added.jobs);
        self.told(&added.entries, &added.jobs, met)
    }

    fn offer(&self, asked: &OfferArgs) -> Result<Outcome, Failure> {
        let mut book = self.existing()?;
        let jobs = book.jobs().map_err(|e| self.wrong(&e))?;
        let enquiry = &jobs.job(asked.number).map_err(|e| self.wrong(&e))?.enquiry;
        let (part, mesh) = self.one(&asked.part, asked.unit)?;
        let same = store::content(&mesh.mesh) == enquiry.content;
        if !same && !Shape::of(&mesh).is_same(&enquiry.shape) {
            return Err(Failure::of(format!(
                "{part} is not the part of job {}, which was asked with {}, or is read in another unit; give the --unit of the enquiry, or \
                 enter a new one",
                asked.number, enquiry.part
            )));
        }
        let quantity = asked.quantity.unwrap_or(enquiry.quantity);
        if asked.job.csv {
            return Err(Failure::of(
                "--csv: an offer is one line; `jobs export --csv` writes the whole book",
            ));
        }
        let calendar = &self.shop.calendar;
        let now = self.now.to_zoned(match calendar.zone_by_default {
            true => TimeZone::system(),
            false => calendar.zone.clone(),
        });
        let now = now.map_err(|e| Failure::of(format!("--now: {e}")))?;
        let ask = job::ask(&asked.job, quantity, &now)?;
        ask.check(&self.shop)
            .map_err(|e| Failure::of(e.to_string()))?;
        let estimate = estimate_one(&mesh, &self.shop, &ask)
            .map_err(|bad| Failure::of(format!("{part}: {}", bad.error)))?;
        let Some((option, made)) = estimate.picked() else {
            return Ok(Outcome {
                errors: vec![format!(
                    "{part}: no option can make it, so nothing was offered; beadtally estimate says why"
                )],
                exit: NO,
                ..Outcome::default()
            });
        };
        let band = made.band.as_ref();
        let offer = Offer {
            job: asked.number,
            machine: option.machine.clone(),
            nozzle: option.nozzle.clone(),
            material: estimate.material.clone(),
            quantity,
            seconds: made.seconds.whole_s(),
            seconds_from: band.map_or(made.seconds.whole_s(), |b| b.from_s),
            seconds_to: band.map_or(made.seconds.whole_s(), |b| b.to_s),
            band_factor: band.and_then(|b| b.learnt).unwrap_or(1.0),
            limit: made.limit.name().to_owned(),
            correction: made.correction,
            grams: made.mass_g + made.support_g,
            grams_correction: made.grams_correction,
            unit_cost: made.ledger.unit_cost,
            unit_price: made.ledger.unit_price,
            total: made.ledger.subtotal,
            currency: made.ledger.currency.code().to_owned(),
        };
        let added = self.add(&mut book, |_| Ok((vec![What::Offer(offer)], ())))?;
        let booking = Booking {
            job: asked.number,
            machine: option.machine.clone(),
            prints: quantity,
            from: self.now,
            ready: self.now,
        };
        let hours = made.seconds.hours();
        let placed = store::place(&added.jobs, &self.shop, &booking, hours, self.now);
        let by = store::ready(&placed, asked.number).map_or(String::new(), |at| {
            format!(
                "  printed by {} if it is booked now and nothing fails\n",
                store::said(at)
            )
        });
        self.told(&added.entries, &added.jobs, by)
    }

    fn book(&self, number: u64, from: Option<&str>) -> Result<Outcome, Failure> {
        let from = self.time_or_now("--from", from)?;
        if from.duration_since(self.now).as_hours() > LONGEST_AHEAD_H {
            return Err(Failure::of(format!(
                "--from: {} is more than two years ahead; give a nearer time",
                store::said(from)
            )));
        }
        let mut book = self.existing()?;
        let added = self.add(&mut book, |jobs| {
                let job = jobs.job(number)?;
                let Some(offer) = &job.offer else {
                    return Err(StoreError::Refused(format!(
                        "job {number} has no offer yet; give one first: beadtally jobs offer {number} PART"
                    )));
                };
                let mut booking = Booking {
                    job: number,
                    machine: offer.machine.clone(),
                    prints: offer.quantity,
                    from,
                    ready: from,
                };
                let hours = offer.seconds / 3600.0;
                let placed = store::place(jobs, &self.shop, &booking, hours, self.now);
                booking.ready = store::ready(&placed, number).unwrap_or(from);
                Ok((vec![What::Booking(booking)], ()))
            })?;
        self.told(&added.entries, &added.jobs, String::new())
    }

    fn failed(&self, asked: &FailedArgs) -> Result<Outcome, Failure> {
        let stopped = self.time_or_now("--stopped", asked.stopped.as_deref())?;
        let cause = wording("--cause", asked.cause.as_deref())?;
        let mut book = self.existing()?;
        let added = self.add(&mut book, |jobs| {
            self.has_stock_of(jobs.job(asked.job)?.offer.as_ref(), asked.job)?;
            let failed = Failed {
                job: asked.job,
                stopped,
                hours: asked.hours,
                layer: asked.layer,
                cause: cause.clone(),
                grams: asked.grams,
            };
            Ok((vec![What::Failed(failed)], ()))
        })?;
        let means = store::after_failure(&added.jobs, &self.shop, asked.job, self.now)
            .map_err(|e| self.wrong(&e))?;
        if self.args.json {
            let lines = store::json_lines(&added.entries).map_err(|e| self.wrong(&e))?;
            return done(lines + &quote::after_failure_json(&means) + "\n");
        }
        let means = quote::after_failure_text(&means, &added.jobs);
        self.told(&added.entries, &added.jobs, means)
    }

    fn correct(&self, of: u64, set: &[String], why: Option<String>) -> Result<Outcome, Failure> {
        let mut keys = serde_json::Map::new();
        for change in set {
            let Some((key, value)) = change.split_once('=') else {
                return Err(Failure::of(format!(
                    "{change}: this is no KEY=VALUE; give for example hours=9.4"
                )));
            };
            let value = serde_json::from_str(value).unwrap_or_else(|_| value.into());
            keys.insert(key.trim().to_owned(), value);
        }
        for key in ["machine", "nozzle", "material"] {
            if let Some(id) = keys.get(key).and_then(|value| value.as_str()) {
                self.must_stock(key, key, id)?;
            }
        }
        let why = wording("--why", why.as_deref())?;
        self.enter(What::Correction(Correction { of, set: keys, why }))
    }

    fn again(&self, path: &Path, unit: Option<UnitArg>) -> Result<Outcome, Failure> {
        let (_, mesh) = self.one(path, unit)?;
        let jobs = self.existing()?.jobs().map_err(|e| self.wrong(&e))?;
        let met = jobs.met(&store::content(&mesh.mesh), &Shape::of(&mesh));
        let out = match (self.args.json, met.is_empty()) {
            (true, _) => quote::met_json(&met, &jobs),
            (false, true) => "not met before\n".to_owned(),
            (false, false) => quote::met_text(&met, &jobs),
        };
        Ok(Outcome {
            out,
            exit: if met.is_empty() { NO } else { 0 },
            ..Outcome::default()
        })
    }

    fn list(&self, all: bool) -> Result<Outcome, Failure> {
        let jobs = self.existing()?.jobs().map_err(|e| self.wrong(&e))?;
        let placed = store::floor(&jobs, &self.shop, self.now);
        done(if self.args.json {
            quote::jobs_json(&jobs, &placed, all)
        } else {
            quote::jobs_text(&jobs, &placed, all)
        })
    }

    fn floor(&self) -> Result<Outcome, Failure> {
        let jobs = self.existing()?.jobs().map_err(|e| self.wrong(&e))?;
        let placed = store::floor(&jobs, &self.shop, self.now);
        done(if self.args.json {
            quote::floor_json(&placed, &jobs)
        } else {
            quote::floor_text(&placed, &jobs, &self.shop, self.now)
        })
    }

    fn export(&self, csv: bool) -> Result<Outcome, Failure> {
        let entries = self.existing()?.entries().map_err(|e| self.wrong(&e))?;
        let text = if csv {
            store::csv(&entries)
        } else {
            store::json_lines(&entries)
        };
        done(text.map_err(|e| self.wrong(&e))?)
    }

    fn import(&self, file: &Path) -> Result<Outcome, Failure> {
        let text = std::fs::read_to_string(file).map_err(|e| {
            Failure::of(format!(
                "{}: {}; give a file that `beadtally jobs export` wrote",
                name(file),
                plain(&e)
            ))
        })?;
        let in_file = |e: StoreError| Failure::of(format!("{}: {e}", name(file)));
        let entries = store::read_json_lines(&text).map_err(in_file)?;
        store::check_list(&entries, self.now).map_err(in_file)?;
        let mut book = Book::open(&self.path).map_err(|e| self.wrong(&e))?;
        book.import(&entries).map_err(in_file)?;
        done(format!(
            "{} entries are in {}\n",
            entries.len(),
            name(&self.path)
        ))
    }
}
