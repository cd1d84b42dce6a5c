//! Polygons of files that are not made of triangles only.

use earcut::{Earcut, utils3d::project3d_to_2d};

/// Cuts polygons into triangles. It keeps its working memory between polygons.
#[derive(Default)]
pub(in crate::mesh) struct Triangulator {
    earcut: Earcut<f64>,
    corners: Vec<[f64; 3]>,
    flat: Vec<[f64; 2]>,
    cut: Vec<u32>,
}

impl Triangulator {
    /// Adds the triangles of one polygon over `points`, turned as the polygon is. The polygon is taken as flat; one that turns
    /// round nowhere (all corners on a line) becomes a fan without area, so that its neighbours still meet it.
    pub(in crate::mesh) fn cut(
        &mut self,
        points: &[[f64; 3]],
        polygon: &[u32],
        triangles: &mut Vec<[u32; 3]>,
    ) {
        match *polygon {
            [] | [_] | [_, _] => return,
            [a, b, c] => return triangles.push([a, b, c]),
            _ => {}
        }
        self.corners.clear();
        self.corners
            .extend(polygon.iter().map(|p| points[*p as usize]));
        if self.ears_cover() {
            triangles.extend(
                self.cut
                    .chunks_exact(3)
                    .map(|t| [t[0], t[1], t[2]].map(|i| polygon[i as usize])),
            );
        } else {
            triangles.extend(
                polygon[1..]
                    .windows(2)
                    .map(|pair| [polygon[0], pair[0], pair[1]]),
            );
        }
    }

    /// Cuts ears; whether they use every corner, as the neighbours across the polygon's edges need.
    fn ears_cover(&mut self) -> bool {
        let count = self.corners.len();
        if !project3d_to_2d(&self.corners, count, &mut self.flat) {
            return false;
        }
        self.earcut
            .earcut(self.flat.iter().copied(), &[], &mut self.cut);
        let mut used = vec![false; count];
        for corner in &self.cut {
            used[*corner as usize] = true;
        }
        self.cut.len() == 3 * (count - 2) && used.into_iter().all(|u| u)
    }
}
