//! How one face of a part comes out in a pose.

use nalgebra::Vector3;

use crate::mesh::Mesh;
use crate::pose::Rest;

/// Facets that look within this of a direction are the face that looks that way, degrees (ours, no source).
const SAME_WAY_DEG: f64 = 20.0;
/// Faces nearer to flat than this have no steps (design, Finish).
const FLAT: f64 = 1.0 - 1e-6;

/// How a face lies while it is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FaceLies {
    /// It looks up, or so steeply sideways that nothing holds it up.
    Free,
    /// It lies on the bed.
    OnTheBed,
    /// It hangs over and is laid on support, whose marks it keeps.
    OnSupport,
}

impl FaceLies {
    /// In plain words.
    pub fn in_words(self) -> &'static str {
        match self {
            FaceLies::Free => "free",
            FaceLies::OnTheBed => "on the bed",
            FaceLies::OnSupport => "on support",
        }
    }
}

/// The finish of a face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FaceFinish {
    /// Mean cusp height by area, facets that lie flat counted as 0, um.
    pub cusp_um: f64,
    /// Its area, mm2.
    pub area_mm2: f64,
    /// How most of it lies.
    pub lies: FaceLies,
}

impl FaceFinish {
    /// The face of a part that looks in a direction of the part as drawn, in a pose and with a layer height. Nothing where no
    /// facet looks that way.
    pub fn of(
        mesh: &Mesh,
        direction: &Vector3<f64>,
        rest: Rest,
        height_mm: f64,
        overhang_deg: f64,
    ) -> Option<FaceFinish> {
        let (down, direction) = (rest.direction(), direction.normalize());
        let same_way = SAME_WAY_DEG.to_radians().cos();
        let heights = mesh
            .vertices_mm
            .iter()
            .map(|vertex| -vertex.coords.dot(&down));
        let (low, high) = heights.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), z| {
            (low.min(z), high.max(z))
        });
        // Within a thousandth of the height of the bed: what a first layer presses flat.
        let on_bed = low + 1e-3 * (high - low);
        let (mut twice_mm2, mut cusps) = (0.0, 0.0);
        let mut lies = [0.0; 3];
        for facet in 0..mesh.triangles.len() {
            let [a, b, c] = mesh.corners(facet);
            let normal: Vector3<f64> = (b - a).cross(&(c - a));
            let twice_area = normal.norm();
            let looks_so = normal.dot(&direction) >= same_way * twice_area;
            if twice_area == 0.0 || !looks_so {
                continue;
            }
            let up = -normal.dot(&down) / twice_area;
            twice_mm2 += twice_area;
            if up.abs() < FLAT {
                cusps += twice_area * up.abs();
            }
            let middle = -(a.coords + b.coords + c.coords).dot(&down) / 3.0;
            let how = if -up <= overhang_deg.to_radians().sin() {
                FaceLies::Free
            } else if middle <= on_bed {
                FaceLies::OnTheBed
            } else {
                FaceLies::OnSupport
            };
            lies[how as usize] += twice_area;
        }
        let all = [FaceLies::Free, FaceLies::OnTheBed, FaceLies::OnSupport];
        let most = all
            .into_iter()
            .max_by(|a, b| lies[*a as usize].total_cmp(&lies[*b as usize]))?;
        (twice_mm2 > 0.0).then(|| FaceFinish {
            cusp_um: 1000.0 * height_mm * cusps / twice_mm2,
            area_mm2: twice_mm2 / 2.0,
            lies: most,
        })
    }

    /// The smaller, the better: support marks are worse than any steps.
    pub(super) fn rank(&self) -> f64 {
        match self.lies {
            FaceLies::OnSupport => 1e6 + self.cusp_um,
            FaceLies::Free | FaceLies::OnTheBed => self.cusp_um,
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use nalgebra::Point3;

    /// A wedge whose slope rises by 1 in 2 and looks along (-1, 0, 2).
    fn wedge() -> Mesh {
        let corners = [
            [0.0, 0.0, 0.0],
            [20.0, 0.0, 0.0],
            [20.0, 10.0, 0.0],
            [0.0, 10.0, 0.0],
            [20.0, 0.0, 10.0],
            [20.0, 10.0, 10.0],
        ];
        Mesh {
            vertices_mm: corners.map(Point3::from).to_vec(),
            triangles: vec![
                [0, 2, 1],
                [0, 3, 2],
                [0, 1, 4],
                [3, 5, 2],
                [1, 2, 5],
                [1, 5, 4],
                [0, 4, 5],
                [0, 5, 3],
            ],
        }
    }

    #[test]
    fn a_slope_of_one_in_two_has_steps_of_the_layer_times_its_cosine() {
        // Dolenc & Makela 1994 (from memory): cusp = h |n_z|, here 2/sqrt(5).
        let slope = Vector3::new(-1.0, 0.0, 2.0);
        let up: Rest = "-z".parse().unwrap();
        let finish = FaceFinish::of(&wedge(), &slope, up, 0.3, 45.0).unwrap();
        assert!((finish.cusp_um - 300.0 * 2.0 / 5.0_f64.sqrt()).abs() < 1e-9);
        assert_eq!(finish.lies, FaceLies::Free);
        assert!((finish.area_mm2 - 10.0 * 500.0_f64.sqrt()).abs() < 1e-9);
    }

    #[test]
    fn a_face_is_free_on_the_bed_or_on_support_by_the_way_it_looks() {
        let lies = |face: [f64; 3], down: &str| {
            let face = Vector3::from(face);
            FaceFinish::of(&wedge(), &face, down.parse().unwrap(), 0.3, 45.0)
                .unwrap()
                .lies
        };
        assert_eq!(lies([0.0, 0.0, -1.0], "-z"), FaceLies::OnTheBed);
        assert_eq!(lies([0.0, 0.0, -1.0], "z"), FaceLies::Free);
        assert_eq!(lies([-1.0, 0.0, 2.0], "z"), FaceLies::OnSupport);
        assert_eq!(lies([-1.0, 0.0, 2.0], "-1,0,2"), FaceLies::OnTheBed);
        assert!(
            FaceFinish::of(
                &wedge(),
                &Vector3::new(-1.0, 0.0, -1.0),
                "z".parse().unwrap(),
                0.3,
                45.0
            )
            .is_none()
        );
    }
}
