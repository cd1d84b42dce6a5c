//! Where the planes go.
//!
//! For a number of planes across each axis, how far a slab may reach and still fit is found from both ends; between the two lie the
//! windows in which each plane may stand. Planes are then chosen in the windows by what speaks against each as a joint.

use rayon::prelude::*;

use super::cells::{Cells, box_fits};
use super::joint::{FlatFaces, JointFigures};
use super::{Axis, Plane};
use crate::mesh::{InspectedMesh, Mesh};
use crate::pose::BuildSpace;
use crate::section::sections_at;

/// A slab thinner than this is refused, mm: it warps, and there is nothing to hold when it is joined. A judgement without source.
pub(super) const LEAST_SLAB_MM: f64 = 5.0;
/// How far beside a plane the part must be wide too, mm.
const BESIDE_MM: f64 = 3.0;
/// Places tried in the window of one plane.
const PLACES: usize = 32;
/// Windows are found to this share of the part's length, or half a millimetre.
const REACH_SHARE: f64 = 1.0 / 512.0;
/// Choices of planes that are held against the slabs they leave, at most.
const MOST_CHOICES: usize = 24;

/// Planes for a part, with what speaks against them.
#[derive(Debug, Clone)]
pub(super) struct Arrangement {
    pub cuts_mm: [Vec<f64>; 3],
    pub cost: f64,
}

/// A place for a plane.
#[derive(Debug, Clone, Copy)]
struct Place {
    at_mm: f64,
    cost: f64,
}

/// The part seen along one axis.
struct Along {
    upright: Mesh,
    flat: FlatFaces,
}

/// What the search knows.
pub(super) struct Search<'a> {
    part: &'a InspectedMesh,
    space: &'a BuildSpace,
    cells: Cells<'a>,
    along: [Option<Along>; 3],
    /// Area of the part's largest section looked at, mm2: the greatest of the middles along the axes.
    largest_mm2: f64,
    /// Planes that left a piece too thin.
    pub refused: Vec<Plane>,
}

impl<'a> Search<'a> {
    pub fn of(part: &'a InspectedMesh, space: &'a BuildSpace) -> Self {
        let mut search = Search {
            part,
            space,
            cells: Cells::of(part, space),
            along: [None, None, None],
            largest_mm2: 0.0,
            refused: Vec::new(),
        };
        for axis in Axis::ALL {
            let [low, high] = search.cells.whole[axis.index()];
            let tenths: Vec<f64> = (1..10)
                .map(|k| low + (high - low) * (f64::from(k) / 10.0 + 0.0037))
                .collect();
            let upright = axis.upright_mesh(&part.mesh);
            let areas = crate::section::areas_at(&upright, &part.topology, &tenths);
            let largest = areas.iter().map(|a| a.union_mm2).fold(0.0, f64::max);
            search.largest_mm2 = search.largest_mm2.max(largest);
            let flat = FlatFaces::of(&upright);
            search.along[axis.index()] = Some(Along { upright, flat });
        }
        search
    }

    /// How much larger than the machine the largest of equal cells would be, with so many planes across each axis; 1 or less fits
    /// square.
    pub fn excess(&self, counts: [usize; 3]) -> f64 {
        let length = |axis: usize| {
            (self.cells.whole[axis][1] - self.cells.whole[axis][0]) / (counts[axis] + 1) as f64
        };
        let size = nalgebra::Vector3::new(length(0), length(1), length(2));
        let (mut fits, mut fails) = (0.0, 1.0);
        if box_fits(size, self.space) {
            return 1.0;
        }
        // By which factor the box would have to shrink.
        for _ in 0..12 {
            let share = (fits + fails) / 2.0;
            if box_fits(size * share, self.space) {
                fits = share;
            } else {
                fails = share;
            }
        }
        if fits > 0.0 {
            1.0 / fits
        } else {
            f64::INFINITY
        }
    }

    /// The share of its box that the part fills.
    pub fn filled(&self) -> f64 {
        self.cells.filled(self.part.mass.volume_mm3)
    }

    /// Planes with so many across each axis between which everything fits, as good as can be found; `None` where none are.
    pub fn arrange(&mut self, counts: [usize; 3]) -> Option<Arrangement> {
        let mut cuts_mm: [Vec<f64>; 3] = std::array::from_fn(|axis| self.equal(axis, counts[axis]));
        let mut cost = 0.0;
        for axis in Axis::ALL.into_iter().filter(|a| counts[a.index()] > 0) {
            let windows = self.windows(axis, counts[axis.index()], &cuts_mm)?;
            let places = self.places(axis, &windows);
            let chosen = match self.choose(axis, &places, &cuts_mm) {
                Some(chosen) => chosen,
                None => self.plain(axis, &windows, &cuts_mm)?,
            };
            cost += chosen.iter().map(|place| place.cost).sum::<f64>();
            cuts_mm[axis.index()] = chosen.iter().map(|place| place.at_mm).collect();
        }
        Some(Arrangement { cuts_mm, cost })
    }

    /// Where no choice among the best joints was found: equal slabs, or each as far as it reaches, whatever the joints.
    fn plain(
        &mut self,
        axis: Axis,
        windows: &[[f64; 2]],
        cuts: &[Vec<f64>; 3],
    ) -> Option<Vec<Place>> {
        let [low, high] = self.cells.whole[axis.index()];
        let furthest = windows.iter().map(|[_, to]| *to).collect();
        for heights in [self.equal(axis.index(), windows.len()), furthest] {
            let ends: Vec<f64> = std::iter::once(low)
                .chain(heights.iter().copied())
                .chain([high])
                .collect();
            let fits = |pair: &[f64]| {
                pair[1] - pair[0] > 0.0 && self.cells.slab_fits(axis, [pair[0], pair[1]], cuts)
            };
            if ends.windows(2).all(fits) {
                let costs = self.costs(axis, &heights);
                let places = heights.into_iter().zip(costs);
                return Some(places.map(|(at_mm, cost)| Place { at_mm, cost }).collect());
            }
        }
        None
    }

    fn equal(&self, axis: usize, count: usize) -> Vec<f64> {
        let [low, high] = self.cells.whole[axis];
        let step = (high - low) / (count + 1) as f64;
        (1..=count).map(|k| low + k as f64 * step).collect()
    }

    /// Where each plane may stand at all: no further than slabs reach from the low end, no nearer than they reach from the high one.
    fn windows(&mut self, axis: Axis, count: usize, cuts: &[Vec<f64>; 3]) -> Option<Vec<[f64; 2]>> {
        let [low, high] = self.cells.whole[axis.index()];
        let mut latest = vec![low];
        for _ in 0..count {
            let from = latest[latest.len() - 1];
            latest.push(self.reach(axis, from, high, cuts)?);
        }
        if !self.cells.slab_fits(axis, [latest[count], high], cuts) {
            return self.equal_windows(axis, count, cuts);
        }
        let mut earliest = vec![high];
        for _ in 0..count {
            let from = earliest[earliest.len() - 1];
            earliest.push(self.reach(axis, from, low, cuts)?);
        }
        earliest.reverse();
        let windows = (1..=count).map(|k| {
            let (from, to) = (earliest[k - 1], latest[k]);
            [from.min(to), to]
        });
        Some(windows.collect())
    }

    /// A part just as long as so many beds leaves no play, and only equal slabs fit.
    fn equal_windows(
        &mut self,
        axis: Axis,
        count: usize,
        cuts: &[Vec<f64>; 3],
    ) -> Option<Vec<[f64; 2]>> {
        let [low, high] = self.cells.whole[axis.index()];
        let equal = self.equal(axis.index(), count);
        let ends: Vec<f64> = std::iter::once(low)
            .chain(equal.iter().copied())
            .chain([high])
            .collect();
        let all = ends
            .windows(2)
            .all(|pair| self.cells.slab_fits(axis, [pair[0], pair[1]], cuts));
        all.then(|| equal.into_iter().map(|at| [at, at]).collect())
    }

    /// How far a slab from `from` may reach towards `to`; `None` where not even a thin one fits.
    fn reach(&mut self, axis: Axis, from: f64, to: f64, cuts: &[Vec<f64>; 3]) -> Option<f64> {
        let mut fits_to = |at: f64| {
            let slab = [from.min(at), from.max(at)];
            self.cells.slab_fits(axis, slab, cuts)
        };
        if fits_to(to) {
            return Some(to);
        }
        let (mut fits, mut fails) = (from, to);
        let within = (REACH_SHARE * (to - from).abs()).max(0.5);
        while (fails - fits).abs() > within {
            let middle = (fits + fails) / 2.0;
            if fits_to(middle) {
                fits = middle;
            } else {
                fails = middle;
            }
        }
        (fits != from).then_some(fits)
    }

    /// Places in every window, with what speaks against each.
    fn places(&mut self, axis: Axis, windows: &[[f64; 2]]) -> Vec<Vec<Place>> {
        let [low, high] = self.cells.whole[axis.index()];
        let mut of_windows: Vec<Vec<f64>> = Vec::new();
        for [from, to] in windows {
            let (from, to) = (from.max(low + LEAST_SLAB_MM), to.min(high - LEAST_SLAB_MM));
            let steps = ((to - from).max(0.0).floor() as usize).min(PLACES);
            let step = (to - from).max(0.0) / steps.max(1) as f64;
            let mut places: Vec<f64> = (0..=steps).map(|k| from + k as f64 * step).collect();
            places.dedup();
            of_windows.push(places);
        }
        let mut heights: Vec<f64> = of_windows.iter().flatten().copied().collect();
        heights.sort_by(f64::total_cmp);
        heights.dedup();
        let costs = self.costs(axis, &heights);
        let cost_at = |at: f64| {
            let found = heights.binary_search_by(|h| h.total_cmp(&at));
            found.map_or(f64::INFINITY, |i| costs[i])
        };
        let place = |window: &[f64; 2], at: f64| {
            // Where all else is equal, the middle of the window.
            let half = ((window[1] - window[0]) / 2.0).max(1e-9);
            let off = ((at - (window[0] + window[1]) / 2.0) / half).abs();
            Place {
                at_mm: at,
                cost: cost_at(at) + 0.02 * off,
            }
        };
        windows
            .iter()
            .zip(of_windows)
            .map(|(window, places)| places.into_iter().map(|at| place(window, at)).collect())
            .collect()
    }

    fn costs(&self, axis: Axis, heights: &[f64]) -> Vec<f64> {
        let Some(along) = &self.along[axis.index()] else {
            return vec![0.0; heights.len()];
        };
        let beside = [-BESIDE_MM, 0.0, BESIDE_MM].map(|off| {
            let moved: Vec<f64> = heights.iter().map(|at_mm| at_mm + off).collect();
            let sections = sections_at(&along.upright, &self.part.topology, &moved);
            let regions = sections.regions.par_iter();
            regions.map(JointFigures::of).collect::<Vec<_>>()
        });
        let [before, here, after] = &beside;
        let cost = |(i, at_mm): (usize, &f64)| {
            let thin = self.refused.iter().any(|plane| {
                plane.axis == axis && (plane.at_mm - at_mm).abs() < LEAST_SLAB_MM / 2.0
            });
            let refused = if thin { 20.0 } else { 0.0 };
            let grazed_mm2 = along.flat.near_mm2(*at_mm);
            refused + here[i].cost(self.largest_mm2, grazed_mm2, &[before[i], after[i]])
        };
        heights.iter().enumerate().map(cost).collect()
    }

    /// One place in every window, the least costly together between which every slab fits.
    fn choose(
        &mut self,
        axis: Axis,
        places: &[Vec<Place>],
        cuts: &[Vec<f64>; 3],
    ) -> Option<Vec<Place>> {
        let [low, high] = self.cells.whole[axis.index()];
        let mut too_long: Vec<[f64; 2]> = Vec::new();
        for _ in 0..MOST_CHOICES {
            let chosen = cheapest(places, [low, high], &too_long)?;
            let ends: Vec<f64> = std::iter::once(low)
                .chain(chosen.iter().map(|place| place.at_mm))
                .chain([high])
                .collect();
            let known = too_long.len();
            for pair in ends.windows(2) {
                if !self.cells.slab_fits(axis, [pair[0], pair[1]], cuts) {
                    too_long.push([pair[0], pair[1]]);
                }
            }
            if too_long.len() == known {
                return Some(chosen);
            }
        }
        None
    }
}

/// The least costly way from the low end to the high one through a place in every window, with slabs that are not too thin and none
/// of which holds one that is known to be too long.
fn cheapest(
    places: &[Vec<Place>],
    [low, high]: [f64; 2],
    too_long: &[[f64; 2]],
) -> Option<Vec<Place>> {
    let allowed = |from: f64, to: f64| {
        to - from >= LEAST_SLAB_MM.min((high - low) / (2 * places.len() + 2) as f64)
            && !too_long.iter().any(|slab| from <= slab[0] && to >= slab[1])
    };
    // For each place the cost of the way there, and the place before.
    let mut ways: Vec<Vec<(f64, usize)>> = Vec::new();
    for (k, window) in places.iter().enumerate() {
        let reach = |to: &Place| {
            if k == 0 {
                let cost = if allowed(low, to.at_mm) {
                    to.cost
                } else {
                    f64::INFINITY
                };
                return (cost, 0);
            }
            let before = places[k - 1].iter().enumerate();
            before
                .map(|(i, from)| {
                    let step = if allowed(from.at_mm, to.at_mm) {
                        to.cost
                    } else {
                        f64::INFINITY
                    };
                    (ways[k - 1][i].0 + step, i)
                })
                .min_by(|a, b| a.0.total_cmp(&b.0))
                .unwrap_or((f64::INFINITY, 0))
        };
        let of_window = window.iter().map(reach).collect();
        ways.push(of_window);
    }
    let last = places.last()?;
    let end = |i: &usize| {
        let way = ways[places.len() - 1][*i].0;
        if allowed(last[*i].at_mm, high) {
            way
        } else {
            f64::INFINITY
        }
    };
    let mut at = (0..last.len()).min_by(|a, b| end(a).total_cmp(&end(b)))?;
    if !end(&at).is_finite() {
        return None;
    }
    let mut chosen = Vec::new();
    for k in (0..places.len()).rev() {
        chosen.push(places[k][at]);
        at = ways[k][at].1;
    }
    chosen.reverse();
    Some(chosen)
}

impl Search<'_> {
    /// The section in a plane, and the flat faces beside it, mm2.
    pub fn section(&self, plane: Plane) -> Option<(crate::plane::Region, f64)> {
        let along = self.along[plane.axis.index()].as_ref()?;
        let sections = sections_at(&along.upright, &self.part.topology, &[plane.at_mm]);
        let section = sections.regions.into_iter().next()?;
        Some((section, along.flat.near_mm2(plane.at_mm)))
    }

    /// Planes across one axis, evenly over the part, for a search that cuts at each.
    pub fn places_along(&self, axis: Axis, count: usize) -> Vec<(Plane, f64)> {
        let [low, high] = self.cells.whole[axis.index()];
        let heights: Vec<f64> = (1..=count)
            .map(|k| low + (high - low) * k as f64 / (count + 1) as f64)
            .collect();
        let costs = self.costs(axis, &heights).into_iter();
        heights
            .into_iter()
            .map(|at_mm| Plane { axis, at_mm })
            .zip(costs)
            .collect()
    }
}
