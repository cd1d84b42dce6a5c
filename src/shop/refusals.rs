//! Why an option can't be printed.

use super::{Machine, Material, Nozzle};

/// Feedstock diameters nearer than this are the same, mm: stock is sold in 1.75 and 2.85.
const SAME_FEEDSTOCK_MM: f64 = 0.05;

/// Every reason for which a machine with a nozzle can't print a plastic, one plain sentence each; empty where it can.
/// `forced` lets an abrasive plastic through a soft nozzle, and nothing else.
pub fn refusals(
    machine: &Machine,
    nozzle: &Nozzle,
    material: &Material,
    forced: bool,
) -> Vec<String> {
    let wear = if forced {
        None
    } else {
        soft_nozzle(nozzle, material)
    };
    [
        nozzle_not_taken(machine, nozzle),
        wear,
        nozzle_temperature(machine, material),
        bed_temperature(machine, material),
        enclosure(machine, material),
        feedstock(machine, material),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn nozzle_not_taken(machine: &Machine, nozzle: &Nozzle) -> Option<String> {
    if machine.nozzles.contains(&nozzle.id) {
        return None;
    }
    let takes = machine.nozzles.join(", ");
    Some(format!(
        "{} does not take nozzle {}; it takes {takes}",
        machine.id, nozzle.id
    ))
}

fn soft_nozzle(nozzle: &Nozzle, material: &Material) -> Option<String> {
    (material.abrasive && nozzle.metal.soft()).then(|| {
        format!(
            "{} is abrasive and wears the soft {} nozzle {}",
            material.id,
            nozzle.metal.name(),
            nozzle.id
        )
    })
}

fn nozzle_temperature(machine: &Machine, material: &Material) -> Option<String> {
    let (least, greatest) = material.nozzle_c;
    let needs = format!(
        "{} needs the nozzle at {least} to {greatest} C",
        material.id
    );
    if machine.nozzle_max_c < least {
        Some(format!(
            "{needs}; {} reaches {} C",
            machine.id, machine.nozzle_max_c
        ))
    } else if machine.nozzle_min_c > greatest {
        Some(format!(
            "{needs}; {} holds no less than {} C",
            machine.id, machine.nozzle_min_c
        ))
    } else {
        None
    }
}

fn bed_temperature(machine: &Machine, material: &Material) -> Option<String> {
    let needs = format!("{} needs the bed at {} C", material.id, material.bed_c);
    if machine.bed_max_c < material.bed_c {
        Some(format!(
            "{needs}; {} reaches {} C",
            machine.id, machine.bed_max_c
        ))
    } else if machine.bed_min_c > material.bed_c {
        Some(format!(
            "{needs}; {} holds no less than {} C",
            machine.id, machine.bed_min_c
        ))
    } else {
        None
    }
}

fn enclosure(machine: &Machine, material: &Material) -> Option<String> {
    (material.needs_enclosure && !machine.enclosed).then(|| {
        format!(
            "{} needs an enclosed machine; {} is open",
            material.id, machine.id
        )
    })
}

fn feedstock(machine: &Machine, material: &Material) -> Option<String> {
    let same = |stocked: &f64| (stocked - machine.feedstock_mm).abs() < SAME_FEEDSTOCK_MM;
    if material.feedstock_mm.iter().any(same) {
        return None;
    }
    let stocked: Vec<String> = material.feedstock_mm.iter().map(f64::to_string).collect();
    Some(format!(
        "{} is stocked in {} mm; {} takes {} mm",
        material.id,
        stocked.join(" and "),
        machine.id,
        machine.feedstock_mm
    ))
}
