//! The job book as JSON.

use serde::Serialize;

use crate::store::{AfterFailure, Jobs, Placed, ready};

/// One object on a line.
fn line(value: &impl Serialize) -> String {
    // A value of plain fields with text keys can't fail to become JSON.
    serde_json::to_string(value).unwrap_or_default() + "\n"
}

#[derive(Serialize)]
struct JobLine<'a> {
    format: u32,
    job: u64,
    stands: &'a str,
    part: &'a str,
    customer: Option<&'a str>,
    quantity: u32,
    prints_done: usize,
    prints_left: u32,
    failures: usize,
    printed_by: Option<String>,
}

/// The jobs, one object a line.
pub fn jobs_json(jobs: &Jobs, placed: &[Placed], all: bool) -> String {
    let wanted = jobs
        .jobs
        .iter()
        .filter(|(_, job)| all || job.end.is_none());
    wanted
        .map(|(number, job)| {
            line(&JobLine {
                format: super::FORMAT,
                job: *number,
                stands: job.standing().words(),
                part: &job.enquiry.part,
                customer: job.enquiry.customer.as_deref(),
                quantity: job
                    .offer
                    .as_ref()
                    .map_or(job.enquiry.quantity, |offer| offer.quantity),
                prints_done: job.prints.len(),
                prints_left: job.prints_left(),
                failures: job.failures.len(),
                printed_by: ready(placed, *number).map(|at| at.to_string()),
            })
        })
        .collect()
}

#[derive(Serialize)]
struct PlacedLine<'a> {
    format: u32,
    machine: &'a str,
    job: u64,
    part: &'a str,
    print: u32,
    of: u32,
    from: String,
    to: String,
    printing: bool,
}

/// The floor, one print a line.
pub fn floor_json(placed: &[Placed], jobs: &Jobs) -> String {
    let prints = placed.iter().map(|p| {
        line(&PlacedLine {
            format: super::FORMAT,
            machine: &p.machine,
            job: p.job,
            part: jobs
                .jobs
                .get(&p.job)
                .map_or("", |job| job.enquiry.part.as_str()),
            print: p.print,
            of: p.of,
            from: p.from.to_string(),
            to: p.to.to_string(),
            printing: p.running,
        })
    });
    prints.collect()
}

#[derive(Serialize)]
struct MetLine<'a> {
    format: u32,
    job: u64,
    same_file: bool,
    asked: String,
    part: &'a str,
    quantity: Option<u32>,
    unit_price: Option<String>,
    hours: Vec<f64>,
    failures: usize,
}

/// Jobs about the same part, one object a line.
pub fn met_json(met: &[(u64, bool)], jobs: &Jobs) -> String {
    let known = met
        .iter()
        .filter_map(|(number, same)| Some((number, same, jobs.jobs.get(number)?)));
    known
        .map(|(number, same, job)| {
            line(&MetLine {
                format: super::FORMAT,
                job: *number,
                same_file: *same,
                asked: job.asked.to_string(),
                part: &job.enquiry.part,
                quantity: job.offer.as_ref().map(|offer| offer.quantity),
                unit_price: job.offer.as_ref().map(|offer| offer.unit_price.to_string()),
                hours: job.prints.iter().map(|p| p.actual.hours).collect(),
                failures: job.failures.len(),
            })
        })
        .collect()
}

#[derive(Serialize)]
struct SlipLine {
    job: u64,
    was: String,
    is: String,
}

#[derive(Serialize)]
struct FailureLine<'a> {
    format: u32,
    material: &'a str,
    spool_left_g: Option<f64>,
    needs_g: f64,
    lost: String,
    lost_so_far: String,
    printed_by: Option<String>,
    told: String,
    slips: Vec<SlipLine>,
    total: String,
    earns: String,
    currency: &'a str,
}

/// What a failure means.
pub fn after_failure_json(means: &AfterFailure) -> String {
    let object = FailureLine {
        format: super::FORMAT,
        material: &means.spool.0,
        spool_left_g: means.spool.1,
        needs_g: means.needs_g,
        lost: means.lost.to_string(),
        lost_so_far: means.lost_so_far.to_string(),
        printed_by: means.ready.map(|at| at.to_string()),
        told: means.told.to_string(),
        slips: means
            .slips
            .iter()
            .map(|slip| SlipLine {
                job: slip.job,
                was: slip.was.to_string(),
                is: slip.is.to_string(),
            })
            .collect(),
        total: means.total.to_string(),
        earns: means.earns.to_string(),
        currency: &means.currency,
    };
    line(&object).trim_end().to_owned()
}
