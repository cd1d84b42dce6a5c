//! Volume, surface and centroid.

use nalgebra::{Point3, Vector3};
use rayon::prelude::*;

/// What a surface encloses, at unit density.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MassProperties {
    /// Enclosed volume, mm3; negative where the facets are wound inwards.
    pub volume_mm3: f64,
    /// Surface, mm2.
    pub area_mm2: f64,
    /// Centroid of the volume, mm; the centre of the summing point where the volume is 0.
    pub centroid_mm: Point3<f64>,
    /// Sum of the facets' area vectors, mm2: zero for a closed surface.
    pub area_vector_mm2: Vector3<f64>,
    /// Facets with two equal corners.
    pub collapsed: usize,
    /// Facets whose three corners are different vertices but lie on a line.
    pub needles: usize,
}

/// A facet whose doubled area, squared, is at most this share of its longest side to the fourth has none.
const NO_AREA_SQUARED: f64 = 1e-24;

/// Whether a facet's corners are three different vertices.
pub(super) fn has_three_corners([a, b, c]: &[u32; 3]) -> bool {
    a != b && b != c && c != a
}

/// Whether three points lie on a line, as far as double precision can tell.
pub(super) fn lie_on_a_line(corners: [Point3<f64>; 3]) -> bool {
    Sums::default().add(corners.map(|c| c - corners[0]))
}

/// Facets in one partial sum. Fixed, so that the sum does not depend on the number of threads.
const BLOCK: usize = 16_384;

/// Sums tetrahedra from `about` to each facet (divergence theorem). Taking `about` at the part's own centre keeps the
/// terms as small as the part, however far from the origin it lies.
pub fn mass_properties(
    vertices_mm: &[Point3<f64>],
    triangles: &[[u32; 3]],
    about: Point3<f64>,
) -> MassProperties {
    let blocks: Vec<Sums> = triangles
        .par_chunks(BLOCK)
        .map(|block| {
            let mut sums = Sums::default();
            for t in block {
                let corners = t.map(|v| vertices_mm[v as usize] - about);
                let is_needle = sums.add(corners);
                let whole = has_three_corners(t);
                sums.collapsed += usize::from(!whole);
                sums.needles += usize::from(is_needle && whole);
            }
            sums
        })
        .collect();
    let total = blocks.iter().fold(Sums::default(), |a, b| a.plus(b));
    let volume_mm3 = total.six_volumes / 6.0;
    let offset = if volume_mm3 == 0.0 {
        Vector3::zeros()
    } else {
        total.moments / (24.0 * volume_mm3)
    };
    MassProperties {
        volume_mm3,
        area_mm2: total.two_areas / 2.0,
        centroid_mm: about + offset,
        area_vector_mm2: total.area_vectors / 2.0,
        collapsed: total.collapsed,
        needles: total.needles,
    }
}

#[derive(Default)]
struct Sums {
    six_volumes: f64,
    two_areas: f64,
    moments: Vector3<f64>,
    area_vectors: Vector3<f64>,
    collapsed: usize,
    needles: usize,
}

impl Sums {
    /// Adds a facet; whether it has no area.
    fn add(&mut self, [a, b, c]: [Vector3<f64>; 3]) -> bool {
        let (u, v) = (b - a, c - a);
        let normal = u.cross(&v);
        let two_areas_squared = normal.norm_squared();
        let six_volumes = a.dot(&b.cross(&c));
        self.six_volumes += six_volumes;
        self.two_areas += two_areas_squared.sqrt();
        self.moments += (a + b + c) * six_volumes;
        self.area_vectors += normal;
        let squared = [u, v, c - b].map(|side| side.norm_squared());
        let longest = squared[0].max(squared[1]).max(squared[2]);
        two_areas_squared <= NO_AREA_SQUARED * longest * longest
    }

    fn plus(self, other: &Sums) -> Sums {
        Sums {
            six_volumes: self.six_volumes + other.six_volumes,
            two_areas: self.two_areas + other.two_areas,
            moments: self.moments + other.moments,
            area_vectors: self.area_vectors + other.area_vectors,
            collapsed: self.collapsed + other.collapsed,
            needles: self.needles + other.needles,
        }
    }
}
