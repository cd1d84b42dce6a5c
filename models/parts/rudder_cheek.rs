//! The rudder cheek: one of the two side plates that hold a lifting rudder blade, 392 x 150 x 20 mm.
//!
//! It has three lightening pockets, four bolt holes for the hinge side and a raised boss round the pivot. Lying flat
//! it is longer than the bed of the demonstration shop's fast machine (310 x 290 mm) allows at any turn; stood on its
//! long edge from corner to corner of that bed it would go.

use super::outline::{Outline, at_height, circle, moved_in, rounded_polygon, rounded_rectangle};
use super::solid::{Facing, Solid, SolidError};

/// Thickness of the plate and of the boss upon it, mm.
const PLATE_MM: f64 = 16.0;
const BOSS_MM: f64 = 4.0;
/// Width and height of the bevel round the plate, mm.
const BEVEL_MM: f64 = 1.5;
/// Material left under the pockets, mm.
const POCKET_FLOOR_MM: f64 = 7.0;
/// Corners of the plate: x, y, radius, mm.
const OUTLINE: [(f64, f64, f64); 6] = [
    (0.0, 0.0, 30.0),
    (250.0, 0.0, 60.0),
    (392.0, 36.0, 25.0),
    (392.0, 114.0, 25.0),
    (250.0, 150.0, 60.0),
    (0.0, 150.0, 30.0),
];
/// Pockets: low corner, high corner, corner radius, mm.
const POCKETS: [([f64; 2], [f64; 2], f64); 3] = [
    ([66.0, 28.0], [150.0, 122.0], 14.0),
    ([162.0, 28.0], [246.0, 122.0], 14.0),
    ([258.0, 42.0], [312.0, 108.0], 12.0),
];
/// Middles of the bolt holes and their radius, mm.
const BOLTS: [[f64; 2]; 4] = [[30.0, 30.0], [30.0, 60.0], [30.0, 90.0], [30.0, 120.0]];
const BOLT_RADIUS_MM: f64 = 4.2;
/// Middle of the pivot, radius of its hole and of its boss, mm.
const PIVOT: [f64; 2] = [350.0, 75.0];
const PIVOT_RADIUS_MM: f64 = 10.0;
const BOSS_RADIUS_MM: f64 = 22.0;

/// Builds the cheek lying on its flat side.
///
/// # Errors
/// [`SolidError`] where the constants do not give a closed solid.
pub fn build() -> Result<Solid, SolidError> {
    let outline = rounded_polygon(&OUTLINE);
    let bevelled = moved_in(&outline, BEVEL_MM);
    let bolts: Vec<Outline> = BOLTS
        .iter()
        .map(|&c| circle(c, BOLT_RADIUS_MM, 48))
        .collect();
    let pockets: Vec<Outline> = POCKETS
        .iter()
        .map(|&(low, high, r)| rounded_rectangle(low, high, r))
        .collect();
    let pivot = circle(PIVOT, PIVOT_RADIUS_MM, 96);
    let boss = circle(PIVOT, BOSS_RADIUS_MM, 96);

    let mut solid = Solid::default();
    let mut below = bolts.clone();
    below.push(pivot.clone());
    solid.level(0.0, Facing::Down, &bevelled, &below)?;
    solid.bands(&[
        at_height(&bevelled, 0.0),
        at_height(&outline, BEVEL_MM),
        at_height(&outline, PLATE_MM - BEVEL_MM),
        at_height(&bevelled, PLATE_MM),
    ])?;
    let mut above = bolts.clone();
    above.extend(pockets.iter().cloned());
    above.push(boss.clone());
    solid.level(PLATE_MM, Facing::Up, &bevelled, &above)?;

    for bolt in &bolts {
        solid.hole(bolt, 0.0, PLATE_MM)?;
    }
    for pocket in &pockets {
        solid.hole(pocket, POCKET_FLOOR_MM, PLATE_MM)?;
        solid.level(POCKET_FLOOR_MM, Facing::Up, pocket, &[])?;
    }
    let boss_top = PLATE_MM + BOSS_MM;
    solid.post(&boss, PLATE_MM, boss_top)?;
    solid.hole(&pivot, 0.0, boss_top)?;
    solid.level(boss_top, Facing::Up, &boss, &[pivot])?;
    solid.checked()
}
