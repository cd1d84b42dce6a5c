//! The `bedful` command: parts on full beds.

use std::path::{Path, PathBuf};

use clap::Args;
use jiff::Zoned;

use super::args::{JobArgs, PartArgs, ShopFile};
use super::parts::{Named, Reading, files, refuse_doubtful_unit};
use super::picture::{not_a_part, write_picture};
use super::run::{answer_all, exit_code};
use super::{BAD, Failure, Outcome, job, shop};
use crate::bedful::{MOST_CLEARANCE_MM, USUAL_CLEARANCE_MM};
use crate::estimate::{Ask, Bedfuls, OrderPart, bedfuls};
use crate::mesh::InspectedMesh;
use crate::quote;
use crate::shop::Shop;

/// Arguments of `bedful`.
#[derive(Debug, Args)]
pub struct BedfulArgs {
    #[command(flatten)]
    pub files: PartArgs,
    #[command(flatten)]
    pub shop: ShopFile,
    #[command(flatten)]
    pub job: JobArgs,
    /// Pieces wanted of every part, each part on beds of its own; else as many as one bed takes
    #[arg(long, value_name = "N", conflicts_with = "count")]
    pub copies: Option<u32>,
    /// Pieces wanted of the parts, in their order, which then share beds
    #[arg(long, value_name = "N[,N...]", value_delimiter = ',')]
    pub count: Option<Vec<u32>>,
    /// Room between parts on the bed, mm
    #[arg(long, value_name = "MM", default_value_t = USUAL_CLEARANCE_MM)]
    pub clearance_between: f64,
    /// Draw the first bed of the cheapest option from above
    #[arg(long, value_name = "FILE.svg|png")]
    pub picture: Option<PathBuf>,
}

/// Runs `bedful`.
pub(super) fn bedful(args: &BedfulArgs) -> Result<Outcome, Failure> {
    if args.job.csv {
        return Err(Failure::of(
            "--csv: bedfuls are not written as a spreadsheet; use --json",
        ));
    }
    if let Some(path) = &args.picture {
        not_a_part(path, &args.files.parts)?;
    }
    let clearance_mm = args.clearance_between;
    if !(0.0..=MOST_CLEARANCE_MM).contains(&clearance_mm) {
        return Err(Failure::of(format!(
            "--clearance-between: {clearance_mm:e} mm is no clearance; give 0 to {MOST_CLEARANCE_MM} mm"
        )));
    }
    let shop = shop::open(&args.shop)?;
    let ask = job::ask(&args.job, 1, &Zoned::now())?;
    ask.check(&shop).map_err(|e| Failure::of(e.to_string()))?;
    let reading = Reading::of(&args.files, &shop);
    let read = answer_all(&files(&args.files.parts)?, &reading, |mesh| {
        refuse_doubtful_unit(&mesh, &reading)?;
        Ok(mesh)
    });
    let orders = orders(args, read)?;
    let mut outcome = Outcome::default();
    for order in &orders.0 {
        answer(args, &shop, &ask, order, orders.0.len(), &mut outcome)?;
    }
    if !orders.1.is_empty() {
        outcome.errors.splice(0..0, orders.1);
        outcome.exit = BAD;
    }
    Ok(outcome)
}

/// Parts that share beds, with their names and counts.
type Order = Vec<(String, InspectedMesh, Option<u32>)>;

/// The orders asked for, and what is wrong with the other parts.
fn orders(
    args: &BedfulArgs,
    read: Vec<Named<InspectedMesh>>,
) -> Result<(Vec<Order>, Vec<String>), Failure> {
    if args.copies == Some(0) {
        return Err(Failure::of(
            "--copies: 0 is no number of pieces; give at least 1",
        ));
    }
    let mut errors = Vec::new();
    let mut parts = Vec::new();
    for (part, mesh) in read {
        match mesh {
            Ok(mesh) => parts.push((part, mesh)),
            Err(bad) => errors.push(format!("{part}: {}", bad.error)),
        }
    }
    let Some(counts) = &args.count else {
        let alone = parts
            .into_iter()
            .map(|(part, mesh)| vec![(part, mesh, args.copies)]);
        return Ok((alone.collect(), errors));
    };
    if !errors.is_empty() {
        // Without one of its parts an order is another order.
        return Ok((Vec::new(), errors));
    }
    if counts.len() != parts.len() || counts.contains(&0) {
        return Err(Failure::of(format!(
            "--count: numbers given: {}, parts given: {}; give one of at least 1 for each part, as --count 3,2",
            counts.len(),
            parts.len()
        )));
    }
    let order = parts
        .into_iter()
        .zip(counts)
        .map(|((part, mesh), n)| (part, mesh, Some(*n)));
    Ok((vec![order.collect()], errors))
}

fn answer(
    args: &BedfulArgs,
    shop: &Shop,
    ask: &Ask,
    order: &Order,
    orders: usize,
    outcome: &mut Outcome,
) -> Result<(), Failure> {
    let names: Vec<String> = order.iter().map(|(part, _, _)| part.clone()).collect();
    let parts: Vec<OrderPart<'_>> = order
        .iter()
        .map(|(_, part, count)| OrderPart {
            part,
            count: *count,
        })
        .collect();
    let found = bedfuls(&parts, shop, ask, args.clearance_between)
        .map_err(|e| Failure::of(format!("{}: {e}", names.join(", "))))?;
    if args.files.json {
        outcome.out += &(quote::bedful_json(&names, &found) + "\n");
    } else {
        if !outcome.out.is_empty() {
            outcome.out.push('\n');
        }
        outcome.out += &quote::bedful_text(&names, &found);
    }
    if let Some(path) = &args.picture {
        draw(path, &names, &found, orders)?;
    }
    outcome.exit = exit_code(outcome.exit, found.pick.is_none());
    Ok(())
}

fn draw(path: &Path, names: &[String], found: &Bedfuls, orders: usize) -> Result<(), Failure> {
    if orders > 1 {
        return Err(Failure::of(
            "--picture: one picture holds one bed; give one part, or --count",
        ));
    }
    let Some((machine, nozzle, _)) = found.picked() else {
        return Ok(());
    };
    let title = format!("{} on {}/{nozzle}", names.join(", "), machine.machine);
    write_picture(path, quote::bedful_svg(&title, machine, found.clearance_mm))
}
