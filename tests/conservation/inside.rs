//! Beads lie inside the part.

use beadtally::bead::{Bead, Role, Stroke};
use beadtally::section::Region;
use rayon::prelude::*;

use crate::parts::{Part, demonstration_parts, found_parts};
use crate::{course, laying};

const NOZZLES_MM: [f64; 2] = [0.4, 0.8];
/// Layers looked at in each part.
const LAYERS: usize = 8;
/// Distance between places looked at along a path, mm.
const PACE_MM: f64 = 0.2;
/// How far a flank may lie outside, mm: contours and paths are each thinned to 0.01.
const TOLERANCE_MM: f64 = 0.02;
/// Of the paths this share may lie out by more than that, or 1 mm of a part: corners that opening sharpened.
const OVER_SHARE: f64 = 0.002;
/// Side of the squares in which border pieces are kept, mm.
const SQUARE_MM: f64 = 2.0;

/// The border of a section, its pieces sorted into squares.
struct Border {
    low: [f64; 2],
    wide: usize,
    /// Pieces by row of squares.
    rows: Vec<Vec<([f64; 2], [f64; 2])>>,
    squares: Vec<Vec<([f64; 2], [f64; 2])>>,
}

fn sides(ring: &[[f64; 2]]) -> impl Iterator<Item = ([f64; 2], [f64; 2])> + '_ {
    let closing = ring.last().into_iter().chain(ring).copied();
    closing.zip(ring.iter().copied())
}

/// Distance of a point from a piece of border.
fn distance_mm([x, y]: [f64; 2], (a, b): ([f64; 2], [f64; 2])) -> f64 {
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let along = ((x - a[0]) * dx + (y - a[1]) * dy) / (dx * dx + dy * dy).max(1e-30);
    let t = along.clamp(0.0, 1.0);
    (x - a[0] - t * dx).hypot(y - a[1] - t * dy)
}

impl Border {
    fn of(section: &Region) -> Option<Border> {
        let (low, high) = section.box_mm()?;
        let count = |c: usize| ((high[c] - low[c]) / SQUARE_MM) as usize + 1;
        let (wide, deep) = (count(0), count(1));
        let mut border = Border {
            low,
            wide,
            rows: vec![Vec::new(); deep],
            squares: vec![Vec::new(); wide * deep],
        };
        let place = |v: f64, c: usize| ((v - low[c]) / SQUARE_MM).max(0.0) as usize;
        for ring in section.rings() {
            for (a, b) in sides(&ring) {
                for row in place(a[1].min(b[1]), 1)..=place(a[1].max(b[1]), 1) {
                    border.rows[row].push((a, b));
                    for column in place(a[0].min(b[0]), 0)..=place(a[0].max(b[0]), 0) {
                        border.squares[row * wide + column].push((a, b));
                    }
                }
            }
        }
        Some(border)
    }

    /// Distance of a point from the border, below 0 outside; no more than the side of a square.
    fn depth_mm(&self, point: [f64; 2]) -> f64 {
        let place = |c: usize| ((point[c] - self.low[c]) / SQUARE_MM).floor() as i64;
        let deep = self.squares.len() / self.wide;
        let mut nearest = SQUARE_MM;
        for row in place(1) - 1..=place(1) + 1 {
            for column in place(0) - 1..=place(0) + 1 {
                if (0..deep as i64).contains(&row) && (0..self.wide as i64).contains(&column) {
                    let square = &self.squares[row as usize * self.wide + column as usize];
                    for side in square {
                        nearest = nearest.min(distance_mm(point, *side));
                    }
                }
            }
        }
        if self.holds(point) { nearest } else { -nearest }
    }

    /// Whether rings wind around a point (even and odd crossings).
    fn holds(&self, [x, y]: [f64; 2]) -> bool {
        let row = ((y - self.low[1]) / SQUARE_MM).max(0.0) as usize;
        let crossings = self.rows.get(row).into_iter().flatten().filter(|(a, b)| {
            (a[1] > y) != (b[1] > y) && x < a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0])
        });
        crossings.count() % 2 == 1
    }
}

/// Places along a path, no more than `PACE_MM` apart.
fn places(stroke: &Stroke) -> Vec<[f64; 2]> {
    let between = |pair: &[[f64; 2]]| {
        let (a, b) = (pair[0], pair[1]);
        let n = ((b[0] - a[0]).hypot(b[1] - a[1]) / PACE_MM).ceil().max(1.0);
        (0..=n as usize).map(move |i| {
            let t = i as f64 / n;
            [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]
        })
    };
    stroke.points_mm.windows(2).flat_map(between).collect()
}

#[derive(Default, Clone)]
struct Found {
    name: String,
    /// How far a bead's flank lies outside at the most, mm; slivers apart.
    out_mm: f64,
    /// Length of paths whose flank lies outside by more than the tolerance, mm.
    over_mm: f64,
    whole_mm: f64,
    slivers: usize,
    widest_sliver_mm: f64,
}

fn look(part: &Part, nozzle_mm: f64) -> Found {
    let bead = Bead::of_nozzle(nozzle_mm).unwrap();
    let laying = laying(bead, 3);
    let mut found = Found {
        name: format!("{}, {nozzle_mm} mm", part.name),
        ..Found::default()
    };
    for (k, section) in part.layers(&bead, LAYERS) {
        let Some(border) = Border::of(&section) else {
            continue;
        };
        for stroke in course(&section, k, &laying).0.strokes {
            let half_mm = stroke.bead_mm2 / bead.height_mm() / 2.0;
            if stroke.role == Role::Sliver {
                found.slivers += 1;
                found.widest_sliver_mm = found.widest_sliver_mm.max(2.0 * half_mm);
                continue;
            }
            for place in places(&stroke) {
                let out_mm = half_mm - border.depth_mm(place);
                found.whole_mm += PACE_MM;
                found.out_mm = found.out_mm.max(out_mm);
                if out_mm > TOLERANCE_MM {
                    found.over_mm += PACE_MM;
                }
            }
        }
    }
    found
}

/// Expected: the design text. A loop lies half a bead inside what its step opened, and opening may reach beyond the part
/// where a small rounding comes back as a sharp corner: the core that is grown again lies `w/2 + s/4` inside at least, and the
/// loop's corner `s/2` at most from it (mitre limit 2), so a flank lies out by `s/4` at most (derived), and seldom.
///
/// Slivers have a straight between the ends of their piece's smallest rectangle for a path, which may lie anywhere where the
/// piece is bent; held is that none is wider than what gets a loop, `w + s/2`, but for the 5 % that the length of a strip may be
/// short of a piece that is none.
fn hold(what: &str, parts: &[Part]) {
    let cases: Vec<(&Part, f64)> = parts
        .iter()
        .flat_map(|part| NOZZLES_MM.map(|d| (part, d)))
        .collect();
    let all: Vec<Found> = cases.par_iter().map(|(p, d)| look(p, *d)).collect();
    let (mut slivers, mut widest) = (0, 0.0f64);
    for ((_, nozzle_mm), found) in cases.iter().zip(&all) {
        let bead = Bead::of_nozzle(*nozzle_mm).unwrap();
        if found.out_mm > TOLERANCE_MM {
            println!(
                "{}: a flank lies out by {:.3} mm at the most, {:.1} mm of {:.0} mm of paths by over {TOLERANCE_MM} mm",
                found.name, found.out_mm, found.over_mm, found.whole_mm
            );
        }
        let most_mm = bead.spacing_mm() / 4.0;
        let over_mm = (OVER_SHARE * found.whole_mm).max(1.0);
        assert!(found.out_mm <= most_mm, "{}: {}", found.name, found.out_mm);
        assert!(
            found.over_mm <= over_mm,
            "{}: {}",
            found.name,
            found.over_mm
        );
        let widest_mm = bead.width_mm() + bead.spacing_mm() / 2.0;
        assert!(
            found.widest_sliver_mm <= 1.05 * widest_mm,
            "{}: a sliver of {} mm",
            found.name,
            found.widest_sliver_mm
        );
        slivers += found.slivers;
        widest = widest.max(found.widest_sliver_mm / widest_mm);
    }
    let clean = all.iter().filter(|f| f.out_mm <= TOLERANCE_MM).count();
    let whole_mm: f64 = all.iter().map(|f| f.whole_mm).sum();
    let over_mm: f64 = all.iter().map(|f| f.over_mm).sum();
    println!(
        "{what}: {} cases, {clean} wholly inside; {over_mm:.0} mm of {:.1} km out by over {TOLERANCE_MM} mm; {slivers} slivers, the widest {widest:.3} of what gets a loop",
        all.len(),
        whole_mm / 1e6
    );
    assert!(whole_mm > 1e5 && slivers > 20);
}

#[test]
fn beads_of_the_demonstration_parts_lie_inside_them() {
    hold("demonstration parts", &demonstration_parts());
}

#[test]
fn beads_of_found_parts_lie_inside_them() {
    let parts = found_parts();
    if parts.is_empty() {
        println!("no folder of shared meshes here: nothing looked at");
        return;
    }
    hold("found parts", &parts);
}

/// Expected: the design text. The least section found whose fill once ran through a hole: subtracting the wide part of the
/// fill leaves a film of 0.0005 mm around the hole that hangs on a narrow piece, and loops inset from the film's outside
/// ran through the hole.
#[test]
fn loops_of_narrow_fill_stay_out_of_a_hole_with_a_film_around() {
    let section = Region::from_rings([
        vec![
            [94.0, 41.0732],
            [79.0, 55.0],
            [73.6909, 57.6641],
            [87.5969, 20.0],
        ],
        vec![[77.0, 46.0], [79.1134, 46.8787], [81.2007, 45.6732]],
        vec![
            [88.2024, 41.6294],
            [89.0292, 41.152],
            [89.8264, 40.632],
            [89.8267, 37.708],
        ],
    ]);
    let bead = Bead::of_nozzle(0.4).unwrap();
    let border = Border::of(&section).unwrap();
    for stroke in course(&section, 0, &laying(bead, 3)).0.strokes {
        for place in places(&stroke) {
            assert!(
                stroke.role == Role::Sliver || border.depth_mm(place) > 0.0,
                "{} at {place:?}",
                stroke.role.name()
            );
        }
    }
}
