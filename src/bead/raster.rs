//! Back-and-forth lines.

use super::{Path, Role};
use crate::section::Region;

/// Line ends keep this share of the bead spacing from the region's border (design, Fill).
const END_INSET_SHARE: f64 = 0.35;
/// Neighbouring lines join over at most this many line spacings (design, Fill).
const JOIN_SPACINGS: f64 = 2.5;

/// How a region is rastered.
#[derive(Debug, Clone, Copy)]
pub(super) struct Raster {
    /// Role of the lines.
    pub role: Role,
    /// Distance between lines, mm.
    pub pitch_mm: f64,
    /// Bead spacing, mm: line ends keep 0.35 of it from the border.
    pub spacing_mm: f64,
    /// Layer number; even layers run at +45 degrees, odd ones at -45.
    pub layer: usize,
    /// Cross-section of the bead, mm2.
    pub bead_mm2: f64,
}

const DIAGONAL: f64 = std::f64::consts::FRAC_1_SQRT_2;

/// A frame turned with the lines: `across` counts lines from the part's lower box corner (the origin), `along` runs with
/// them.
#[derive(Clone, Copy)]
struct Frame {
    even: bool,
}

impl Frame {
    fn to(self, [x, y]: [f64; 2]) -> (f64, f64) {
        if self.even {
            ((y - x) * DIAGONAL, (x + y) * DIAGONAL)
        } else {
            ((x + y) * DIAGONAL, (x - y) * DIAGONAL)
        }
    }

    fn back(self, across: f64, along: f64) -> [f64; 2] {
        if self.even {
            [(along - across) * DIAGONAL, (along + across) * DIAGONAL]
        } else {
            [(across + along) * DIAGONAL, (across - along) * DIAGONAL]
        }
    }
}

/// A piece of line `row` from `from` to `to` along it.
#[derive(Clone, Copy, Debug)]
struct Line {
    row: i64,
    from: f64,
    to: f64,
}

/// Rasters `region`; joins between neighbouring lines must stay inside `bounds`.
pub(super) fn raster(region: &Region, bounds: &Region, how: &Raster) -> Vec<Path> {
    let frame = Frame {
        even: how.layer.is_multiple_of(2),
    };
    let lines = lines(
        &region.inset(END_INSET_SHARE * how.spacing_mm),
        frame,
        how.pitch_mm,
    );
    if lines.is_empty() {
        return Vec::new();
    }
    let walls = Walls::of(
        bounds,
        frame,
        how.pitch_mm,
        (lines[0].row, lines[lines.len() - 1].row),
    );
    chains(&lines, &walls, how.pitch_mm)
        .into_iter()
        .map(|chain| Path {
            role: how.role,
            points_mm: chain
                .into_iter()
                .map(|(across, along)| frame.back(across, along))
                .collect(),
            closed: false,
            straight_mm: None,
            bead_mm2: how.bead_mm2,
        })
        .collect()
}

/// Line `j` lies at `(j + 1/2) pitch`.
fn place(row: i64, pitch_mm: f64) -> f64 {
    (row as f64 + 0.5) * pitch_mm
}

/// The pieces of all lines inside a region, by row and then along it.
fn lines(region: &Region, frame: Frame, pitch_mm: f64) -> Vec<Line> {
    let mut crossings: Vec<(i64, f64)> = Vec::new();
    for ring in region.rings() {
        for (a, b) in sides(&ring) {
            let (a, b) = (frame.to(a), frame.to(b));
            let (low, high) = if a.0 <= b.0 { (a, b) } else { (b, a) };
            let first = (low.0 / pitch_mm - 0.5).ceil() as i64;
            let past = (high.0 / pitch_mm - 0.5).ceil() as i64;
            for row in first..past {
                let t = (place(row, pitch_mm) - low.0) / (high.0 - low.0);
                crossings.push((row, low.1 + t * (high.1 - low.1)));
            }
        }
    }
    crossings.sort_unstable_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let by_row = crossings.chunk_by(|a, b| a.0 == b.0);
    by_row
        .flat_map(|row| row.chunks_exact(2))
        .filter(|pair| pair[1].1 > pair[0].1)
        .map(|pair| Line {
            row: pair[0].0,
            from: pair[0].1,
            to: pair[1].1,
        })
        .collect()
}

fn sides(ring: &[[f64; 2]]) -> impl Iterator<Item = ([f64; 2], [f64; 2])> + '_ {
    ring.last()
        .into_iter()
        .chain(ring)
        .copied()
        .zip(ring.iter().copied())
}

type Turned = (f64, f64);

/// The border a join must not cross, by the gap between rows it reaches into.
struct Walls {
    first_row: i64,
    by_gap: Vec<Vec<(Turned, Turned)>>,
}

impl Walls {
    fn of(
        bounds: &Region,
        frame: Frame,
        pitch_mm: f64,
        (first_row, last_row): (i64, i64),
    ) -> Walls {
        let mut by_gap = vec![Vec::new(); (last_row - first_row + 1) as usize];
        for ring in bounds.rings() {
            for (a, b) in sides(&ring) {
                let (a, b) = (frame.to(a), frame.to(b));
                // Gap `j` lies between lines `j` and `j + 1`.
                let low = (a.0.min(b.0) / pitch_mm - 0.5).floor() as i64;
                let high = (a.0.max(b.0) / pitch_mm - 0.5).floor() as i64;
                for gap in low.max(first_row)..=high.min(last_row) {
                    by_gap[(gap - first_row) as usize].push((a, b));
                }
            }
        }
        Walls { first_row, by_gap }
    }

    fn parted(&self, row: i64, from: Turned, to: Turned) -> bool {
        let turn =
            |a: Turned, b: Turned, c: Turned| (b.0 - a.0) * (c.1 - a.1) - (b.1 - a.1) * (c.0 - a.0);
        let apart = |a: f64, b: f64| (a < 0.0) != (b < 0.0);
        self.by_gap[(row - self.first_row) as usize]
            .iter()
            .any(|(a, b)| {
                apart(turn(from, to, *a), turn(from, to, *b))
                    && apart(turn(*a, *b, from), turn(*a, *b, to))
            })
    }
}

/// Runs lines back and forth into chains: from the end of a line over to the nearer end of the nearest free line of the
/// next row, where that is close enough and nothing lies between.
fn chains(lines: &[Line], walls: &Walls, pitch_mm: f64) -> Vec<Vec<Turned>> {
    let mut row_starts: Vec<(i64, usize)> = Vec::new();
    for (index, line) in lines.iter().enumerate() {
        if row_starts.last().is_none_or(|(row, _)| *row != line.row) {
            row_starts.push((line.row, index));
        }
    }
    let row_range = |at: usize| {
        let end = row_starts.get(at + 1).map_or(lines.len(), |r| r.1);
        row_starts[at].1..end
    };
    let mut used = vec![false; lines.len()];
    let mut chains = Vec::new();
    for start_row in 0..row_starts.len() {
        for first in row_range(start_row) {
            if used[first] {
                continue;
            }
            let (mut at_row, mut line, mut forward) = (start_row, first, true);
            let mut chain = Vec::new();
            loop {
                used[line] = true;
                let Line { row, from, to } = lines[line];
                let (enter, leave) = if forward { (from, to) } else { (to, from) };
                chain.push((place(row, pitch_mm), enter));
                chain.push((place(row, pitch_mm), leave));
                let next_row = at_row + 1;
                if row_starts.get(next_row).is_none_or(|(r, _)| *r != row + 1) {
                    break;
                }
                let tail = (place(row, pitch_mm), leave);
                let Some((next, at_start)) = nearest_line(
                    lines,
                    row_range(next_row),
                    &used,
                    tail,
                    row,
                    walls,
                    pitch_mm,
                ) else {
                    break;
                };
                (at_row, line, forward) = (next_row, next, at_start);
            }
            chains.push(chain);
        }
    }
    chains
}

fn nearest_line(
    lines: &[Line],
    candidates: std::ops::Range<usize>,
    used: &[bool],
    tail: Turned,
    row: i64,
    walls: &Walls,
    pitch_mm: f64,
) -> Option<(usize, bool)> {
    let across = place(row + 1, pitch_mm);
    let reach = ((JOIN_SPACINGS * pitch_mm).powi(2) - pitch_mm * pitch_mm).sqrt();
    // Lines of a row lie in order, so only those about the tail can be in reach.
    let first =
        candidates.start + lines[candidates.clone()].partition_point(|l| l.to < tail.1 - reach);
    lines[first..candidates.end]
        .iter()
        .take_while(|l| l.from <= tail.1 + reach)
        .enumerate()
        .filter(|(i, _)| !used[first + i])
        .flat_map(|(i, l)| [(first + i, true, l.from), (first + i, false, l.to)])
        .filter(|(_, _, end)| (end - tail.1).abs() <= reach)
        .filter(|(_, _, end)| !walls.parted(row, tail, (across, *end)))
        .min_by(|a, b| (a.2 - tail.1).abs().total_cmp(&(b.2 - tail.1).abs()))
        .map(|(index, at_start, _)| (index, at_start))
}
