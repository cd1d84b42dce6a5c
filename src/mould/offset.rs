//! The solid within a distance of a part: what a shell mould is cut from.
//!
//! The distance to the part's surface is taken on a grid, and the surface at the wall's distance is drawn through it by tetrahedra
//! (each cube of the grid in six, along the same diagonal), which gives a closed surface without exceptions. Hollows of the part that
//! the grid can't be reached from are filled.

use nalgebra::Point3;
use parry3d_f64::math::Vector;
use parry3d_f64::query::PointQuery;
use parry3d_f64::shape::TriMesh;
use rayon::prelude::*;
use rustc_hash::FxHashMap;

use super::MouldError;
use super::sight::surface;
use crate::mesh::Mesh;

/// Grid steps to the wall, where the part is small enough.
const STEPS_A_WALL: f64 = 4.0;
/// Points of the grid, at most: a million distances take seconds.
const MOST_POINTS: f64 = 400_000.0;
/// The fewest steps to the wall that still give a shell.
const FEWEST_STEPS: f64 = 1.5;
/// Points in one brick whose distance is looked at together, along each axis.
const BRICK: usize = 4;
/// A corner of the surface keeps so far from the grid's points, as a share of the edge it lies on: no two fall together.
const CLEAR: f64 = 0.02;

/// The even permutations of a tetrahedron's corners that put the corners inside first, by which are inside (bit by bit).
const INSIDE_FIRST: [[usize; 4]; 16] = [
    [0, 1, 2, 3],
    [0, 1, 2, 3],
    [1, 0, 3, 2],
    [0, 1, 2, 3],
    [2, 0, 1, 3],
    [0, 2, 3, 1],
    [1, 2, 0, 3],
    [3, 0, 2, 1],
    [3, 1, 0, 2],
    [0, 3, 1, 2],
    [1, 3, 2, 0],
    [2, 0, 1, 3],
    [2, 3, 0, 1],
    [1, 0, 3, 2],
    [0, 1, 2, 3],
    [0, 1, 2, 3],
];

/// The six tetrahedra of a cube by its corners' numbers (bit 0 is x, bit 1 y, bit 2 z), all turned alike.
const TETRAHEDRA: [[usize; 4]; 6] = [
    [0, 1, 3, 7],
    [0, 2, 6, 7],
    [0, 4, 5, 7],
    [0, 3, 2, 7],
    [0, 6, 4, 7],
    [0, 5, 1, 7],
];

struct Grid {
    low: Point3<f64>,
    step_mm: f64,
    counts: [usize; 3],
}

impl Grid {
    fn at(&self, [i, j, k]: [usize; 3]) -> Point3<f64> {
        let by = |n: usize| n as f64 * self.step_mm;
        Point3::new(self.low.x + by(i), self.low.y + by(j), self.low.z + by(k))
    }

    fn index(&self, [i, j, k]: [usize; 3]) -> usize {
        (k * self.counts[1] + j) * self.counts[0] + i
    }
}

/// The solid within `wall_mm` of a part, as a closed mesh.
///
/// # Errors
/// A part so large against the wall that the grid can't show it; a mesh that is no surface.
pub fn shell_around(part: &Mesh, wall_mm: f64) -> Result<Mesh, MouldError> {
    let surface = surface(part).ok_or(MouldError::NotClosed)?;
    let (low, high) = part.box_mm();
    let size = part.size_mm().map(|s| s + 2.0 * wall_mm);
    let step_mm = (wall_mm / STEPS_A_WALL).max((size.x * size.y * size.z / MOST_POINTS).cbrt());
    if step_mm > wall_mm / FEWEST_STEPS {
        return Err(MouldError::OutOfRange {
            what: "the shell's wall",
            given: wall_mm,
            right: "a thicker wall for so large a part, or --shape block",
        });
    }
    let edge = wall_mm + 1.5 * step_mm;
    let counts = [0, 1, 2].map(|i| ((high[i] - low[i] + 2.0 * edge) / step_mm).ceil() as usize + 1);
    let low = low.map(|x| x - edge);
    let grid = Grid {
        low,
        step_mm,
        counts,
    };
    let mut over = beyond(&surface, &grid, wall_mm);
    fill_hollows(&grid, &mut over);
    Ok(drawn(&grid, &over))
}

/// Distance to the surface less the wall, at every point; far from the wall only its sign is right.
fn beyond(surface: &TriMesh, grid: &Grid, wall_mm: f64) -> Vec<f64> {
    let distance = |p: Point3<f64>| {
        let at = Vector::new(p.x, p.y, p.z);
        (surface.project_local_point(at, false).point - at).length()
    };
    let bricks = grid.counts.map(|n| n.div_ceil(BRICK));
    let reach = (BRICK as f64 / 2.0 + 1.0) * grid.step_mm * 3.0_f64.sqrt();
    let found: Vec<Vec<(usize, f64)>> = (0..bricks[0] * bricks[1] * bricks[2])
        .into_par_iter()
        .map(|brick| {
            let first = [
                brick % bricks[0],
                brick / bricks[0] % bricks[1],
                brick / (bricks[0] * bricks[1]),
            ]
            .map(|n| n * BRICK);
            let middle =
                grid.at(first) + nalgebra::Vector3::repeat((BRICK - 1) as f64 / 2.0 * grid.step_mm);
            let middle = distance(middle) - wall_mm;
            let mut values = Vec::with_capacity(BRICK * BRICK * BRICK);
            for n in 0..BRICK * BRICK * BRICK {
                let at = [
                    first[0] + n % BRICK,
                    first[1] + n / BRICK % BRICK,
                    first[2] + n / (BRICK * BRICK),
                ];
                if (0..3).all(|i| at[i] < grid.counts[i]) {
                    let value = if middle.abs() > reach {
                        middle
                    } else {
                        distance(grid.at(at)) - wall_mm
                    };
                    values.push((grid.index(at), value));
                }
            }
            values
        })
        .collect();
    let mut over = vec![0.0; grid.counts.iter().product()];
    for (index, value) in found.into_iter().flatten() {
        over[index] = value;
    }
    over
}

/// Points beyond the wall that can't be reached from the grid's edge lie in the part or its hollows.
fn fill_hollows(grid: &Grid, over: &mut [f64]) {
    let mut outside = vec![false; over.len()];
    let mut todo = vec![[0, 0, 0]];
    while let Some(at) = todo.pop() {
        let index = grid.index(at);
        if outside[index] || over[index] < 0.0 {
            continue;
        }
        outside[index] = true;
        for axis in 0..3 {
            if at[axis] > 0 {
                let mut next = at;
                next[axis] -= 1;
                todo.push(next);
            }
            if at[axis] + 1 < grid.counts[axis] {
                let mut next = at;
                next[axis] += 1;
                todo.push(next);
            }
        }
    }
    for (value, outside) in over.iter_mut().zip(outside) {
        if !outside && *value >= 0.0 {
            *value = -grid.step_mm;
        }
    }
}

/// The surface between points within and beyond.
fn drawn(grid: &Grid, over: &[f64]) -> Mesh {
    let mut vertices_mm: Vec<Point3<f64>> = Vec::new();
    let mut numbers: FxHashMap<(usize, usize), u32> = FxHashMap::default();
    let mut triangles = Vec::new();
    let mut corner = |a: [usize; 3], b: [usize; 3]| {
        let (ia, ib) = (grid.index(a), grid.index(b));
        let (a, b, ia, ib) = if ia < ib {
            (a, b, ia, ib)
        } else {
            (b, a, ib, ia)
        };
        *numbers.entry((ia, ib)).or_insert_with(|| {
            let share = (over[ia] / (over[ia] - over[ib])).clamp(CLEAR, 1.0 - CLEAR);
            let (from, to) = (grid.at(a), grid.at(b));
            vertices_mm.push(from + (to - from) * share);
            (vertices_mm.len() - 1) as u32
        })
    };
    for k in 0..grid.counts[2] - 1 {
        for j in 0..grid.counts[1] - 1 {
            for i in 0..grid.counts[0] - 1 {
                let at = |n: usize| [i + (n & 1), j + (n >> 1 & 1), k + (n >> 2)];
                let inside: Vec<bool> = (0..8).map(|n| over[grid.index(at(n))] < 0.0).collect();
                if inside.iter().all(|x| *x) || !inside.contains(&true) {
                    continue;
                }
                for tetrahedron in TETRAHEDRA {
                    let which = (0..4)
                        .map(|n| usize::from(inside[tetrahedron[n]]) << n)
                        .sum::<usize>();
                    let [a, b, c, d] = INSIDE_FIRST[which].map(|n| at(tetrahedron[n]));
                    match which.count_ones() {
                        1 => triangles.push([corner(a, b), corner(a, c), corner(a, d)]),
                        2 => {
                            let [ac, ad, bd, bc] =
                                [corner(a, c), corner(a, d), corner(b, d), corner(b, c)];
                            triangles.extend([[ac, ad, bd], [ac, bd, bc]]);
                        }
                        // Here the one outside stands first.
                        3 => triangles.push([corner(a, b), corner(a, d), corner(a, c)]),
                        _ => {}
                    }
                }
            }
        }
    }
    Mesh {
        vertices_mm,
        triangles,
    }
}
