//! The job book in words: entries, jobs, the floor, and what a failure means.

use std::fmt::Write;

use jiff::civil::DateTime;

use super::words::{duration, grams};
use crate::shop::Shop;
use crate::store::{AfterFailure, Entry, Jobs, Placed, Standing, What, ready, said as when};

fn pieces(count: u32) -> String {
    if count == 1 {
        "1 piece".to_owned()
    } else {
        format!("{count} pieces")
    }
}

/// To a tenth, and never a negative nothing.
fn rounded(percent: f64) -> f64 {
    (percent * 10.0).round() / 10.0 + 0.0
}

fn hours(h: f64) -> String {
    duration(h * 3600.0)
}

/// One entry in a line.
pub fn entry_text(entry: &Entry, jobs: &Jobs) -> String {
    let part = |job: u64| {
        let job = jobs.jobs.get(&job);
        job.map_or("", |job| job.enquiry.part.as_str())
    };
    let said = match &entry.what {
        What::Enquiry(e) => {
            let by = e
                .customer
                .as_ref()
                .map_or(String::new(), |c| format!(" for {c}"));
            format!("job {}: {}, {}{by}", e.job, e.part, pieces(e.quantity))
        }
        What::Offer(e) => {
            let each = if e.quantity == 1 {
                String::new()
            } else {
                format!(" ({} each)", e.unit_price)
            };
            format!(
                "job {}: {} {} for {}{}, before tax\n  {} a print ({} to {}), {}, on {}/{} in {}",
                e.job,
                e.total,
                e.currency,
                pieces(e.quantity),
                each,
                duration(e.seconds),
                duration(e.seconds_from),
                duration(e.seconds_to),
                grams(e.grams),
                e.machine,
                e.nozzle,
                e.material
            )
        }
        What::Booking(e) => format!(
            "job {}: {} on {}, printed by {} if nothing fails",
            e.job,
            if e.prints == 1 {
                "1 print".to_owned()
            } else {
                format!("{} prints", e.prints)
            },
            e.machine,
            when(e.ready)
        ),
        What::Start(e) => {
            let shown = e.shown_h.map_or(String::new(), |h| {
                format!(", the machine shows {}", hours(h))
            });
            format!("job {}: printing since {}{shown}", e.job, when(e.began))
        }
        What::Actual(e) => {
            let print = jobs
                .jobs
                .get(&e.job)
                .and_then(|job| job.prints.iter().find(|print| print.actual == *e));
            let against = print.map_or(String::new(), |print| {
                let expected_h = print.offer.seconds / 3600.0;
                let inside = if (print.offer.seconds_from..=print.offer.seconds_to)
                    .contains(&(e.hours * 3600.0))
                {
                    "inside"
                } else {
                    "outside"
                };
                format!(
                    ", {} was estimated: {:+.1} %, {inside} its band",
                    hours(expected_h),
                    rounded(100.0 * (e.hours / expected_h - 1.0))
                )
            });
            let weighed = e.grams.map_or(String::new(), |g| format!(", {}", grams(g)));
            let left = jobs.jobs.get(&e.job).map_or(0, |job| job.prints_left());
            let left = match left {
                0 => "all prints are done".to_owned(),
                1 => "1 print is left".to_owned(),
                n => format!("{n} prints are left"),
            };
            format!(
                "job {}: a print of {} took {}{against}{weighed}\n  {left}",
                e.job,
                part(e.job),
                hours(e.hours)
            )
        }
        What::Failed(e) => {
            let offer = jobs.jobs.get(&e.job).and_then(|job| job.offer.as_ref());
            let lost = offer.map_or(0.0, |offer| e.lost_g(offer));
            let layer = e.layer.map_or(String::new(), |l| format!(", layer {l}"));
            let cause = e.cause.as_ref().map_or(String::new(), |c| format!(": {c}"));
            format!(
                "job {}: failed after {}{layer}{cause}; {} lost",
                e.job,
                hours(e.hours),
                grams(lost)
            )
        }
        What::Closed(e) => format!("job {}: {}", e.job, Standing::Closed(e.end).words()),
        What::Spool(e) => format!("{}: {} on the spool", e.material, grams(e.grams)),
        What::Correction(e) => {
            let keys: Vec<String> = e.set.iter().map(|(k, v)| format!("{k} = {v}")).collect();
            format!("entry {} is put right: {}", e.of, keys.join(", "))
        }
        What::Learned(e) => {
            let keys: Vec<String> = e.set.iter().map(|(k, v)| format!("{k} = {v}")).collect();
            format!("learned: {}", keys.join(", "))
        }
    };
    format!("entry {}, {}", entry.number, said)
}

/// Jobs about the same part.
pub fn met_text(met: &[(u64, bool)], jobs: &Jobs) -> String {
    let mut text = String::new();
    for (number, very_same) in met {
        let Some(job) = jobs.jobs.get(number) else {
            continue;
        };
        let how = if *very_same { "same file" } else { "same part" };
        let offered = job.offer.as_ref().map_or(String::new(), |offer| {
            format!(
                "\n    {} off at {} {} each",
                offer.quantity, offer.unit_price, offer.currency
            )
        });
        let took: Vec<f64> = job.prints.iter().map(|p| p.actual.hours).collect();
        let took = if took.is_empty() {
            String::new()
        } else {
            let mean = took.iter().sum::<f64>() / took.len() as f64;
            format!(", took {}", hours(mean))
        };
        let failed = match job.failures.len() {
            0 => String::new(),
            1 => ", failed once".to_owned(),
            n => format!(", failed {n} times"),
        };
        let _ = writeln!(
            text,
            "  {how}: job {number}, {} ({}), {}{offered}{took}{failed}",
            job.asked.strftime("%-d %B %Y"),
            job.enquiry.part,
            job.standing().words()
        );
    }
    text
}

/// What a failure means for the shop.
pub fn after_failure_text(means: &AfterFailure, jobs: &Jobs) -> String {
    let mut text = String::new();
    let c = &means.currency;
    let (material, left) = &means.spool;
    let _ = match left {
        Some(left) if *left >= means.needs_g => writeln!(
            text,
            "  {material}: {} left on the spool, one more print takes {}",
            grams(*left),
            grams(means.needs_g)
        ),
        Some(left) if *left < 0.0 => writeln!(
            text,
            "  {material}: {} more were used than was on the spool by the book; weigh it: beadtally jobs spool {material} GRAMS",
            grams(-left)
        ),
        Some(left) => writeln!(
            text,
            "  {material}: {} left on the spool, which is too little for one more print of {}: have the next one ready",
            grams(*left),
            grams(means.needs_g)
        ),
        None => writeln!(
            text,
            "  {material}: what is on the spool is not known; enter it: beadtally jobs spool {material} GRAMS"
        ),
    };
    let _ = writeln!(
        text,
        "  it cost {} {c}: machine, energy, plastic and clearing{}",
        means.lost,
        if means.lost == means.lost_so_far {
            String::new()
        } else {
            format!(
                "; the failures of this order {} {c} so far",
                means.lost_so_far
            )
        }
    );
    let _ = writeln!(
        text,
        "  printing it again takes {} and {} {c}: machine, energy and plastic",
        hours(means.needs_h),
        means.reprint
    );
    if let Some(ready) = means.ready {
        let later = ready.duration_since(means.told).as_secs_f64();
        let _ = if later > 0.0 {
            writeln!(
                text,
                "  printed by {} now, {} after the {} that was told",
                when(ready),
                duration(later),
                when(means.told)
            )
        } else {
            writeln!(
                text,
                "  printed by {} still, as was told or sooner",
                when(ready)
            )
        };
    }
    if means.slips.is_empty() {
        let _ = writeln!(text, "  no other job on the machine is later than was told");
    }
    for slip in &means.slips {
        let job = jobs.jobs.get(&slip.job);
        let whose = job
            .and_then(|j| j.enquiry.customer.clone())
            .map_or(String::new(), |c| format!(" ({c})"));
        let _ = writeln!(
            text,
            "  job {}{whose} is printed {} after it was told, on {}",
            slip.job,
            hours(slip.hours()),
            when(slip.is)
        );
    }
    let _ = if means.earns.is_sign_negative() {
        writeln!(
            text,
            "  this order of {} {c} loses {} {c} once its pieces and failures are paid",
            means.total, -means.earns
        )
    } else {
        writeln!(
            text,
            "  this order of {} {c} still earns {} {c} once its pieces and failures are paid",
            means.total, means.earns
        )
    };
    text
}

/// The jobs as a table.
pub fn jobs_text(jobs: &Jobs, placed: &[Placed], all: bool) -> String {
    let near = |at: DateTime| at.strftime("%a %-d %b %H:%M").to_string();
    let mut text = format!(
        "{:>4}  {:<9} {:<26} {:<14} {:>3} {:>4}  {:<16}  {}\n",
        "job", "stands", "part", "customer", "off", "done", "told", "printed by"
    );
    let mut listed = 0;
    for (number, job) in &jobs.jobs {
        let standing = job.standing();
        if matches!(standing, Standing::Closed(_)) && !all {
            continue;
        }
        listed += 1;
        let told = job.booking.as_ref().map(|booking| booking.ready);
        let by = ready(placed, *number);
        let late = match (told, by) {
            (Some(told), Some(by)) if by > told => ", late",
            _ => "",
        };
        let off = job
            .offer
            .as_ref()
            .map_or(job.enquiry.quantity, |offer| offer.quantity);
        let _ = writeln!(
            text,
            "{number:>4}  {:<9} {:<26} {:<14} {off:>3} {:>4}  {:<16}  {}{late}",
            standing.words(),
            short(&job.enquiry.part, 26),
            short(job.enquiry.customer.as_deref().unwrap_or("-"), 14),
            job.prints.len(),
            told.map_or(String::new(), near),
            by.map_or(String::new(), near),
        );
    }
    if listed == 0 {
        return if all {
            "no job is in the book yet\n".to_owned()
        } else {
            "no job is open\n".to_owned()
        };
    }
    text.lines()
        .map(|line| line.trim_end().to_owned() + "\n")
        .collect()
}

fn short(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    let kept: String = text.chars().take(most - 2).collect();
    kept + ".."
}

/// What is on each machine until when.
pub fn floor_text(placed: &[Placed], jobs: &Jobs, shop: &Shop, now: DateTime) -> String {
    let mut text = format!("The floor on {}, if nothing fails\n", when(now));
    let mut names: Vec<&str> = shop.machines.iter().map(|m| m.id.as_str()).collect();
    for each in placed {
        if !names.contains(&each.machine.as_str()) {
            names.push(&each.machine);
        }
    }
    for machine in names {
        let of: Vec<&Placed> = placed.iter().filter(|p| p.machine == machine).collect();
        let Some(last) = of.iter().map(|p| p.to).max() else {
            let _ = writeln!(text, "\n{machine}: free");
            continue;
        };
        let _ = writeln!(text, "\n{machine}: booked until {}", when(last));
        for each in of {
            let part = jobs
                .jobs
                .get(&each.job)
                .map_or("", |j| j.enquiry.part.as_str());
            let _ = writeln!(
                text,
                "  {} to {}  job {} {}{}{}",
                when(each.from),
                when(each.to),
                each.job,
                part,
                if each.of > 1 {
                    format!(", {} of {}", each.print, each.of)
                } else {
                    String::new()
                },
                match (each.running, each.overdue) {
                    (true, true) => ", printing, overdue",
                    (true, false) => ", printing",
                    _ => "",
                }
            );
        }
    }
    let mut spools = jobs.spools_g().peekable();
    if spools.peek().is_some() {
        text += "\nOn the spools\n";
    }
    for (material, left) in spools {
        let _ = if left < 0.0 {
            writeln!(
                text,
                "  {material}: {} more used than was on it by the book; weigh it",
                grams(-left)
            )
        } else {
            writeln!(text, "  {material}: {}", grams(left))
        };
    }
    text
}

/// What the job book adds to an estimate: where its prints would go, and jobs about the same part.
pub fn history_text(met: &[(u64, bool)], placed: &[Placed], jobs: &Jobs) -> String {
    let mut text = String::new();
    if let (Some(first), Some(last)) = (placed.first(), placed.last()) {
        let _ = writeln!(
            text,
            "\nAfter what the job book has booked {} can begin {} on {};\n  the last would end on {}.",
            first.machine,
            if first.of == 1 {
                "the print".to_owned()
            } else {
                format!("{} prints", first.of)
            },
            when(first.from),
            when(last.to)
        );
    }
    if !met.is_empty() {
        let _ = write!(text, "Met before:\n{}", met_text(met, jobs));
    }
    text
}
