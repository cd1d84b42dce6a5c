//! The convex hull of points in space, checked before it is believed.

use nalgebra::{Point3, Vector3};
use parry3d_f64::math::Vector;
use parry3d_f64::transformation::try_convex_hull;
use rustc_hash::FxHashMap;

use crate::pose::tolerance::{HULL_SHARE, LENGTH_SHARE};

/// Facets of the hull of more points than this take too long to find: the time grows with the square of their number.
pub(in crate::pose) const MOST_HULL_POINTS: usize = 4000;

/// A convex hull as a closed surface of triangles.
#[derive(Debug, Clone)]
pub(in crate::pose) struct Hull {
    pub points: Vec<Point3<f64>>,
    /// Counter-clockwise seen from outside.
    pub facets: Vec<[u32; 3]>,
    /// One for each facet.
    pub planes: Vec<Plane>,
    pub edges: Vec<HullEdge>,
}

/// The plane of a facet: what lies inside has `normal . p <= offset_mm`.
#[derive(Debug, Clone, Copy)]
pub(in crate::pose) struct Plane {
    pub normal: Vector3<f64>,
    pub offset_mm: f64,
    /// How far rounding may tilt it at the other end of the part, mm: large for needles.
    pub doubt_mm: f64,
    pub area_mm2: f64,
}

/// An edge of the hull and the two facets that meet there.
#[derive(Debug, Clone, Copy)]
pub(in crate::pose) struct HullEdge {
    pub ends: [u32; 2],
    pub facets: [u32; 2],
}

impl Hull {
    /// The hull of at most [`MOST_HULL_POINTS`] points near the origin. `None` where they are too many or in one plane,
    /// or where the library's answer does not hold: it must be a closed surface of which every plane has all points on
    /// its inner side. Such a surface lies on the hull's own and goes all round it, so it is the hull.
    pub fn of(points: &[Point3<f64>]) -> Option<Self> {
        if !(4..=MOST_HULL_POINTS).contains(&points.len()) {
            return None;
        }
        let size_mm = largest(points);
        // Squares and cubes of sizes beyond these would leave the range of numbers.
        if !(1e-50..1e50).contains(&size_mm) {
            return None;
        }
        let given: Vec<_> = points.iter().map(|p| Vector::new(p.x, p.y, p.z)).collect();
        // The library asserts what it believes of its own work; should it be wrong there is no hull, and fewer poses are tried.
        let hull = std::panic::catch_unwind(|| try_convex_hull(&given)).ok()?;
        let (corners, facets) = hull.ok()?;
        let corners: Vec<_> = corners.iter().map(|p| Point3::new(p.x, p.y, p.z)).collect();
        let plane = |facet: &[u32; 3]| Plane::through(facet.map(|i| corners[i as usize]), size_mm);
        let planes: Vec<Plane> = facets.iter().map(plane).collect::<Option<_>>()?;
        let edges = closed_edges(&facets)?;
        let euler = corners.len() + facets.len() == edges.len() + 2;
        let holds = |plane: &Plane| {
            let most = plane.offset_mm + plane.doubt_mm + HULL_SHARE * size_mm;
            points.iter().all(|p| plane.normal.dot(&p.coords) <= most)
        };
        let hull = Self {
            points: corners,
            facets,
            planes,
            edges,
        };
        let sound = euler && hull.planes.iter().all(holds);
        // A flat sheet with two sides is closed too, and its planes say nothing of where it ends.
        let thick = hull.volume_mm3() > LENGTH_SHARE * size_mm * hull.surface_mm2();
        (sound && thick).then_some(hull)
    }

    /// The direction of an edge, of length 1, and its length, mm.
    pub fn along(&self, edge: &HullEdge) -> (Vector3<f64>, f64) {
        let [from, to] = edge.ends.map(|i| self.points[i as usize]);
        let step = to - from;
        let length_mm = step.norm();
        (step / length_mm, length_mm)
    }

    /// Volume, mm3.
    pub fn volume_mm3(&self) -> f64 {
        let about = self.points[0];
        let above =
            |plane: &Plane| plane.area_mm2 * (plane.offset_mm - plane.normal.dot(&about.coords));
        self.planes.iter().map(above).sum::<f64>() / 3.0
    }

    /// Surface, mm2.
    pub fn surface_mm2(&self) -> f64 {
        self.planes.iter().map(|plane| plane.area_mm2).sum()
    }

    /// The width, averaged over all directions, mm: every edge's length times the angle between the outward normals of
    /// its two facets, summed, over 4 pi (Minkowski; from memory). A box has half the sum of its three sides.
    pub fn mean_width_mm(&self) -> f64 {
        let bends = self.edges.iter().map(|edge| {
            let [a, b] = edge.facets.map(|facet| self.planes[facet as usize].normal);
            self.along(edge).1 * a.cross(&b).norm().atan2(a.dot(&b))
        });
        bends.sum::<f64>() / (4.0 * std::f64::consts::PI)
    }
}

impl Plane {
    /// `None` where the corners are in line.
    fn through([a, b, c]: [Point3<f64>; 3], size_mm: f64) -> Option<Self> {
        let normal = (b - a).cross(&(c - a));
        let two_areas = normal.norm();
        let sides = [b - a, c - b, a - c].map(|side| side.norm());
        let longest = sides.into_iter().fold(0.0, f64::max);
        if two_areas.is_nan() || two_areas <= 0.0 {
            return None;
        }
        let normal = normal / two_areas;
        // A corner is rounded by 1e-16 of the size; the plane swings about its longest side by that over the facet's
        // least height.
        let doubt_mm = 1e-15 * size_mm * size_mm * longest / two_areas;
        Some(Self {
            normal,
            offset_mm: [a, b, c]
                .iter()
                .map(|p| normal.dot(&p.coords))
                .fold(f64::NEG_INFINITY, f64::max),
            doubt_mm,
            area_mm2: two_areas / 2.0,
        })
    }
}

/// The greatest coordinate, mm: the points lie near the origin.
pub(in crate::pose) fn largest(points: &[Point3<f64>]) -> f64 {
    points.iter().map(|p| p.coords.amax()).fold(0.0, f64::max)
}

/// Every edge with its two facets; `None` where an edge is not run along once in each direction.
fn closed_edges(facets: &[[u32; 3]]) -> Option<Vec<HullEdge>> {
    let mut by_ends: FxHashMap<(u32, u32), u32> = FxHashMap::default();
    for (facet, &[a, b, c]) in (0_u32..).zip(facets) {
        for ends in [(a, b), (b, c), (c, a)] {
            if by_ends.insert(ends, facet).is_some() {
                return None;
            }
        }
    }
    let mut edges = Vec::with_capacity(by_ends.len() / 2);
    for (facet, &[a, b, c]) in (0_u32..).zip(facets) {
        for (from, to) in [(a, b), (b, c), (c, a)] {
            let other = *by_ends.get(&(to, from))?;
            if from < to {
                edges.push(HullEdge {
                    ends: [from, to],
                    facets: [facet, other],
                });
            }
        }
    }
    Some(edges)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn block(a: f64, b: f64, c: f64) -> Vec<Point3<f64>> {
        let pick = |i: usize, bit: usize, side: f64| if i >> bit & 1 == 0 { 0.0 } else { side };
        (0..8)
            .map(|i| Point3::new(pick(i, 0, a), pick(i, 1, b), pick(i, 2, c)))
            .collect()
    }

    #[test]
    fn a_box_has_the_volume_surface_and_mean_width_of_the_formulas() {
        let hull = Hull::of(&block(3.0, 5.0, 7.0)).unwrap();
        assert!((hull.volume_mm3() - 105.0).abs() < 1e-9);
        assert!((hull.surface_mm2() - 142.0).abs() < 1e-9);
        assert!((hull.mean_width_mm() - 7.5).abs() < 1e-9);
    }

    /// Qhull by scipy, `tests/reference/resting.json` (written by `resting.py`).
    #[test]
    fn the_demonstration_parts_have_the_hulls_that_qhull_gives_them() {
        let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read_to_string(root.join("tests/reference/resting.json")).unwrap();
        let said: serde_json::Value = serde_json::from_str(&text).unwrap();
        let mut looked = 0;
        for entry in std::fs::read_dir(root.join("models")).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_str().unwrap().to_owned();
            let figures = &said["parts"][&name];
            if figures.is_null() {
                continue;
            }
            let part = crate::mesh::read(std::fs::read(&path).unwrap()).unwrap();
            let corners = super::super::corners::Corners::of(&part.mesh);
            let hull = Hull::of(&corners.points).unwrap();
            let near = |own: f64, key: &str| {
                let said = figures[key].as_f64().unwrap();
                assert!(
                    (own / said - 1.0).abs() < 1e-6,
                    "{name} {key}: {own} against {said}"
                );
            };
            near(hull.volume_mm3(), "hull_volume_mm3");
            near(hull.surface_mm2(), "hull_area_mm2");
            looked += 1;
        }
        assert!(looked >= 5, "{looked} parts were looked at");
    }

    #[test]
    fn points_in_a_plane_in_line_or_alike_have_no_hull() {
        for points in [
            (0..50)
                .map(|i| Point3::new(f64::from(i % 7), f64::from(i / 7), 2.0))
                .collect::<Vec<_>>(),
            (0..50)
                .map(|i| Point3::new(f64::from(i), 2.0 * f64::from(i), 0.0))
                .collect(),
            vec![Point3::new(1.0, 2.0, 3.0); 9],
            Vec::new(),
        ] {
            assert!(Hull::of(&points).is_none());
        }
    }
}
