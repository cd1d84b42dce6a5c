//! What is asked, looked up in the shop and checked.

use super::EstimateError;
use super::ask::{Ask, Walls};
use super::candidate::bead;
use super::walk::Way;
use crate::bead::{Apron, Bead, Columns, Contact, Laying, Overhang, support_and_held};
use crate::pose::BuildSpace;
use crate::section::{Layers, Region};
use crate::shop::{Machine, Material, Nozzle, Process, Shop};

/// What is asked, looked up in the shop.
pub(super) struct Asked<'a> {
    pub shop: &'a Shop,
    pub ask: &'a Ask,
    pub material: &'a Material,
    /// The shop's way of laying, with what is asked put in.
    pub process: Process,
}

impl<'a> Asked<'a> {
    /// Looks everything asked up.
    pub fn of(shop: &'a Shop, ask: &'a Ask) -> Result<Asked<'a>, EstimateError> {
        let id = ask.material.as_deref().unwrap_or(&shop.default_material);
        let material = shop
            .material(id)
            .ok_or_else(|| unknown("material", id, shop.materials.iter().map(|m| m.id.as_str())))?;
        if let Some(id) = ask
            .machine
            .as_deref()
            .filter(|id| shop.machine(id).is_none())
        {
            return Err(unknown(
                "machine",
                id,
                shop.machines.iter().map(|m| m.id.as_str()),
            ));
        }
        if let Some(id) = ask.nozzle.as_deref().filter(|id| shop.nozzle(id).is_none()) {
            return Err(unknown(
                "nozzle",
                id,
                shop.nozzles.iter().map(|n| n.id.as_str()),
            ));
        }
        if let (Some(machine), Some(nozzle)) = (&ask.machine, &ask.nozzle) {
            let takes = shop
                .machine(machine)
                .map(|m| m.nozzles.as_slice())
                .unwrap_or_default();
            if !takes.contains(nozzle) {
                let (machine, nozzle, takes) = (machine.clone(), nozzle.clone(), takes.join(", "));
                return Err(EstimateError::NotTaken {
                    machine,
                    nozzle,
                    takes,
                });
            }
        }
        check_ranges(ask)?;
        let asked = Asked {
            shop,
            ask,
            material,
            process: process(&shop.process, ask),
        };
        asked.refuse_layer_above_every_nozzle()?;
        Ok(asked)
    }

    /// A layer height that no nozzle in question can lay is wrong whatever the part.
    fn refuse_layer_above_every_nozzle(&self) -> Result<(), EstimateError> {
        let mut beads = self.pairs().into_iter().map(|(machine, nozzle)| {
            let row = self.shop.row_for(machine, nozzle, self.material);
            bead(nozzle, row.as_ref(), self.ask.layer_height_mm)
        });
        match beads.next() {
            Some(Err(first)) if !beads.any(|bead| bead.is_ok()) => Err(first.into()),
            _ => Ok(()),
        }
    }

    /// Every machine with every nozzle it takes, where asked for, in the shop's order.
    pub fn pairs(&self) -> Vec<(&'a Machine, &'a Nozzle)> {
        let shop = self.shop;
        let wanted = |asked: &Option<String>, id: &str| asked.as_deref().is_none_or(|a| a == id);
        let machines = shop
            .machines
            .iter()
            .filter(|m| wanted(&self.ask.machine, &m.id));
        machines
            .flat_map(|m| {
                m.nozzles
                    .iter()
                    .filter_map(move |n| Some((m, shop.nozzle(n)?)))
            })
            .filter(|(_, n)| wanted(&self.ask.nozzle, &n.id))
            .collect()
    }

    /// A machine's space with room for the brim that is laid.
    pub fn space_of(&self, machine: &Machine) -> BuildSpace {
        machine.space.with_room_for(self.process.brim_mm)
    }

    fn overhang(&self) -> Option<Overhang> {
        self.ask.support.then_some(Overhang {
            angle_deg: self.process.overhang_deg,
            free_span_mm: self.process.free_span_mm,
            free_hole_mm: self.process.free_hole_mm,
        })
    }

    /// The support columns of a stack of sections; empty ones where nothing is held up.
    pub fn support(&self, sections: &[Region], layers: &Layers) -> Columns {
        let Some(overhang) = self.overhang() else {
            return Columns::none(sections.len());
        };
        let contact = Contact {
            clearance_mm: self.process.support_clearance_mm,
            layers: self.process.contact_layers,
        };
        let (columns, held_mm2) = support_and_held(sections, layers, &overhang);
        Columns {
            held_mm2,
            ..Columns::with_contact(columns, sections, layers, &contact)
        }
    }

    /// The layers of a part.
    pub fn layers(&self, part_mm: f64, height_mm: f64) -> Layers {
        let first_mm = self.process.first_layer_mm.unwrap_or(height_mm);
        Layers::of(part_mm, first_mm, height_mm)
    }

    pub fn way(&self, bead: Bead, perimeters: u32) -> Way {
        Way {
            laying: Laying {
                bead,
                perimeters,
                fill: self.ask.fill,
                support_fraction: self.process.support_fraction,
            },
            floor_mm: self.process.floor_mm,
            roof_mm: self.process.roof_mm,
            apron: Apron {
                purge_line_mm: self.process.purge_line_mm,
                brim_mm: self.process.brim_mm,
            },
        }
    }
}

/// The shop's process with what is asked in its place. The base model knows no exceptions and no settings beyond it, but for
/// those that are asked.
fn process(of_shop: &Process, ask: &Ask) -> Process {
    let set = |mm: f64| if ask.base_model { 0.0 } else { mm };
    let beyond = &ask.beyond;
    let of_shop_first_mm = of_shop.first_layer_mm.filter(|_| !ask.base_model);
    Process {
        free_span_mm: set(of_shop.free_span_mm),
        free_hole_mm: set(of_shop.free_hole_mm),
        first_layer_mm: beyond.first_layer_mm.or(of_shop_first_mm),
        brim_mm: beyond.brim_mm.unwrap_or(set(of_shop.brim_mm)),
        purge_line_mm: beyond.purge_line_mm.unwrap_or(set(of_shop.purge_line_mm)),
        support_clearance_mm: beyond
            .support_clearance_mm
            .unwrap_or(set(of_shop.support_clearance_mm)),
        contact_layers: beyond.contact_layers.unwrap_or(if ask.base_model {
            0
        } else {
            of_shop.contact_layers
        }),
        ..*of_shop
    }
}

fn unknown<'a>(
    what: &'static str,
    given: &str,
    known: impl Iterator<Item = &'a str>,
) -> EstimateError {
    EstimateError::Unknown {
        what,
        given: given.to_owned(),
        known: known.collect::<Vec<_>>().join(", "),
    }
}

fn check_ranges(ask: &Ask) -> Result<(), EstimateError> {
    let inside = |what, given: f64, least: f64, most: f64, right| {
        let fine = given.is_finite() && given >= least && given <= most;
        if fine {
            Ok(())
        } else {
            Err(EstimateError::OutOfRange { what, given, right })
        }
    };
    inside(
        "the fill",
        ask.fill,
        0.01,
        1.0,
        "a fraction from 0.01 to 1 (1 is solid)",
    )?;
    match ask.walls {
        Some(Walls::ThicknessMm(mm)) => {
            inside(
                "the wall thickness",
                mm,
                0.05,
                500.0,
                "a wall from 0.05 to 500 mm",
            )?;
        }
        Some(Walls::Count(n)) => {
            inside(
                "the number of perimeters",
                f64::from(n),
                1.0,
                1000.0,
                "1 to 1000 perimeters",
            )?;
        }
        None => {}
    }
    if let Some(mm) = ask.layer_height_mm {
        inside(
            "the layer height",
            mm,
            0.02,
            20.0,
            "a layer height from 0.02 to 20 mm",
        )?;
    }
    let beyond = &ask.beyond;
    let beyonds = [
        (
            "the first layer",
            beyond.first_layer_mm,
            0.02,
            20.0,
            "a first layer from 0.02 to 20 mm",
        ),
        (
            "the brim",
            beyond.brim_mm,
            0.0,
            100.0,
            "a brim from 0 to 100 mm",
        ),
        (
            "the purge line",
            beyond.purge_line_mm,
            0.0,
            1e5,
            "a purge line from 0 to 100000 mm",
        ),
        (
            "the clearance",
            beyond.support_clearance_mm,
            0.0,
            10.0,
            "a clearance from 0 to 10 mm",
        ),
        (
            "the contact layers",
            beyond.contact_layers.map(f64::from),
            0.0,
            100.0,
            "0 to 100 contact layers",
        ),
    ];
    for (what, given, least, most, right) in beyonds {
        if let Some(given) = given {
            inside(what, given, least, most, right)?;
        }
    }
    if let Some(mm) = ask.floors.smallest_feature_mm {
        inside(
            "the smallest feature",
            mm,
            0.01,
            1000.0,
            "a width from 0.01 to 1000 mm",
        )?;
    }
    if ask.quantity == 0 {
        return Err(EstimateError::OutOfRange {
            what: "the quantity",
            given: 0.0,
            right: "at least 1 piece",
        });
    }
    Ok(())
}

impl Ask {
    /// Whether a shop has what is asked, and all numbers are in their ranges.
    ///
    /// # Errors
    /// [`EstimateError`] with what the shop has or what would be right.
    pub fn check(&self, shop: &Shop) -> Result<(), EstimateError> {
        Asked::of(shop, self).map(|_| ())
    }
}
