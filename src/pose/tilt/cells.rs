//! Directions in space, divided into cells.

use std::f64::consts::FRAC_PI_4;

use nalgebra::Vector3;

/// Cells along a side of a cube's face at the beginning.
const FIRST_DIVISION: u32 = 4;

/// The directions through a rectangle on a face of a cube: its sides are parts of great circles.
#[derive(Debug, Clone, Copy)]
pub(in crate::pose) struct Cell {
    /// The axis that the face is square on.
    face: usize,
    /// Least angles off that axis, along the two other ones, radians.
    from: [f64; 2],
    side: f64,
}

impl Cell {
    /// Cells that cover half of all directions: for each direction, it or its opposite.
    pub fn half_sphere() -> Vec<Self> {
        let side = 2.0 * FRAC_PI_4 / f64::from(FIRST_DIVISION);
        let at = |step: u32| -FRAC_PI_4 + side * f64::from(step);
        let mut cells = Vec::new();
        for face in 0..3 {
            for i in 0..FIRST_DIVISION {
                cells.extend((0..FIRST_DIVISION).map(|j| Self {
                    face,
                    from: [at(i), at(j)],
                    side,
                }));
            }
        }
        cells
    }

    /// The direction in the middle, of length 1.
    pub fn middle(&self) -> Vector3<f64> {
        self.direction(0.5, 0.5)
    }

    /// The greatest angle between the middle and any direction of the cell, radians. The cell is convex on the sphere, and
    /// so is a cap of less than a quarter turn: where the cap holds the four corners it holds the cell.
    pub fn radius_rad(&self) -> f64 {
        let middle = self.middle();
        let corners = [(0.0, 0.0), (0.0, 1.0), (1.0, 0.0), (1.0, 1.0)];
        let angles = corners.map(|(s, t)| {
            let corner = self.direction(s, t);
            middle.cross(&corner).norm().atan2(middle.dot(&corner))
        });
        // With room for rounding, so that neighbours overlap.
        angles.into_iter().fold(0.0, f64::max) * (1.0 + 1e-9) + 1e-12
    }

    /// The four cells it falls into.
    pub fn quarters(&self) -> [Self; 4] {
        let side = self.side / 2.0;
        let [s, t] = self.from;
        [[s, t], [s + side, t], [s, t + side], [s + side, t + side]].map(|from| Self {
            from,
            side,
            ..*self
        })
    }

    fn direction(&self, s: f64, t: f64) -> Vector3<f64> {
        let mut direction = Vector3::zeros();
        direction[self.face] = 1.0;
        direction[(self.face + 1) % 3] = (self.from[0] + s * self.side).tan();
        direction[(self.face + 2) % 3] = (self.from[1] + t * self.side).tan();
        direction.normalize()
    }
}

#[cfg(test)]
mod tests {
    use super::super::corners::spread_axes;
    use super::*;

    #[test]
    fn every_direction_or_its_opposite_is_in_a_cell_at_every_depth() {
        let mut cells = Cell::half_sphere();
        for _ in 0..2 {
            for axis in spread_axes(500) {
                let within = |cell: &Cell| {
                    let (middle, radius) = (cell.middle(), cell.radius_rad());
                    axis.dot(&middle).abs() >= radius.cos() - 1e-15
                };
                assert!(cells.iter().any(within), "{axis}");
            }
            cells = cells.iter().flat_map(Cell::quarters).collect();
        }
    }
}
