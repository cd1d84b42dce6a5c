//! What touches the bed in a pose.

use nalgebra::{Point2, Point3, Vector3};

use crate::mesh::Mesh;
use crate::plane::{convex_hull, least_width_mm};
use crate::pose::outline::shadow;
use crate::pose::tolerance::ON_BED_SHARE;
use crate::pose::{Footprints, Rest};

/// How a part touches the bed with its first layer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FirstContact {
    /// Area of the facets that lie on the bed, mm2; 0 where the part stands on an edge or a corner.
    pub facets_mm2: f64,
    /// Area of the convex hull of all that touches the bed, mm2: a table stands on the ground between its legs.
    pub stand_mm2: f64,
    /// Least width of that hull, mm.
    pub stand_width_mm: f64,
    /// Height of the part, mm.
    pub height_mm: f64,
    /// Height over the least width of the stand, the ratio by which tall parts are judged to come loose or sway; above
    /// about 4 it is watched, above 8 it is propped (common practice, no source). `None` where the stand has no width.
    pub height_to_footprint: Option<f64>,
}

/// How the part touches the bed in a rest. What is nearer to the bed than a millionth of the part's size lies on it.
pub fn first_contact(footprints: &Footprints<'_>, rest: impl Into<Rest>) -> FirstContact {
    let rest = rest.into();
    let stand = Stand::of(footprints.corners(), &rest);
    let height_mm = footprints.height_mm(rest);
    let stand_width_mm = stand.least_width_mm();
    FirstContact {
        facets_mm2: facets_on_bed_mm2(footprints, &rest),
        stand_mm2: stand.area_mm2(),
        stand_width_mm,
        height_mm,
        height_to_footprint: ratio(height_mm, stand_width_mm),
    }
}

/// Height over width; `None` where there is no width.
pub(in crate::pose) fn ratio(height_mm: f64, width_mm: f64) -> Option<f64> {
    (width_mm > ON_BED_SHARE * height_mm).then(|| height_mm / width_mm)
}

/// The convex hull of what touches the bed, seen from above.
pub(in crate::pose) struct Stand {
    /// Counter-clockwise, mm, in the coordinates of the rest's rotation.
    pub ring: Vec<Point2<f64>>,
    /// How far along the direction that points down the bed lies, mm.
    pub bed_mm: f64,
}

impl Stand {
    /// From points of the part near the origin.
    pub fn of(points: &[Point3<f64>], rest: &Rest) -> Self {
        let down = rest.direction();
        let bed_mm = points
            .iter()
            .map(|p| down.dot(&p.coords))
            .fold(f64::NEG_INFINITY, f64::max);
        let near_mm = ON_BED_SHARE * diagonal_mm(points);
        let rotation = rest.rotation();
        let touching: Vec<Point2<f64>> = points
            .iter()
            .filter(|p| down.dot(&p.coords) >= bed_mm - near_mm)
            .map(|p| (rotation * p).xy())
            .collect();
        Self {
            ring: convex_hull(touching.iter().copied()),
            bed_mm,
        }
    }

    pub fn area_mm2(&self) -> f64 {
        let Some(first) = self.ring.first() else {
            return 0.0;
        };
        let fan = self
            .ring
            .windows(2)
            .map(|pair| (pair[0] - first).perp(&(pair[1] - first)));
        fan.sum::<f64>() / 2.0
    }

    /// The least width of the ring, mm.
    pub fn least_width_mm(&self) -> f64 {
        least_width_mm(&self.ring)
    }

    /// How far inside the ring a point lies, mm: the distance to the nearest edge's line, negative outside. `None`
    /// where the ring has no area.
    pub fn inside_mm(&self, point: &Point2<f64>) -> Option<f64> {
        if self.ring.len() < 3 {
            return None;
        }
        let after = self.ring.iter().cycle().skip(1);
        let distances = self.ring.iter().zip(after).map(|(from, to)| {
            let along = to - from;
            along.perp(&(point - from)) / along.norm()
        });
        Some(distances.fold(f64::INFINITY, f64::min))
    }
}

/// Diagonal of the points' box, mm.
pub(in crate::pose) fn diagonal_mm(points: &[Point3<f64>]) -> f64 {
    let Some(first) = points.first() else {
        return 0.0;
    };
    let (low, high) = points
        .iter()
        .fold((*first, *first), |(low, high), p| (low.inf(p), high.sup(p)));
    (high - low).norm()
}

/// The facets on the bed cover what their shadow covers, however they are wound.
fn facets_on_bed_mm2(footprints: &Footprints<'_>, rest: &Rest) -> f64 {
    let mesh = footprints.mesh();
    let corners = footprints.corners();
    let (low, _) = mesh.box_mm();
    let down: Vector3<f64> = rest.direction();
    let bed_mm = corners
        .iter()
        .map(|p| down.dot(&p.coords))
        .fold(f64::NEG_INFINITY, f64::max);
    let least = bed_mm - ON_BED_SHARE * diagonal_mm(corners);
    let touches = |v: &u32| down.dot(&(mesh.vertices_mm[*v as usize] - low)) >= least;
    let rotation = rest.rotation();
    let mut vertices_mm = Vec::new();
    let mut triangles = Vec::new();
    let mut number = rustc_hash::FxHashMap::default();
    for facet in mesh
        .triangles
        .iter()
        .filter(|facet| facet.iter().all(touches))
    {
        triangles.push(facet.map(|v| {
            *number.entry(v).or_insert_with(|| {
                vertices_mm.push(Point3::from(
                    rotation * (mesh.vertices_mm[v as usize] - low),
                ));
                vertices_mm.len() as u32 - 1
            })
        }));
    }
    shadow(&Mesh {
        vertices_mm,
        triangles,
    })
    .area_mm2()
}
