//! The `fit` command: which machines hold a part, turned how, and a picture of it.

use std::path::Path;

use super::args::FitArgs;
use super::parts::{Reading, files, name, refuse_doubtful_unit};
use super::picture::{not_a_part, write_picture};
use super::run::{Answered, answer_all, errors, exit_code, json_lines, list_entries};
use super::{Failure, Outcome, cut, shop};
use crate::mesh::InspectedMesh;
use crate::pose::{Footprints, MachineFit, Rest, fit_rest, fit_searched};
use crate::quote::{self, FitRow};
use crate::shop::{Machine, Shop};

/// Runs `fit`.
pub(super) fn fit(args: &FitArgs) -> Result<Outcome, Failure> {
    if let Some(folder) = &args.cut_into {
        return cut::cut_into(args, folder);
    }
    let shop = shop::open(&args.shop)?;
    let machines = machines(&shop, args.machine.as_deref())?;
    let down = args.down.as_deref().map(str::parse::<Rest>).transpose();
    let down = down.map_err(|e| Failure::of(format!("--down: {e}")))?;
    if let Some(path) = &args.picture {
        not_a_part(path, &args.files.parts)?;
    }
    let reading = Reading::of(&args.files, &shop);
    let answered = answer_all(&files(&args.files.parts)?, &reading, |mesh| {
        refuse_doubtful_unit(&mesh, &reading)?;
        let rows = rows(&mesh, &shop, &machines, down);
        Ok((mesh, rows))
    });
    let (errors, bad) = errors(&answered);
    let nowhere = answered.iter().any(|(_, r)| {
        r.as_ref()
            .is_ok_and(|(_, rows)| rows.iter().all(|row| !row.fit.fits))
    });
    if let Some(path) = &args.picture {
        picture(&answered, path)?;
    }
    let out = if args.files.json {
        json_lines(&answered, |part, (_, rows)| Ok(quote::fit_json(part, rows)))?
    } else {
        match &answered[..] {
            [(part, Ok((mesh, rows)))] => quote::fit_text(part, mesh, rows, args.machine.is_some()),
            [(_, Err(_))] => String::new(),
            _ => quote::fit_list_text(&list_entries(&answered, |(_, rows)| rows.as_slice())),
        }
    };
    Ok(Outcome {
        out,
        errors,
        exit: exit_code(bad, nowhere),
    })
}

/// The machines in question.
pub(super) fn machines<'a>(
    shop: &'a Shop,
    wanted: Option<&str>,
) -> Result<Vec<&'a Machine>, Failure> {
    let Some(id) = wanted else {
        return Ok(shop.machines.iter().collect());
    };
    let found = shop.machine(id).ok_or_else(|| {
        let known: Vec<&str> = shop.machines.iter().map(|m| m.id.as_str()).collect();
        Failure::of(format!(
            "--machine: the shop has no machine \"{id}\"; it has {}",
            known.join(", ")
        ))
    })?;
    Ok(vec![found])
}

fn rows(
    mesh: &InspectedMesh,
    shop: &Shop,
    machines: &[&Machine],
    down: Option<Rest>,
) -> Vec<FitRow> {
    let footprints = Footprints::of(&mesh.mesh);
    machines
        .iter()
        .map(|machine| {
            let space = machine.space.with_room_for(shop.process.brim_mm);
            let fit: MachineFit = match down {
                Some(rest) => fit_rest(&footprints, rest, &space),
                None => fit_searched(&footprints, &space),
            };
            FitRow {
                machine: machine.id.clone(),
                space,
                fit,
            }
        })
        .collect()
}

/// Draws the first machine that holds the part.
fn picture(answered: &Answered<(InspectedMesh, Vec<FitRow>)>, path: &Path) -> Result<(), Failure> {
    let [(part, result)] = &answered[..] else {
        return Err(Failure::of(
            "--picture: one picture holds one part; give one file",
        ));
    };
    let Ok((mesh, rows)) = result else {
        return Ok(());
    };
    let holding = rows
        .iter()
        .find_map(|row| Some((row, row.fit.poses.first()?)));
    let Some((row, pose)) = holding else {
        return Err(Failure::of(format!(
            "{}: not drawn, for no machine asked holds {part}",
            name(path)
        )));
    };
    write_picture(path, quote::fit_svg(part, mesh, row, pose))
}
