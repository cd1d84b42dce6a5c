//! What a machine leaves a part of its bed.

use std::f64::consts::{PI, TAU};

use nalgebra::{Point2, Vector2};

use super::room::{Wall, roomiest_spot, three_around};
use super::space::Place;
use crate::plane::{Region, convex_hull};
use crate::pose::{Bed, BuildSpace};

/// A round bed with something kept clear is taken as the polygon inscribed in it whose sides miss the rim by less than
/// this, mm.
const SAGITTA_MM: f64 = 0.01;
/// What keep-outs and bays leave outside is dropped where it is narrower than twice this, mm: it is the polygon grid's rounding.
const NO_OBSTACLE_MM: f64 = 0.0005;
/// Convex parts of a bed that is not convex, at most.
const MOST_PARTS: usize = 24;

/// The usable part of a bed for a part of some height, less margin and room for the brim.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::pose) enum Usable {
    /// A rectangle, bed coordinates.
    Rectangle { low_mm: [f64; 2], size_mm: [f64; 2] },
    /// A circle about (0, 0), narrower above each step, as (level, diameter).
    Circle {
        diameter_mm: f64,
        above_mm: Vec<(usize, f64)>,
    },
    /// What lies behind all of some walls.
    Convex(Vec<Wall>),
    /// What is left of a convex area beside obstacles.
    Notched(Notched),
}

/// An area that is not convex.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::pose) struct Notched {
    /// Its convex hull, and walls above steps.
    pub walls: Vec<Wall>,
    /// What the hull has more than the area, grown by the room for the brim.
    pub obstacles: Region,
    /// Convex areas within it, the roomiest first; they do not cover it.
    pub parts: Vec<Vec<Wall>>,
}

impl Usable {
    /// What a space leaves a part of a height, mm.
    pub fn of(space: &BuildSpace, height_mm: f64) -> Self {
        let plain = space.keep_out_mm.is_empty();
        let steps = steps(space, height_mm);
        match &space.bed {
            Bed::Rectangle { x_mm, y_mm } if plain && steps.is_empty() => {
                let place = rectangle_left(space, [*x_mm, *y_mm]);
                Self::Rectangle {
                    low_mm: place.from_mm,
                    size_mm: [0, 1].map(|axis| place.to_mm[axis] - place.from_mm[axis]),
                }
            }
            Bed::Circle { diameter_mm } if plain && space.reach.is_none() => Self::Circle {
                diameter_mm: diameter_mm - 2.0 * (space.edge_margin_mm + space.brim_mm),
                above_mm: steps
                    .iter()
                    .map(|(level, inset)| (*level, diameter_mm - 2.0 * inset))
                    .collect(),
            },
            _ if plain && is_convex(&space.bed) => Self::Convex(convex_walls(space, &steps)),
            _ => Self::by_polygons(space, &steps),
        }
    }

    fn by_polygons(space: &BuildSpace, steps: &[(usize, f64)]) -> Self {
        let left = region_left(space);
        let hull = convex_hull(points_of(&left).into_iter());
        let mut walls = walls_around(&hull, space.brim_mm, 0);
        for (level, inset) in steps {
            let edge = convex_hull(outline_of(&space.bed).into_iter().map(Point2::from));
            walls.extend(walls_around(&edge, *inset, *level));
        }
        let whole = Region::from_rings([hull.iter().map(|p| [p.x, p.y]).collect()]);
        let missing = whole
            .minus(&left)
            .offset_unthinned(-NO_OBSTACLE_MM)
            .offset_unthinned(NO_OBSTACLE_MM);
        if missing.is_empty() {
            return Self::Convex(walls);
        }
        let brim_mm = within_a_kilometre(space.brim_mm);
        let parts = convex_parts(&walls, &missing, brim_mm);
        Self::Notched(Notched {
            walls,
            obstacles: missing.offset_round(brim_mm),
            parts,
        })
    }

    /// Whether a box of a width and a depth fits square, mm; as high as the height that the area was made for.
    pub fn holds_square(&self, [x, y]: [f64; 2]) -> bool {
        match self {
            Self::Rectangle { size_mm, .. } => x <= size_mm[0] && y <= size_mm[1],
            Self::Circle {
                diameter_mm,
                above_mm,
            } => {
                let least = above_mm
                    .iter()
                    .fold(*diameter_mm, |least, (_, d)| least.min(*d));
                x.hypot(y) <= least
            }
            Self::Convex(walls) => walls_hold(walls, [x, y]),
            Self::Notched(notched) => notched.parts.iter().any(|walls| walls_hold(walls, [x, y])),
        }
    }

    /// Rectangles that fit square, as wide and deep in different proportions, mm; none where nothing does.
    pub fn rooms_mm(&self) -> Vec<[f64; 2]> {
        match self {
            Self::Rectangle { size_mm, .. } => vec![*size_mm],
            Self::Circle { .. } => self.largest([1.0, 1.0]).into_iter().collect(),
            Self::Convex(_) | Self::Notched(_) => {
                let shares = (-8..=8).map(|i| 2.0_f64.powf(f64::from(i) / 4.0));
                shares
                    .filter_map(|share| self.largest([share, 1.0]))
                    .collect()
            }
        }
    }

    /// The largest rectangle of a proportion that fits square.
    fn largest(&self, share: [f64; 2]) -> Option<[f64; 2]> {
        let sized = |scale: f64| share.map(|side| side * scale);
        let (mut fits, mut fails) = (0.0, 1.0);
        while self.holds_square(sized(fails)) && fails < 1e6 {
            (fits, fails) = (fails, 2.0 * fails);
        }
        for _ in 0..60 {
            let scale = f64::midpoint(fits, fails);
            if self.holds_square(sized(scale)) {
                fits = scale;
            } else {
                fails = scale;
            }
        }
        (fits > 0.0).then(|| sized(fits))
    }
}

/// The heights above which the space is narrower, in the order of their levels: level 1 is the first.
pub(in crate::pose) fn step_heights_mm(space: &BuildSpace) -> Vec<f64> {
    space
        .narrower_above
        .iter()
        .map(|step| step.from_mm)
        .collect()
}

/// Steps that a part of a height reaches, as (level, inset); one that is no narrower than the bed's own margin is left out.
fn steps(space: &BuildSpace, height_mm: f64) -> Vec<(usize, f64)> {
    let reached = |step: &super::space::Narrowing| {
        (height_mm > step.from_mm || step.from_mm.is_nan()) && step.inset_mm > 0.0
    };
    space
        .narrower_above
        .iter()
        .enumerate()
        .filter(|(_, step)| reached(step))
        .map(|(i, step)| (i + 1, step.inset_mm))
        .collect()
}

fn rectangle_left(space: &BuildSpace, size_mm: [f64; 2]) -> Place {
    let margin = space.edge_margin_mm;
    let mut place = Place {
        from_mm: [margin; 2],
        to_mm: size_mm.map(|side| side - margin),
    };
    if let Some(reach) = &space.reach {
        for axis in [0, 1] {
            place.from_mm[axis] = place.from_mm[axis].max(reach.from_mm[axis]);
            place.to_mm[axis] = place.to_mm[axis].min(reach.to_mm[axis]);
        }
    }
    Place {
        from_mm: place.from_mm.map(|at| at + space.brim_mm),
        to_mm: place.to_mm.map(|at| at - space.brim_mm),
    }
}

/// Whether a bed is convex; a round one with something kept clear of it is taken as a polygon that is.
fn is_convex(bed: &Bed) -> bool {
    match bed {
        Bed::Rectangle { .. } | Bed::Circle { .. } => true,
        Bed::Polygon { corners_mm } => {
            let corners: Vec<Point2<f64>> = corners_mm.iter().copied().map(Point2::from).collect();
            let hull = convex_hull(corners.iter().copied());
            let area = |ring: &[Point2<f64>]| {
                let next = ring.iter().skip(1).chain(ring.first());
                ring.iter()
                    .zip(next)
                    .map(|(a, b)| a.coords.perp(&b.coords))
                    .sum::<f64>()
            };
            (area(&hull) - area(&corners).abs()).abs() <= 1e-9 * area(&hull)
        }
    }
}

/// A bed's outline in its own coordinates.
pub(in crate::pose) fn outline_of(bed: &Bed) -> Vec<[f64; 2]> {
    match bed {
        Bed::Rectangle { x_mm, y_mm } => {
            vec![[0.0, 0.0], [*x_mm, 0.0], [*x_mm, *y_mm], [0.0, *y_mm]]
        }
        Bed::Circle { diameter_mm } => inscribed(diameter_mm / 2.0),
        Bed::Polygon { corners_mm } => corners_mm.clone(),
    }
}

fn inscribed(radius_mm: f64) -> Vec<[f64; 2]> {
    if !(radius_mm > 0.0 && radius_mm <= 1e6) {
        return Vec::new();
    }
    let half = (1.0 - SAGITTA_MM / radius_mm).max(0.5).acos();
    // A multiple of four has corners on both axes.
    let count = 4 * (PI / half / 4.0).ceil().clamp(3.0, 4000.0) as u32;
    (0..count)
        .map(|i| TAU * f64::from(i) / f64::from(count))
        .map(|turn| [radius_mm * turn.cos(), radius_mm * turn.sin()])
        .collect()
}

/// The walls of a convex bed with nothing kept clear.
fn convex_walls(space: &BuildSpace, steps: &[(usize, f64)]) -> Vec<Wall> {
    let edge = convex_hull(outline_of(&space.bed).into_iter().map(Point2::from));
    // The margin of a round bed is taken before the polygon is inscribed.
    let inside = |inset_mm: f64| match &space.bed {
        Bed::Circle { diameter_mm } => {
            let ring = inscribed(diameter_mm / 2.0 - inset_mm);
            (convex_hull(ring.into_iter().map(Point2::from)), 0.0)
        }
        _ => (edge.clone(), inset_mm),
    };
    let (base, inset) = inside(space.edge_margin_mm);
    let mut walls = walls_around(&base, inset + space.brim_mm, 0);
    if let Some(reach) = &space.reach {
        let [x0, y0] = reach.from_mm;
        let [x1, y1] = reach.to_mm;
        let ring = [[x0, y0], [x1, y0], [x1, y1], [x0, y1]].map(Point2::from);
        walls.extend(walls_around(&ring, space.brim_mm, 0));
    }
    for (level, inset_mm) in steps {
        let (ring, inset) = inside(*inset_mm);
        walls.extend(walls_around(&ring, inset, *level));
    }
    walls
}

/// The walls of a convex ring, counter-clockwise, moved in.
fn walls_around(ring: &[Point2<f64>], inset_mm: f64, level: usize) -> Vec<Wall> {
    let next = ring.iter().skip(1).chain(ring.first());
    ring.iter()
        .zip(next)
        .filter(|(a, b)| a != b)
        .map(|(a, b)| {
            let edge = (b - a).normalize();
            let normal = Vector2::new(edge.y, -edge.x);
            Wall {
                normal,
                limit_mm: normal.dot(&a.coords) - inset_mm,
                level,
            }
        })
        .collect()
}

/// The bed less its margin, what the nozzle does not reach, and keep-outs.
pub(in crate::pose) fn region_left(space: &BuildSpace) -> Region {
    let margin_mm = within_a_kilometre(space.edge_margin_mm);
    let mut left = match &space.bed {
        // A round bed's polygon is inscribed after the margin is taken.
        Bed::Circle { diameter_mm } => {
            Region::from_rings([inscribed(diameter_mm / 2.0 - margin_mm)])
        }
        bed => ring_region(&outline_of(bed)).offset_round(-margin_mm),
    };
    if let Some(reach) = &space.reach {
        let corners = [reach.from_mm, reach.to_mm].map(|corner| corner.map(within_a_kilometre));
        left = left.and(&Region::rectangle(corners[0], corners[1]));
    }
    for corners in &space.keep_out_mm {
        left = left.minus(&ring_region(corners));
    }
    left
}

/// A plain shape that holds all that a space leaves of its bed: width and depth, and the diameter where the bed is round, mm.
pub(in crate::pose) fn enclosing(space: &BuildSpace) -> ([f64; 2], Option<f64>) {
    let bounds = |region: &Region| {
        let (low, high) = region.box_mm().unwrap_or_default();
        [0, 1].map(|axis| high[axis] - low[axis])
    };
    match &space.bed {
        Bed::Rectangle { x_mm, y_mm } if space.keep_out_mm.is_empty() => {
            let place = rectangle_left(space, [*x_mm, *y_mm]);
            (
                [0, 1].map(|axis| place.to_mm[axis] - place.from_mm[axis]),
                None,
            )
        }
        Bed::Circle { diameter_mm } => {
            let across_mm = diameter_mm - 2.0 * (space.edge_margin_mm + space.brim_mm);
            ([across_mm; 2], Some(across_mm))
        }
        // The grid that polygons live on rounds by less than this.
        _ => (
            bounds(&region_left(space)).map(|mm| mm + 0.001 - 2.0 * space.brim_mm),
            None,
        ),
    }
}

/// A polygon as a set, whichever sense its corners run in; empty where a corner is no place.
pub(in crate::pose) fn ring_region(corners_mm: &[[f64; 2]]) -> Region {
    let fine = |v: &f64| v.abs() <= 1e6;
    if corners_mm.len() < 3 || !corners_mm.iter().flatten().all(fine) {
        return Region::default();
    }
    Region::from_rings([corners_mm.to_vec()])
}

/// A length as the polygon grid can take it: within a kilometre, and a kilometre where it is no number.
fn within_a_kilometre(mm: f64) -> f64 {
    if mm.is_nan() {
        1e6
    } else {
        mm.clamp(-1e6, 1e6)
    }
}

fn points_of(region: &Region) -> Vec<Point2<f64>> {
    region.rings().flatten().map(Point2::from).collect()
}

/// Convex areas clear of every obstacle: beside each obstacle one of its hull's edges becomes a wall.
fn convex_parts(walls: &[Wall], obstacles: &Region, room_mm: f64) -> Vec<Vec<Wall>> {
    let mut parts = vec![walls.to_vec()];
    for obstacle in obstacles.pieces() {
        let hull = convex_hull(points_of(&obstacle).into_iter());
        let beyond = |wall: &Wall| {
            let nearest = hull.iter().map(|p| wall.normal.dot(&p.coords));
            wall.level == 0 && nearest.fold(f64::INFINITY, f64::min) >= wall.limit_mm + room_mm
        };
        let beside: Vec<Wall> = walls_around(&hull, 0.0, 0)
            .into_iter()
            .map(|edge| Wall {
                normal: -edge.normal,
                limit_mm: -edge.limit_mm - room_mm,
                level: 0,
            })
            .collect();
        let mut next: Vec<(f64, Vec<Wall>)> = Vec::new();
        for part in parts {
            if part.iter().any(beyond) {
                next.extend(room_of(&part).map(|room| (room, part)));
                continue;
            }
            for wall in &beside {
                let cut: Vec<Wall> = part.iter().copied().chain([*wall]).collect();
                next.extend(room_of(&cut).map(|room| (room, cut)));
            }
        }
        next.sort_by(|a, b| b.0.total_cmp(&a.0));
        next.truncate(MOST_PARTS);
        parts = next.into_iter().map(|(_, part)| part).collect();
    }
    parts
}

/// Radius of the largest circle in a convex area, mm; none where nothing is left.
fn room_of(walls: &[Wall]) -> Option<f64> {
    let limits: Vec<f64> = walls.iter().map(|wall| wall.limit_mm).collect();
    let spot = roomiest_spot(walls, &limits, three_around(walls))?;
    (spot.room_mm > 0.0).then_some(spot.room_mm)
}

fn walls_hold(walls: &[Wall], [x, y]: [f64; 2]) -> bool {
    let free: Vec<f64> = walls
        .iter()
        .map(|w| w.limit_mm - (w.normal.x.abs() * x + w.normal.y.abs() * y) / 2.0)
        .collect();
    roomiest_spot(walls, &free, three_around(walls)).is_some_and(|spot| spot.room_mm >= 0.0)
}
