//! What is measured: a machine with a nozzle and a plastic of a shop.

use super::BenchError;
use crate::bead::Bead;
use crate::estimate::{option_bead, option_limits};
use crate::mesh::Mesh;
use crate::motion::Limits;
use crate::pose::{Down, Footprints};
use crate::shop::{Machine, Material, Nozzle, RowUsed, Shop, refusals};

/// What was named; the rest is the shop's default.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Chosen {
    /// A machine's id; else the first that takes nozzle and plastic.
    pub machine: Option<String>,
    /// A nozzle's id; else the shop's default, or the first the machine takes.
    pub nozzle: Option<String>,
    /// A material's id; else the shop's default.
    pub material: Option<String>,
}

/// A machine with a nozzle and a plastic, and what the shop file says of them so far.
#[derive(Debug, Clone, PartialEq)]
pub struct Setup<'s> {
    /// The shop.
    pub shop: &'s Shop,
    /// The machine.
    pub machine: &'s Machine,
    /// The nozzle.
    pub nozzle: &'s Nozzle,
    /// The plastic.
    pub material: &'s Material,
    /// The measured row that serves them, its own or a borrowed one.
    pub row: Option<RowUsed>,
    /// The bead.
    pub bead: Bead,
    /// What the shop file says of speeds, acceleration and melt.
    pub limits: Limits,
}

impl<'s> Setup<'s> {
    /// Finds what was named in a shop, and the shop's defaults for what was not.
    ///
    /// # Errors
    /// [`BenchError`] where an id is unknown, or the machine can't lay the plastic with the nozzle.
    pub fn of(shop: &'s Shop, chosen: &Chosen) -> Result<Setup<'s>, BenchError> {
        let material_id = chosen.material.as_ref().unwrap_or(&shop.default_material);
        let material = shop.material(material_id).ok_or_else(|| {
            unknown(
                "material",
                material_id,
                shop.materials.iter().map(|m| &m.id),
            )
        })?;
        let machine = match &chosen.machine {
            Some(id) => Some(
                shop.machine(id)
                    .ok_or_else(|| unknown("machine", id, shop.machines.iter().map(|m| &m.id)))?,
            ),
            None => None,
        };
        let nozzle = nozzle(shop, chosen, machine, material)?;
        let machine = match machine {
            Some(machine) => machine,
            None => shop
                .machines
                .iter()
                .find(|machine| refusals(machine, nozzle, material, false).is_empty())
                .ok_or_else(|| BenchError::NoMachine {
                    nozzle: nozzle.id.clone(),
                    material: material.id.clone(),
                })?,
        };
        let reasons = refusals(machine, nozzle, material, false);
        if !reasons.is_empty() {
            return Err(BenchError::Refused {
                option: format!("{}/{}/{}", machine.id, nozzle.id, material.id),
                reasons: reasons.join("; "),
            });
        }
        let row = shop.row_for(machine, nozzle, material);
        Ok(Setup {
            shop,
            machine,
            nozzle,
            material,
            bead: option_bead(nozzle, row.as_ref(), None)?,
            limits: option_limits(machine, material, row.as_ref()),
            row,
        })
    }

    /// Area of the feedstock's section, mm2.
    pub fn feedstock_mm2(&self) -> f64 {
        std::f64::consts::PI / 4.0 * self.machine.feedstock_mm * self.machine.feedstock_mm
    }

    /// Whether the row that serves was measured for just this.
    pub fn has_own_row(&self) -> bool {
        self.row.as_ref().is_some_and(|row| row.borrowed.is_none())
    }

    /// Refuses a part that the machine does not hold as drawn.
    ///
    /// # Errors
    /// [`BenchError::DoesNotFit`], which ends in `or`.
    pub(super) fn must_hold(&self, mesh: &Mesh, or: &'static str) -> Result<(), BenchError> {
        let size = mesh.size_mm();
        Footprints::of(mesh)
            .pose_fit(Down::ZMinus, &self.machine.space)
            .map(|_| ())
            .map_err(|miss| BenchError::DoesNotFit {
                size: format!("{:.0} x {:.0} x {:.1}", size.x, size.y, size.z),
                machine: self.machine.id.clone(),
                words: miss.words,
                or,
            })
    }
}

/// The nozzle named; else the shop's default where the machine takes it with this plastic, else the first that it takes.
fn nozzle<'s>(
    shop: &'s Shop,
    chosen: &Chosen,
    machine: Option<&Machine>,
    material: &Material,
) -> Result<&'s Nozzle, BenchError> {
    let named = |id: &String| {
        shop.nozzle(id)
            .ok_or_else(|| unknown("nozzle", id, shop.nozzles.iter().map(|n| &n.id)))
    };
    if let Some(id) = &chosen.nozzle {
        return named(id);
    }
    let usual = named(&shop.default_nozzle)?;
    let Some(machine) = machine else {
        return Ok(usual);
    };
    let takes = |nozzle: &&Nozzle| refusals(machine, nozzle, material, false).is_empty();
    Ok(std::iter::once(usual)
        .chain(&shop.nozzles)
        .find(takes)
        .unwrap_or(usual))
}

fn unknown<'a>(
    what: &'static str,
    id: &str,
    known: impl Iterator<Item = &'a String>,
) -> BenchError {
    let known: Vec<&str> = known.map(String::as_str).collect();
    BenchError::Unknown {
        what,
        id: crate::mesh::plain_text(id),
        known: known.join(", "),
    }
}
