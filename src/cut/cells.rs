//! Whether what lies between planes fits a machine, judged without cutting.
//!
//! What fits depends on the convex hull alone, and the hull of a cell's content is that of the facets' corners in it and of the
//! points where facets leave it. Solids that hang together are judged together even where planes would part them within a cell, so
//! a yes is sure and a no is not.

use nalgebra::{Point3, Vector3};

use super::Axis;
use super::pieces::solids;
use crate::mesh::{InspectedMesh, Mesh};
use crate::pose::{BuildSpace, Footprints};

/// Facets looked at over a whole search, at most. Beyond it cells are judged by their boxes alone, which costs nothing.
const MOST_LOOKS: usize = 40_000_000;
/// Looks that taking a hull costs, for every point.
const LOOKS_PER_POINT: usize = 12;

/// From where to where a cell reaches along each axis, mm.
pub(super) type Bounds = [[f64; 2]; 3];

/// A part between planes.
pub(super) struct Cells<'a> {
    mesh: &'a Mesh,
    solid_of: Vec<u32>,
    solids: usize,
    space: &'a BuildSpace,
    /// Box of every facet.
    boxes: Vec<(Point3<f64>, Point3<f64>)>,
    /// The part's box, by axis.
    pub whole: Bounds,
    looks: usize,
}

impl<'a> Cells<'a> {
    pub fn of(part: &'a InspectedMesh, space: &'a BuildSpace) -> Self {
        let (solid_of, solids) = solids(&part.mesh, &part.topology);
        let (low, high) = part.mesh.box_mm();
        let boxes = (0..part.mesh.triangles.len())
            .map(|facet| {
                let [a, b, c] = part.mesh.corners(facet);
                (a.inf(&b).inf(&c), a.sup(&b).sup(&c))
            })
            .collect();
        Cells {
            mesh: &part.mesh,
            solid_of,
            solids,
            space,
            boxes,
            whole: std::array::from_fn(|axis| [low[axis], high[axis]]),
            looks: 0,
        }
    }

    /// Whether what lies between two heights of an axis fits, cut by the other axes' planes.
    pub fn slab_fits(&mut self, axis: Axis, [low, high]: [f64; 2], cuts: &[Vec<f64>; 3]) -> bool {
        let [u, v] = axis.across();
        for along_u in self.spans(u, &cuts[u]) {
            for along_v in self.spans(v, &cuts[v]) {
                let mut cell = self.whole;
                cell[axis.index()] = [low, high];
                (cell[u], cell[v]) = (along_u, along_v);
                if !self.cell_fits(&cell) {
                    return false;
                }
            }
        }
        true
    }

    fn spans(&self, axis: usize, cuts: &[f64]) -> Vec<[f64; 2]> {
        let [low, high] = self.whole[axis];
        let ends = std::iter::once(low)
            .chain(cuts.iter().copied())
            .chain([high]);
        let ends: Vec<f64> = ends.collect();
        ends.windows(2).map(|pair| [pair[0], pair[1]]).collect()
    }

    fn cell_fits(&mut self, cell: &Bounds) -> bool {
        let size = Vector3::from_fn(|axis, _| cell[axis][1] - cell[axis][0]);
        if box_fits(size, self.space) {
            return true;
        }
        if self.looks > MOST_LOOKS {
            return false;
        }
        self.looks += self.mesh.triangles.len();
        let of_solids = self.points_in(cell);
        for points in of_solids {
            self.looks += LOOKS_PER_POINT * points.len();
            if !points_fit(points, self.space) {
                return false;
            }
        }
        true
    }

    /// Corners of what each solid has in a cell.
    fn points_in(&self, cell: &Bounds) -> Vec<Vec<Point3<f64>>> {
        let mut points: Vec<Vec<Point3<f64>>> = vec![Vec::new(); self.solids];
        let mut taken = vec![false; self.mesh.vertices_mm.len()];
        for (facet, (low, high)) in self.boxes.iter().enumerate() {
            if (0..3).any(|i| high[i] < cell[i][0] || low[i] > cell[i][1]) {
                continue;
            }
            let of_solid = &mut points[self.solid_of[facet] as usize];
            if (0..3).all(|i| low[i] >= cell[i][0] && high[i] <= cell[i][1]) {
                for vertex in self.mesh.triangles[facet] {
                    if !std::mem::replace(&mut taken[vertex as usize], true) {
                        of_solid.push(self.mesh.vertices_mm[vertex as usize]);
                    }
                }
            } else {
                of_solid.extend(clipped(&self.mesh.corners(facet), cell));
            }
        }
        points
    }

    /// The facets' share of the box that the part fills, 0 to 1, of a part with that volume.
    pub fn filled(&self, volume_mm3: f64) -> f64 {
        let of_box: f64 = self.whole.iter().map(|[low, high]| high - low).product();
        volume_mm3.abs() / of_box
    }
}

/// Whether a box fits a machine, whichever side is down and at any turn.
pub(super) fn box_fits(size_mm: Vector3<f64>, space: &BuildSpace) -> bool {
    if space.holds_box(size_mm.into()) {
        return true;
    }
    let corner = |i: usize| {
        Point3::from(Vector3::from_fn(|axis, _| {
            if i >> axis & 1 == 1 {
                size_mm[axis]
            } else {
                0.0
            }
        }))
    };
    points_fit((0..8).map(corner).collect(), space)
}

fn points_fit(points: Vec<Point3<f64>>, space: &BuildSpace) -> bool {
    if points.is_empty() {
        return true;
    }
    let cloud = Mesh {
        vertices_mm: points,
        triangles: Vec::new(),
    };
    let size = cloud.size_mm();
    if space.holds_box(size.into()) {
        return true;
    }
    Footprints::of(&cloud).fits_on_an_axis(space)
}

/// Corners of the part of a facet that lies in a cell.
fn clipped(corners: &[Point3<f64>; 3], cell: &Bounds) -> Vec<Point3<f64>> {
    let mut polygon = corners.to_vec();
    for axis in 0..3 {
        for (limit, sign) in [(cell[axis][0], 1.0), (cell[axis][1], -1.0)] {
            let inside = |p: &Point3<f64>| sign * (p[axis] - limit) >= 0.0;
            if polygon.iter().all(inside) {
                continue;
            }
            let mut kept = Vec::with_capacity(polygon.len() + 1);
            for (i, p) in polygon.iter().enumerate() {
                let q = &polygon[(i + 1) % polygon.len()];
                if inside(p) {
                    kept.push(*p);
                }
                if inside(p) != inside(q) {
                    let mut at = p + (q - p) * ((limit - p[axis]) / (q[axis] - p[axis]));
                    at[axis] = limit;
                    kept.push(at);
                }
            }
            polygon = kept;
        }
    }
    polygon
}
