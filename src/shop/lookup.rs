//! Finds things in a shop by id, and the measured row that serves an option.

use super::{Machine, Material, MeasuredRow, Nozzle, RowUsed, Shop};

impl Shop {
    /// The machine of that id.
    pub fn machine(&self, id: &str) -> Option<&Machine> {
        self.machines.iter().find(|machine| machine.id == id)
    }

    /// The nozzle of that id.
    pub fn nozzle(&self, id: &str) -> Option<&Nozzle> {
        self.nozzles.iter().find(|nozzle| nozzle.id == id)
    }

    /// The plastic of that id.
    pub fn material(&self, id: &str) -> Option<&Material> {
        self.materials.iter().find(|material| material.id == id)
    }

    /// The measured row that serves an option: its own, else the nearest one of the same machine.
    ///
    /// Nearest is, in this order: a row of a nozzle of the same bore and metal; a row of the same plastic; the nearest
    /// bore; the same metal; a plastic that is abrasive as this one is or plain as this one is; the nearest nozzle
    /// temperature (middle of the window); the earliest in the file. A judgement without source: one machine's
    /// nozzles of one bore and metal differ least, then one plastic in neighbouring bores.
    ///
    /// A row borrowed from another bore or metal lends its melt limit and margin only: bead sizes and speeds belong
    /// to the nozzle they were measured with. The row names the option it was measured for. `None` where the machine
    /// has no row at all; then nothing is known of its melt limit, which [`no_row`] says.
    pub fn row_for(
        &self,
        machine: &Machine,
        nozzle: &Nozzle,
        material: &Material,
    ) -> Option<RowUsed> {
        let (donor, row) = self
            .measured
            .iter()
            .filter(|row| row.machine == machine.id)
            .filter_map(|row| {
                let donor = Donor {
                    nozzle: self.nozzle(&row.nozzle)?,
                    material: self.material(&row.material)?,
                };
                Some((donor, row))
            })
            .min_by(|a, b| {
                let a = a.0.distance(nozzle, material);
                let b = b.0.distance(nozzle, material);
                a.iter()
                    .zip(b)
                    .map(|(a, b)| a.total_cmp(&b))
                    .find(|o| o.is_ne())
                    .unwrap_or(std::cmp::Ordering::Equal)
            })?;
        if donor.nozzle.id == nozzle.id && donor.material.id == material.id {
            return Some(RowUsed {
                row: row.clone(),
                borrowed: None,
            });
        }
        let same_nozzle = donor.alike(nozzle);
        let row = if same_nozzle {
            row.clone()
        } else {
            melt_limit_only(row)
        };
        let lent = if same_nozzle {
            ""
        } else {
            "; only its melt limit and margin are taken over"
        };
        let borrowed = format!(
            "no measured row for {}/{}/{}, borrowed from {}/{}/{}{lent}",
            machine.id, nozzle.id, material.id, row.machine, row.nozzle, row.material
        );
        Some(RowUsed {
            row,
            borrowed: Some(borrowed),
        })
    }
}

/// What an answer says where a machine has no measured row at all.
pub fn no_row(machine: &Machine) -> String {
    format!(
        "machine {} has no measured row, so nothing here knows its melt limit; hours may be too low",
        machine.id
    )
}

/// What a row was measured with.
struct Donor<'s> {
    nozzle: &'s Nozzle,
    material: &'s Material,
}

impl Donor<'_> {
    /// Whether its nozzle is of the same bore and metal.
    fn alike(&self, nozzle: &Nozzle) -> bool {
        self.nozzle.diameter_mm == nozzle.diameter_mm && self.nozzle.metal == nozzle.metal
    }

    /// How far it is from an option; compared part by part, the first that differs decides.
    fn distance(&self, nozzle: &Nozzle, material: &Material) -> [f64; 8] {
        let unlike = |differs: bool| f64::from(u8::from(differs));
        let middle = |plastic: &Material| (plastic.nozzle_c.0 + plastic.nozzle_c.1) / 2.0;
        [
            unlike(self.nozzle.id != nozzle.id || self.material.id != material.id),
            unlike(!self.alike(nozzle)),
            unlike(self.material.id != material.id),
            (self.nozzle.diameter_mm - nozzle.diameter_mm).abs(),
            unlike(self.nozzle.metal != nozzle.metal),
            unlike(self.material.abrasive != material.abrasive),
            (middle(self.material) - middle(material)).abs(),
            unlike(self.nozzle.id != nozzle.id),
        ]
    }
}

fn melt_limit_only(row: &MeasuredRow) -> MeasuredRow {
    MeasuredRow {
        layer_height_mm: None,
        bead_width_mm: None,
        outer_mm_s: None,
        inner_mm_s: None,
        fill_mm_s: None,
        open_mm_s: None,
        sliver_mm_s: None,
        support_mm_s: None,
        ..row.clone()
    }
}
