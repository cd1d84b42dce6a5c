//! The order in which a layer's paths are laid, and the travels between them.

use rstar::RTree;
use rstar::primitives::{GeomWithData, Rectangle};

use super::{LayerPlan, Path, Role};

/// One path as it will be run: its segments and corners, from rest to rest.
#[derive(Debug, Clone, PartialEq)]
pub struct Stroke {
    /// What is laid.
    pub role: Role,
    /// Cross-section of its bead, mm2.
    pub bead_mm2: f64,
    /// Travel before it from where the nozzle was, mm; 0 where it starts there.
    pub travel_mm: f64,
    /// Where the nozzle passes, mm. A sliver is laid straight over its own length, which may differ from that between its ends.
    pub points_mm: Vec<[f64; 2]>,
    /// Segment lengths, mm, all above 0.
    pub segments_mm: Vec<f64>,
    /// The corners between segments, one fewer.
    pub corners: Vec<Corner>,
}

/// What bounds the speed through a corner, whatever the machine (design, Motion). At acceleration `a` and deviation `delta`
/// the squared speed is at most `a min(delta by_deviation, by_length_mm)`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corner {
    /// `sin(theta/2) / (1 - sin(theta/2))` of the interior angle.
    pub by_deviation: f64,
    /// `min(l1, l2)/2 tan(theta/2)`: radius of the circle through both segments' middles, mm.
    pub by_length_mm: f64,
}

impl Corner {
    /// The corner between two segments given as vectors, mm.
    pub fn between(a: [f64; 2], b: [f64; 2]) -> Corner {
        let (la, lb) = (norm(a), norm(b));
        // Turn `phi` from one direction to the next; the interior angle is 180 degrees less, so
        // sin(theta/2) = cos(phi/2) and tan(theta/2) = cos(phi/2)/sin(phi/2). Of the two half-angle formulas the one without
        // cancellation is taken, and 1 - cos(phi/2) = sin^2(phi/2)/(1 + cos(phi/2)).
        let cosine = ((a[0] * b[0] + a[1] * b[1]) / (la * lb)).clamp(-1.0, 1.0);
        let sine = ((a[0] * b[1] - a[1] * b[0]) / (la * lb)).abs();
        let (half_cosine, half_sine) = if cosine > 0.0 {
            let half_cosine = ((1.0 + cosine) / 2.0).sqrt();
            (half_cosine, sine / (2.0 * half_cosine))
        } else {
            let half_sine = ((1.0 - cosine) / 2.0).sqrt();
            (sine / (2.0 * half_sine), half_sine)
        };
        Corner {
            by_deviation: half_cosine * (1.0 + half_cosine) / (half_sine * half_sine),
            by_length_mm: la.min(lb) / 2.0 * half_cosine / half_sine,
        }
    }
}

/// A layer in the order of laying.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Course {
    /// Its strokes.
    pub strokes: Vec<Stroke>,
}

/// Orders a layer (design, Order): purge line and brim where there are any, support, then the island with the nearest path
/// corner, and in an island inner, outer,
/// slivers, fill and open fill, nearest next within each. `nozzle_mm` is moved along.
pub fn route_layer(plan: &LayerPlan, nozzle_mm: &mut [f64; 2]) -> Course {
    let mut course = Course::default();
    run_nearest_next(plan.apron.iter().collect(), nozzle_mm, &mut course);
    run_nearest_next(plan.support.iter().collect(), nozzle_mm, &mut course);
    let islands: Vec<&Vec<Path>> = plan
        .islands
        .iter()
        .filter(|paths| !paths.is_empty())
        .collect();
    let mut waiting = Waiting::of(
        islands
            .iter()
            .map(|paths| paths.iter().flat_map(|p| &p.points_mm)),
    );
    while let Some((island, _)) = waiting.take_nearest(*nozzle_mm, |island, best| {
        for point in islands[island].iter().flat_map(|p| &p.points_mm) {
            best.offer(squared(*nozzle_mm, *point), 0);
        }
    }) {
        for role in [
            Role::Inner,
            Role::Outer,
            Role::Sliver,
            Role::Fill,
            Role::Open,
        ] {
            let paths = islands[island].iter().filter(|p| p.role == role);
            run_nearest_next(paths.collect(), nozzle_mm, &mut course);
        }
    }
    course
}

/// The least distance found so far, and where.
struct Best {
    squared_mm2: f64,
    corner: usize,
}

impl Best {
    fn offer(&mut self, squared_mm2: f64, corner: usize) {
        if squared_mm2 < self.squared_mm2 {
            *self = Best {
                squared_mm2,
                corner,
            };
        }
    }
}

/// Things that wait for the nozzle, by their boxes: only those whose box is nearer than the best corner found are looked
/// at closely.
struct Waiting {
    boxes: RTree<GeomWithData<Rectangle<[f64; 2]>, usize>>,
}

impl Waiting {
    fn of<'a, P: Iterator<Item = &'a [f64; 2]>>(things: impl Iterator<Item = P>) -> Waiting {
        let boxes = things.enumerate().map(|(index, points)| {
            let (low, high) = extent(points);
            GeomWithData::new(Rectangle::from_corners(low, high), index)
        });
        Waiting {
            boxes: RTree::bulk_load(boxes.collect()),
        }
    }

    /// Takes the nearest thing out. `look` offers the distances of its corners.
    fn take_nearest(
        &mut self,
        nozzle_mm: [f64; 2],
        look: impl Fn(usize, &mut Best),
    ) -> Option<(usize, usize)> {
        let mut best = Best {
            squared_mm2: f64::INFINITY,
            corner: 0,
        };
        let mut nearest = None;
        for (waiting, box_mm2) in self.boxes.nearest_neighbor_iter_with_distance_2(&nozzle_mm) {
            if box_mm2 >= best.squared_mm2 {
                break;
            }
            let before = best.squared_mm2;
            look(waiting.data, &mut best);
            if best.squared_mm2 < before {
                nearest = Some(*waiting);
            }
        }
        let nearest = nearest?;
        self.boxes.remove(&nearest);
        Some((nearest.data, best.corner))
    }
}

fn run_nearest_next(paths: Vec<&Path>, nozzle_mm: &mut [f64; 2], course: &mut Course) {
    // A path without length is nothing to go to.
    let paths: Vec<&Path> = paths.into_iter().filter(|path| path.has_length()).collect();
    let mut waiting = Waiting::of(paths.iter().map(|path| path.points_mm.iter()));
    while let Some((index, start)) = waiting.take_nearest(*nozzle_mm, |index, best| {
        let path = paths[index];
        // Any corner of a closed path, either end of an open one.
        let last = path.points_mm.len() - 1;
        let pace = if path.closed { 1 } else { last.max(1) };
        for corner in (0..=last).step_by(pace) {
            best.offer(squared(*nozzle_mm, path.points_mm[corner]), corner);
        }
    }) {
        let path = paths[index];
        let points = points_from(path, start);
        let travel_mm = squared(*nozzle_mm, points[0]).sqrt();
        *nozzle_mm = points[points.len() - 1];
        if let Some(stroke) = stroke(path, points, travel_mm) {
            course.strokes.push(stroke);
        }
    }
}

/// The corners of a path from a start on; a closed path returns to it.
fn points_from(path: &Path, start: usize) -> Vec<[f64; 2]> {
    let points = &path.points_mm;
    if path.closed {
        let (before, after) = points.split_at(start);
        after
            .iter()
            .chain(before)
            .chain(&points[start..=start])
            .copied()
            .collect()
    } else if start == 0 {
        points.clone()
    } else {
        points.iter().rev().copied().collect()
    }
}

fn stroke(path: &Path, points_mm: Vec<[f64; 2]>, travel_mm: f64) -> Option<Stroke> {
    let (segments_mm, corners) = match path.straight_mm {
        Some(length_mm) => (vec![length_mm], Vec::new()),
        None => segments_and_corners(&points_mm),
    };
    (!segments_mm.is_empty()).then_some(Stroke {
        role: path.role,
        bead_mm2: path.bead_mm2,
        travel_mm,
        points_mm,
        segments_mm,
        corners,
    })
}

fn segments_and_corners(points: &[[f64; 2]]) -> (Vec<f64>, Vec<Corner>) {
    let vectors: Vec<[f64; 2]> = points
        .windows(2)
        .map(|pair| [pair[1][0] - pair[0][0], pair[1][1] - pair[0][1]])
        .filter(|v| v[0] != 0.0 || v[1] != 0.0)
        .collect();
    let lengths = vectors.iter().map(|v| norm(*v)).collect();
    let corners = vectors
        .windows(2)
        .map(|pair| Corner::between(pair[0], pair[1]))
        .collect();
    (lengths, corners)
}

fn norm([x, y]: [f64; 2]) -> f64 {
    (x * x + y * y).sqrt()
}

fn squared(a: [f64; 2], b: [f64; 2]) -> f64 {
    (a[0] - b[0]).powi(2) + (a[1] - b[1]).powi(2)
}

/// Least and greatest corner of a box around points.
fn extent<'a>(points: impl Iterator<Item = &'a [f64; 2]>) -> ([f64; 2], [f64; 2]) {
    points.fold(
        ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]),
        |(low, high), p| {
            (
                [low[0].min(p[0]), low[1].min(p[1])],
                [high[0].max(p[0]), high[1].max(p[1])],
            )
        },
    )
}
