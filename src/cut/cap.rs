//! Triangles that close loops of edges in a plane.

use std::collections::VecDeque;

use earcut::Earcut;
use rustc_hash::FxHashMap;

use super::joint::ring_area_mm2;

/// The triangles may differ from their loops by this share of the area: far above rounding, far below any error that is one.
const AREA_SHARE: f64 = 1e-7;
/// Loops together with more corners than this are not triangulated: cutting ears may take time with their square.
const MOST_CORNERS: usize = 200_000;
/// Who lies in whom is asked by holding corners against rings; more comparisons than this are not made.
const MOST_COMPARISONS: usize = 400_000_000;

/// The cap of a half.
pub(super) struct Cap {
    pub triangles: Vec<[u32; 3]>,
    /// What its loops enclose, mm2.
    pub area_mm2: f64,
    /// Loops that could not be filled without folding over themselves.
    pub folded: usize,
}

/// A closed loop that passes no corner twice.
struct Loop {
    corners: Vec<u32>,
    points: Vec<[f64; 2]>,
    body: u32,
    /// Positive where it runs counter-clockwise.
    area_mm2: f64,
    low: [f64; 2],
    high: [f64; 2],
}

/// Triangles whose edge is just the given sides, each with the body it belongs to. `at` says where a corner lies. `None` where the
/// sides do not close.
pub(super) fn cap(sides: &[([u32; 2], u32)], at: impl Fn(u32) -> [f64; 2]) -> Option<Cap> {
    let loops = loops(sides, &at)?;
    let area_mm2 = loops.iter().map(|l| l.area_mm2).sum();
    let mut cap = Cap {
        triangles: Vec::new(),
        area_mm2,
        folded: 0,
    };
    for group in groups(&loops) {
        let members: Vec<&Loop> = group.iter().map(|l| &loops[*l]).collect();
        if let Some(filled) = fill(&members) {
            cap.triangles.extend(filled);
            continue;
        }
        for one in members {
            match fill(&[one]) {
                Some(filled) => cap.triangles.extend(filled),
                None => cap.triangles.extend(fan(&one.corners)),
            }
            cap.folded += 1;
        }
    }
    Some(cap)
}

fn fan(corners: &[u32]) -> impl Iterator<Item = [u32; 3]> + '_ {
    let first = corners[0];
    corners[1..]
        .windows(2)
        .map(move |pair| [first, pair[0], pair[1]])
}

/// Walks sides to loops. Where several go on from a corner, the walk keeps to the solid on its left; where it meets a corner again,
/// what lies between is a loop of its own.
fn loops(sides: &[([u32; 2], u32)], at: &impl Fn(u32) -> [f64; 2]) -> Option<Vec<Loop>> {
    let mut next: FxHashMap<u32, Vec<(u32, u32)>> = FxHashMap::default();
    for ([from, to], body) in sides {
        next.entry(*from).or_default().push((*to, *body));
    }
    let mut found = Vec::new();
    for ([first, _], _) in sides {
        let mut path: Vec<u32> = Vec::new();
        let mut place_of: FxHashMap<u32, usize> = FxHashMap::default();
        let (mut here, mut body) = (*first, 0);
        loop {
            if let Some(start) = place_of.get(&here).copied() {
                let ring: Vec<u32> = path.drain(start..).collect();
                for corner in &ring {
                    place_of.remove(corner);
                }
                found.push(Loop::of(ring, body, at));
            }
            let Some(ways) = next.get_mut(&here).filter(|ways| !ways.is_empty()) else {
                break;
            };
            let way = match path.last() {
                Some(before) if ways.len() > 1 => tightest(at(*before), at(here), ways, at),
                _ => ways.len() - 1,
            };
            place_of.insert(here, path.len());
            path.push(here);
            (here, body) = ways.swap_remove(way);
        }
        if !path.is_empty() {
            return None;
        }
    }
    Some(found)
}

/// Of the ways that go on, the first one clockwise from where the walk comes from: the solid lies between the two.
fn tightest(
    before: [f64; 2],
    here: [f64; 2],
    ways: &[(u32, u32)],
    at: &impl Fn(u32) -> [f64; 2],
) -> usize {
    let back = angle(here, before);
    let turn = |to: u32| {
        let turn = (back - angle(here, at(to))).rem_euclid(std::f64::consts::TAU);
        // Straight back is the last choice, not the first.
        if turn == 0.0 {
            std::f64::consts::TAU
        } else {
            turn
        }
    };
    let order = |a: &usize, b: &usize| turn(ways[*a].0).total_cmp(&turn(ways[*b].0));
    (0..ways.len()).min_by(order).unwrap_or(0)
}

fn angle(from: [f64; 2], to: [f64; 2]) -> f64 {
    (to[1] - from[1]).atan2(to[0] - from[0])
}

impl Loop {
    fn of(corners: Vec<u32>, body: u32, at: &impl Fn(u32) -> [f64; 2]) -> Loop {
        let points: Vec<[f64; 2]> = corners.iter().map(|c| at(*c)).collect();
        let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        for point in &points {
            for i in 0..2 {
                low[i] = low[i].min(point[i]);
                high[i] = high[i].max(point[i]);
            }
        }
        Loop {
            area_mm2: ring_area_mm2(&points),
            corners,
            points,
            body,
            low,
            high,
        }
    }

    fn may_hold(&self, inner: &Loop) -> bool {
        self.area_mm2 >= -inner.area_mm2
            && (0..2).all(|i| self.low[i] <= inner.low[i] && inner.high[i] <= self.high[i])
    }

    /// Whether most of a few points of another loop lie inside: loops may touch in some.
    fn holds(&self, inner: &Loop) -> bool {
        const ASKED: usize = 5;
        let count = inner.points.len();
        let asked = (0..ASKED.min(count)).map(|k| {
            let i = k * count / ASKED.min(count);
            let (p, q) = (inner.points[i], inner.points[(i + 1) % count]);
            [(p[0] + q[0]) / 2.0, (p[1] + q[1]) / 2.0]
        });
        let inside = asked.filter(|point| self.surrounds(*point)).count();
        2 * inside > ASKED.min(count)
    }

    /// Even-odd rule.
    fn surrounds(&self, [x, y]: [f64; 2]) -> bool {
        let pairs = self.points.last().into_iter().chain(&self.points);
        let crossed = pairs.zip(&self.points).filter(|(a, b)| {
            (a[1] > y) != (b[1] > y) && x < a[0] + (b[0] - a[0]) * (y - a[1]) / (b[1] - a[1])
        });
        crossed.count() % 2 == 1
    }
}

/// Outer loops, each first in a group with the holes that lie in it. A hole belongs to the smallest loop around it, of its own body
/// where there is one: overlapping bodies have their own outlines. A hole in nothing stands alone.
fn groups(loops: &[Loop]) -> Vec<Vec<usize>> {
    let outers: Vec<usize> = (0..loops.len())
        .filter(|l| loops[*l].area_mm2 >= 0.0)
        .collect();
    let mut group_of: Vec<Option<usize>> = vec![None; loops.len()];
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for outer in &outers {
        group_of[*outer] = Some(groups.len());
        groups.push(vec![*outer]);
    }
    let mut compared = 0;
    for (hole, ring) in loops.iter().enumerate().filter(|(_, l)| l.area_mm2 < 0.0) {
        let holder = outers
            .iter()
            .filter(|outer| loops[**outer].may_hold(ring))
            .filter(|outer| {
                compared += 5 * loops[**outer].points.len();
                compared <= MOST_COMPARISONS && loops[**outer].holds(ring)
            })
            .min_by(|a, b| {
                let (a, b) = (&loops[**a], &loops[**b]);
                let strange = |l: &Loop| l.body != ring.body;
                strange(a)
                    .cmp(&strange(b))
                    .then(a.area_mm2.total_cmp(&b.area_mm2))
            });
        match holder.and_then(|outer| group_of[*outer]) {
            Some(group) => groups[group].push(hole),
            None => groups.push(vec![hole]),
        }
    }
    groups
}

/// Triangles between an outer loop and its holes (or in a single hole, turned as it is), whose edge is just the loops. `None` where
/// they would not cover what the loops enclose.
fn fill(loops: &[&Loop]) -> Option<Vec<[u32; 3]>> {
    let corners: Vec<u32> = loops.iter().flat_map(|l| &l.corners).copied().collect();
    if corners.len() > MOST_CORNERS {
        return None;
    }
    let area_mm2: f64 = loops.iter().map(|l| l.area_mm2).sum();
    let turned = loops.len() == 1 && area_mm2 < 0.0;
    // Near the origin and about 1 large, so that neither large nor small coordinates lose the turn.
    let (origin, size) = (loops[0].low, extent(loops[0]));
    let scaled = |p: &[f64; 2]| [(p[0] - origin[0]) / size, (p[1] - origin[1]) / size];
    let points: Vec<[f64; 2]> = loops.iter().flat_map(|l| &l.points).map(scaled).collect();
    let holes: Vec<u32> = loops
        .iter()
        .scan(0, |past, l| {
            *past += l.corners.len() as u32;
            Some(*past)
        })
        .take(loops.len() - 1)
        .collect();
    let mut cut: Vec<u32> = Vec::new();
    Earcut::new().earcut(points.iter().copied(), &holes, &mut cut);
    let mut covered = 0.0;
    let mut triangles: Vec<[u32; 3]> = Vec::with_capacity(cut.len() / 3);
    for t in cut.chunks_exact(3) {
        let twice = 2.0 * ring_area_mm2(&[t[0], t[1], t[2]].map(|i| points[i as usize]));
        covered += twice.abs() / 2.0;
        // The library may give its triangles either way round.
        let flip = (twice < 0.0) != turned;
        triangles.push(if flip {
            [t[0], t[2], t[1]]
        } else {
            [t[0], t[1], t[2]]
        });
    }
    let wanted = area_mm2.abs() / (size * size);
    let whole: f64 = loops.iter().map(|l| l.area_mm2.abs()).sum::<f64>() / (size * size);
    if (covered - wanted).abs() > AREA_SHARE * whole {
        return None;
    }
    let starts: Vec<u32> = std::iter::once(0).chain(holes).collect();
    let mut sides: Vec<[u32; 2]> = Vec::new();
    for (start, ring) in starts.iter().zip(loops) {
        let count = ring.corners.len() as u32;
        sides.extend((0..count).map(|i| [start + i, start + (i + 1) % count]));
    }
    let whole = meet(triangles, &sides)?;
    Some(
        whole
            .into_iter()
            .map(|t| t.map(|i| corners[i as usize]))
            .collect(),
    )
}

fn extent(ring: &Loop) -> f64 {
    let size = (ring.high[0] - ring.low[0]).max(ring.high[1] - ring.low[1]);
    if size > 0.0 { size } else { 1.0 }
}

/// How often more an edge runs from its lower corner than to it.
#[derive(Default)]
struct Balance(FxHashMap<(u32, u32), i32>);

impl Balance {
    fn add(&mut self, from: u32, to: u32, times: i32) {
        let edge = self.0.entry((from.min(to), from.max(to))).or_default();
        *edge += if from < to { times } else { -times };
    }

    /// How often more an edge runs this way than the other.
    fn of(&self, from: u32, to: u32) -> i32 {
        let edge = self.0.get(&(from.min(to), from.max(to))).copied();
        edge.unwrap_or(0) * if from < to { 1 } else { -1 }
    }
}

/// Makes the triangles' edge meet the given sides. The library leaves out corners in the middle of straight sides; they are put
/// back into the triangle at that side. `None` where more is missing than that.
fn meet(triangles: Vec<[u32; 3]>, sides: &[[u32; 2]]) -> Option<Vec<[u32; 3]>> {
    // What the triangles' edge has too much is positive, what it lacks negative.
    let mut over = Balance::default();
    for t in &triangles {
        for i in 0..3 {
            over.add(t[i], t[(i + 1) % 3], 1);
        }
    }
    for [from, to] in sides {
        over.add(*from, *to, -1);
    }
    let mut lacking: FxHashMap<u32, Vec<u32>> = FxHashMap::default();
    for (&(low, high), &times) in &over.0 {
        if times > 0 {
            lacking.entry(high).or_default().push(low);
        }
        if times < 0 {
            lacking.entry(low).or_default().push(high);
        }
    }
    if lacking.is_empty() {
        return Some(triangles);
    }
    for ways in lacking.values_mut() {
        ways.sort_unstable();
    }
    let mut waiting = triangles;
    let mut whole = Vec::with_capacity(waiting.len());
    // Every corner goes into a side at most a few times; more is a circle.
    let mut left = 8 * (sides.len() + waiting.len());
    while let Some([a, b, c]) = waiting.pop() {
        left = left.checked_sub(1)?;
        let excess = [[a, b, c], [b, c, a], [c, a, b]]
            .into_iter()
            .find(|[from, to, _]| over.of(*from, *to) > 0);
        let Some([from, to, across]) = excess else {
            whole.push([a, b, c]);
            continue;
        };
        let Some(path) = way(&lacking, &over, from, to).filter(|path| !path.contains(&across))
        else {
            whole.push([a, b, c]);
            continue;
        };
        over.add(from, to, -1);
        for pair in path.windows(2) {
            over.add(pair[0], pair[1], 1);
            waiting.push([pair[0], pair[1], across]);
        }
    }
    over.0.values().all(|times| *times == 0).then_some(whole)
}

/// The shortest way along what is lacking.
fn way(lacking: &FxHashMap<u32, Vec<u32>>, over: &Balance, from: u32, to: u32) -> Option<Vec<u32>> {
    let mut before: FxHashMap<u32, u32> = FxHashMap::default();
    let mut waiting = VecDeque::from([from]);
    while let Some(here) = waiting.pop_front() {
        for next in lacking.get(&here).into_iter().flatten() {
            if over.of(here, *next) >= 0 || before.contains_key(next) || *next == from {
                continue;
            }
            before.insert(*next, here);
            if *next == to {
                let mut path = vec![to];
                while let Some(last) = path.last().filter(|last| **last != from).copied() {
                    path.push(*before.get(&last)?);
                }
                path.reverse();
                return Some(path);
            }
            waiting.push_back(*next);
        }
    }
    None
}
