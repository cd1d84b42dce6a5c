//! What is asked, looked up in the shop and checked.

use super::EstimateError;
use super::ask::{Ask, Walls};
use super::candidate::bead;
use super::walk::Way;
use crate::bead::{Bead, Laying, Overhang, support_regions};
use crate::section::{Layers, Region};
use crate::shop::{Machine, Material, Nozzle, Shop};

/// What is asked, looked up in the shop.
pub(super) struct Asked<'a> {
    pub shop: &'a Shop,
    pub ask: &'a Ask,
    pub material: &'a Material,
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

    fn overhang(&self) -> Option<Overhang> {
        let process = &self.shop.process;
        let free = |mm: f64| if self.ask.base_model { 0.0 } else { mm };
        self.ask.support.then(|| Overhang {
            angle_deg: process.overhang_deg,
            free_span_mm: free(process.free_span_mm),
            free_hole_mm: free(process.free_hole_mm),
        })
    }

    /// The support columns of a stack of sections; empty ones where nothing is held up.
    pub fn support(&self, sections: &[Region], layers: &Layers) -> Vec<Region> {
        match self.overhang() {
            Some(overhang) => support_regions(sections, layers, &overhang),
            None => vec![Region::default(); sections.len()],
        }
    }

    pub fn way(&self, bead: Bead, perimeters: u32) -> Way {
        Way {
            laying: Laying {
                bead,
                perimeters,
                fill: self.ask.fill,
                support_fraction: self.shop.process.support_fraction,
            },
            floor_mm: self.shop.process.floor_mm,
            roof_mm: self.shop.process.roof_mm,
        }
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
