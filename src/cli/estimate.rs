//! The `estimate` command: every option of a part, one of them explained or layer by layer, or two shops side by side.

use std::path::Path;

use jiff::Zoned;

use super::args::EstimateArgs;
use super::history::History;
use super::parts::{Reading, files, name, refuse_doubtful_unit};
use super::run::{
    Answers, Estimated, answer_all, errors, estimate_one, exit_code, json_lines, write,
};
use super::{Failure, Outcome, job, shop};
use crate::estimate::{Made, PartOption, PoseTable, pose_table};
use crate::quote;

/// Runs `estimate`.
pub(super) fn estimate(args: &EstimateArgs) -> Result<Outcome, Failure> {
    if !args.what_if.is_empty() {
        return what_if(args);
    }
    let answers = Answers::to(&args.files, &args.shop, &args.job, args.quantity, false)?;
    if let Some(path) = &args.layers_plot {
        write_plot(&answers, args.layers.as_deref().unwrap_or_default(), path)?;
    }
    let history = History::of(args.book.as_deref(), &args.shop)?;
    let out = match &answers.parts[..] {
        [(_, Err(_))] => String::new(),
        _ if args.files.json => json(&answers, args, &history)?,
        _ if args.job.csv => quote::triage_csv(&answers.rows()),
        _ if args.poses.is_some() => poses(&answers, args.poses.as_deref().unwrap_or_default())?,
        parts => match (&args.why, &args.layers, parts) {
            (Some(option), _, _) => why(&answers, option)?,
            (None, Some(option), _) => layers(&answers, option)?,
            (None, None, [(part, Ok(e))]) => {
                quote::estimate_text(&answers.subject(part, e), &answers.ask)
                    + &history.text(e, &answers.shop)
            }
            _ => quote::triage_text(&answers.rows()),
        },
    };
    Ok(answers.outcome(out))
}

fn json(answers: &Answers, args: &EstimateArgs, history: &History) -> Result<String, Failure> {
    json_lines(&answers.parts, |part, e| {
        let (shop, mesh, estimate) = (&answers.shop, &e.mesh, &e.estimate);
        let object = match (args.layers.as_deref(), args.poses.as_deref()) {
            (Some(wanted), _) => {
                let (option, _) = named(e, wanted, "--layers")?;
                quote::estimate_layers_json(part, shop, mesh, estimate, option)
            }
            (None, Some(wanted)) => {
                let table = table(answers, e, wanted)?;
                quote::estimate_poses_json(part, shop, mesh, estimate, &table)
            }
            (None, None) => quote::estimate_json(part, shop, mesh, estimate),
        };
        Ok(history.in_object(object, e, shop))
    })
}

/// The option of a name, or the one picked where the name is empty, with what it makes.
fn named<'a>(
    estimated: &'a Estimated,
    wanted: &str,
    asked_by: &str,
) -> Result<(&'a PartOption, &'a Made), Failure> {
    if wanted.is_empty() {
        let picked = estimated.estimate.picked();
        return picked.ok_or_else(|| {
            Failure::of(format!(
                "{asked_by}: no option is picked; name one, as {asked_by}=MACHINE/NOZZLE"
            ))
        });
    }
    let option = option(estimated, wanted, asked_by)?;
    match &option.outcome {
        Ok(made) => Ok((option, made)),
        Err(refusal) => Err(Failure::of(format!(
            "{asked_by} {wanted}: not possible, {}",
            refusal.reasons.join("; ")
        ))),
    }
}

fn option<'a>(
    estimated: &'a Estimated,
    wanted: &str,
    asked_by: &str,
) -> Result<&'a PartOption, Failure> {
    let options = &estimated.estimate.options;
    options.iter().find(|o| o.name() == wanted).ok_or_else(|| {
        let names: Vec<String> = options.iter().map(PartOption::name).collect();
        Failure::of(format!(
            "{asked_by} {wanted}: there is no such option; give one of {}",
            names.join(", ")
        ))
    })
}

/// Explains one option of every part.
fn why(answers: &Answers, wanted: &str) -> Result<String, Failure> {
    each(answers, |part, estimated| {
        let option = option(estimated, wanted, "--why")?;
        Ok(quote::why_text(
            &answers.subject(part, estimated),
            option,
            &answers.ask,
        ))
    })
}

/// Shows the layers of one option of every part.
fn layers(answers: &Answers, wanted: &str) -> Result<String, Failure> {
    each(answers, |part, estimated| {
        let (option, made) = named(estimated, wanted, "--layers")?;
        Ok(quote::layers_text(part, option, made))
    })
}

/// Shows the poses of one option of every part.
fn poses(answers: &Answers, wanted: &str) -> Result<String, Failure> {
    each(answers, |part, estimated| {
        Ok(quote::poses_text(part, &table(answers, estimated, wanted)?))
    })
}

fn table(answers: &Answers, estimated: &Estimated, wanted: &str) -> Result<PoseTable, Failure> {
    let (option, made) = named(estimated, wanted, "--poses")?;
    pose_table(&estimated.mesh, &answers.shop, &answers.ask, option, made)
        .map_err(|error| Failure::of(error.to_string()))
}

/// A text for every part that could be estimated.
fn each(
    answers: &Answers,
    text: impl Fn(&str, &Estimated) -> Result<String, Failure>,
) -> Result<String, Failure> {
    let good = answers.parts.iter();
    let texts: Vec<String> = good
        .filter_map(|(part, result)| Some(text(part, result.as_ref().ok()?)))
        .collect::<Result<_, Failure>>()?;
    Ok(texts.join("\n"))
}

fn write_plot(answers: &Answers, wanted: &str, path: &Path) -> Result<(), Failure> {
    let [(part, result)] = &answers.parts[..] else {
        return Err(Failure::of(
            "--layers-plot: one plot holds one part; give one file",
        ));
    };
    let Ok(estimated) = result else {
        return Ok(());
    };
    let (option, made) = named(estimated, wanted, "--layers")?;
    let svg = quote::layers_svg(part, option, made)
        .map_err(|error| Failure::of(format!("{}: not drawn: {error}", name(path))))?;
    write(path, &svg)
}

/// Every part in the shop as it is and with values changed, side by side.
fn what_if(args: &EstimateArgs) -> Result<Outcome, Failure> {
    let before = shop::open(&args.shop)?;
    let after = shop::open_with(&args.shop, &args.what_if)?;
    let ask = job::ask(&args.job, args.quantity, &Zoned::now())?;
    for shop in [&before, &after] {
        ask.check(shop).map_err(|e| Failure::of(e.to_string()))?;
    }
    let reading = Reading::of(&args.files, &before);
    let answered = answer_all(&files(&args.files.parts)?, &reading, |mesh| {
        refuse_doubtful_unit(&mesh, &reading)?;
        Ok((
            estimate_one(&mesh, &before, &ask)?,
            estimate_one(&mesh, &after, &ask)?,
        ))
    });
    let out = if args.files.json {
        json_lines(&answered, |part, (was, is)| {
            Ok(quote::what_if_json(part, &args.what_if, was, is))
        })?
    } else {
        let good = answered.iter().filter_map(|(part, result)| {
            let (was, is) = result.as_ref().ok()?;
            Some(quote::what_if_text(part, &args.what_if, was, is))
        });
        good.collect::<Vec<_>>().join("\n")
    };
    let (errors, bad) = errors(&answered);
    let no = answered
        .iter()
        .any(|(_, result)| matches!(result, Ok((_, is)) if is.picked().is_none()));
    Ok(Outcome {
        out,
        errors,
        exit: exit_code(bad, no),
    })
}
