//! Which body lies inside which, and so which must be turned.

use std::cell::OnceCell;

use nalgebra::Point3;
use parry3d_f64::math::Vector;
use parry3d_f64::query::{Ray, RayCast};
use parry3d_f64::shape::TriMesh;

use super::Mesh;
use super::bodies::Body;

/// For each body whether to turn it: an outermost body of negative volume is turned together with what lies inside it;
/// a negative body inside a positive one is a cavity and stays (design, Section).
pub(super) fn bodies_to_turn(mesh: &Mesh, bodies: &[Body]) -> Vec<bool> {
    let mut turn = vec![false; bodies.len()];
    if bodies.iter().all(|b| b.volume_mm3 >= 0.0) {
        return turn;
    }
    let holders = possible_holders(bodies);
    let surfaces: Vec<OnceCell<Option<TriMesh>>> = bodies.iter().map(|_| OnceCell::new()).collect();
    for (index, body) in bodies.iter().enumerate() {
        let outermost = holders
            .iter()
            .map(|holder| (*holder, &bodies[*holder]))
            .filter(|(other, o)| *other != index && o.may_hold(body))
            .filter(|(other, o)| {
                let surface = surfaces[*other].get_or_init(|| o.surface(mesh));
                holds(surface, body.a_corner_mm, o.low_mm)
            })
            .max_by(|(_, a), (_, b)| a.volume_mm3.abs().total_cmp(&b.volume_mm3.abs()));
        turn[index] = match outermost {
            None => body.volume_mm3 < 0.0,
            Some((_, holder)) => holder.volume_mm3 < 0.0,
        };
    }
    turn
}

/// A body encloses something from four facets on. Of a heap of thousands only the largest are asked whether they hold
/// others, so that a hostile file can't make every body be held against every other.
fn possible_holders(bodies: &[Body]) -> Vec<usize> {
    const MOST: usize = 1000;
    let mut holders: Vec<usize> = (0..bodies.len())
        .filter(|b| bodies[*b].facets.len() >= 4)
        .collect();
    let size = |b: &usize| (bodies[*b].high_mm - bodies[*b].low_mm).norm_squared();
    holders.sort_by(|a, b| size(b).total_cmp(&size(a)));
    holders.truncate(MOST);
    holders
}

impl Body {
    fn may_hold(&self, other: &Body) -> bool {
        (0..3).all(|i| self.low_mm[i] < other.low_mm[i] && other.high_mm[i] < self.high_mm[i])
    }

    fn surface(&self, mesh: &Mesh) -> Option<TriMesh> {
        let mut corners = Vec::with_capacity(3 * self.facets.len());
        for v in self.facets.iter().flatten() {
            let p = mesh.vertices_mm[*v as usize] - self.low_mm;
            corners.push(Vector::new(p.x, p.y, p.z));
        }
        let indices = (0..self.facets.len() as u32)
            .map(|f| [3 * f, 3 * f + 1, 3 * f + 2])
            .collect();
        TriMesh::new(corners, indices).ok()
    }
}

/// Whether a surface lies around a point: a ray from inside leaves it an odd number of times. The direction is skew to
/// the axes, along which most made parts have their facets.
fn holds(surface: &Option<TriMesh>, point_mm: Point3<f64>, low_mm: Point3<f64>) -> bool {
    let Some(surface) = surface else { return false };
    let from = point_mm - low_mm;
    let direction = Vector::new(0.577_2, 0.303_1, 0.758_3);
    let reach = surface.local_aabb().extents().length() * 2.0;
    let step = reach * 1e-9;
    let mut travelled = 0.0;
    let mut crossings = 0;
    while crossings < surface.indices().len() {
        let origin = Vector::new(from.x, from.y, from.z) + direction * travelled;
        match surface.cast_local_ray(&Ray::new(origin, direction), reach, false) {
            Some(distance) => travelled += distance + step,
            None => break,
        }
        crossings += 1;
    }
    crossings % 2 == 1
}
