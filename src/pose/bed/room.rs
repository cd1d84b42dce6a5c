//! Where in a convex area a part of known reach has the most room.
//!
//! A part that reaches `h` towards a wall fits behind it where `n . t <= c - h`: `n` square on the wall and out of the
//! area, `c` its distance from the origin, `t` the part's place. The most room `m` is a linear program in `t` and `m`,
//! `n . t + m <= c - h` for every wall. By duality `m` is the least, over three walls whose normals span the plane with
//! weights that are not negative, of the weighted sum of `c - h`.

use nalgebra::Vector2;

/// One side of a convex area.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::pose) struct Wall {
    /// Square on the wall and out of the area, of length 1.
    pub normal: Vector2<f64>,
    /// Distance of the wall from the origin along the normal, mm.
    pub limit_mm: f64,
    /// Which of the part's reaches it holds for: 0 the whole part, others the part above a step.
    pub level: usize,
}

/// The place with the most room.
#[derive(Debug, Clone, Copy)]
pub(in crate::pose) struct Spot {
    /// Distance to the nearest wall, mm; negative by how much the part is too large.
    pub room_mm: f64,
    /// The part's place, in the middle of all places as good.
    pub at: Vector2<f64>,
    /// The walls that set the room, and their weights, which add up to 1.
    pub held_by: [(usize, f64); 3],
}

/// Weights at least this far above nothing hold a wall.
const NO_WEIGHT: f64 = 1e-12;

/// Finds the place; `free_mm` is what each wall leaves, `c - h`. `None` where the walls bound no area.
pub(in crate::pose) fn roomiest_spot(
    walls: &[Wall],
    free_mm: &[f64],
    start: Option<[usize; 3]>,
) -> Option<Spot> {
    let scale = free_mm.iter().fold(0.0_f64, |most, mm| most.max(mm.abs()));
    let mut spot = spot_of(walls, free_mm, start?)?;
    for _ in 0..(4 * walls.len() + 100) {
        let over = |i: usize| walls[i].normal.dot(&spot.at) + spot.room_mm - free_mm[i];
        let worst = (0..walls.len()).max_by(|&a, &b| over(a).total_cmp(&over(b)))?;
        if over(worst).is_nan() {
            return None;
        }
        if over(worst) <= 1e-13 * scale {
            break;
        }
        let next = (0..3)
            .filter_map(|out| {
                let mut three = spot.held_by.map(|(wall, _)| wall);
                three[out] = worst;
                spot_of(walls, free_mm, three)
            })
            .min_by(|a, b| a.room_mm.total_cmp(&b.room_mm));
        spot = next?;
    }
    spot.at = centred(walls, free_mm, &spot);
    Some(spot)
}

/// Three walls that bound an area, to start from.
pub(in crate::pose) fn three_around(walls: &[Wall]) -> Option<[usize; 3]> {
    let count = walls.len();
    let bound = |three: &[usize; 3]| weights(walls, *three).is_some();
    (0..count)
        .flat_map(|i| (i + 1..count).flat_map(move |j| (j + 1..count).map(move |k| [i, j, k])))
        .find(bound)
}

/// The weights, not negative and adding up to 1, with which three normals cancel.
fn weights(walls: &[Wall], three: [usize; 3]) -> Option<[f64; 3]> {
    let [a, b, c] = three.map(|i| walls[i].normal);
    let crosses = [b.perp(&c), c.perp(&a), a.perp(&b)];
    let sum: f64 = crosses.iter().sum();
    if sum.abs() < 1e-9 {
        return None;
    }
    let shares = crosses.map(|cross| cross / sum);
    shares
        .iter()
        .all(|share| *share >= -NO_WEIGHT)
        .then_some(shares)
}

fn spot_of(walls: &[Wall], free_mm: &[f64], three: [usize; 3]) -> Option<Spot> {
    let shares = weights(walls, three)?;
    let [a, b, c] = three.map(|i| walls[i].normal);
    let [fa, fb, fc] = three.map(|i| free_mm[i]);
    // The differences of the three equations n . t + m = free.
    let (ac, bc) = (a - c, b - c);
    let det = ac.perp(&bc);
    let at = Vector2::new(
        ((fa - fc) * bc.y - (fb - fc) * ac.y) / det,
        ((fb - fc) * ac.x - (fa - fc) * bc.x) / det,
    );
    let room_mm = shares[0] * fa + shares[1] * fb + shares[2] * fc;
    Some(Spot {
        room_mm,
        at,
        held_by: [0, 1, 2].map(|i| (three[i], shares[i].max(0.0))),
    })
}

/// Where only two opposite walls hold the part, the middle of the way it may slide between them.
fn centred(walls: &[Wall], free_mm: &[f64], spot: &Spot) -> Vector2<f64> {
    let [a, b, c] = spot.held_by;
    let pair = match (a.1 < 1e-9, b.1 < 1e-9, c.1 < 1e-9) {
        (true, ..) => b.0,
        (_, true, _) => c.0,
        (.., true) => a.0,
        _ => return spot.at,
    };
    let normal = walls[pair].normal;
    let along = Vector2::new(-normal.y, normal.x);
    let ways = [along, -along].map(|way| (way_clear(walls, free_mm, spot, way), way));
    let [(ahead, _), (back, _)] = ways;
    if (ahead - back).is_finite() {
        spot.at + along * (ahead - back) / 2.0
    } else {
        spot.at
    }
}

/// How far the part may move from its place with the same room, mm.
fn way_clear(walls: &[Wall], free_mm: &[f64], spot: &Spot, way: Vector2<f64>) -> f64 {
    way_to_walls(walls, free_mm, spot.at, spot.room_mm, way).max(0.0)
}

/// How far a part at a place may move one way before a wall is nearer than `room_mm`.
pub(in crate::pose) fn way_to_walls(
    walls: &[Wall],
    free_mm: &[f64],
    at: Vector2<f64>,
    room_mm: f64,
    way: Vector2<f64>,
) -> f64 {
    walls
        .iter()
        .zip(free_mm)
        .filter(|(wall, _)| wall.normal.dot(&way) > 1e-9)
        .map(|(wall, free)| (free - room_mm - wall.normal.dot(&at)) / wall.normal.dot(&way))
        .fold(f64::INFINITY, f64::min)
}
