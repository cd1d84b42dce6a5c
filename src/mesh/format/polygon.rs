//! Polygons of files that are not made of triangles only.

use earcut::{Earcut, utils3d::project3d_to_2d};

use super::crossing::is_simple;
use crate::mesh::{Finding, FindingKind, Surface};

/// Polygons with more corners are cut as a fan: cutting ears takes time with the square of the corners at worst.
const MOST_EARS: usize = 5_000;

/// Cuts polygons into triangles. It keeps its working memory between polygons.
#[derive(Default)]
pub(in crate::mesh) struct Triangulator {
    earcut: Earcut<f64>,
    ring: Vec<u32>,
    corners: Vec<[f64; 3]>,
    flat: Vec<[f64; 2]>,
    cut: Vec<u32>,
    run_end: Vec<u32>,
    whole: Vec<[u32; 3]>,
    /// Polygons that have a plane and were cut as a fan all the same.
    forced_fans: u64,
}

impl Triangulator {
    /// Adds the triangles of one polygon over `points`, turned as the polygon is. The polygon is taken as flat. Corners at
    /// the same place one after another count once. One that turns round nowhere (all corners on a line, or one of them no
    /// number) becomes a fan, so that its neighbours still meet it.
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
        let at = |p: u32| points[p as usize];
        self.ring.clear();
        self.ring.extend_from_slice(polygon);
        self.ring.dedup_by(|a, b| at(*a) == at(*b));
        while self.ring.len() > 1 && self.ring.last().map(|p| at(*p)) == Some(at(self.ring[0])) {
            self.ring.pop();
        }
        if self.ring.len() < 3 {
            return;
        }
        let start = triangles.len();
        let first = self.ring[0];
        triangles.extend(
            self.ring[1..]
                .windows(2)
                .map(|pair| [first, pair[0], pair[1]]),
        );
        // A fan wherever it is right: where a polygon is not quite flat it is the surface that most programs mean.
        if self.ring.len() == 3 || !self.flatten(points) || self.fan_turns_one_way() {
            return;
        }
        let ears = self.ring.len() <= MOST_EARS && is_simple(&self.flat) && self.cut_ears();
        if ears {
            triangles.truncate(start);
            triangles.append(&mut self.whole);
        } else {
            self.forced_fans += 1;
        }
    }

    /// The remark on polygons whose fan may lie outside them; none where there are none.
    pub(in crate::mesh) fn remark(&self) -> Option<Finding> {
        let count = self.forced_fans;
        (count > 0).then(|| Finding {
            kind: FindingKind::Remark,
            count,
            detail: format!(
                "{count} {} not simple (a face crosses itself, or has more than {MOST_EARS} corners and is not convex); \
                 the volume holds, the surface may come out too large",
                if count == 1 { "face is" } else { "faces are" }
            ),
            mended: false,
            at_mm: None,
            body: None,
        })
    }

    /// Whether every triangle of the fan from the first corner turns as the polygon does.
    fn fan_turns_one_way(&self) -> bool {
        let [x, y] = self.flat[0];
        self.flat[1..].windows(2).all(|pair| {
            let [a, b] = [pair[0], pair[1]].map(|[px, py]| [px - x, py - y]);
            a[0] * b[1] - a[1] * b[0] > 0.0
        })
    }

    /// Brings the corners into their plane, moved to the origin and scaled to about 1 so that neither large nor small
    /// coordinates lose the turn; whether there is a plane.
    fn flatten(&mut self, points: &[[f64; 3]]) -> bool {
        let greatest = |points: &[[f64; 3]]| {
            let all = points.iter().flatten();
            all.fold(0.0f64, |most, c| most.max(c.abs()))
        };
        self.corners.clear();
        self.corners
            .extend(self.ring.iter().map(|p| points[*p as usize]));
        for _ in 0..2 {
            // The second time round, of the polygon alone and not of how far off it lies.
            let size = greatest(&self.corners);
            if !(size > 0.0 && size.is_finite()) {
                return false;
            }
            let origin = self.corners[0].map(|c| c / size);
            for corner in &mut self.corners {
                *corner = std::array::from_fn(|i| corner[i] / size - origin[i]);
            }
        }
        project3d_to_2d(&self.corners, self.corners.len(), &mut self.flat)
            && self.flat.iter().flatten().all(|c| c.is_finite())
    }

    /// Cuts ears into `whole`; whether every corner is used, as the neighbours across the polygon's edges need. Corners in
    /// the middle of a straight side that the cut left out are put back into the triangle at that side.
    fn cut_ears(&mut self) -> bool {
        let count = self.ring.len();
        self.earcut
            .earcut(self.flat.iter().copied(), &[], &mut self.cut);
        self.find_run_ends();
        self.whole.clear();
        while let Some([a, b, c]) = self.take_last() {
            let sides = [[a, b, c], [b, c, a], [c, a, b]];
            let divided = sides
                .into_iter()
                .find(|[from, to, _]| self.leaves_out(*from, *to));
            let Some([from, to, across]) = divided else {
                self.whole
                    .push([a, b, c].map(|corner| self.ring[corner as usize]));
                continue;
            };
            // Both ends of the side are used, so neither this side nor its parts come up again.
            let mut here = from;
            while here != to {
                let then = (here + 1) % count as u32;
                self.cut.extend([here, then, across]);
                here = then;
            }
        }
        self.whole.len() == count - 2
    }

    /// Finds for each corner that the cut uses the next one that it uses.
    fn find_run_ends(&mut self) {
        let count = self.ring.len();
        self.run_end.clear();
        self.run_end.resize(count, u32::MAX);
        for corner in &self.cut {
            self.run_end[*corner as usize] = 0;
        }
        let first = self.run_end.iter().position(|e| *e == 0).unwrap_or(0);
        let mut next = first as u32;
        for corner in (first..count).rev() {
            if self.run_end[corner] == 0 {
                self.run_end[corner] = next;
                next = corner as u32;
            }
        }
    }

    fn take_last(&mut self) -> Option<[u32; 3]> {
        let at = self.cut.len().checked_sub(3)?;
        let last = [self.cut[at], self.cut[at + 1], self.cut[at + 2]];
        self.cut.truncate(at);
        Some(last)
    }

    /// Whether the cut left out corners between two that follow each other among those it uses.
    fn leaves_out(&self, from: u32, to: u32) -> bool {
        let count = self.ring.len() as u32;
        self.run_end[from as usize] == to && (from + 1) % count != to
    }
}

/// A surface of the points that its triangles use, in their order: a loose point is no part of the solid and would
/// stretch its box.
pub(super) fn without_loose_points(points: &[[f64; 3]], mut triangles: Vec<[u32; 3]>) -> Surface {
    let mut place = vec![u32::MAX; points.len()];
    for corner in triangles.iter().flatten() {
        place[*corner as usize] = 0;
    }
    let mut used = Vec::new();
    for (place, point) in place.iter_mut().zip(points) {
        if *place == 0 {
            *place = used.len() as u32;
            used.push(*point);
        }
    }
    for corner in triangles.iter_mut().flatten() {
        *corner = place[*corner as usize];
    }
    Surface {
        points: used,
        triangles,
        distinct_singles: false,
    }
}

/// The remark on faces with fewer than three corners; none where there are none.
pub(super) fn faces_passed_over(count: u64, first: &str) -> Option<Finding> {
    (count > 0).then(|| Finding {
        kind: FindingKind::Remark,
        count,
        detail: if count == 1 {
            format!("1 face with fewer than three corners ({first}) was passed over")
        } else {
            format!(
                "{count} faces with fewer than three corners (the first: {first}) were passed over"
            )
        },
        mended: true,
        at_mm: None,
        body: None,
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use std::f64::consts::TAU;
    use std::time::{Duration, Instant};

    use super::*;

    fn cut(points: &[[f64; 3]]) -> Vec<[u32; 3]> {
        let polygon: Vec<u32> = (0..points.len() as u32).collect();
        let mut triangles = Vec::new();
        Triangulator::default().cut(points, &polygon, &mut triangles);
        triangles
    }

    /// Twice the area of triangles in the plane z = 0, those that turn the other way negative.
    fn doubled_areas(points: &[[f64; 3]], triangles: &[[u32; 3]]) -> Vec<f64> {
        let area = |t: &[u32; 3]| {
            let [a, b, c] = t.map(|i| points[i as usize]);
            (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
        };
        triangles.iter().map(area).collect()
    }

    /// A comb: 1 deep with teeth of 1 by 1, each 2 on.
    fn comb(teeth: usize) -> Vec<[f64; 3]> {
        let width = 2.0 * teeth as f64 - 1.0;
        let mut points = vec![[0.0, 0.0, 0.0], [width, 0.0, 0.0]];
        for tooth in (0..teeth).rev() {
            let x = 2.0 * tooth as f64;
            let foot = [[x + 1.0, 1.0, 0.0], [x, 1.0, 0.0]];
            let top = [[x + 1.0, 2.0, 0.0], [x, 2.0, 0.0]];
            let corners = [foot[0], top[0], top[1], foot[1]];
            let first = usize::from(tooth + 1 == teeth);
            let last = if tooth == 0 { 3 } else { 4 };
            points.extend(&corners[first..last]);
        }
        points
    }

    #[test]
    fn triangles_turn_as_their_polygon_does_and_use_every_corner() {
        let ring = comb(5);
        let reversed: Vec<[f64; 3]> = ring.iter().rev().copied().collect();
        for (points, turn) in [(ring, 1.0), (reversed, -1.0)] {
            for first in 0..points.len() {
                let mut points = points.clone();
                points.rotate_left(first);
                let triangles = cut(&points);
                assert_eq!(triangles.len(), points.len() - 2);
                let areas = doubled_areas(&points, &triangles);
                assert!(areas.iter().all(|a| a * turn >= 0.0), "{areas:?}");
                assert!((areas.iter().sum::<f64>() * turn - 2.0 * 14.0).abs() < 1e-12);
                assert!(
                    (0..points.len() as u32).all(|p| triangles.iter().flatten().any(|t| *t == p))
                );
            }
        }
    }

    #[test]
    fn corners_on_a_straight_side_are_used_wherever_they_lie() {
        let ring: [[f64; 3]; 9] = [
            [0.0, 0.0, 0.0],
            [1.0, 0.0, 0.0],
            [2.0, 0.0, 0.0],
            [3.0, 0.0, 0.0],
            [2.0, 1.0, 0.0],
            [1.0, 2.0, 0.0],
            [0.0, 3.0, 0.0],
            [0.0, 2.0, 0.0],
            [0.0, 1.0, 0.0],
        ];
        for first in 0..ring.len() {
            let mut points = ring;
            points.rotate_left(first);
            let triangles = cut(&points);
            let areas = doubled_areas(&points, &triangles);
            assert_eq!(triangles.len(), 7);
            assert!(
                areas.iter().all(|a| *a >= 0.0) && (areas.iter().sum::<f64>() - 9.0).abs() < 1e-12
            );
        }
    }

    #[test]
    fn neither_size_nor_place_changes_how_a_polygon_is_cut() {
        let expected = cut(&comb(5));
        for (scale, off) in [(1e300, 0.0), (1e-300, 0.0), (1e-9, 0.0), (1.0, 1e7)] {
            let points: Vec<[f64; 3]> =
                comb(5).iter().map(|p| p.map(|c| c * scale + off)).collect();
            assert_eq!(cut(&points), expected, "{scale} {off}");
        }
    }

    #[test]
    fn corners_that_repeat_count_once() {
        let mut points = comb(3);
        let plain = cut(&points).len();
        points.insert(4, points[4]);
        points.insert(4, points[4]);
        points.push(points[0]);
        assert_eq!(cut(&points).len(), plain);
        assert_eq!(cut(&[[1.0; 3]; 9]), [[0; 3]; 0]);
    }

    #[test]
    fn a_polygon_without_a_plane_is_a_fan() {
        for bad in [f64::NAN, f64::INFINITY] {
            let mut points = comb(2);
            points[3][1] = bad;
            assert_eq!(cut(&points).len(), points.len() - 2);
        }
        let line: Vec<[f64; 3]> = (0..6).map(|i| [f64::from(i); 3]).collect();
        assert_eq!(cut(&line).len(), 4);
    }

    #[test]
    fn large_polygons_take_little_time_even_where_they_cross_themselves() {
        let round = |i: u32, by: f64| [(by * f64::from(i)).cos(), (by * f64::from(i)).sin(), 0.0];
        let circle: Vec<_> = (0..20_000).map(|i| round(i, TAU / 20_000.0)).collect();
        let star: Vec<_> = (0..20_000).map(|i| round(i, 2.4)).collect();
        let noise = |i: u32| f64::from(i.wrapping_mul(2_654_435_761) >> 8);
        let scribble: Vec<_> = (0..20_000)
            .map(|i| [noise(i), noise(i + 77_777), 0.0])
            .collect();
        for points in [
            circle,
            comb(5_000),
            comb(1_200),
            star[..5_000].to_vec(),
            star,
            scribble[..5_000].to_vec(),
            scribble,
        ] {
            let start = Instant::now();
            assert_eq!(cut(&points).len(), points.len() - 2);
            assert!(
                start.elapsed() < Duration::from_secs(2),
                "{:?}",
                start.elapsed()
            );
        }
    }
}
