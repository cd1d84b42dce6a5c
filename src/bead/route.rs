//! The order in which a layer's paths are laid, and the travels between them.

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

/// Orders a layer (design, Order): support, then the island with the nearest path corner, and in an island inner, outer,
/// slivers, fill and open fill, nearest next within each. `nozzle_mm` is moved along.
pub fn route_layer(plan: &LayerPlan, nozzle_mm: &mut [f64; 2]) -> Course {
    let mut course = Course::default();
    run_nearest_next(plan.support.iter().collect(), nozzle_mm, &mut course);
    let mut islands: Vec<(&Vec<Path>, Extent)> = plan
        .islands
        .iter()
        .filter(|paths| !paths.is_empty())
        .map(|paths| {
            (
                paths,
                Extent::around(paths.iter().flat_map(|p| &p.points_mm)),
            )
        })
        .collect();
    while let Some(nearest) = nearest_island(&islands, *nozzle_mm) {
        let (paths, _) = islands.swap_remove(nearest);
        for role in [
            Role::Inner,
            Role::Outer,
            Role::Sliver,
            Role::Fill,
            Role::Open,
        ] {
            run_nearest_next(
                paths.iter().filter(|p| p.role == role).collect(),
                nozzle_mm,
                &mut course,
            );
        }
    }
    course
}

fn nearest_island(islands: &[(&Vec<Path>, Extent)], nozzle_mm: [f64; 2]) -> Option<usize> {
    let mut best: Option<(f64, usize)> = None;
    for (index, (paths, extent)) in islands.iter().enumerate() {
        if best.is_some_and(|(distance, _)| extent.squared_distance(nozzle_mm) >= distance) {
            continue;
        }
        for point in paths.iter().flat_map(|p| &p.points_mm) {
            let distance = squared(nozzle_mm, *point);
            if best.is_none_or(|(least, _)| distance < least) {
                best = Some((distance, index));
            }
        }
    }
    best.map(|(_, index)| index)
}

/// A path that waits, with its box so that far ones need no look at their corners.
struct Waiting<'a> {
    path: &'a Path,
    extent: Extent,
}

fn run_nearest_next(paths: Vec<&Path>, nozzle_mm: &mut [f64; 2], course: &mut Course) {
    let mut waiting: Vec<Waiting<'_>> = paths
        .into_iter()
        .filter(|path| !path.points_mm.is_empty())
        .map(|path| Waiting {
            path,
            extent: Extent::around(&path.points_mm),
        })
        .collect();
    while let Some((index, start)) = nearest_start(&waiting, *nozzle_mm) {
        let path = waiting.swap_remove(index).path;
        let points = points_from(path, start);
        let travel_mm = squared(*nozzle_mm, points[0]).sqrt();
        *nozzle_mm = points[points.len() - 1];
        if let Some(stroke) = stroke(path, &points, travel_mm) {
            course.strokes.push(stroke);
        }
    }
}

/// The nearest start among waiting paths: any corner of a closed path, either end of an open one.
fn nearest_start(waiting: &[Waiting<'_>], nozzle_mm: [f64; 2]) -> Option<(usize, usize)> {
    let mut best: Option<(f64, usize, usize)> = None;
    for (index, Waiting { path, extent }) in waiting.iter().enumerate() {
        if best.is_some_and(|(distance, ..)| extent.squared_distance(nozzle_mm) >= distance) {
            continue;
        }
        let last = path.points_mm.len() - 1;
        let pace = if path.closed { 1 } else { last.max(1) };
        for corner in (0..=last).step_by(pace) {
            let distance = squared(nozzle_mm, path.points_mm[corner]);
            if best.is_none_or(|(least, ..)| distance < least) {
                best = Some((distance, index, corner));
            }
        }
    }
    best.map(|(_, index, corner)| (index, corner))
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

fn stroke(path: &Path, points: &[[f64; 2]], travel_mm: f64) -> Option<Stroke> {
    let (segments_mm, corners) = match path.straight_mm {
        Some(length_mm) => (vec![length_mm], Vec::new()),
        None => segments_and_corners(points),
    };
    (!segments_mm.is_empty()).then_some(Stroke {
        role: path.role,
        bead_mm2: path.bead_mm2,
        travel_mm,
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

#[derive(Debug, Clone, Copy)]
struct Extent {
    low: [f64; 2],
    high: [f64; 2],
}

impl Extent {
    fn around<'a>(points: impl IntoIterator<Item = &'a [f64; 2]>) -> Extent {
        let nothing = Extent {
            low: [f64::INFINITY; 2],
            high: [f64::NEG_INFINITY; 2],
        };
        points.into_iter().fold(nothing, |e, p| Extent {
            low: [e.low[0].min(p[0]), e.low[1].min(p[1])],
            high: [e.high[0].max(p[0]), e.high[1].max(p[1])],
        })
    }

    /// Squared distance from a point to the box, 0 inside.
    fn squared_distance(&self, p: [f64; 2]) -> f64 {
        let outside = |i: usize| (self.low[i] - p[i]).max(p[i] - self.high[i]).max(0.0);
        outside(0).powi(2) + outside(1).powi(2)
    }
}
