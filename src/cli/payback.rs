//! The `payback` command: whether a machine or a nozzle is worth buying.

use std::path::PathBuf;

use clap::Args;
use jiff::Zoned;

use super::args::{JobArgs, PartArgs, ShopFile};
use super::parts::{Reading, files, name, plain, refuse_doubtful_unit};
use super::run::answer_all;
use super::{BAD, Failure, NO, Outcome, job, shop};
use crate::mesh::InspectedMesh;
use crate::payback::{PaybackError, Work, bought, payback as held};
use crate::quote;
use crate::shop::{DEMONSTRATION_TOML, MAX_SHOP_BYTES, Shop};

/// Arguments of `payback`.
#[derive(Debug, Args)]
pub struct PaybackArgs {
    #[command(flatten)]
    pub files: PartArgs,
    #[command(flatten)]
    pub shop: ShopFile,
    #[command(flatten)]
    pub job: JobArgs,
    /// Pieces made every month of each part, in the parts' order
    #[arg(long, value_name = "N[,N...]", value_delimiter = ',', required = true)]
    pub monthly: Vec<u32>,
    /// What is to be bought: a file with [[machine]], [[nozzle]] and [[measured]] as in a shop file
    #[arg(long, value_name = "FILE", required = true)]
    pub buy: PathBuf,
    /// The machine that takes the nozzles bought; may be given several times
    #[arg(long, value_name = "ID")]
    pub on: Vec<String>,
    /// Put every part onto what is bought wherever it can be made there, dearer or not
    #[arg(long)]
    pub use_it: bool,
}

/// Runs `payback`.
pub(super) fn payback(args: &PaybackArgs) -> Result<Outcome, Failure> {
    if args.job.csv {
        return Err(Failure::of(
            "--csv: a payback is no spreadsheet; use --json",
        ));
    }
    let before = shop::open(&args.shop)?;
    let text = match &args.shop.file {
        Some(path) => String::from_utf8_lossy(&shop::bytes_of(path)?).into_owned(),
        None => DEMONSTRATION_TOML.to_owned(),
    };
    let mut purchase =
        bought(&text, &purchase_text(args)?, &name(&args.buy), &args.on).map_err(Failure::of)?;
    purchase.shop = Shop {
        demonstration: before.demonstration,
        ..purchase.shop
    };
    let ask = job::ask(&args.job, 1, &Zoned::now())?;
    ask.check(&before).map_err(|e| Failure::of(e.to_string()))?;
    let reading = Reading::of(&args.files, &before);
    let read = answer_all(&files(&args.files.parts)?, &reading, |mesh| {
        refuse_doubtful_unit(&mesh, &reading)?;
        Ok(mesh)
    });
    let mut parts: Vec<(String, InspectedMesh)> = Vec::new();
    let mut errors = Vec::new();
    for (part, mesh) in read {
        match mesh {
            Ok(mesh) => parts.push((part, mesh)),
            Err(bad) => errors.push(format!("{part}: {}", bad.error)),
        }
    }
    if !errors.is_empty() {
        return Ok(Outcome {
            errors,
            exit: BAD,
            ..Outcome::default()
        });
    }
    if args.monthly.len() != parts.len() || args.monthly.contains(&0) {
        return Err(Failure::of(format!(
            "--monthly: numbers given: {}, parts given: {}; give one of at least 1 for each part, as --monthly 20,8",
            args.monthly.len(),
            parts.len()
        )));
    }
    let work: Vec<Work<'_>> = parts
        .iter()
        .zip(&args.monthly)
        .map(|((name, part), monthly)| Work {
            name,
            part,
            monthly: *monthly,
        })
        .collect();
    let found = match held(&work, &before, &purchase, &ask, args.use_it) {
        Ok(found) => found,
        Err(error @ PaybackError::NoOption { .. }) => {
            return Ok(Outcome {
                errors: vec![error.to_string()],
                exit: NO,
                ..Outcome::default()
            });
        }
        Err(error) => return Err(Failure::of(error.to_string())),
    };
    let never = found.months.is_none() && found.months_if_sold.is_none();
    Ok(Outcome {
        out: if args.files.json {
            quote::payback_json(&work, &found, &purchase, &before) + "\n"
        } else {
            quote::payback_text(&work, &found, &purchase, &before)
        },
        exit: if never { NO } else { 0 },
        ..Outcome::default()
    })
}

fn purchase_text(args: &PaybackArgs) -> Result<String, Failure> {
    let unreadable = |why: String| {
        Failure::of(format!(
            "{}: {why}; give a file with [[machine]] or [[nozzle]] as in a shop file",
            name(&args.buy)
        ))
    };
    let about = std::fs::metadata(&args.buy).map_err(|e| unreadable(plain(&e)))?;
    if !about.is_file() || about.len() > MAX_SHOP_BYTES as u64 {
        return Err(unreadable(
            "this is no text file of a shop's size".to_owned(),
        ));
    }
    let bytes = std::fs::read(&args.buy).map_err(|e| unreadable(plain(&e)))?;
    let text =
        String::from_utf8(bytes).map_err(|_| unreadable("this is not UTF-8 text".to_owned()))?;
    Ok(text.trim_start_matches('\u{feff}').to_owned())
}
