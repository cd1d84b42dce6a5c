//! What the book knows of hours, grams and failures, for learning; and what a failure means for the shop at once.

use jiff::civil::DateTime;
use rust_decimal::Decimal;

use super::entry::{Failed, Offer, What};
use super::error::StoreError;
use super::floor::{Slip, floor, late, ready};
use super::jobs::Jobs;
use crate::cost::{
    CostError, decimal, energy_cost, labour_cost, machine_rate_per_h, nozzle_cost, plastic_cost,
};
use crate::learn::Exposure;
use crate::shop::{MeasuredRow, Shop};

/// One print that ended well, as it was expected and as it was.
#[derive(Debug, Clone, PartialEq)]
pub struct Observed {
    /// The job.
    pub job: u64,
    /// When it ended.
    pub ended: DateTime,
    /// What was expected.
    pub offer: Offer,
    /// Hours it took.
    pub hours: f64,
    /// Grams it weighed, where that was entered.
    pub grams: Option<f64>,
}

impl Observed {
    /// The model's hours without any correction.
    pub fn model_h(&self) -> f64 {
        self.offer.seconds / self.offer.correction / 3600.0
    }
}

/// Machine, nozzle and material.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Row {
    /// The machine's id.
    pub machine: String,
    /// The nozzle's id.
    pub nozzle: String,
    /// The material's id.
    pub material: String,
}

impl Row {
    /// As the shop file's keys have it: `fast/0.6-hardened/petg-cf`.
    pub fn name(&self) -> String {
        format!("{}/{}/{}", self.machine, self.nozzle, self.material)
    }

    /// The shop file's row for just this.
    pub fn of_shop<'a>(&self, shop: &'a Shop) -> Option<&'a MeasuredRow> {
        let same = |row: &&MeasuredRow| {
            row.machine == self.machine
                && row.nozzle == self.nozzle
                && row.material == self.material
        };
        shop.measured.iter().find(same)
    }

    /// What an offer was made on.
    pub fn of(offer: &Offer) -> Row {
        Row {
            machine: offer.machine.clone(),
            nozzle: offer.nozzle.clone(),
            material: offer.material.clone(),
        }
    }
}

/// All prints that ended well, in the order they were entered.
pub fn observed(jobs: &Jobs) -> Vec<Observed> {
    let mut seen: std::collections::BTreeMap<u64, usize> = Default::default();
    let entries = jobs.entries().iter();
    entries
        .filter_map(|entry| {
            let What::Actual(actual) = &entry.what else {
                return None;
            };
            let k = seen.entry(actual.job).or_default();
            let print = jobs.jobs.get(&actual.job)?.prints.get(*k)?;
            *k += 1;
            Some(Observed {
                job: actual.job,
                ended: actual.ended,
                offer: print.offer.clone(),
                hours: actual.hours,
                grams: actual.grams,
            })
        })
        .collect()
}

/// A failure up to this layer, or where no layer was entered within this share of an hour, is one of the start.
const FIRST_LAYERS: u32 = 3;
const FIRST_H: f64 = 0.5;

/// Exposures by machine, by their ids.
pub fn exposures(jobs: &Jobs) -> Vec<(String, Exposure)> {
    let mut by: std::collections::BTreeMap<String, Exposure> = Default::default();
    for job in jobs.jobs.values() {
        for print in &job.prints {
            let of = by.entry(print.offer.machine.clone()).or_default();
            of.starts += 1;
            of.hours += print.actual.hours;
        }
        for (failed, offer) in &job.failures {
            let of = by.entry(offer.machine.clone()).or_default();
            of.starts += 1;
            if is_early(failed) {
                of.early_failures += 1;
            } else {
                of.failures += 1;
                of.hours += failed.hours;
            }
        }
    }
    by.into_iter().collect()
}

fn is_early(failed: &Failed) -> bool {
    match failed.layer {
        Some(layer) => layer <= FIRST_LAYERS,
        None => failed.hours <= FIRST_H,
    }
}

/// What a failure means.
#[derive(Debug, Clone, PartialEq)]
pub struct AfterFailure {
    /// The material, and what is left on its spool, g; `None` where no spool was entered.
    pub spool: (String, Option<f64>),
    /// Plastic one more print takes, g.
    pub needs_g: f64,
    /// Hours it takes, as estimated.
    pub needs_h: f64,
    /// What it costs: machine, energy and plastic.
    pub reprint: Decimal,
    /// What the lost print cost: machine, energy, plastic, clearing.
    pub lost: Decimal,
    /// What all failures of the order cost so far.
    pub lost_so_far: Decimal,
    /// When the job is printed now.
    pub ready: Option<DateTime>,
    /// When the customer was told.
    pub told: DateTime,
    /// Other jobs on the machine that are printed later than their customers were told.
    pub slips: Vec<Slip>,
    /// What the order still earns: its price less the cost of its pieces and of its failures.
    pub earns: Decimal,
    /// Price of the order, before tax.
    pub total: Decimal,
    /// ISO 4217 code.
    pub currency: String,
}

/// What a failure just entered means.
///
/// # Errors
/// A job that has no offer; amounts beyond what decimals hold.
pub fn after_failure(
    jobs: &Jobs,
    shop: &Shop,
    number: u64,
    now: DateTime,
) -> Result<AfterFailure, StoreError> {
    let job = jobs.job(number)?;
    let (Some((_, offer)), Some(booking)) = (job.failures.last(), &job.booking) else {
        return Err(StoreError::Refused(format!("job {number} has no failure")));
    };
    let wrong = |e: CostError| StoreError::Refused(e.to_string());
    let mut costs = Vec::new();
    for (failed, offer) in &job.failures {
        costs.push(lost(failed, offer, shop).map_err(wrong)?);
    }
    let run = running(offer.seconds / 3600.0, offer.grams, offer, shop).map_err(wrong)?;
    let digits = decimal::minor_digits(shop.currency).map_err(wrong)?;
    let lost_so_far: Decimal = costs.iter().sum();
    let queue = floor(jobs, shop, now);
    let mut slips = late(jobs, &queue, &offer.machine);
    slips.retain(|slip| slip.job != number);
    let pieces = Decimal::from(offer.quantity);
    Ok(AfterFailure {
        spool: (offer.material.clone(), jobs.spool_left_g(&offer.material)),
        needs_g: offer.grams,
        needs_h: offer.seconds / 3600.0,
        reprint: decimal::round_money(run, digits),
        lost: costs.last().copied().unwrap_or_default(),
        lost_so_far,
        ready: ready(&queue, number),
        told: booking.ready,
        slips,
        earns: offer.total - offer.unit_cost * pieces - lost_so_far,
        total: offer.total,
        currency: offer.currency.clone(),
    })
}

/// What a failed print cost: what it ran for, and clearing it away.
fn lost(failed: &Failed, offer: &Offer, shop: &Shop) -> Result<Decimal, CostError> {
    let clearing_h = shop
        .machine(&offer.machine)
        .map_or(0.0, |machine| machine.failures.clearing_h);
    let clearing = decimal::factor("the minutes of clearing", clearing_h * 60.0)?;
    let all = running(failed.hours, failed.lost_g(offer), offer, shop)?
        + labour_cost(clearing, shop.rates.labour_per_h)?;
    Ok(decimal::round_money(
        all,
        decimal::minor_digits(shop.currency)?,
    ))
}

/// What some hours of printing and some plastic cost with its waste and the nozzle's wear; nothing where the shop no longer has the machine or the plastic.
fn running(hours: f64, grams: f64, offer: &Offer, shop: &Shop) -> Result<Decimal, CostError> {
    let (Some(machine), Some(nozzle), Some(material)) = (
        shop.machine(&offer.machine),
        shop.nozzle(&offer.nozzle),
        shop.material(&offer.material),
    ) else {
        return Ok(Decimal::ZERO);
    };
    let life_g = if material.abrasive {
        nozzle.life_abrasive_g
    } else {
        nozzle.life_plain_g
    };
    let bought_g = decimal::grams("the plastic of a print", grams * (1.0 + material.waste))?;
    let life_g = decimal::factor("the nozzle's life", life_g)?;
    let seconds = decimal::seconds("the hours of a print", hours * 3600.0)?;
    let life = decimal::factor("the machine's life", machine.life_h)?;
    let rate = machine_rate_per_h(machine.price, life, machine.upkeep_per_h)?;
    let joules = decimal::factor("the energy of a print", machine.printing_w * hours * 3600.0)?;
    let grams = decimal::grams("the plastic of a print", grams)?;
    Ok(rate.for_seconds(seconds)?
        + energy_cost(joules, shop.rates.energy_per_kwh)?
        + plastic_cost(bought_g, material.price_per_kg)?
        + nozzle_cost(grams, nozzle.price, life_g)?)
}
