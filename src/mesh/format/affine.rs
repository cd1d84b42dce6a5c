//! Affine maps of 3MF and AMF: a row (x, y, z, 1) times a matrix of four rows.

/// An affine map: three rows that x, y and z are multiplied by, and one that is added.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Affine {
    rows: [[f64; 3]; 4],
}

impl Affine {
    /// Leaves everything in its place.
    pub(super) const IDENTITY: Affine = Affine {
        rows: [
            [1.0, 0.0, 0.0],
            [0.0, 1.0, 0.0],
            [0.0, 0.0, 1.0],
            [0.0, 0.0, 0.0],
        ],
    };

    /// From "m00 m01 m02 m10 m11 m12 m20 m21 m22 m30 m31 m32" (3MF core specification, 3.3).
    pub(super) fn of_row_major(m: [f64; 12]) -> Affine {
        Affine {
            rows: [
                [m[0], m[1], m[2]],
                [m[3], m[4], m[5]],
                [m[6], m[7], m[8]],
                [m[9], m[10], m[11]],
            ],
        }
    }

    /// Turns about x, then y, then z, right-handed, then shifts.
    pub(super) fn of_turns(degrees: [f64; 3], shift: [f64; 3]) -> Affine {
        let [x, y, z] = degrees.map(|d| d.to_radians().sin_cos());
        let linear = |rows: [[f64; 3]; 3]| Affine {
            rows: [rows[0], rows[1], rows[2], [0.0; 3]],
        };
        let about_x = linear([[1.0, 0.0, 0.0], [0.0, x.1, x.0], [0.0, -x.0, x.1]]);
        let about_y = linear([[y.1, 0.0, -y.0], [0.0, 1.0, 0.0], [y.0, 0.0, y.1]]);
        let about_z = linear([[z.1, z.0, 0.0], [-z.0, z.1, 0.0], [0.0, 0.0, 1.0]]);
        let mut turned = about_x.then(&about_y).then(&about_z);
        turned.rows[3] = shift;
        turned
    }

    /// This one first, then `next`.
    pub(super) fn then(&self, next: &Affine) -> Affine {
        let [x, y, z, shift] = self.rows;
        Affine {
            rows: [
                next.direction(x),
                next.direction(y),
                next.direction(z),
                next.point(shift),
            ],
        }
    }

    /// Where a point goes.
    pub(super) fn point(&self, p: [f64; 3]) -> [f64; 3] {
        let d = self.direction(p);
        let shift = self.rows[3];
        [d[0] + shift[0], d[1] + shift[1], d[2] + shift[2]]
    }

    /// Whether it turns right hands into left ones.
    pub(super) fn mirrors(&self) -> bool {
        let [a, b, c, _] = self.rows;
        let cross = [
            a[1] * b[2] - a[2] * b[1],
            a[2] * b[0] - a[0] * b[2],
            a[0] * b[1] - a[1] * b[0],
        ];
        dot(cross, c) < 0.0
    }

    /// Whether one becomes the other by turning and shifting alone: the images of the axes have the same lengths, angles and
    /// handedness. Transforms are written with six digits or more.
    pub(super) fn same_but_rigid(&self, other: &Affine) -> bool {
        const SAME: f64 = 1e-5;
        let (mine, theirs) = (self.gram(), other.gram());
        let largest = mine.iter().fold(0.0f64, |most, g| most.max(g.abs()));
        self.mirrors() == other.mirrors()
            && mine
                .iter()
                .zip(theirs)
                .all(|(a, b)| (a - b).abs() <= SAME * largest)
    }

    /// Dot products of the images of the axes.
    fn gram(&self) -> [f64; 6] {
        let [a, b, c, _] = self.rows;
        [
            dot(a, a),
            dot(b, b),
            dot(c, c),
            dot(a, b),
            dot(b, c),
            dot(c, a),
        ]
    }

    fn direction(&self, d: [f64; 3]) -> [f64; 3] {
        let [a, b, c, _] = self.rows;
        [0, 1, 2].map(|i| d[0] * a[i] + d[1] * b[i] + d[2] * c[i])
    }
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
