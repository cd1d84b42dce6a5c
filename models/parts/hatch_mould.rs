//! The hatch-lid mould: a female mould for laying up a cambered deck-hatch lid, 560 x 440 x 60 mm. The cavity is 480 x
//! 360 mm at the flange, its walls drafted 5 degrees, its floor 34 mm deep at the edge and 44 mm in the middle; eight
//! blind holes in the flange take locating pins. Of the demonstration shop only the gantry holds it.

use super::outline::{Outline, at_height, circle, moved_in, rounded_rectangle};
use super::solid::{Facing, Ring, Solid, SolidError};

/// The block: half length, half width, corner radius and height, mm.
const HALF_LENGTH_MM: f64 = 280.0;
const HALF_WIDTH_MM: f64 = 220.0;
const CORNER_MM: f64 = 40.0;
const HEIGHT_MM: f64 = 60.0;
/// Bevel round the bottom edge, mm.
const BEVEL_MM: f64 = 3.0;
/// The cavity at the flange: half length, half width, corner radius, mm.
const CAVITY_HALF_LENGTH_MM: f64 = 240.0;
const CAVITY_HALF_WIDTH_MM: f64 = 180.0;
const CAVITY_CORNER_MM: f64 = 60.0;
/// Draft of the cavity's walls, degrees.
const DRAFT_DEG: f64 = 5.0;
/// Radius between wall and floor, mm.
const FILLET_MM: f64 = 12.0;
/// Height of the floor at its edge and in the middle, mm.
const FLOOR_EDGE_MM: f64 = 26.0;
const FLOOR_MIDDLE_MM: f64 = 16.0;
/// The pin holes: radius and depth, mm.
const PIN_RADIUS_MM: f64 = 5.0;
const PIN_DEPTH_MM: f64 = 20.0;
/// Middles of the pin holes in one quarter and on the axes, mm.
const PINS: [[f64; 2]; 8] = [
    [255.0, 170.0],
    [-255.0, 170.0],
    [255.0, -170.0],
    [-255.0, -170.0],
    [0.0, 200.0],
    [0.0, -200.0],
    [260.0, 0.0],
    [-260.0, 0.0],
];
/// Rings round the fillet and across the floor.
const FILLET_RINGS: usize = 8;
const FLOOR_RINGS: usize = 20;

/// Builds the mould, cavity up.
///
/// # Errors
/// [`SolidError`] where the constants do not give a closed solid.
pub fn build() -> Result<Solid, SolidError> {
    let block = centred_rectangle(HALF_LENGTH_MM, HALF_WIDTH_MM, CORNER_MM);
    let bevelled = moved_in(&block, BEVEL_MM);
    let pins: Vec<Outline> = PINS.iter().map(|&c| circle(c, PIN_RADIUS_MM, 48)).collect();

    let mut solid = Solid::default();
    solid.level(0.0, Facing::Down, &bevelled, &[])?;
    solid.bands(&[
        at_height(&bevelled, 0.0),
        at_height(&block, BEVEL_MM),
        at_height(&block, HEIGHT_MM),
    ])?;
    let mut openings = pins.clone();
    openings.push(cavity(0.0));
    solid.level(HEIGHT_MM, Facing::Up, &block, &openings)?;
    for pin in &pins {
        solid.hole(pin, HEIGHT_MM - PIN_DEPTH_MM, HEIGHT_MM)?;
        solid.level(HEIGHT_MM - PIN_DEPTH_MM, Facing::Up, pin, &[])?;
    }
    add_cavity(&mut solid)?;
    solid.checked()
}

/// The cavity from the flange down the wall, round the fillet and over the floor to its middle.
fn add_cavity(solid: &mut Solid) -> Result<(), SolidError> {
    let draft = DRAFT_DEG.to_radians();
    let fillet_top = FLOOR_EDGE_MM + FILLET_MM * (1.0 - draft.sin());
    let wall_inset = (HEIGHT_MM - fillet_top) * draft.tan();
    let mut rings: Vec<Ring> = vec![at_height(&cavity(0.0), HEIGHT_MM)];
    for i in 0..=FILLET_RINGS {
        // The angle of the surface from upright, from the draft to level.
        let lean = draft + (90.0_f64.to_radians() - draft) * i as f64 / FILLET_RINGS as f64;
        let inset = wall_inset + FILLET_MM * (draft.cos() - lean.cos());
        rings.push(at_height(
            &cavity(inset),
            fillet_top - FILLET_MM * (lean.sin() - draft.sin()),
        ));
    }
    let floor = cavity(wall_inset + FILLET_MM * draft.cos());
    for i in (1..FLOOR_RINGS).rev() {
        let part = i as f64 / FLOOR_RINGS as f64;
        let z = FLOOR_MIDDLE_MM + (FLOOR_EDGE_MM - FLOOR_MIDDLE_MM) * part * part;
        let shrunk: Outline = floor.iter().map(|&[x, y]| [part * x, part * y]).collect();
        rings.push(at_height(&shrunk, z));
    }
    solid.bands(&rings)?;
    if let Some(last) = rings.last() {
        solid.fan(last, [0.0, 0.0, FLOOR_MIDDLE_MM]);
    }
    Ok(())
}

/// The cavity's outline, moved in by `inset` mm; equally many points whatever the inset.
fn cavity(inset: f64) -> Outline {
    centred_rectangle(
        CAVITY_HALF_LENGTH_MM - inset,
        CAVITY_HALF_WIDTH_MM - inset,
        CAVITY_CORNER_MM - inset,
    )
}

fn centred_rectangle(half_length: f64, half_width: f64, corner: f64) -> Outline {
    rounded_rectangle(
        [-half_length, -half_width],
        [half_length, half_width],
        corner,
    )
}
