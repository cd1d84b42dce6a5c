//! A closed solid put together from bands between rings and flat faces with holes, then checked and written.
//!
//! Takes rings of points; gives a [`Solid`] whose every edge is walked once in each direction, or an error.

use std::collections::HashMap;

use earcut::Earcut;

use super::outline::{Outline, at_height};

/// A point, mm.
pub type Point = [f64; 3];

/// A closed ring of points, mm; the last is joined to the first.
pub type Ring = Vec<Point>;

/// First bytes of every file written. It must not begin with the word that opens a text STL.
const HEADER: &[u8] = b"invented demonstration part, millimetres";

/// Why something is not one closed solid.
#[derive(Debug, thiserror::Error)]
pub enum SolidError {
    /// Two rings to be joined have different numbers of points.
    #[error("a band joins a ring of {from} points to one of {to}; they must be equal")]
    UnequalRings {
        /// Points of the first ring.
        from: usize,
        /// Points of the second ring.
        to: usize,
    },
    /// The triangles of a flat face do not cover it.
    #[error("a flat face of {expected} mm2 was covered by {got} mm2 of triangles")]
    Uncovered {
        /// Area of the outline less its holes, mm2.
        expected: f64,
        /// Area of the triangles, mm2.
        got: f64,
    },
    /// A triangle has two equal corners once rounded to single precision.
    #[error("facet {facet} has two equal corners")]
    Degenerate {
        /// Number of the facet, from 0.
        facet: usize,
    },
    /// An edge is not shared by exactly two facets that walk it in opposite directions.
    #[error("the edge from {from:?} to {to:?} is not shared by exactly two facets")]
    Open {
        /// Where the edge starts, mm.
        from: [f32; 3],
        /// Where the edge ends, mm.
        to: [f32; 3],
    },
    /// The solid is inside out or empty.
    #[error("the volume is {volume} mm3; it must be positive")]
    InsideOut {
        /// Signed volume, mm3.
        volume: f64,
    },
}

/// The way a flat face looks; a face is flat along one axis of the part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Facing {
    /// Towards +z.
    Up,
    /// Towards -z.
    Down,
    /// Towards +y.
    Back,
    /// Towards -y.
    Front,
}

impl Facing {
    /// The point in the plane of the face, turned so that counter-clockwise is what the outside sees.
    fn flatten(self, [x, y, z]: Point) -> [f64; 2] {
        match self {
            Facing::Up => [x, y],
            Facing::Down => [y, x],
            Facing::Back => [z, x],
            Facing::Front => [x, z],
        }
    }
}

/// Facets of one solid, corners counter-clockwise seen from outside.
#[derive(Clone, Debug, Default)]
pub struct Solid {
    facets: Vec<[Point; 3]>,
}

impl Solid {
    /// Joins two rings of equal length. The outside is on the right when walking from `from` to `to` on rings that
    /// turn counter-clockwise about the direction of that walk.
    ///
    /// # Errors
    /// [`SolidError::UnequalRings`].
    pub fn band(&mut self, from: &[Point], to: &[Point]) -> Result<(), SolidError> {
        if from.len() != to.len() {
            return Err(SolidError::UnequalRings {
                from: from.len(),
                to: to.len(),
            });
        }
        for i in 0..from.len() {
            let j = (i + 1) % from.len();
            self.facets.push(rounded([from[i], from[j], to[j]]));
            self.facets.push(rounded([from[i], to[j], to[i]]));
        }
        Ok(())
    }

    /// A flat four-cornered face, corners counter-clockwise seen from outside.
    pub fn quad(&mut self, [a, b, c, d]: [Point; 4]) {
        self.facets.push(rounded([a, b, c]));
        self.facets.push(rounded([a, c, d]));
    }

    /// Joins each ring of a sequence to the next.
    ///
    /// # Errors
    /// [`SolidError::UnequalRings`].
    pub fn bands(&mut self, rings: &[Ring]) -> Result<(), SolidError> {
        rings
            .windows(2)
            .try_for_each(|pair| self.band(&pair[0], &pair[1]))
    }

    /// The upright wall of something that stands on `outline` from `low_mm` to `high_mm`.
    ///
    /// # Errors
    /// None for a given outline; the type is that of [`Solid::band`].
    pub fn post(
        &mut self,
        outline: &[[f64; 2]],
        low_mm: f64,
        high_mm: f64,
    ) -> Result<(), SolidError> {
        self.band(&at_height(outline, low_mm), &at_height(outline, high_mm))
    }

    /// The upright wall of a hole of shape `outline` from `low_mm` to `high_mm`.
    ///
    /// # Errors
    /// None for a given outline; the type is that of [`Solid::band`].
    pub fn hole(
        &mut self,
        outline: &[[f64; 2]],
        low_mm: f64,
        high_mm: f64,
    ) -> Result<(), SolidError> {
        self.band(&at_height(outline, high_mm), &at_height(outline, low_mm))
    }

    /// A level face at `z_mm` inside `outer` and outside every one of `holes`.
    ///
    /// # Errors
    /// As [`Solid::face`].
    pub fn level(
        &mut self,
        z_mm: f64,
        facing: Facing,
        outer: &[[f64; 2]],
        holes: &[Outline],
    ) -> Result<(), SolidError> {
        let holes: Vec<Ring> = holes.iter().map(|hole| at_height(hole, z_mm)).collect();
        let holes: Vec<&[Point]> = holes.iter().map(Vec::as_slice).collect();
        self.face(&at_height(outer, z_mm), &holes, facing)
    }

    /// Joins a ring to a single point, as the last band of a dome.
    pub fn fan(&mut self, ring: &[Point], tip: Point) {
        for i in 0..ring.len() {
            let j = (i + 1) % ring.len();
            self.facets.push(rounded([ring[i], ring[j], tip]));
        }
    }

    /// A flat face inside `outer` and outside every one of `holes`; the sense of the rings does not matter.
    ///
    /// # Errors
    /// [`SolidError::Uncovered`] where rings cross or the triangulation fails.
    pub fn face(
        &mut self,
        outer: &[Point],
        holes: &[&[Point]],
        facing: Facing,
    ) -> Result<(), SolidError> {
        let mut corners: Vec<Point> = outer.to_vec();
        let mut hole_starts: Vec<u32> = Vec::new();
        for hole in holes {
            hole_starts.push(corners.len() as u32);
            corners.extend_from_slice(hole);
        }
        let corners: Vec<Point> = corners.into_iter().map(single).collect();
        let flat: Vec<[f64; 2]> = corners.iter().map(|&p| facing.flatten(p)).collect();
        let mut indices: Vec<u32> = Vec::new();
        Earcut::new().earcut(flat.iter().copied(), &hole_starts, &mut indices);

        let mut covered = 0.0;
        for triple in indices.chunks_exact(3) {
            let [a, b, c] = [triple[0] as usize, triple[1] as usize, triple[2] as usize];
            let twice = twice_area(&[flat[a], flat[b], flat[c]]);
            covered += twice.abs() / 2.0;
            self.facets.push(if twice > 0.0 {
                [corners[a], corners[b], corners[c]]
            } else {
                [corners[a], corners[c], corners[b]]
            });
        }
        let expected =
            flat_area(outer, facing) - holes.iter().map(|h| flat_area(h, facing)).sum::<f64>();
        if (covered - expected).abs() > 1e-5 * expected.abs().max(1.0) {
            return Err(SolidError::Uncovered {
                expected,
                got: covered,
            });
        }
        Ok(())
    }

    /// Hands the solid over if it is closed, walked consistently and the right way out.
    ///
    /// # Errors
    /// What is wrong, with the place.
    pub fn checked(self) -> Result<Self, SolidError> {
        let mut walks: HashMap<([u32; 3], [u32; 3]), u32> = HashMap::new();
        for (number, facet) in self.facets.iter().enumerate() {
            let keys = facet.map(bits);
            if keys[0] == keys[1] || keys[1] == keys[2] || keys[2] == keys[0] {
                return Err(SolidError::Degenerate { facet: number });
            }
            for i in 0..3 {
                *walks.entry((keys[i], keys[(i + 1) % 3])).or_default() += 1;
            }
        }
        // Walked in facet order, not map order, so that the same fault always gives the same message.
        for facet in &self.facets {
            for i in 0..3 {
                let (from, to) = (facet[i], facet[(i + 1) % 3]);
                let there = walks.get(&(bits(from), bits(to))).copied();
                let back = walks.get(&(bits(to), bits(from))).copied();
                if there != Some(1) || back != Some(1) {
                    let [from, to] = [from, to].map(|p| p.map(|c| c as f32));
                    return Err(SolidError::Open { from, to });
                }
            }
        }
        let volume = self.volume_mm3();
        if volume > 0.0 {
            Ok(self)
        } else {
            Err(SolidError::InsideOut { volume })
        }
    }

    /// Number of facets.
    pub fn facet_count(&self) -> usize {
        self.facets.len()
    }

    /// Signed volume by the divergence theorem, mm3; positive where the outside is out.
    pub fn volume_mm3(&self) -> f64 {
        self.facets
            .iter()
            .map(|[a, b, c]| dot(*a, cross(*b, *c)) / 6.0)
            .sum()
    }

    /// The solid as a binary STL: 80 bytes of header, the count, 50 bytes per facet, little-endian.
    pub fn to_stl(&self) -> Vec<u8> {
        let mut bytes = Vec::with_capacity(84 + 50 * self.facets.len());
        bytes.extend_from_slice(HEADER);
        bytes.resize(80, b' ');
        bytes.extend_from_slice(&(self.facets.len() as u32).to_le_bytes());
        for facet in &self.facets {
            for vector in [normal(*facet), facet[0], facet[1], facet[2]] {
                for coordinate in vector {
                    bytes.extend_from_slice(&(coordinate as f32).to_le_bytes());
                }
            }
            bytes.extend_from_slice(&[0, 0]);
        }
        bytes
    }
}

/// The point as the file will hold it: to a millionth of a millimetre, then in single precision. The first rounding
/// makes one point reached by two ways one point (and is the same on every platform's sine); adding zero turns -0
/// into 0, so that equal points are equal bytes.
fn single(point: Point) -> Point {
    point.map(|c| f64::from(((c * 1.0e6).round() / 1.0e6) as f32) + 0.0)
}

fn rounded(facet: [Point; 3]) -> [Point; 3] {
    facet.map(single)
}

fn bits(point: Point) -> [u32; 3] {
    point.map(|c| (c as f32).to_bits())
}

fn flat_area(ring: &[Point], facing: Facing) -> f64 {
    let flat: Vec<[f64; 2]> = ring.iter().map(|&p| facing.flatten(p)).collect();
    twice_area(&flat).abs() / 2.0
}

/// Twice the signed area, by the shoelace rule.
fn twice_area(ring: &[[f64; 2]]) -> f64 {
    (0..ring.len())
        .map(|i| {
            let ([ax, ay], [bx, by]) = (ring[i], ring[(i + 1) % ring.len()]);
            ax * by - ay * bx
        })
        .sum()
}

fn normal([a, b, c]: [Point; 3]) -> Point {
    let n = cross(difference(b, a), difference(c, a));
    let length = dot(n, n).sqrt();
    n.map(|v| v / length + 0.0)
}

fn difference(a: Point, b: Point) -> Point {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

fn cross(a: Point, b: Point) -> Point {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}

fn dot(a: Point, b: Point) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
