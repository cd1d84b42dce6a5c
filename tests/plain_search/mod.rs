//! A slow search over places and turns, by another road than the program's: places from a grid that closes in, clearances by
//! distances from corners to lines and between line segments.

// Each test that shares this uses a part of it.
#![allow(dead_code)]

#[path = "../meshes/mod.rs"]
pub mod meshes;

use beadtally::mesh::Mesh;
use beadtally::pose::BuildSpace;

/// Numbers between 0 and 1.
pub fn random(seed: u64) -> impl FnMut() -> f64 {
    let mut state = seed;
    move || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as f64 / f64::from(1_u32 << 31)
    }
}

/// An upright prism over a simple plan, counter-clockwise: walls, floor and roof as a fan, which is right for plans that their
/// first corner sees whole, and gives the right shadow for those alone.
pub fn prism(plan: &[[f64; 2]], height: f64) -> Mesh {
    meshes::solids::prism(plan, 0.0, height)
}

/// Whether a point lies in a ring.
pub fn inside(ring: &[[f64; 2]], p: [f64; 2]) -> bool {
    let mut odd = false;
    for (a, b) in sides(ring) {
        if (a[1] > p[1]) != (b[1] > p[1]) {
            let x = a[0] + (b[0] - a[0]) * (p[1] - a[1]) / (b[1] - a[1]);
            odd ^= p[0] < x;
        }
    }
    odd
}

fn sides(ring: &[[f64; 2]]) -> impl Iterator<Item = ([f64; 2], [f64; 2])> + '_ {
    let next = ring.iter().skip(1).chain(ring.first());
    ring.iter().copied().zip(next.copied())
}

fn turned(ring: &[[f64; 2]], turn_deg: f64) -> Vec<[f64; 2]> {
    let (s, c) = turn_deg.to_radians().sin_cos();
    ring.iter()
        .map(|p| [c * p[0] - s * p[1], s * p[0] + c * p[1]])
        .collect()
}

/// What is searched.
pub struct Search {
    plan: Vec<[f64; 2]>,
    /// Lines of a convex area as (normal, limit, what of the part must be behind it).
    lines: Vec<([f64; 2], f64, Vec<[f64; 2]>)>,
    keep_outs: Vec<Vec<[f64; 2]>>,
    size: [f64; 2],
    pub radius_mm: f64,
    /// Fineness of the grid of places, mm.
    pub fine_mm: f64,
}

impl Search {
    /// A part of a base and what is above the step, on a convex bed.
    pub fn of_convex(
        plan: &[[f64; 2]],
        upper: &[[f64; 2]],
        bed: &[[f64; 2]],
        space: &BuildSpace,
    ) -> Self {
        let mut lines = Vec::new();
        for (a, b) in sides(bed) {
            let length = (b[0] - a[0]).hypot(b[1] - a[1]);
            let normal = [(b[1] - a[1]) / length, (a[0] - b[0]) / length];
            let limit = normal[0] * a[0] + normal[1] * a[1];
            let whole: Vec<_> = plan.iter().chain(upper).copied().collect();
            lines.push((normal, limit - space.edge_margin_mm - space.brim_mm, whole));
            for step in &space.narrower_above {
                lines.push((normal, limit - step.inset_mm, upper.to_vec()));
            }
        }
        let far = plan.iter().map(|p| p[0].hypot(p[1])).fold(0.0, f64::max);
        Self {
            plan: plan.to_vec(),
            lines,
            keep_outs: Vec::new(),
            size: [0.0; 2],
            radius_mm: far,
            fine_mm: 0.0,
        }
    }

    /// A part on a rectangular bed with keep-outs.
    pub fn of_notched(plan: &[[f64; 2]], x: f64, y: f64, keep_outs: &[Vec<[f64; 2]>]) -> Self {
        Self {
            plan: plan.to_vec(),
            lines: Vec::new(),
            keep_outs: keep_outs.to_vec(),
            size: [x, y],
            radius_mm: plan.iter().map(|p| p[0].hypot(p[1])).fold(0.0, f64::max),
            fine_mm: 1.5,
        }
    }

    /// The most room on a convex bed at a turn: of every three lines, and every two opposite ones, what they leave (the linear
    /// program's vertices, all of them).
    pub fn room_at(&self, turn_deg: f64) -> f64 {
        let free: Vec<([f64; 2], f64)> = self
            .lines
            .iter()
            .map(|(n, limit, points)| {
                let reach = turned(points, turn_deg)
                    .iter()
                    .map(|p| n[0] * p[0] + n[1] * p[1])
                    .fold(f64::NEG_INFINITY, f64::max);
                (*n, limit - reach)
            })
            .collect();
        let mut best = f64::NEG_INFINITY;
        let count = free.len();
        for i in 0..count {
            for j in i + 1..count {
                for k in j + 1..count {
                    if let Some(place) = vertex(&free[i], &free[j], &free[k]) {
                        let room = free
                            .iter()
                            .map(|(n, f)| f - n[0] * place[0] - n[1] * place[1])
                            .fold(f64::INFINITY, f64::min);
                        best = best.max(room);
                    }
                }
            }
        }
        best
    }

    /// Clearance of a placed part with its box's lower corner at a place.
    pub fn clearance(&self, placed: &Mesh, at: [f64; 2]) -> f64 {
        // A prism lists its base first.
        let base = placed.vertices_mm.len() / 2;
        let ring: Vec<_> = placed.vertices_mm[..base]
            .iter()
            .map(|v| [v.x + at[0], v.y + at[1]])
            .collect();
        self.clear(&ring)
    }

    fn clear(&self, ring: &[[f64; 2]]) -> f64 {
        let edge = ring.iter().map(|p| {
            p[0].min(self.size[0] - p[0])
                .min(p[1])
                .min(self.size[1] - p[1])
        });
        let mut room = edge.fold(f64::INFINITY, f64::min);
        for keep_out in &self.keep_outs {
            let covers = keep_out.iter().any(|p| inside(ring, *p))
                || ring.iter().any(|p| inside(keep_out, *p));
            let mut near = f64::INFINITY;
            for (a, b) in sides(ring) {
                for (c, d) in sides(keep_out) {
                    near = near.min(apart(a, b, c, d));
                }
            }
            // How deep they overlap is not told, only that they do.
            let overlap = if covers || near == 0.0 {
                -2.0 * self.fine_mm
            } else {
                near
            };
            room = room.min(overlap);
        }
        room
    }

    /// The best place on a grid, closed in on from the best few; a free place narrower than the grid may be missed.
    pub fn best_place(&self, turn_deg: f64) -> ([f64; 2], f64) {
        let ring = turned(&self.plan, turn_deg);
        let low = [0, 1].map(|axis| ring.iter().map(|p| p[axis]).fold(f64::INFINITY, f64::min));
        let high = [0, 1].map(|axis| {
            ring.iter()
                .map(|p| p[axis])
                .fold(f64::NEG_INFINITY, f64::max)
        });
        let way = [0, 1].map(|axis| self.size[axis] - (high[axis] - low[axis]));
        if way.iter().any(|mm| *mm < 0.0) {
            return ([0.0; 2], way[0].min(way[1]) / 2.0 - self.fine_mm);
        }
        let room = |at: [f64; 2]| {
            let moved: Vec<_> = ring
                .iter()
                .map(|p| [p[0] - low[0] + at[0], p[1] - low[1] + at[1]])
                .collect();
            self.clear(&moved)
        };
        let count = way.map(|mm| (mm / self.fine_mm).ceil().max(1.0) as usize);
        let mut places: Vec<([f64; 2], f64)> = (0..=count[0])
            .flat_map(|i| (0..=count[1]).map(move |j| [i, j]))
            .map(|at| [0, 1].map(|axis| way[axis] * at[axis] as f64 / count[axis] as f64))
            .map(|at| (at, room(at)))
            .collect();
        places.sort_by(|a, b| b.1.total_cmp(&a.1));
        places.truncate(4);
        let mut best = places[0];
        for mut here in places {
            let mut step = self.fine_mm / 2.0;
            while step > 1e-4 {
                let around = [
                    [1.0, 0.0],
                    [-1.0, 0.0],
                    [0.0, 1.0],
                    [0.0, -1.0],
                    [1.0, 1.0],
                    [-1.0, 1.0],
                    [1.0, -1.0],
                    [-1.0, -1.0],
                ];
                let next = around
                    .map(|d| [here.0[0] + d[0] * step, here.0[1] + d[1] * step])
                    .map(|at| (at, room(at)))
                    .into_iter()
                    .fold(here, |best, next| if next.1 > best.1 { next } else { best });
                if next.1 > here.1 {
                    here = next
                } else {
                    step /= 2.0
                }
            }
            if here.1 > best.1 {
                best = here;
            }
        }
        best
    }
}

fn vertex(a: &([f64; 2], f64), b: &([f64; 2], f64), c: &([f64; 2], f64)) -> Option<[f64; 2]> {
    let (p, q) = (
        [a.0[0] - c.0[0], a.0[1] - c.0[1]],
        [b.0[0] - c.0[0], b.0[1] - c.0[1]],
    );
    let det = p[0] * q[1] - p[1] * q[0];
    let (f, g) = (a.1 - c.1, b.1 - c.1);
    (det.abs() > 1e-9).then(|| [(f * q[1] - g * p[1]) / det, (p[0] * g - q[0] * f) / det])
}

fn apart(a: [f64; 2], b: [f64; 2], c: [f64; 2], d: [f64; 2]) -> f64 {
    let cross = |o: [f64; 2], p: [f64; 2], q: [f64; 2]| {
        (p[0] - o[0]) * (q[1] - o[1]) - (p[1] - o[1]) * (q[0] - o[0])
    };
    if cross(a, b, c) * cross(a, b, d) < 0.0 && cross(c, d, a) * cross(c, d, b) < 0.0 {
        return 0.0;
    }
    let to = |p: [f64; 2], a: [f64; 2], b: [f64; 2]| {
        let (u, v) = ([b[0] - a[0], b[1] - a[1]], [p[0] - a[0], p[1] - a[1]]);
        let t = ((u[0] * v[0] + u[1] * v[1]) / (u[0] * u[0] + u[1] * u[1])).clamp(0.0, 1.0);
        (v[0] - t * u[0]).hypot(v[1] - t * u[1])
    };
    to(a, c, d)
        .min(to(b, c, d))
        .min(to(c, a, b))
        .min(to(d, a, b))
}
