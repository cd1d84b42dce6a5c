//! Reads the bed and the space above it of a `[[machine]]`.

use super::ShopError;
use super::field::{Field, machine as field};
use super::table::ShopTable;
use crate::pose::{Bed, BuildSpace, Narrowing, Place, SpaceFault};

const CORNERS_RIGHT: &str = "give the bed's corners in order around it, such as bed_corners_mm = [[0, 0], [300, 0], [300, 200], [0, 200]]";
const KEEP_OUT_RIGHT: &str = "give a list of places, each by two opposite corners or by all its corners in order, such as keep_out_mm = [[[280, 270], [310, 290]]]";
const REACH_RIGHT: &str =
    "give two opposite corners in mm, such as reach_mm = [[0, 0], [300, 280]]";
const STEPS_RIGHT: &str = "give steps such as narrower_above = [{ from_mm = 250, inset_mm = 40 }]";

/// Corners of one outline, places and steps, at most.
const MOST_CORNERS: usize = 500;
const MOST_PLACES: usize = 50;
const MOST_STEPS: usize = 20;

/// Reads the space; the edge margin may come from the machine's kind.
pub(super) fn read_space(
    table: &ShopTable<'_>,
    edge_margin_mm: impl FnOnce() -> Result<f64, ShopError>,
) -> Result<BuildSpace, ShopError> {
    let (bed, key) = read_bed(table)?;
    let height_mm = table.need_number(&field::HEIGHT)?;
    let edge_margin_mm = edge_margin_mm()?;
    refuse_wide_margin(table, &bed, key, edge_margin_mm)?;
    let space = BuildSpace {
        edge_margin_mm,
        keep_out_mm: read_keep_outs(table)?,
        reach: read_reach(table)?,
        narrower_above: read_steps(table)?,
        ..BuildSpace::new(bed, height_mm)
    };
    match space.fault() {
        Some(fault) => {
            let key = match fault {
                SpaceFault::Bed(_) => key,
                SpaceFault::Margin if table.has(field::EDGE.key) => field::EDGE.key,
                SpaceFault::Margin => key,
                SpaceFault::Reach => "reach_mm",
                SpaceFault::KeepOut(..)
                | SpaceFault::KeepOutOutside(_)
                | SpaceFault::KeepOutAll => "keep_out_mm",
                SpaceFault::StepHeight(_) | SpaceFault::StepWider(_) | SpaceFault::StepAll(_) => {
                    "narrower_above"
                }
            };
            Err(table.error(key, fault.to_string()))
        }
        None => Ok(space),
    }
}

fn read_bed(table: &ShopTable<'_>) -> Result<(Bed, &'static str), ShopError> {
    let keys = ["bed_mm", "bed_diameter_mm", "bed_corners_mm"];
    let mut given = keys.into_iter().filter(|key| table.has(key));
    let key = given.next();
    if let Some(twice) = given.next() {
        let fault = "the bed is given twice; keep bed_mm for a rectangle, bed_diameter_mm for a round bed or \
                     bed_corners_mm for any other outline";
        return Err(table.error(twice, fault));
    }
    match key {
        Some("bed_mm") => {
            let (x_mm, y_mm) = table.pair(&field::BED_SIDE)?;
            Ok((Bed::Rectangle { x_mm, y_mm }, "bed_mm"))
        }
        Some("bed_diameter_mm") => {
            let diameter_mm = table.need_number(&field::BED_DIAMETER)?;
            Ok((Bed::Circle { diameter_mm }, "bed_diameter_mm"))
        }
        Some(key) => {
            let corners_mm = table
                .points(&field::BED_CORNER, CORNERS_RIGHT, MOST_CORNERS)?
                .unwrap_or_default();
            Ok((Bed::Polygon { corners_mm }, key))
        }
        None => {
            let right = "give bed_mm = [width, depth], bed_diameter_mm for a round bed, or bed_corners_mm for any other outline";
            Err(table.missing("bed_mm", right))
        }
    }
}

fn refuse_wide_margin(
    table: &ShopTable<'_>,
    bed: &Bed,
    key: &str,
    margin_mm: f64,
) -> Result<(), ShopError> {
    let narrowest = match bed {
        Bed::Rectangle { x_mm, y_mm } => x_mm.min(*y_mm),
        Bed::Circle { diameter_mm } => *diameter_mm,
        Bed::Polygon { .. } => return Ok(()),
    };
    if 2.0 * margin_mm < narrowest {
        return Ok(());
    }
    let fault = format!(
        "an edge margin of {margin_mm} mm leaves nothing of a bed of {narrowest} mm; give a margin below half of it"
    );
    let key = if table.has(field::EDGE.key) {
        field::EDGE.key
    } else {
        key
    };
    Err(table.error(key, fault))
}

/// Two opposite corners are a rectangle, more an outline.
fn read_keep_outs(table: &ShopTable<'_>) -> Result<Vec<Vec<[f64; 2]>>, ShopError> {
    let places =
        table.lists_of_points(&field::KEEP_OUT, KEEP_OUT_RIGHT, MOST_PLACES, MOST_CORNERS)?;
    let outline = |corners: Vec<[f64; 2]>| match corners[..] {
        [[x0, y0], [x1, y1]] if x0 != x1 && y0 != y1 => {
            vec![[x0, y0], [x1, y0], [x1, y1], [x0, y1]]
        }
        _ => corners,
    };
    Ok(places
        .unwrap_or_default()
        .into_iter()
        .map(outline)
        .collect())
}

fn read_reach(table: &ShopTable<'_>) -> Result<Option<Place>, ShopError> {
    let Some(corners) = table.points(&field::REACH, REACH_RIGHT, MOST_CORNERS)? else {
        return Ok(None);
    };
    match corners[..] {
        [[x0, y0], [x1, y1]] if x0 != x1 && y0 != y1 => Ok(Some(Place {
            from_mm: [x0.min(x1), y0.min(y1)],
            to_mm: [x0.max(x1), y0.max(y1)],
        })),
        [_, _] => {
            let fault = format!("two corners that enclose nothing; {REACH_RIGHT}");
            Err(table.error("reach_mm", fault))
        }
        _ => {
            let fault = format!("{} corners; {REACH_RIGHT}", corners.len());
            Err(table.error("reach_mm", fault))
        }
    }
}

fn read_steps(table: &ShopTable<'_>) -> Result<Vec<Narrowing>, ShopError> {
    let numbers: [&Field; 2] = [&field::STEP_FROM, &field::STEP_INSET];
    let steps = table.rows("narrower_above", numbers, STEPS_RIGHT, MOST_STEPS)?;
    let step = |[from_mm, inset_mm]: [f64; 2]| Narrowing { from_mm, inset_mm };
    Ok(steps.into_iter().map(step).collect())
}
