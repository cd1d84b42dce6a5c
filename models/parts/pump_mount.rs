//! The bilge-pump mount: a tray of ribs and bosses, 190 x 130 x 24 mm. A 3 mm floor carries a rim, ribs that make four
//! by three cells, six screw bosses where ribs cross, two hollow posts and four mounting holes.

use std::f64::consts::FRAC_PI_2;

use super::outline::{Outline, circle, rounded_rectangle};
use super::solid::{Facing, Solid, SolidError};

/// Length, width and corner radius of the tray, mm.
const LENGTH_MM: f64 = 190.0;
const WIDTH_MM: f64 = 130.0;
const CORNER_MM: f64 = 8.0;
/// Heights of floor, ribs, rim and bosses, mm.
const FLOOR_MM: f64 = 3.0;
const RIB_TOP_MM: f64 = 14.0;
const RIM_TOP_MM: f64 = 20.0;
const BOSS_TOP_MM: f64 = 24.0;
/// Thickness of the rim above the ribs and of its thicker foot, mm.
const RIM_MM: f64 = 2.4;
const RIM_FOOT_MM: f64 = 3.4;
/// Thickness of the ribs, mm.
const RIB_MM: f64 = 2.4;
/// Cells along the length and the width.
const COLUMNS: usize = 4;
const ROWS: usize = 3;
/// Radius of the cells' corners at the rim, mm.
const CELL_CORNER_MM: f64 = 4.0;
/// The screw bosses: radius of the foot among the ribs, of the boss, of its hole, and the hole's lower end, mm.
const BOSS_FOOT_MM: f64 = 8.0;
const BOSS_RADIUS_MM: f64 = 7.0;
const BOSS_HOLE_MM: f64 = 2.5;
const BOSS_HOLE_END_MM: f64 = 6.0;
/// The hollow posts: radius, hole radius, height, mm.
const POST_RADIUS_MM: f64 = 8.0;
const POST_HOLE_MM: f64 = 3.0;
const POST_TOP_MM: f64 = 10.0;
/// Radius of the mounting holes, mm.
const MOUNT_RADIUS_MM: f64 = 3.25;
/// Chords of each round.
const CHORDS: usize = 60;

/// Builds the mount standing on its floor.
///
/// # Errors
/// [`SolidError`] where the constants do not give a closed solid.
pub fn build() -> Result<Solid, SolidError> {
    let outer = rounded_rectangle([0.0, 0.0], [LENGTH_MM, WIDTH_MM], CORNER_MM);
    let rim = rounded_rectangle(
        [RIM_MM, RIM_MM],
        [LENGTH_MM - RIM_MM, WIDTH_MM - RIM_MM],
        CORNER_MM - RIM_MM,
    );
    let bosses: Vec<[f64; 2]> = (1..COLUMNS)
        .flat_map(|c| (1..ROWS).map(move |r| node(c, r)))
        .collect();

    let mut solid = Solid::default();
    let mut holes_below: Vec<Outline> = Vec::new();
    let mut rib_top_openings: Vec<Outline> = bosses
        .iter()
        .map(|&c| circle(c, BOSS_RADIUS_MM, CHORDS))
        .collect();
    for column in 0..COLUMNS {
        for row in 0..ROWS {
            let cell = cell_outline(column, row);
            solid.hole(&cell, FLOOR_MM, RIB_TOP_MM)?;
            holes_below.extend(add_cell_floor(&mut solid, &cell, column, row)?);
            rib_top_openings.push(cell);
        }
    }
    solid.level(0.0, Facing::Down, &outer, &holes_below)?;
    solid.post(&outer, 0.0, RIM_TOP_MM)?;
    solid.level(RIM_TOP_MM, Facing::Up, &outer, std::slice::from_ref(&rim))?;
    solid.hole(&rim, RIB_TOP_MM, RIM_TOP_MM)?;
    solid.level(RIB_TOP_MM, Facing::Up, &rim, &rib_top_openings)?;
    bosses
        .iter()
        .try_for_each(|&centre| add_boss(&mut solid, centre))?;
    solid.checked()
}

/// The floor of one cell with what it carries; gives the hole that goes through the tray's bottom, if any.
fn add_cell_floor(
    solid: &mut Solid,
    cell: &Outline,
    column: usize,
    row: usize,
) -> Result<Option<Outline>, SolidError> {
    let (low, high) = (node(column, row), node(column + 1, row + 1));
    let middle = [(low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0];
    let at_end = column == 0 || column == COLUMNS - 1;
    let at_side = row == 0 || row == ROWS - 1;
    if at_end && at_side {
        let mount = circle(middle, MOUNT_RADIUS_MM, CHORDS);
        solid.level(FLOOR_MM, Facing::Up, cell, std::slice::from_ref(&mount))?;
        solid.hole(&mount, 0.0, FLOOR_MM)?;
        Ok(Some(mount))
    } else if !at_end && !at_side {
        let post = circle(middle, POST_RADIUS_MM, CHORDS);
        let hole = circle(middle, POST_HOLE_MM, CHORDS);
        solid.level(FLOOR_MM, Facing::Up, cell, std::slice::from_ref(&post))?;
        solid.post(&post, FLOOR_MM, POST_TOP_MM)?;
        solid.level(POST_TOP_MM, Facing::Up, &post, std::slice::from_ref(&hole))?;
        solid.hole(&hole, 0.0, POST_TOP_MM)?;
        Ok(Some(hole))
    } else {
        solid.level(FLOOR_MM, Facing::Up, cell, &[])?;
        Ok(None)
    }
}

/// A screw boss on a crossing of ribs, with its blind hole.
fn add_boss(solid: &mut Solid, centre: [f64; 2]) -> Result<(), SolidError> {
    let boss = circle(centre, BOSS_RADIUS_MM, CHORDS);
    let hole = circle(centre, BOSS_HOLE_MM, CHORDS);
    solid.post(&boss, RIB_TOP_MM, BOSS_TOP_MM)?;
    solid.level(BOSS_TOP_MM, Facing::Up, &boss, std::slice::from_ref(&hole))?;
    solid.hole(&hole, BOSS_HOLE_END_MM, BOSS_TOP_MM)?;
    solid.level(BOSS_HOLE_END_MM, Facing::Up, &hole, &[])
}

/// Where the middle lines of two ribs cross; the outermost lines lie half a rib inside the rim's foot.
fn node(column: usize, row: usize) -> [f64; 2] {
    let first = RIM_FOOT_MM - RIB_MM / 2.0;
    let along = |i: usize, count: usize, whole: f64| {
        first + (whole - 2.0 * first) * i as f64 / count as f64
    };
    [
        along(column, COLUMNS, LENGTH_MM),
        along(row, ROWS, WIDTH_MM),
    ]
}

/// The opening between four nodes: its corners are hollowed round the boss feet and rounded at the rim.
fn cell_outline(column: usize, row: usize) -> Outline {
    let corners = [
        (column, row),
        (column + 1, row),
        (column + 1, row + 1),
        (column, row + 1),
    ];
    corners
        .iter()
        .enumerate()
        .flat_map(|(quarter, &(c, r))| {
            let has_boss = c > 0 && c < COLUMNS && r > 0 && r < ROWS;
            let local = if has_boss {
                corner_round_boss()
            } else {
                corner_at_rim()
            };
            turned(local, quarter, node(c, r))
        })
        .collect()
}

/// The corner of a cell whose node is the origin and which lies up and right of it, walked counter-clockwise.
fn corner_round_boss() -> Outline {
    let half = RIB_MM / 2.0;
    let edge = (half / BOSS_FOOT_MM).asin();
    arc([0.0, 0.0], BOSS_FOOT_MM, FRAC_PI_2 - edge, edge)
}

fn corner_at_rim() -> Outline {
    let middle = RIB_MM / 2.0 + CELL_CORNER_MM;
    arc(
        [middle, middle],
        CELL_CORNER_MM,
        2.0 * FRAC_PI_2,
        3.0 * FRAC_PI_2,
    )
}

fn arc(centre: [f64; 2], radius: f64, from: f64, to: f64) -> Outline {
    const PIECES: usize = 12;
    (0..=PIECES)
        .map(|i| from + (to - from) * i as f64 / PIECES as f64)
        .map(|angle| {
            [
                centre[0] + radius * angle.cos(),
                centre[1] + radius * angle.sin(),
            ]
        })
        .collect()
}

/// The outline turned by quarter turns about the origin, then moved.
fn turned(outline: Outline, quarters: usize, to: [f64; 2]) -> Outline {
    outline
        .into_iter()
        .map(|point| (0..quarters).fold(point, |[x, y], _| [-y, x]))
        .map(|[x, y]| [x + to[0], y + to[1]])
        .collect()
}
