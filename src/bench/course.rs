//! The two courses for the stopwatch: combs laid as one closed bead a layer, and the time of their laps.
//!
//! The long course turns square at every corner; there the machine nearly stops, and the time lost is mostly its
//! acceleration. The short course turns by half as much at a time and is passed faster, the more so the further the nozzle may
//! pass beside a corner. At the speed `v` a corner taken at `c` costs `(v - c)^2 / (v a)` (textbook kinematics), with
//! `c^2 = a delta f` and `f` 2.4 at the square and 12.1 at the blunt corners (`docs/model.md`, Motion): two times tell `a` and
//! `delta` apart.

use super::{BenchError, Setup, prism};
use crate::bead::{
    Corner, Exposed, LayerInput, LayerPlan, Laying, Path, Role, Stroke, plan_layer, route_layer,
};
use crate::mesh::Mesh;
use crate::motion::{Pace, time_stroke};
use crate::section::Region;

/// Teeth on each side of the long course.
const LONG_TEETH: usize = 13;
/// Teeth on each side of the short course.
const SHORT_TEETH: usize = 7;
/// Least width of a tooth and of a gap of the long course, mm (judgement: ends stay straight between their corners).
const LEAST_TOOTH_MM: f64 = 4.0;

/// Which course.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum CourseKind {
    /// Square corners.
    Long,
    /// Blunt corners.
    Short,
}

impl CourseKind {
    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            CourseKind::Long => "long",
            CourseKind::Short => "short",
        }
    }
}

/// A course: its outline and the lap that the nozzle runs inside of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// Which.
    pub kind: CourseKind,
    /// The part's outline, mm, counter-clockwise.
    pub outline_mm: Vec<[f64; 2]>,
    /// One lap as it is laid, from rest to rest.
    lap: Stroke,
    /// A lap behind another without rest between: two laps.
    two: Stroke,
    /// Three laps.
    three: Stroke,
}

impl Course {
    /// A course for a setup's bead, its lap planned as any other part's layer is.
    ///
    /// # Errors
    /// [`BenchError::NoSinglePath`] where the bead is too wide.
    pub fn of(kind: CourseKind, setup: &Setup<'_>) -> Result<Course, BenchError> {
        let width_mm = setup.bead.width_mm();
        // A tooth holds two beads and a gap lets them pass; five widths leave straights between the corners.
        let tooth_mm = LEAST_TOOTH_MM.max((5.0 * width_mm).ceil());
        let outline_mm = match kind {
            CourseKind::Long => comb(LONG_TEETH, tooth_mm, 0.0),
            CourseKind::Short => comb(SHORT_TEETH, 2.0 * tooth_mm, tooth_mm / 2.0),
        };
        let lap = lap(&outline_mm, setup).ok_or(BenchError::NoSinglePath { width_mm })?;
        Ok(Course {
            kind,
            outline_mm,
            two: laps(&lap, 2),
            three: laps(&lap, 3),
            lap,
        })
    }

    /// Length of a lap, mm.
    pub fn lap_mm(&self) -> f64 {
        self.lap.segments_mm.iter().sum()
    }

    /// Corners of a lap.
    pub fn corners(&self) -> usize {
        self.lap.segments_mm.len()
    }

    /// Where the nozzle passes, mm, back to the start.
    pub fn points_mm(&self) -> &[[f64; 2]] {
        &self.lap.points_mm
    }

    /// Seconds of a lap: from rest to rest, or of one lap among many in an `unbroken` line.
    pub fn lap_s(&self, pace: &Pace, unbroken: bool) -> f64 {
        if unbroken {
            time_stroke(&self.three, pace).seconds - time_stroke(&self.two, pace).seconds
        } else {
            time_stroke(&self.lap, pace).seconds
        }
    }

    /// The part, so high, mm.
    pub fn mesh(&self, height_mm: f64) -> Mesh {
        prism(&self.outline_mm, height_mm)
    }
}

/// A bar with teeth along both sides, each as wide and as high as the gap beside it; corners cut off by `chamfer_mm`, counter-clockwise.
fn comb(teeth: usize, tooth_mm: f64, chamfer_mm: f64) -> Vec<[f64; 2]> {
    let bar = [tooth_mm, 3.0 * tooth_mm];
    let mut square = Vec::new();
    for cell in 0..2 * teeth - 1 {
        let (from, to) = (cell as f64 * tooth_mm, (cell + 1) as f64 * tooth_mm);
        // Gaps reach up to the bar, teeth down to the bed of the drawing.
        let y = if cell % 2 == 0 { 0.0 } else { bar[0] };
        square.extend([[from, y], [to, y]]);
    }
    for cell in (0..2 * teeth - 1).rev() {
        let (from, to) = (cell as f64 * tooth_mm, (cell + 1) as f64 * tooth_mm);
        let y = if cell % 2 == 0 {
            bar[0] + bar[1]
        } else {
            bar[1]
        };
        square.extend([[to, y], [from, y]]);
    }
    if chamfer_mm == 0.0 {
        return square;
    }
    let n = square.len();
    (0..n)
        .flat_map(|i| {
            let (before, at, after) = (square[(i + n - 1) % n], square[i], square[(i + 1) % n]);
            [
                towards(at, before, chamfer_mm),
                towards(at, after, chamfer_mm),
            ]
        })
        .collect()
}

/// The point so far from one towards another, mm.
fn towards(from: [f64; 2], to: [f64; 2], by_mm: f64) -> [f64; 2] {
    let length_mm = (to[0] - from[0]).hypot(to[1] - from[1]);
    let share = by_mm / length_mm;
    [
        from[0] + share * (to[0] - from[0]),
        from[1] + share * (to[1] - from[1]),
    ]
}

/// The outermost bead of a layer, which is all of the course that is laid; none where it is not one path. What the plan lays
/// inside of it is left away.
fn lap(outline_mm: &[[f64; 2]], setup: &Setup<'_>) -> Option<Stroke> {
    let section = Region::from_rings([outline_mm.to_vec()]);
    let nothing = Region::default();
    let input = LayerInput {
        section: &section,
        support: &nothing,
        exposed: Exposed::Everything,
        thickness_mm: setup.bead.height_mm(),
        layer: 1,
    };
    let laying = Laying {
        bead: setup.bead,
        perimeters: 1,
        fill: 1.0,
        support_fraction: 1.0,
    };
    let plan = plan_layer(&input, &laying);
    let outer: Vec<Path> = plan
        .islands
        .into_iter()
        .flatten()
        .filter(|path| path.role == Role::Outer)
        .collect();
    if outer.len() != 1 {
        return None;
    }
    let plan = LayerPlan {
        islands: vec![outer],
        ..LayerPlan::default()
    };
    route_layer(&plan, &mut [0.0; 2]).strokes.pop()
}

/// A closed lap run several times without rest between.
fn laps(lap: &Stroke, count: usize) -> Stroke {
    let points = &lap.points_mm;
    let way = |i: usize| {
        [
            points[i + 1][0] - points[i][0],
            points[i + 1][1] - points[i][1],
        ]
    };
    // The corner where a lap ends and the next begins.
    let seam = Corner::between(way(points.len() - 2), way(0));
    let mut corners = lap.corners.clone();
    for _ in 1..count {
        corners.push(seam);
        corners.extend_from_slice(&lap.corners);
    }
    Stroke {
        segments_mm: lap.segments_mm.repeat(count),
        corners,
        ..lap.clone()
    }
}
