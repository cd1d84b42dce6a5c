//! The jobs as the entries of the book leave them, and what may be entered next.

use std::collections::BTreeMap;

use jiff::civil::DateTime;

use super::entry::{
    Actual, Booking, Closed, End, Enquiry, Entry, Failed, Offer, Spool, Start, What,
};
use super::error::{StoreError, refused};
use super::shape::Shape;

/// A print may have taken this much longer than from its start to its end, h: clocks are read to the minute.
const CLOCK_H: f64 = 0.1;
/// No print takes longer, h: a slip of the pen.
const LONGEST_H: f64 = 2000.0;

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
}

/// All jobs.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Jobs {
    /// By number.
    pub jobs: BTreeMap<u64, Job>,
    spools: BTreeMap<String, OnSpool>,
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
            What::Spool(e) => self.spool(e)?,
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
        if enquiry.quantity == 0 {
            return refused("a quantity of 0 is no enquiry; give at least 1 piece");
        }
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
        positive("an offer's hours", offer.seconds)?;
        positive("an offer's grams", offer.grams)?;
        let job = self.open_job(offer.job)?;
        if job.booking.is_some() {
            return refused(format!(
                "job {} is booked; a new price is a new job",
                offer.job
            ));
        }
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
        if booking.prints == 0 {
            return refused("a booking of 0 prints is none");
        }
        job.booking = Some(booking.clone());
        Ok(())
    }

    fn start(&mut self, start: &Start, at: DateTime) -> Result<(), StoreError> {
        if let Some(shown_h) = start.shown_h {
            hours("the hours shown", shown_h)?;
        }
        not_ahead("the start", start.began, at)?;
        let job = self.open_job(start.job)?;
        job.is_to_print(start.job)?;
        if let Some(running) = &job.running {
            return refused(format!(
                "job {} is printing since {}; enter how that ended first",
                start.job, running.began
            ));
        }
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
        job.ends(actual.hours, actual.ended)?;
        let used_g = actual.grams.unwrap_or(offer.grams);
        let material = offer.material.clone();
        job.prints.push(Print {
            actual: actual.clone(),
            offer,
        });
        self.used(&material, used_g);
        Ok(())
    }

    fn failed(&mut self, failed: &Failed, at: DateTime) -> Result<(), StoreError> {
        hours("the hour of the failure", failed.hours)?;
        if !failed.grams.is_finite() || failed.grams < 0.0 {
            return refused(format!(
                "{} g of plastic can't be lost; give 0 or more",
                failed.grams
            ));
        }
        not_ahead("the failure", failed.stopped, at)?;
        let job = self.open_job(failed.job)?;
        let offer = job.is_to_print(failed.job)?;
        job.ends(failed.hours, failed.stopped)?;
        let material = offer.material.clone();
        job.failures.push((failed.clone(), offer));
        self.used(&material, failed.grams);
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
        if closed.end == End::Delivered && job.prints.is_empty() {
            return refused(format!(
                "nothing of job {} is printed that could have been delivered",
                closed.job
            ));
        }
        job.end = Some((closed.end, at));
        Ok(())
    }

    fn spool(&mut self, spool: &Spool) -> Result<(), StoreError> {
        if !spool.grams.is_finite() || !(0.0..=1e6).contains(&spool.grams) {
            return refused(format!(
                "{} g are on no spool; give 0 to 1000000 g",
                spool.grams
            ));
        }
        let left_g = spool.grams;
        self.spools
            .insert(spool.material.clone(), OnSpool { left_g });
        Ok(())
    }

    fn used(&mut self, material: &str, grams: f64) {
        if let Some(spool) = self.spools.get_mut(material) {
            spool.left_g -= grams;
        }
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
                "all {} prints of job {number} are done",
                booking.prints
            ));
        }
        Ok(offer.clone())
    }

    fn after_the_last(&self, began: DateTime) -> Result<(), StoreError> {
        match self.last_end.filter(|last| *last > began) {
            Some(last) => refused(format!(
                "the start at {began} lies before the end of the print before it, {last}"
            )),
            None => Ok(()),
        }
    }

    /// Ends the running print, or one whose start was not entered.
    fn ends(&mut self, took_h: f64, ended: DateTime) -> Result<(), StoreError> {
        if let Some(start) = &self.running {
            let since_h = ended.duration_since(start.began).as_secs_f64() / 3600.0;
            if since_h < 0.0 {
                return refused(format!(
                    "the end at {ended} lies before the start at {}; give a later end or correct the start",
                    start.began
                ));
            }
            if took_h > since_h + CLOCK_H {
                return refused(format!(
                    "{took_h} h do not go into the {since_h:.1} h from the start at {} to the end at {ended}",
                    start.began
                ));
            }
        }
        self.running = None;
        self.last_end = Some(ended);
        Ok(())
    }
}

fn positive(what: &str, value: f64) -> Result<(), StoreError> {
    if value.is_finite() && value > 0.0 {
        return Ok(());
    }
    refused(format!("{what} can't be {value}; give a number above 0"))
}

fn hours(what: &str, value: f64) -> Result<(), StoreError> {
    if value.is_finite() && value > 0.0 && value <= LONGEST_H {
        return Ok(());
    }
    refused(format!(
        "{what} can't be {value}; give a number above 0, at most {LONGEST_H}"
    ))
}

fn not_ahead(what: &str, when: DateTime, at: DateTime) -> Result<(), StoreError> {
    if when <= at {
        return Ok(());
    }
    refused(format!(
        "{what} at {when} is still to come, it is {at} now; enter it when it has happened"
    ))
}
