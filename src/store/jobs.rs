//! The jobs as the entries of the book leave them, and what may be entered next.

use std::collections::BTreeMap;

use jiff::SignedDuration;
use jiff::civil::DateTime;

use super::checks::{hours, not_ahead, of_this_print, offer_is_right, pieces, positive};
use super::entry::{
    Actual, Booking, Closed, End, Enquiry, Entry, Failed, Offer, Spool, Start, What,
};
use super::error::{StoreError, refused, said};
use super::shape::Shape;

/// A print may have taken this much longer than from its start to its end, h: clocks are read to the minute.
const CLOCK_H: f64 = 0.1;

/// Where a job stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// Asked for.
    Asked,
    /// A price was given.
    Offered,
    /// It has a place on a machine.
    Booked,
    /// It is being printed.
    Printing,
    /// All its prints are done.
    Printed,
    /// It has come to its end.
    Closed(End),
}

impl Standing {
    /// In a word or two.
    pub fn words(self) -> &'static str {
        match self {
            Standing::Asked => "asked",
            Standing::Offered => "offered",
            Standing::Booked => "booked",
            Standing::Printing => "printing",
            Standing::Printed => "printed",
            Standing::Closed(End::Delivered) => "delivered",
            Standing::Closed(End::Declined) => "declined",
            Standing::Closed(End::GivenUp) => "given up",
        }
    }
}

/// A print that ended well, with the offer under which it ran.
#[derive(Debug, Clone, PartialEq)]
pub struct Print {
    /// What it took.
    pub actual: Actual,
    /// What was expected.
    pub offer: Offer,
}

/// One job.
#[derive(Debug, Clone, PartialEq)]
pub struct Job {
    /// What was asked.
    pub enquiry: Enquiry,
    /// When it was asked.
    pub asked: DateTime,
    /// The last price given.
    pub offer: Option<Offer>,
    /// Its place.
    pub booking: Option<Booking>,
    /// The print that is running.
    pub running: Option<Start>,
    /// Prints that ended well.
    pub prints: Vec<Print>,
    /// Prints that failed, with the offer under which they ran.
    pub failures: Vec<(Failed, Offer)>,
    /// Its end, and when.
    pub end: Option<(End, DateTime)>,
    /// When its last print ended, however it did.
    last_end: Option<DateTime>,
}

impl Job {
    /// Where it stands.
    pub fn standing(&self) -> Standing {
        if let Some((end, _)) = self.end {
            return Standing::Closed(end);
        }
        match (&self.offer, &self.booking) {
            (_, Some(_)) if self.running.is_some() => Standing::Printing,
            (_, Some(_)) if self.prints_left() == 0 => Standing::Printed,
            (_, Some(_)) => Standing::Booked,
            (Some(_), None) => Standing::Offered,
            (None, None) => Standing::Asked,
        }
    }

    /// Prints still to be made, the running one among them.
    pub fn prints_left(&self) -> u32 {
        let booked = self.booking.as_ref().map_or(0, |b| b.prints);
        booked.saturating_sub(u32::try_from(self.prints.len()).unwrap_or(u32::MAX))
    }
}

/// What is on the spools of one plastic.
#[derive(Debug, Clone, Copy, PartialEq)]
struct OnSpool {
    left_g: f64,
    weighed: DateTime,
}

/// When a machine printed a job.
#[derive(Debug, Clone, PartialEq)]
struct Span {
    machine: String,
    job: u64,
    began: DateTime,
    ended: DateTime,
}

/// All jobs.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Jobs {
    /// By number.
    pub jobs: BTreeMap<u64, Job>,
    spools: BTreeMap<String, OnSpool>,
    spans: Vec<Span>,
    /// The entries as corrected so far.
    pub(super) entries: Vec<Entry>,
}

impl Jobs {
    /// Takes entries in their order.
    ///
    /// # Errors
    /// Entries that do not go together.
    pub fn of(entries: &[Entry]) -> Result<Jobs, StoreError> {
        let mut jobs = Jobs::default();
        for entry in entries {
            jobs.take(entry)?;
        }
        Ok(jobs)
    }

    /// Takes one more entry.
    ///
    /// # Errors
    /// One that does not go with those before it; nothing is taken then.
    pub fn take(&mut self, entry: &Entry) -> Result<(), StoreError> {
        if let What::Correction(correction) = &entry.what {
            *self = self.corrected(correction, entry)?;
            return Ok(());
        }
        match &entry.what {
            What::Enquiry(e) => self.enquiry(e, entry.at)?,
            What::Offer(e) => self.offer(e)?,
            What::Booking(e) => self.booking(e)?,
            What::Start(e) => self.start(e, entry.at)?,
            What::Actual(e) => self.actual(e, entry.at)?,
            What::Failed(e) => self.failed(e, entry.at)?,
            What::Closed(e) => self.closed(e, entry.at)?,
            What::Spool(e) => self.spool(e, entry.at)?,
            What::Correction(_) | What::Learned(_) => {}
        }
        self.entries.push(entry.clone());
        Ok(())
    }

    /// The job with a number.
    ///
    /// # Errors
    /// There is none.
    pub fn job(&self, number: u64) -> Result<&Job, StoreError> {
        self.jobs.get(&number).ok_or_else(|| {
            let known = match self.jobs.keys().next_back() {
                Some(last) => format!("jobs run from 1 to {last}"),
                None => "no job is in the book yet".to_owned(),
            };
            StoreError::Refused(format!("there is no job {number}; {known}"))
        })
    }

    /// Jobs about the same part, the latest first, and whether it was the very same mesh.
    pub fn met(&self, content: &str, shape: &Shape) -> Vec<(u64, bool)> {
        let jobs = self.jobs.iter().rev();
        jobs.filter_map(|(number, job)| {
            let very_same = job.enquiry.content == content;
            let same = very_same || job.enquiry.shape.is_same(shape);
            same.then_some((*number, very_same))
        })
        .collect()
    }

    /// The number the next job gets.
    pub fn next_number(&self) -> u64 {
        self.jobs.keys().next_back().map_or(1, |last| last + 1)
    }

    /// Plastic left on the spool of a material, g; `None` where no spool was entered. Below 0 where more was used than was on it.
    pub fn spool_left_g(&self, material: &str) -> Option<f64> {
        self.spools.get(material).map(|spool| spool.left_g)
    }

    /// What is left on each spool that was entered, by material, g.
    pub fn spools_g(&self) -> impl Iterator<Item = (&str, f64)> {
        let spools = self.spools.iter();
        spools.map(|(material, spool)| (material.as_str(), spool.left_g))
    }

    /// Whether a key of the shop file was written from the book before.
    pub fn has_learned(&self, key: &str) -> bool {
        let entries = self.entries.iter();
        entries
            .filter_map(|entry| match &entry.what {
                What::Learned(learned) => Some(&learned.set),
                _ => None,
            })
            .any(|set| set.contains_key(key))
    }

    /// The entries as corrected.
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    fn open_job(&mut self, number: u64) -> Result<&mut Job, StoreError> {
        self.job(number)?;
        // Found a line above.
        let Some(job) = self.jobs.get_mut(&number) else {
            return refused(format!("there is no job {number}"));
        };
        match job.end {
            Some((end, at)) => refused(format!(
                "job {number} is closed: it was {} on {}; if that was wrong, correct that entry",
                Standing::Closed(end).words(),
                at.date()
            )),
            None => Ok(job),
        }
    }

    fn enquiry(&mut self, enquiry: &Enquiry, at: DateTime) -> Result<(), StoreError> {
        let next = self.next_number();
        if enquiry.job != next {
            return refused(format!(
                "job {} is out of turn, the next is {next}",
                enquiry.job
            ));
        }
        pieces("the quantity", enquiry.quantity)?;
        let job = Job {
            enquiry: enquiry.clone(),
            asked: at,
            offer: None,
            booking: None,
            running: None,
            prints: Vec::new(),
            failures: Vec::new(),
            end: None,
            last_end: None,
        };
        self.jobs.insert(next, job);
        Ok(())
    }

    fn offer(&mut self, offer: &Offer) -> Result<(), StoreError> {
        offer_is_right(offer)?;
        let job = self.open_job(offer.job)?;
        if job.running.is_some() || !job.prints.is_empty() || !job.failures.is_empty() {
            return refused(format!(
                "job {} is being printed; a new price is a new job",
                offer.job
            ));
        }
        // A new offer gives up the place of the one before.
        job.booking = None;
        job.offer = Some(offer.clone());
        Ok(())
    }

    fn booking(&mut self, booking: &Booking) -> Result<(), StoreError> {
        let job = self.open_job(booking.job)?;
        let Some(offer) = &job.offer else {
            return refused(format!(
                "job {} has no offer yet; give one first: beadtally jobs offer {}",
                booking.job, booking.job
            ));
        };
        if job.booking.is_some() {
            return refused(format!("job {} is booked already", booking.job));
        }
        if booking.machine != offer.machine {
            return refused(format!(
                "job {} was offered on {}, not on {}; offer it anew",
                booking.job, offer.machine, booking.machine
            ));
        }
        if booking.prints == 0 || booking.prints > offer.quantity {
            return refused(format!(
                "{} prints can't be booked of {} pieces offered; one piece is one print",
                booking.prints, offer.quantity
            ));
        }
        job.booking = Some(booking.clone());
        Ok(())
    }

    fn start(&mut self, start: &Start, at: DateTime) -> Result<(), StoreError> {
        if let Some(shown_h) = start.shown_h {
            hours("the hours shown", shown_h)?;
        }
        not_ahead("the start", start.began, at)?;
        let machine = self.open_job(start.job)?.is_to_print(start.job)?.machine;
        let running = self.jobs.iter().find_map(|(number, job)| {
            let running = job.running.as_ref()?;
            let there = job.offer.as_ref().is_some_and(|o| o.machine == machine);
            (there || *number == start.job).then_some((*number, running.began))
        });
        if let Some((number, began)) = running {
            return refused(format!(
                "job {number} is printing on {machine} since {}; enter how that ended first",
                said(began)
            ));
        }
        self.machine_was_free(&machine, start.began, start.began)?;
        let job = self.open_job(start.job)?;
        job.after_the_last(start.began)?;
        job.running = Some(start.clone());
        Ok(())
    }

    fn actual(&mut self, actual: &Actual, at: DateTime) -> Result<(), StoreError> {
        hours("the hours", actual.hours)?;
        if let Some(grams) = actual.grams {
            positive("the grams", grams)?;
        }
        not_ahead("the end", actual.ended, at)?;
        let job = self.open_job(actual.job)?;
        let offer = job.is_to_print(actual.job)?;
        of_this_print("hours", actual.hours, offer.seconds / 3600.0)?;
        if let Some(grams) = actual.grams {
            of_this_print("grams", grams, offer.grams)?;
        }
        let began = job.ends(actual.hours, actual.ended)?;
        self.machine_had(&offer.machine, began, actual.ended, actual.job)?;
        let job = self.open_job(actual.job)?;
        let used_g = actual.grams.unwrap_or(offer.grams);
        let material = offer.material.clone();
        job.prints.push(Print {
            actual: actual.clone(),
            offer,
        });
        self.used(&material, used_g, actual.ended);
        Ok(())
    }

    fn failed(&mut self, failed: &Failed, at: DateTime) -> Result<(), StoreError> {
        hours("the hour of the failure", failed.hours)?;
        if let Some(grams) = failed.grams.filter(|g| *g != 0.0) {
            positive("the plastic lost", grams)?;
        }
        not_ahead("the failure", failed.stopped, at)?;
        let job = self.open_job(failed.job)?;
        let offer = job.is_to_print(failed.job)?;
        let began = job.ends(failed.hours, failed.stopped)?;
        self.machine_had(&offer.machine, began, failed.stopped, failed.job)?;
        self.used(&offer.material, failed.lost_g(&offer), failed.stopped);
        let job = self.open_job(failed.job)?;
        job.failures.push((failed.clone(), offer));
        Ok(())
    }

    fn closed(&mut self, closed: &Closed, at: DateTime) -> Result<(), StoreError> {
        let job = self.open_job(closed.job)?;
        if job.running.is_some() {
            return refused(format!(
                "job {} is printing; enter how that ended first",
                closed.job
            ));
        }
        let booked = job.booking.as_ref().map_or(0, |b| b.prints);
        if closed.end == End::Delivered && (booked == 0 || job.prints_left() > 0) {
            return refused(format!(
                "{} of {booked} prints of job {} are done, so it can't be delivered yet; enter the others, close it as given-up, or \
                 correct the prints of its booking",
                job.prints.len(),
                closed.job
            ));
        }
        job.end = Some((closed.end, at));
        Ok(())
    }

    fn spool(&mut self, spool: &Spool, at: DateTime) -> Result<(), StoreError> {
        if !spool.grams.is_finite() || !(0.0..=1e6).contains(&spool.grams) {
            return refused(format!(
                "{} g are on no spool; give 0 to 1000000 g",
                spool.grams
            ));
        }
        let on = OnSpool {
            left_g: spool.grams,
            weighed: at,
        };
        self.spools.insert(spool.material.clone(), on);
        Ok(())
    }

    /// Takes plastic off a spool, unless it was weighed after the print ended.
    fn used(&mut self, material: &str, grams: f64, ended: DateTime) {
        if let Some(spool) = self.spools.get_mut(material).filter(|s| s.weighed < ended) {
            spool.left_g -= grams;
        }
    }

    /// Refuses a span in which a machine printed something else, to the minutes that clocks are off.
    fn machine_was_free(
        &self,
        machine: &str,
        began: DateTime,
        ended: DateTime,
    ) -> Result<(), StoreError> {
        let hours = |a: DateTime, b: DateTime| b.duration_since(a).as_secs_f64() / 3600.0;
        let other = self.spans.iter().find(|span| {
            span.machine == machine
                && hours(began, span.ended) > CLOCK_H
                && hours(span.began, ended) > CLOCK_H
        });
        match other {
            Some(span) => refused(format!(
                "{machine} printed job {} from {} to {}; this can't have run on it at the same time: give the right time or hours, or \
                 correct that entry",
                span.job,
                said(span.began),
                said(span.ended)
            )),
            None => Ok(()),
        }
    }

    /// A machine printed in a span.
    fn machine_had(
        &mut self,
        machine: &str,
        began: DateTime,
        ended: DateTime,
        job: u64,
    ) -> Result<(), StoreError> {
        self.machine_was_free(machine, began, ended)?;
        self.spans.push(Span {
            machine: machine.to_owned(),
            job,
            began,
            ended,
        });
        Ok(())
    }
}

impl Job {
    /// The offer under which it is printed.
    fn is_to_print(&self, number: u64) -> Result<Offer, StoreError> {
        let (Some(offer), Some(booking)) = (&self.offer, &self.booking) else {
            return refused(format!(
                "job {number} is not booked; book it first: beadtally jobs book {number}"
            ));
        };
        if self.prints_left() == 0 {
            return refused(format!(
                "job {number} is printed: {} of {} prints are done",
                self.prints.len(),
                booking.prints
            ));
        }
        Ok(offer.clone())
    }

    fn after_the_last(&self, began: DateTime) -> Result<(), StoreError> {
        match self.last_end.filter(|last| *last > began) {
            Some(last) => refused(format!(
                "the start on {} lies before the end of the print before it, {}",
                said(began),
                said(last)
            )),
            None => Ok(()),
        }
    }

    /// Ends the running print, or one whose start was not entered.
    fn ends(&mut self, took_h: f64, ended: DateTime) -> Result<DateTime, StoreError> {
        if let Some(start) = &self.running {
            let since_h = ended.duration_since(start.began).as_secs_f64() / 3600.0;
            if since_h < 0.0 {
                return refused(format!(
                    "the end on {} lies before the start on {}; give a later end or correct the start",
                    said(ended),
                    said(start.began)
                ));
            }
            if took_h > since_h + CLOCK_H {
                return refused(format!(
                    "{took_h} h do not go into the {since_h:.1} h from the start on {} to the end on {}",
                    said(start.began),
                    said(ended)
                ));
            }
        }
        self.running = None;
        self.last_end = Some(ended);
        // Hours at most 2000 are checked before, so this is a time there is.
        let took = SignedDuration::from_secs((took_h * 3600.0) as i64);
        Ok(ended.checked_sub(took).unwrap_or(DateTime::MIN))
    }
}
