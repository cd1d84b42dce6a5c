//! The cowl vent: a tube that rises from a deck flange, bends through 90 degrees and opens into a bell mouth, 169 mm
//! long, 136 mm wide and 178 mm high, wall 3 mm. The mouth hangs 42 mm above the deck and needs support.

use std::f64::consts::{FRAC_PI_2, PI};

use super::outline::{at_height, circle};
use super::solid::{Facing, Ring, Solid, SolidError};

/// Wall thickness square to the wall, mm.
const WALL_MM: f64 = 3.0;
/// Outer radius of the tube, mm.
const TUBE_RADIUS_MM: f64 = 40.0;
/// Height at which the bend starts, mm, and radius of the bend's middle line.
const BEND_HEIGHT_MM: f64 = 50.0;
const BEND_RADIUS_MM: f64 = 60.0;
/// Length of the bell and outer radius of its mouth, mm.
const BELL_LENGTH_MM: f64 = 45.0;
const MOUTH_RADIUS_MM: f64 = 68.0;
/// The flange: outer radius and thickness, mm.
const FLANGE_RADIUS_MM: f64 = 62.0;
const FLANGE_THICKNESS_MM: f64 = 5.0;
/// The screw holes: how many, radius of each, radius of their circle, mm.
const SCREWS: usize = 4;
const SCREW_RADIUS_MM: f64 = 3.0;
const SCREW_CIRCLE_MM: f64 = 51.0;
/// Chords of each ring, rings along the bend, along the bell and around the lip.
const CHORDS: usize = 72;
const BEND_RINGS: usize = 18;
const BELL_RINGS: usize = 12;
const LIP_RINGS: usize = 6;

/// A place on the middle line: how far along x and z, the angle turned from upright, and the outer radius there with
/// its slope along the line.
struct Station {
    x: f64,
    z: f64,
    angle: f64,
    radius: f64,
    slope: f64,
}

/// Builds the vent standing on its flange, mouth towards +x.
///
/// # Errors
/// [`SolidError`] where the constants do not give a closed solid.
pub fn build() -> Result<Solid, SolidError> {
    let mut solid = Solid::default();
    add_flange(&mut solid)?;
    let stations = stations();
    let mut rings: Vec<Ring> = stations.iter().map(|s| ring(s, s.radius, 0.0)).collect();
    if let Some(mouth) = stations.last() {
        rings.extend(lip(mouth));
    }
    rings.extend(stations.iter().rev().map(|s| ring(s, bore(s), 0.0)));
    rings.push(at_height(&tube_bore(), 0.0));
    solid.bands(&rings)?;
    solid.checked()
}

fn add_flange(solid: &mut Solid) -> Result<(), SolidError> {
    let flange = circle([0.0, 0.0], FLANGE_RADIUS_MM, CHORDS);
    // Turned by an eighth, so that no screw sits under the mouth.
    let turn = PI / SCREWS as f64;
    let screws: Vec<_> = (0..SCREWS)
        .map(|i| turn + 2.0 * turn * i as f64)
        .map(|a| [SCREW_CIRCLE_MM * a.cos(), SCREW_CIRCLE_MM * a.sin()])
        .map(|centre| circle(centre, SCREW_RADIUS_MM, 36))
        .collect();
    let with_screws = |opening| {
        let mut holes = vec![opening];
        holes.extend(screws.iter().cloned());
        holes
    };
    solid.level(0.0, Facing::Down, &flange, &with_screws(tube_bore()))?;
    solid.post(&flange, 0.0, FLANGE_THICKNESS_MM)?;
    let tube = circle([0.0, 0.0], TUBE_RADIUS_MM, CHORDS);
    solid.level(FLANGE_THICKNESS_MM, Facing::Up, &flange, &with_screws(tube))?;
    screws
        .iter()
        .try_for_each(|screw| solid.hole(screw, 0.0, FLANGE_THICKNESS_MM))
}

fn tube_bore() -> Vec<[f64; 2]> {
    circle([0.0, 0.0], TUBE_RADIUS_MM - WALL_MM, CHORDS)
}

/// The middle line from the flange to the mouth.
fn stations() -> Vec<Station> {
    let straight = [
        FLANGE_THICKNESS_MM,
        (FLANGE_THICKNESS_MM + BEND_HEIGHT_MM) / 2.0,
        BEND_HEIGHT_MM,
    ]
    .map(|z| Station {
        x: 0.0,
        z,
        angle: 0.0,
        radius: TUBE_RADIUS_MM,
        slope: 0.0,
    });
    let bend = (1..=BEND_RINGS).map(|i| {
        let angle = FRAC_PI_2 * i as f64 / BEND_RINGS as f64;
        let x = BEND_RADIUS_MM * (1.0 - angle.cos());
        let z = BEND_HEIGHT_MM + BEND_RADIUS_MM * angle.sin();
        Station {
            x,
            z,
            angle,
            radius: TUBE_RADIUS_MM,
            slope: 0.0,
        }
    });
    let bell = (1..=BELL_RINGS).map(|i| {
        let t = i as f64 / BELL_RINGS as f64;
        let flare = MOUTH_RADIUS_MM - TUBE_RADIUS_MM;
        Station {
            x: BEND_RADIUS_MM + BELL_LENGTH_MM * t,
            z: BEND_HEIGHT_MM + BEND_RADIUS_MM,
            angle: FRAC_PI_2,
            radius: TUBE_RADIUS_MM + flare * t * t,
            slope: 2.0 * flare * t / BELL_LENGTH_MM,
        }
    });
    straight.into_iter().chain(bend).chain(bell).collect()
}

/// The half-round lip from the outside of the mouth to the inside.
fn lip(mouth: &Station) -> Vec<Ring> {
    let half = (mouth.radius - bore(mouth)) / 2.0;
    (1..LIP_RINGS)
        .map(|i| PI * i as f64 / LIP_RINGS as f64)
        .map(|a| ring(mouth, mouth.radius - half + half * a.cos(), half * a.sin()))
        .collect()
}

/// The inner radius: the wall measured across the line is thicker than square to itself by the wall's slope.
fn bore(station: &Station) -> f64 {
    station.radius - WALL_MM * (1.0 + station.slope * station.slope).sqrt()
}

/// A circle across the middle line, `ahead` mm past the station.
fn ring(station: &Station, radius: f64, ahead: f64) -> Ring {
    let (sin, cos) = station.angle.sin_cos();
    circle([0.0, 0.0], radius, CHORDS)
        .into_iter()
        .map(|[u, v]| {
            [
                station.x + u * cos + ahead * sin,
                v,
                station.z - u * sin + ahead * cos,
            ]
        })
        .collect()
}
