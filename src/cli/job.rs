//! From what was typed to what is asked.

use jiff::civil::{Date, Weekday};
use jiff::{ToSpan, Zoned};
use nalgebra::Vector3;

use super::Failure;
use super::args::{BestByArg, JobArgs, SupportArg, UseArg};
use crate::estimate::{Ask, BestBy, Beyond, Due, Floors, UsedAs, Walls};
use crate::pose::Rest;

/// A direction of the part, as an axis or as three numbers.
fn typed_direction(option: &str, given: Option<&str>) -> Result<Option<Vector3<f64>>, Failure> {
    let Some(given) = given else { return Ok(None) };
    let rest = given.parse::<Rest>().map_err(|_| {
        Failure::of(format!(
            "{option}: {given:?} is no direction; give an axis of the part, such as x or -z, or three numbers, x,y,z"
        ))
    })?;
    Ok(Some(rest.direction()))
}

/// What is asked of every part, for a quantity. `now` is the clock's time in the shop's zone.
pub(super) fn ask(job: &JobArgs, quantity: u32, now: &Zoned) -> Result<Ask, Failure> {
    let down = match &job.down {
        Some(axis) => Some(
            axis.parse::<Rest>()
                .map_err(|e| Failure::of(format!("--down: {e}")))?,
        ),
        None => None,
    };
    Ok(Ask {
        material: job.material.clone(),
        machine: job.machine.clone(),
        nozzle: job.nozzle.clone(),
        fill: job.fill,
        walls: job
            .wall
            .map(Walls::ThicknessMm)
            .or(job.perimeters.map(Walls::Count)),
        layer_height_mm: job.layer_height,
        down,
        loaded_along: typed_direction("--loaded-along", job.loaded_along.as_deref())?,
        face: typed_direction("--face", job.face.as_deref())?,
        support: job.support == SupportArg::Needed,
        beyond: Beyond {
            first_layer_mm: job.first_layer,
            brim_mm: job.brim,
            purge_line_mm: job.purge_line,
            support_clearance_mm: job.clearance,
            contact_layers: job.contact_layers,
        },
        base_model: job.base_model,
        force_soft_nozzle: job.force_soft_nozzle,
        quantity,
        floors: floors(job, now)?,
        best_by: job.best_by.map(|by| match by {
            BestByArg::Price => BestBy::Price,
            BestByArg::Time => BestBy::Time,
            BestByArg::Finish => BestBy::Finish,
        }),
    })
}

fn floors(job: &JobArgs, now: &Zoned) -> Result<Floors, Failure> {
    let due = match &job.due {
        Some(date) => Some(due(date, now)?),
        None => None,
    };
    Ok(Floors {
        used_as: job.used_as.map(|used| match used {
            UseArg::Visible => UsedAs::Visible,
            UseArg::Hidden => UsedAs::Hidden,
            UseArg::Mould => UsedAs::Mould,
        }),
        smallest_feature_mm: job.keep,
        due,
    })
}

/// A due day ends at its midnight.
fn due(text: &str, now: &Zoned) -> Result<Due, Failure> {
    let wrong = |why: &str| Failure::of(format!("--due {text}: {why}; give a day as YYYY-MM-DD"));
    let date: Date = text.parse().map_err(|_| wrong("this is no date"))?;
    let end = date
        .checked_add(1.day())
        .ok()
        .and_then(|next| next.to_zoned(now.time_zone().clone()).ok())
        .ok_or_else(|| wrong("this date is out of range"))?;
    let in_h = (end.timestamp().as_second() - now.timestamp().as_second()) as f64 / 3600.0;
    if in_h <= 0.0 {
        return Err(wrong("this day is over"));
    }
    let day = now.weekday().since(Weekday::Monday) as f64;
    let from_week_min = (day * 24.0 + f64::from(now.hour())) * 60.0 + f64::from(now.minute());
    Ok(Due {
        from_week_min,
        in_h,
    })
}
