//! `fit --cut-into`: a part too large for a machine, cut into pieces that fit, priced together and written as files.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use super::args::FitArgs;
use super::fit::machines;
use super::parts::{BadPart, Reading, files, name, plain, refuse_doubtful_unit};
use super::run::{answer_all, errors, exit_code};
use super::{BAD, Failure, Outcome, shop};
use crate::bench::stl_bytes;
use crate::cut::{CutError, CutPlan, plan};
use crate::estimate::{Ask, estimate_pieces};
use crate::mesh::InspectedMesh;
use crate::pose::Footprints;
use crate::quote::{self, CutPart};
use crate::shop::{Machine, Shop};

/// What became of a part.
enum Answer {
    Cut(Box<CutPart>),
    /// Machines that hold it as it is.
    Whole(Vec<String>),
    /// Why no machine takes it in pieces.
    No(String),
}

/// Runs `fit --cut-into DIR`.
pub(super) fn cut_into(args: &FitArgs, folder: &Path) -> Result<Outcome, Failure> {
    let shop = shop::open(&args.shop)?;
    let machines = machines(&shop, args.machine.as_deref())?;
    let reading = Reading::of(&args.files, &shop);
    let answered = answer_all(&files(&args.files.parts)?, &reading, |mesh| {
        refuse_doubtful_unit(&mesh, &reading)?;
        cut_for(&mesh, &shop, &machines)
    });
    let (mut errors, mut exit) = errors(&answered);
    let json = args.files.json;
    let mut texts = Vec::new();
    let mut no = false;
    for (part, answer) in &answered {
        let Ok(answer) = answer else { continue };
        texts.push(match answer {
            Answer::Cut(cut) => match write_pieces(folder, part, cut) {
                Ok(written) if json => quote::cut_json(part, cut, &written) + "\n",
                Ok(written) => quote::cut_text(part, cut, &written, &shop),
                Err(failure) => {
                    errors.push(failure.sentence);
                    exit = BAD;
                    continue;
                }
            },
            Answer::Whole(machines) if json => quote::whole_json(part, machines) + "\n",
            Answer::Whole(machines) => quote::whole_text(part, machines),
            Answer::No(why) => {
                no = true;
                if json {
                    let ask = "May the part be made smaller, or of other pieces?";
                    quote::bad_part_json(part, why, ask) + "\n"
                } else {
                    quote::not_cut_text(part, why)
                }
            }
        });
    }
    Ok(Outcome {
        out: texts.join(if json { "" } else { "\n" }),
        errors,
        exit: exit_code(exit, no),
    })
}

/// Cuts a part that no machine in question holds for the one that takes the fewest pieces; of those alike, for the cheapest
/// together, then the first.
fn cut_for(mesh: &InspectedMesh, shop: &Shop, machines: &[&Machine]) -> Result<Answer, BadPart> {
    let space = |machine: &Machine| machine.space.with_room_for(shop.process.brim_mm);
    let footprints = Footprints::of(&mesh.mesh);
    let whole = machines
        .iter()
        .filter(|machine| footprints.fits_on_an_axis(&space(machine)));
    let whole: Vec<String> = whole.map(|machine| machine.id.clone()).collect();
    if !whole.is_empty() {
        return Ok(Answer::Whole(whole));
    }
    let plans: Vec<(&Machine, Result<CutPlan, CutError>)> = machines
        .par_iter()
        .map(|machine| (*machine, plan(mesh, &space(machine))))
        .collect();
    let made = plans
        .iter()
        .filter_map(|(machine, plan)| Some((*machine, plan.as_ref().ok()?)));
    let Some(fewest) = made.clone().map(|(_, plan)| plan.pieces.len()).min() else {
        return no_plan(plans);
    };
    let together = |(machine, plan): (&Machine, &CutPlan)| CutPart {
        volume_mm3: mesh.mass.volume_mm3,
        machine: machine.id.clone(),
        plan: plan.clone(),
        together: estimate_pieces(plan, shop, &Ask::default(), &machine.id)
            .map_err(|error| error.to_string()),
    };
    let alike: Vec<CutPart> = made
        .filter(|(_, plan)| plan.pieces.len() == fewest)
        .map(together)
        .collect();
    let price = |cut: &CutPart| cut.together.as_ref().ok().map(|t| t.order.total);
    let best = alike.into_iter().reduce(|best, next| {
        let cheaper = match (price(&best), price(&next)) {
            (Some(best), Some(next)) => next < best,
            (None, Some(_)) => true,
            _ => false,
        };
        if cheaper { next } else { best }
    });
    Ok(best.map_or_else(
        || Answer::No("no machine takes it in pieces".to_owned()),
        |cut| Answer::Cut(Box::new(cut)),
    ))
}

/// Why no machine takes a part: bad where the mesh is, else an answer.
fn no_plan(plans: Vec<(&Machine, Result<CutPlan, CutError>)>) -> Result<Answer, BadPart> {
    let mut sentences = Vec::new();
    for (machine, plan) in plans {
        let Err(error) = plan else { continue };
        if !matches!(error, CutError::NoneFound { .. } | CutError::NoRoom) {
            return Err(BadPart {
                error: error.to_string(),
                ask: "Could you export the part as one closed solid that does not run through itself?"
                    .to_owned(),
                question: false,
            });
        }
        sentences.push(format!("{}: {error}", machine.id));
    }
    Ok(Answer::No(sentences.join("; ")))
}

/// Writes the pieces beside one another; none where one of the files is there already.
fn write_pieces(folder: &Path, part: &str, cut: &CutPart) -> Result<Vec<String>, Failure> {
    let failed = |path: &Path, error: &std::io::Error| {
        Failure::of(format!(
            "{}: {}; give --cut-into a folder that can be written",
            name(path),
            plain(error)
        ))
    };
    fs::create_dir_all(folder).map_err(|error| failed(folder, &error))?;
    let stem = file_stem(part);
    let path =
        |number: usize| folder.join(format!("{stem}_{}_piece_{}.stl", cut.machine, number + 1));
    let paths: Vec<PathBuf> = (0..cut.plan.pieces.len()).map(path).collect();
    if let Some(there) = paths.iter().find(|path| path.exists()) {
        return Err(Failure::of(format!(
            "{}: the file is there already and is not overwritten; give --cut-into another folder",
            name(there)
        )));
    }
    for (path, piece) in paths.iter().zip(&cut.plan.pieces) {
        let mut file = fs::File::create_new(path).map_err(|error| failed(path, &error))?;
        file.write_all(&stl_bytes(&piece.part.mesh))
            .map_err(|error| failed(path, &error))?;
    }
    Ok(paths.iter().map(|path| name(path)).collect())
}

/// A part's name as it may stand in a file's.
pub(super) fn file_stem(part: &str) -> String {
    let last = part.rsplit(['/', '\\']).next().unwrap_or(part);
    let stem = last.rsplit_once('.').map_or(last, |(stem, _)| stem);
    let stem = if stem.is_empty() { "part" } else { stem };
    let allowed = |c: char| c.is_alphanumeric() || matches!(c, '.' | '-' | '_');
    stem.chars()
        .take(80)
        .map(|c| if allowed(c) { c } else { '_' })
        .collect()
}
