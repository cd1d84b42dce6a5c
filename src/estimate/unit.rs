//! Whether a part whose file states no unit may have been drawn in another than millimetres.
//!
//! A bracket drawn in inches and quoted in millimetres is the costliest silent error of the trade: nothing in the file is
//! wrong, and every figure is 16 387 times too small.

use crate::mesh::{InspectedMesh, Unit};
use crate::shop::Shop;

/// A part smaller than this in millimetres, which would fit a bed in inches, is asked about, mm (issue: a judgement without
/// source).
const SMALL_MM: f64 = 15.0;

/// A narrower wall than this many nozzle diameters is no wall (design, Perimeters: `lo`).
const NARROWEST: f64 = 0.85;

/// What a part may have been drawn in.
#[derive(Debug, Clone, PartialEq)]
pub struct UnitDoubt {
    /// Units in which the part makes sense in this shop, millimetres among them where it does.
    pub likely: Vec<Unit>,
    /// Why millimetres are in doubt.
    pub why: String,
    /// Its size taken as millimetres, mm.
    size_mm: [f64; 3],
}

impl UnitDoubt {
    /// What is wrong, for the owner.
    pub fn sentence(&self) -> String {
        let readings: Vec<String> = self.readings().map(|(_, text)| text).collect();
        let signs: Vec<String> = self
            .readings()
            .map(|(unit, _)| format!("--unit {}", unit.sign()))
            .collect();
        format!(
            "the file states no unit, and {}: is it {}? Give {}",
            self.why,
            readings.join(", or "),
            signs.join(" or ")
        )
    }

    /// The question to the customer.
    pub fn question(&self) -> String {
        let readings: Vec<String> = self.readings().map(|(_, text)| text).collect();
        format!(
            "Your file does not say which unit it is drawn in: is the part {}?",
            readings.join(", or ")
        )
    }

    /// Millimetres first, then the others.
    fn readings(&self) -> impl Iterator<Item = (Unit, String)> + '_ {
        let others = self
            .likely
            .iter()
            .copied()
            .filter(|unit| *unit != Unit::Millimetre);
        [Unit::Millimetre].into_iter().chain(others).map(|unit| {
            let size: Vec<String> = self.size_mm.iter().map(|c| plain(c * unit.mm())).collect();
            let drawn = match unit {
                Unit::Millimetre => "",
                Unit::Inch => " (drawn in inches)",
                Unit::Centimetre => " (drawn in centimetres)",
                Unit::Metre => " (drawn in metres)",
                Unit::Foot => " (drawn in feet)",
                Unit::Micron => " (drawn in microns)",
            };
            (unit, format!("{} mm{drawn}", size.join(" x ")))
        })
    }
}

/// A length without needless digits: 254, 101.6, 0.04.
fn plain(mm: f64) -> String {
    let decimals = if mm.abs() >= 1.0 { 1 } else { 3 };
    let text = format!("{mm:.decimals$}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The doubt about a part that was read in millimetres because its file states no unit: only another unit makes its walls wide
/// enough to be laid or fits a bed, or it is under 15 mm and would fit a bed in inches.
///
/// The wall is the mean one, two volumes over the surface: exact for a plate, and wider than the thinnest wall of anything
/// else, so that what it finds too thin is.
pub fn unit_doubt(part: &InspectedMesh, shop: &Shop) -> Option<UnitDoubt> {
    if part.source.unit_stated || part.source.unit != Unit::Millimetre {
        return None;
    }
    let size_mm: [f64; 3] = part.mesh.size_mm().into();
    let wall_mm = 2.0 * part.mass.volume_mm3.abs() / part.mass.area_mm2;
    let narrowest_mm = narrowest_wall_mm(shop);
    let fits = |unit: Unit| {
        let size = size_mm.map(|c| c * unit.mm());
        shop.machines.iter().any(|m| m.space.holds_box(size))
    };
    let layable = |unit: Unit| wall_mm * unit.mm() >= narrowest_mm;
    let likely: Vec<Unit> = Unit::GUESSED
        .into_iter()
        .filter(|unit| fits(*unit) && layable(*unit))
        .collect();
    let longest_mm = size_mm.into_iter().fold(0.0, f64::max);
    let as_drawn = likely.contains(&Unit::Millimetre);
    let why = if likely.is_empty() {
        return None;
    } else if !as_drawn && !layable(Unit::Millimetre) {
        format!(
            "in millimetres its walls are {} mm thick, which no nozzle lays",
            plain(wall_mm)
        )
    } else if !as_drawn {
        "in millimetres no machine holds it".to_owned()
    } else if longest_mm < SMALL_MM && likely.contains(&Unit::Inch) {
        format!("in millimetres it is only {} mm long", plain(longest_mm))
    } else {
        return None;
    };
    Some(UnitDoubt {
        likely,
        why,
        size_mm,
    })
}

/// The narrowest wall that a nozzle of the shop lays, mm.
pub fn narrowest_wall_mm(shop: &Shop) -> f64 {
    let narrowest = shop
        .nozzles
        .iter()
        .map(|n| n.diameter_mm)
        .fold(f64::INFINITY, f64::min);
    NARROWEST * narrowest
}
