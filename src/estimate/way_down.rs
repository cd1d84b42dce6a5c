//! Which way down a part is laid, and why.

use nalgebra::Vector3;

use super::asked::Asked;
use super::poses::off_layers_deg;
use crate::mesh::InspectedMesh;
use crate::pose::{
    BuildSpace, Down, Footprints, Rest, SearchBudget, SupportGuess, choose_down, search_tilted,
};
use crate::shop::Machine;

/// A load counts as lying in the layers where it leaves them by less than this more than it must, degrees (a judgement
/// without source).
const AS_FLAT_DEG: f64 = 10.0;

/// The way down asked for; else the lowest of the axis-down poses that fit somewhere and need little support, of those in which
/// the direction loaded lies flattest where one is named.
pub(super) fn way_down(
    part: &InspectedMesh,
    footprints: &Footprints<'_>,
    asked: &Asked<'_>,
) -> (Rest, String) {
    let (shop, ask) = (asked.shop, asked.ask);
    if let Some(down) = ask.down {
        return (down, "as asked".to_owned());
    }
    let wanted = |m: &&Machine| ask.machine.as_deref().is_none_or(|id| id == m.id);
    let machines = shop.machines.iter().filter(wanted);
    let spaces: Vec<BuildSpace> = machines.map(|m| asked.space_of(m)).collect();
    let guess = SupportGuess {
        overhang_deg: shop.process.overhang_deg,
        support_fraction: shop.process.support_fraction,
    };
    let flattest = ask
        .loaded_along
        .map(|along| flattest(&along, footprints, &spaces));
    let chosen = choose_down(
        &part.mesh,
        footprints,
        &spaces,
        part.mass.volume_mm3,
        &guess,
        flattest.as_deref().unwrap_or_default(),
    );
    if !chosen
        .candidates
        .iter()
        .any(|candidate| candidate.fits_somewhere)
        && let Some(tilted) = tilted(footprints, &spaces)
    {
        return tilted;
    }
    let load = ask.loaded_along.map_or(String::new(), |along| {
        match off_layers_deg(&along, chosen.down.into()) {
            off if off < AS_FLAT_DEG => ", its layers along the load".to_owned(),
            off => format!(
                ", its layers as near to the load as any such pose has them, {off:.0} degrees off"
            ),
        }
    });
    (chosen.down.into(), chosen.why + &load)
}

/// The first pose that fits a machine where no axis-down one does: one in which the part stands on its own, else the least
/// tilted.
fn tilted(footprints: &Footprints<'_>, spaces: &[BuildSpace]) -> Option<(Rest, String)> {
    let searches = spaces
        .iter()
        .map(|space| search_tilted(footprints, space, &SearchBudget::default()));
    let found: Vec<Rest> = searches
        .filter_map(|search| search.found.first().map(|pose| pose.down))
        .collect();
    let standing = &footprints.rests().poses;
    let stands = |rest: &&Rest| standing.iter().any(|pose| pose.rest == **rest);
    let rest = *found.iter().find(stands).or(found.first())?;
    let how = if stands(&&rest) {
        "standing on a face"
    } else {
        "on an edge, held up from below"
    };
    Some((
        rest,
        format!(
            "{}, {how}: no axis-down pose fits any machine",
            rest.in_words()
        ),
    ))
}

/// Of the poses that fit somewhere (of all where none does), those whose layers lie nearest to a direction.
fn flattest(along: &Vector3<f64>, footprints: &Footprints<'_>, spaces: &[BuildSpace]) -> Vec<Down> {
    let fits = |down: &Down| spaces.iter().any(|space| footprints.fits(*down, space));
    let fitting: Vec<Down> = Down::ALL.into_iter().filter(fits).collect();
    let in_question = if fitting.is_empty() {
        Down::ALL.to_vec()
    } else {
        fitting
    };
    let off_deg = |down: &Down| off_layers_deg(along, Rest::Axis(*down));
    let least_deg = in_question
        .iter()
        .map(off_deg)
        .fold(f64::INFINITY, f64::min);
    in_question
        .into_iter()
        .filter(|down| off_deg(down) < least_deg + AS_FLAT_DEG)
        .collect()
}
