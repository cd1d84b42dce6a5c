//! The cleat block: a bulky block under a mooring line, 132 x 56 x 48 mm, mostly solid. Two line holes cross it from
//! side to side and two counterbored bolts go down through it between them.

use super::outline::{Outline, at_depth, circle, moved_in, rounded_polygon};
use super::solid::{Facing, Point, Solid, SolidError};

/// Width from side to side, mm.
const WIDTH_MM: f64 = 56.0;
/// Height, mm.
const HEIGHT_MM: f64 = 48.0;
/// Width of the bevel round both sides, mm.
const BEVEL_MM: f64 = 2.0;
/// Corners of the side view: x, z, radius, mm.
const SIDE_VIEW: [(f64, f64, f64); 6] = [
    (0.0, 0.0, 3.0),
    (132.0, 0.0, 3.0),
    (132.0, 22.0, 10.0),
    (104.0, HEIGHT_MM, 12.0),
    (28.0, HEIGHT_MM, 12.0),
    (0.0, 22.0, 10.0),
];
/// Middles of the line holes in x and z, and their radius, mm.
const LINES: [[f64; 2]; 2] = [[38.0, 25.0], [94.0, 25.0]];
const LINE_RADIUS_MM: f64 = 8.0;
/// Middles of the bolts in x and y, mm.
const BOLTS: [[f64; 2]; 2] = [[66.0, 16.0], [66.0, 40.0]];
/// Radius of the bolt holes, radius and depth of their counterbores, mm.
const BOLT_RADIUS_MM: f64 = 4.2;
const COUNTERBORE_RADIUS_MM: f64 = 7.5;
const COUNTERBORE_DEPTH_MM: f64 = 9.0;
/// Chords of each round hole.
const CHORDS: usize = 96;

/// Builds the block standing as it is bolted down.
///
/// # Errors
/// [`SolidError`] where the constants do not give a closed solid.
pub fn build() -> Result<Solid, SolidError> {
    let outline = rounded_polygon(&SIDE_VIEW);
    let bevelled = moved_in(&outline, BEVEL_MM);
    let lines: Vec<Outline> = LINES
        .iter()
        .map(|&c| circle(c, LINE_RADIUS_MM, CHORDS))
        .collect();

    let mut solid = Solid::default();
    add_side(&mut solid, &bevelled, &lines, 0.0, Facing::Front)?;
    add_side(&mut solid, &bevelled, &lines, WIDTH_MM, Facing::Back)?;
    // Seen from the front the side view turns counter-clockwise, so the outside is right when walking to the front.
    let (front, back) = (BEVEL_MM, WIDTH_MM - BEVEL_MM);
    solid.band(&at_depth(&bevelled, WIDTH_MM), &at_depth(&outline, back))?;
    solid.band(&at_depth(&outline, front), &at_depth(&bevelled, 0.0))?;
    for line in &lines {
        solid.band(&at_depth(line, 0.0), &at_depth(line, WIDTH_MM))?;
    }
    for i in 0..outline.len() {
        add_strip(&mut solid, outline[i], outline[(i + 1) % outline.len()])?;
    }
    BOLTS
        .iter()
        .try_for_each(|&centre| add_bolt(&mut solid, centre))?;
    solid.checked()
}

fn add_side(
    solid: &mut Solid,
    outline: &Outline,
    lines: &[Outline],
    y: f64,
    facing: Facing,
) -> Result<(), SolidError> {
    let holes: Vec<_> = lines.iter().map(|line| at_depth(line, y)).collect();
    let holes: Vec<&[Point]> = holes.iter().map(Vec::as_slice).collect();
    solid.face(&at_depth(outline, y), &holes, facing)
}

/// The strip from side to side over one edge of the side view; top and bottom let the bolts through.
fn add_strip(solid: &mut Solid, [x0, z0]: [f64; 2], [x1, z1]: [f64; 2]) -> Result<(), SolidError> {
    let (front, back) = (BEVEL_MM, WIDTH_MM - BEVEL_MM);
    let corners = [
        [x0, back, z0],
        [x1, back, z1],
        [x1, front, z1],
        [x0, front, z0],
    ];
    let lies_at = |z: f64| (z0 - z).abs() < 1e-6 && (z1 - z).abs() < 1e-6;
    let (radius, facing) = if lies_at(HEIGHT_MM) {
        (COUNTERBORE_RADIUS_MM, Facing::Up)
    } else if lies_at(0.0) {
        (BOLT_RADIUS_MM, Facing::Down)
    } else {
        solid.quad(corners);
        return Ok(());
    };
    let holes = BOLTS.map(|centre| circle(centre, radius, CHORDS));
    let holes = holes.map(|hole| -> Vec<Point> { hole.iter().map(|&[x, y]| [x, y, z0]).collect() });
    solid.face(&corners, &[&holes[0], &holes[1]], facing)
}

fn add_bolt(solid: &mut Solid, centre: [f64; 2]) -> Result<(), SolidError> {
    let bolt = circle(centre, BOLT_RADIUS_MM, CHORDS);
    let counterbore = circle(centre, COUNTERBORE_RADIUS_MM, CHORDS);
    let seat = HEIGHT_MM - COUNTERBORE_DEPTH_MM;
    solid.hole(&bolt, 0.0, seat)?;
    solid.hole(&counterbore, seat, HEIGHT_MM)?;
    solid.level(seat, Facing::Up, &counterbore, &[bolt])
}
