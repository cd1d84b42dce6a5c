//! The job book as JSON.

use serde::Serialize;

use super::line;

use crate::learn::{Correction, Errors, Learnt};
use crate::store::{AfterFailure, Jobs, Lessons, Placed, ready};

/// One object on a line of its own.
fn row(object: &impl Serialize) -> String {
    line(object) + "\n"
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
    let wanted = jobs.jobs.iter().filter(|(_, job)| all || job.end.is_none());
    wanted
        .map(|(number, job)| {
            row(&JobLine {
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
        row(&PlacedLine {
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
            row(&MetLine {
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
    needs_h: f64,
    reprint: String,
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
        needs_h: means.needs_h,
        reprint: means.reprint.to_string(),
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
    line(&object)
}

#[derive(Serialize)]
struct CorrectionObject {
    factor: f64,
    from: f64,
    to: f64,
    level: f64,
    prints: usize,
}

impl CorrectionObject {
    fn of(correction: &Correction) -> CorrectionObject {
        CorrectionObject {
            factor: correction.factor,
            from: correction.from,
            to: correction.to,
            level: correction.level,
            prints: correction.pairs,
        }
    }
}

#[derive(Serialize)]
struct ErrorsObject {
    median_before: f64,
    ninth_decile_before: f64,
    median_after: f64,
    ninth_decile_after: f64,
}

impl ErrorsObject {
    fn of(errors: &Errors) -> ErrorsObject {
        ErrorsObject {
            median_before: errors.before.median,
            ninth_decile_before: errors.before.ninth_decile,
            median_after: errors.after.median,
            ninth_decile_after: errors.after.ninth_decile,
        }
    }
}

#[derive(Serialize)]
struct BandsObject {
    inside: usize,
    prints: usize,
    factor: f64,
    level: f64,
}

#[derive(Serialize)]
struct RowLine<'a> {
    format: u32,
    machine: &'a str,
    nozzle: &'a str,
    material: &'a str,
    hours: CorrectionObject,
    hours_errors: Option<ErrorsObject>,
    hours_by_limit: std::collections::BTreeMap<&'a str, CorrectionObject>,
    grams: Option<CorrectionObject>,
    grams_errors: Option<ErrorsObject>,
    bands: BandsObject,
}

#[derive(Serialize)]
struct LearntObject {
    mean: f64,
    from: f64,
    to: f64,
    level: f64,
}

impl LearntObject {
    fn of(learnt: &Learnt) -> LearntObject {
        LearntObject {
            mean: learnt.mean,
            from: learnt.from,
            to: learnt.to,
            level: learnt.level,
        }
    }
}

#[derive(Serialize)]
struct MachineLine<'a> {
    format: u32,
    machine: &'a str,
    starts: u64,
    failed_early: u64,
    hours: f64,
    failed_later: u64,
    start_chance: LearntObject,
    rate_per_h: LearntObject,
}

/// What the book teaches, one object a row of the shop file, then one a machine.
pub fn lessons_json(lessons: &Lessons) -> String {
    let rows = lessons.rows.iter().map(|lesson| {
        row(&RowLine {
            format: super::FORMAT,
            machine: &lesson.row.machine,
            nozzle: &lesson.row.nozzle,
            material: &lesson.row.material,
            hours: CorrectionObject::of(&lesson.hours),
            hours_errors: lesson.hours_errors.as_ref().map(ErrorsObject::of),
            hours_by_limit: lesson
                .by_limit
                .iter()
                .map(|(limit, correction)| (limit.as_str(), CorrectionObject::of(correction)))
                .collect(),
            grams: lesson.grams.as_ref().map(CorrectionObject::of),
            grams_errors: lesson.grams_errors.as_ref().map(ErrorsObject::of),
            bands: BandsObject {
                inside: lesson.bands.inside,
                prints: lesson.bands.pairs,
                factor: lesson.bands.factor,
                level: lesson.bands.level,
            },
        })
    });
    let machines = lessons.failures.iter().map(|lesson| {
        row(&MachineLine {
            format: super::FORMAT,
            machine: &lesson.machine,
            starts: lesson.exposure.starts,
            failed_early: lesson.exposure.early_failures,
            hours: lesson.exposure.hours,
            failed_later: lesson.exposure.failures,
            start_chance: LearntObject::of(&lesson.learnt.start_chance),
            rate_per_h: LearntObject::of(&lesson.learnt.rate_per_h),
        })
    });
    rows.chain(machines).collect()
}

#[derive(Serialize)]
struct HistoryObject {
    begins: Option<String>,
    printed_by: Option<String>,
    met_before: Vec<serde_json::Value>,
}

/// An estimate's object with `job_book` as its last key.
pub fn with_history(
    mut object: String,
    met: &[(u64, bool)],
    placed: &[Placed],
    jobs: &Jobs,
) -> String {
    let lines = met_json(met, jobs);
    let history = HistoryObject {
        begins: placed.first().map(|p| p.from.to_string()),
        printed_by: placed.last().map(|p| p.to.to_string()),
        met_before: lines
            .lines()
            .filter_map(|line| serde_json::from_str(line).ok())
            .collect(),
    };
    if object.ends_with('}') {
        object.pop();
        object += &format!(",\"job_book\":{}}}", line(&history));
    }
    object
}
