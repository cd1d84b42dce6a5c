//! Puts a part on the bed in a pose.

use nalgebra::{Matrix3, Point3, Rotation3};

use super::Rest;
use super::bed::turn::unit;
use crate::mesh::Mesh;

/// An orientation of a part on a bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pose {
    /// The whole rotation from the part as drawn: the direction brought down, then the turn about the vertical.
    pub rotation: Rotation3<f64>,
    /// The part's direction that points down.
    pub down: Rest,
    /// The turn about the vertical, degrees counter-clockwise seen from above, in 0..360.
    pub turn_deg: f64,
}

impl Pose {
    /// The pose with a direction down, then turned about the vertical by `turn_deg` degrees counter-clockwise seen from
    /// above. Whole quarter turns of an axis are exact. `turn_deg` must be finite.
    pub fn new(down: impl Into<Rest>, turn_deg: f64) -> Self {
        let down = down.into();
        let turn_deg = turn_deg.rem_euclid(360.0);
        // Adding zero turns a negative zero into a plain one.
        let matrix = (about_vertical(turn_deg) * down.rotation().matrix()).map(|entry| entry + 0.0);
        Self {
            rotation: Rotation3::from_matrix_unchecked(matrix),
            down,
            turn_deg,
        }
    }
}

/// The part in a pose, moved so that the lowest corner of its box is exactly (0, 0, 0).
///
/// Coordinates of an axis-down pose in a whole quarter turn are swapped and negated exactly; the move is the only
/// rounding. Any other turn is taken near the part, so that a part far from the origin is not rounded twice over.
pub fn place(mesh: &Mesh, pose: &Pose) -> Mesh {
    let matrix = pose.rotation.matrix();
    let exact = matrix
        .iter()
        .all(|&entry| entry == 0.0 || entry.abs() == 1.0);
    let near = if exact {
        Point3::origin()
    } else {
        mesh.box_mm().0
    };
    let vertices_mm = mesh
        .vertices_mm
        .iter()
        .map(|vertex| Point3::from(matrix * (vertex - near)))
        .collect();
    let mut placed = Mesh {
        vertices_mm,
        triangles: mesh.triangles.clone(),
    };
    let low = placed.box_mm().0;
    for vertex in &mut placed.vertices_mm {
        *vertex = Point3::from(*vertex - low);
    }
    placed
}

fn about_vertical(turn_deg: f64) -> Matrix3<f64> {
    let (cosine, sine) = unit(turn_deg);
    Matrix3::new(cosine, -sine, 0.0, sine, cosine, 0.0, 0.0, 0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pose::Down;

    fn wedge(at: f64) -> Mesh {
        let corners = [
            [0.0, 0.0, 0.0],
            [3.0, 0.5, 0.25],
            [1.0, 7.0, 0.0],
            [0.5, 1.0, 2.0],
        ];
        Mesh {
            vertices_mm: corners.map(|c| Point3::from(c.map(|v| v + at))).to_vec(),
            triangles: vec![[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]],
        }
    }

    #[test]
    fn a_placed_part_has_its_lowest_box_corner_at_exactly_zero() {
        for down in Down::ALL {
            for turn_deg in [0.0, 13.7, 90.0, 200.0, 359.0] {
                let pose = Pose::new(down, turn_deg);
                assert!((pose.rotation.matrix().determinant() - 1.0).abs() < 1e-15);
                assert_eq!(place(&wedge(0.1), &pose).box_mm().0, Point3::origin());
            }
        }
    }

    #[test]
    fn as_drawn_at_the_origin_nothing_changes() {
        assert_eq!(
            place(&wedge(0.0), &Pose::new(Down::ZMinus, 0.0)),
            wedge(0.0)
        );
    }

    #[test]
    fn quarter_turns_are_exact() {
        for turn_deg in [0.0, 90.0, 180.0, 270.0, -90.0] {
            let pose = Pose::new(Down::XPlus, turn_deg);
            assert!(
                pose.rotation
                    .matrix()
                    .iter()
                    .all(|v| [0.0, 1.0, -1.0].contains(v))
            );
        }
        let turned = place(&wedge(0.0), &Pose::new(Down::ZMinus, 90.0));
        assert_eq!(turned.vertices_mm[1], Point3::new(6.5, 3.0, 0.25));
    }

    #[test]
    fn a_part_ten_kilometres_away_is_placed_as_the_near_one() {
        // 2^23 mm, so that the eighths of a millimetre in the wedge are held exactly.
        let far = f64::from(1 << 23);
        for down in Down::ALL {
            for turn_deg in [0.0, 31.0] {
                let pose = Pose::new(down, turn_deg);
                let (near, away) = (place(&wedge(0.0), &pose), place(&wedge(far), &pose));
                for (a, b) in near.vertices_mm.iter().zip(&away.vertices_mm) {
                    assert!((a - b).norm() < 1e-14, "{down} {turn_deg}: {a} {b}");
                }
            }
        }
    }

    #[test]
    fn a_turn_keeps_lengths() {
        let (before, after) = (
            wedge(0.0),
            place(&wedge(0.0), &Pose::new(Down::YMinus, 77.0)),
        );
        for (a, b) in [(0, 1), (1, 2), (2, 3)] {
            let was = (before.vertices_mm[a] - before.vertices_mm[b]).norm();
            let is = (after.vertices_mm[a] - after.vertices_mm[b]).norm();
            assert!((was - is).abs() < 1e-12);
        }
    }
}
