//! The instrument binnacle: a hollow round pedestal for a deck compass or log, 128 mm over its flange and about 158 mm
//! high, open below and above. The wall is 1.8 mm, the flange has six screw holes, a ledge inside the rim seats the
//! instrument, and the bowl leans 18 degrees towards the helm.

use super::outline::{at_height, circle, smooth_step};
use super::solid::{Facing, Point, Ring, Solid, SolidError};

/// Wall thickness square to the wall, mm; the lean thins or thickens it by up to a tenth.
const WALL_MM: f64 = 1.8;
/// Outer radius of the pedestal at the deck, mm.
const FOOT_RADIUS_MM: f64 = 50.0;
/// Outer radius of the neck, mm, and its height.
const NECK_RADIUS_MM: f64 = 42.0;
const NECK_HEIGHT_MM: f64 = 70.0;
/// Outer radius of the bowl, mm, and the height from which it is a cylinder.
const BOWL_RADIUS_MM: f64 = 56.0;
const BOWL_HEIGHT_MM: f64 = 112.0;
/// Height of the rim's middle, mm.
const RIM_HEIGHT_MM: f64 = 140.0;
/// Slope of the rim: the tangent of 18 degrees.
const RIM_SLOPE: f64 = 0.324_919_696;
/// Between these heights, mm, the lean grows from nothing to its full value.
const LEAN_FROM_MM: f64 = 25.0;
const LEAN_TO_MM: f64 = 125.0;
/// The ledge that seats the instrument: how far below the rim, inner radius and thickness, mm.
const LEDGE_DEPTH_MM: f64 = 6.0;
const LEDGE_RADIUS_MM: f64 = 50.0;
const LEDGE_THICKNESS_MM: f64 = 2.0;
/// The flange: outer radius and thickness, mm.
const FLANGE_RADIUS_MM: f64 = 64.0;
const FLANGE_THICKNESS_MM: f64 = 3.0;
/// The screw holes: how many, radius of each, radius of their circle, mm.
const SCREWS: usize = 6;
const SCREW_RADIUS_MM: f64 = 2.25;
const SCREW_CIRCLE_MM: f64 = 57.0;
/// Chords of each ring, and the height between rings, mm.
const CHORDS: usize = 80;
const RING_STEP_MM: f64 = 5.0;

/// Builds the binnacle standing on its flange.
///
/// # Errors
/// [`SolidError`] where the constants do not give a closed solid.
pub fn build() -> Result<Solid, SolidError> {
    let mut solid = Solid::default();
    let flange = circle([0.0, 0.0], FLANGE_RADIUS_MM, CHORDS);
    let screws: Vec<_> = circle([0.0, 0.0], SCREW_CIRCLE_MM, SCREWS)
        .into_iter()
        .map(|centre| circle(centre, SCREW_RADIUS_MM, 32))
        .collect();
    let with_screws = |opening: f64| {
        let mut holes = vec![circle([0.0, 0.0], opening, CHORDS)];
        holes.extend(screws.iter().cloned());
        holes
    };

    solid.level(0.0, Facing::Down, &flange, &with_screws(inner_radius(0.0)))?;
    solid.post(&flange, 0.0, FLANGE_THICKNESS_MM)?;
    let foot = outer_radius(FLANGE_THICKNESS_MM);
    solid.level(FLANGE_THICKNESS_MM, Facing::Up, &flange, &with_screws(foot))?;
    for screw in &screws {
        solid.hole(screw, 0.0, FLANGE_THICKNESS_MM)?;
    }

    let mut rings: Vec<Ring> = vec![leaning_ring(foot, FLANGE_THICKNESS_MM)];
    rings.extend(
        heights_between(FLANGE_THICKNESS_MM, RIM_HEIGHT_MM)
            .map(|z| leaning_ring(outer_radius(z), z)),
    );
    rings.push(leaning_ring(BOWL_RADIUS_MM, RIM_HEIGHT_MM));
    rings.extend(inside_from_rim_to_deck());
    solid.bands(&rings)?;
    solid.checked()
}

fn inside_from_rim_to_deck() -> Vec<Ring> {
    let bore = inner_radius(RIM_HEIGHT_MM);
    let seat = RIM_HEIGHT_MM - LEDGE_DEPTH_MM;
    let ledge_foot = seat - LEDGE_THICKNESS_MM;
    // The ledge runs back into the wall at 45 degrees so that it prints without support.
    let bracket_foot = ledge_foot - (bore - LEDGE_RADIUS_MM);
    let mut rings = vec![
        leaning_ring(bore, RIM_HEIGHT_MM),
        leaning_ring(bore, seat),
        leaning_ring(LEDGE_RADIUS_MM, seat),
        leaning_ring(LEDGE_RADIUS_MM, ledge_foot),
        leaning_ring(bore, bracket_foot),
    ];
    let mut down: Vec<f64> = heights_between(0.0, bracket_foot).collect();
    down.reverse();
    rings.extend(down.into_iter().map(|z| leaning_ring(inner_radius(z), z)));
    rings.push(leaning_ring(inner_radius(0.0), 0.0));
    rings
}

/// Whole steps above `low` and below `high`, mm.
fn heights_between(low: f64, high: f64) -> impl Iterator<Item = f64> {
    (1..)
        .map(|i| f64::from(i) * RING_STEP_MM)
        .skip_while(move |z| *z <= low + 0.5)
        .take_while(move |z| *z < high - 0.5)
}

fn outer_radius(z: f64) -> f64 {
    if z <= NECK_HEIGHT_MM {
        FOOT_RADIUS_MM + (NECK_RADIUS_MM - FOOT_RADIUS_MM) * z / NECK_HEIGHT_MM
    } else {
        NECK_RADIUS_MM
            + (BOWL_RADIUS_MM - NECK_RADIUS_MM) * smooth_step(z, NECK_HEIGHT_MM, BOWL_HEIGHT_MM)
    }
}

/// The wall measured level is thicker than square to itself by the wall's slope.
fn inner_radius(z: f64) -> f64 {
    let slope = (outer_radius(z + 0.01) - outer_radius(z - 0.01)) / 0.02;
    outer_radius(z) - WALL_MM * (1.0 + slope * slope).sqrt()
}

/// A circle about the axis whose plane leans more the higher it stands.
fn leaning_ring(radius: f64, z: f64) -> Ring {
    let lean = RIM_SLOPE * smooth_step(z, LEAN_FROM_MM, LEAN_TO_MM);
    at_height(&circle([0.0, 0.0], radius, CHORDS), z)
        .into_iter()
        .map(|[x, y, z]| -> Point { [x, y, z + lean * x] })
        .collect()
}
