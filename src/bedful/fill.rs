//! One bed, as full as can be found.

use rayon::prelude::*;

use super::check::{ROUNDING_MM, gap_below_mm, lies_within};
use super::greedy::{Filling, Room, Rule, Shapes, Spot};
use super::grid::{best_grid, size_at};
use super::layouts::Layout;
use super::shape::{Shape, hull, slim};
use super::{Bedful, BedfulError, Item, MOST_COPIES, Placement, Turns, checked};
use crate::plane::Region;

/// Outlines keep off each other by so much more than the clearance while places are sought: rounding never brings two
/// nearer than the clearance, mm.
pub(super) const SLACK_MM: f64 = 0.002;
/// Turns beside the quarters in which one part is tried: those that lay its longest sides square to the bed.
const LONGEST_SIDES: usize = 2;
/// From so many copies on only the grids and one filling are tried: what is left to gain is less than the time it takes.
const MANY: f64 = 300.0;
/// From so many on, of an outline with more than a few corners, fewer turns are tried, and no four turns at once.
const SOME: f64 = 40.0;
const PLAIN_CORNERS: usize = 20;

/// Fills one bed: with as many copies of one item as are wanted or can be placed, or with several items, the largest
/// first.
///
/// Tried are the best plain grid over all turns, the best grid of pairs with one half turned around, what fills up the rest
/// of them, and fillings one copy after the other from several corners with several sets of turns; the one with the most
/// copies is taken (with several items, the one that covers most). Each is bounded by a number of steps, so the time is too:
/// tenths of a second for convex outlines and for few corners, seconds where an outline has many bays.
///
/// # Errors
/// A clearance that is no length, an outline that covers nothing, a turn that is no angle.
pub fn fill(items: &[Item], usable: &Region, clearance_mm: f64) -> Result<Bedful, BedfulError> {
    checked(items, clearance_mm)?;
    let Some(room) = Room::of(usable) else {
        return Ok(Bedful::default());
    };
    let bed = Bed {
        items,
        usable,
        room,
        clearance_mm,
        slims: slims(items, clearance_mm),
    };
    Ok(match items {
        [] => Bedful::default(),
        [item] => bed.of_one(most(item)),
        _ => bed.of_several(),
    })
}

fn most(item: &Item) -> u32 {
    item.wanted.unwrap_or(MOST_COPIES).min(MOST_COPIES)
}

/// What stands for the outlines. Holes that hold nothing are filled.
fn slims(items: &[Item], clearance_mm: f64) -> Vec<Region> {
    let narrowest = |item: &Item| {
        let [x, y] = best_size(&item.outline);
        x.min(y)
    };
    let least_mm = items.iter().map(narrowest).fold(f64::INFINITY, f64::min);
    let least_mm = least_mm + 2.0 * clearance_mm;
    items
        .iter()
        .map(|item| slim(&item.outline, least_mm))
        .collect()
}

/// Width and depth of the turn at which an outline is narrowest.
fn best_size(outline: &Region) -> [f64; 2] {
    let hull = hull(outline);
    let sides = (0..hull.len()).map(|i| hull[(i + 1) % hull.len()] - hull[i]);
    let sizes = sides.map(|side| size_at(&hull, -side.y.atan2(side.x).to_degrees()));
    let narrowest = sizes.min_by(|a, b| a[1].total_cmp(&b[1]));
    narrowest.unwrap_or([0.0; 2])
}

/// A bed and what is to be placed on it.
pub(super) struct Bed<'a> {
    pub items: &'a [Item],
    pub usable: &'a Region,
    pub room: Room,
    pub clearance_mm: f64,
    /// What stands for the outlines.
    pub slims: Vec<Region>,
}

impl Bed<'_> {
    pub fn shape(&self, item: usize, turn_deg: f64) -> Shape {
        let outline = &self.items[item].outline;
        Shape::of(
            item,
            outline,
            &self.slims[item],
            turn_deg,
            self.clearance_mm + SLACK_MM,
        )
    }

    fn of_one(&self, most: u32) -> Bedful {
        if most == 0 {
            return Bedful::default();
        }
        let grids = self.grids(0);
        let best = grids.iter().max_by_key(|layout| layout.spots.len());
        let enough = best.filter(|layout| layout.spots.len() >= most as usize);
        if let Some(layout) = enough {
            return self.kept(&layout.shapes, &layout.spots[..most as usize], most);
        }
        let layouts = self.fillings(0, &grids, most);
        let known = self.around_known(0, most);
        // The first of the best, so that a plain grid stays one.
        let all = grids.iter().chain(&layouts).chain(&known);
        let mut fullest: Option<Bedful> = None;
        for layout in all {
            let spots = &layout.spots[..layout.spots.len().min(most as usize)];
            let more = fullest
                .as_ref()
                .is_none_or(|best| spots.len() > best.placements.len());
            if more {
                let kept = self.kept(&layout.shapes, spots, most);
                if fullest
                    .as_ref()
                    .is_none_or(|best| kept.copies() > best.copies())
                {
                    fullest = Some(kept);
                }
            }
        }
        fullest.unwrap_or_default()
    }

    /// The turns from which an item's sets of turns are made.
    pub fn base_turns(&self, item: usize) -> Vec<f64> {
        let of = &self.items[item];
        if let Turns::Only(turns) = &of.turns {
            return turns.clone();
        }
        let roomiest = of.known.map(|known| known.roomiest_deg.rem_euclid(90.0));
        let hull = hull(&of.outline);
        let mut sides: Vec<_> = (0..hull.len())
            .map(|i| hull[(i + 1) % hull.len()] - hull[i])
            .collect();
        sides.sort_by(|a, b| b.norm().total_cmp(&a.norm()));
        let square = sides
            .iter()
            .map(|side| (-side.y.atan2(side.x).to_degrees()).rem_euclid(90.0));
        let square = roomiest.into_iter().chain(square);
        let mut turns = vec![0.0];
        for turn in square {
            let near = |known: &f64| {
                let off = (turn - known).abs();
                off.min(90.0 - off) < 0.5
            };
            if turns.len() <= LONGEST_SIDES + usize::from(roomiest.is_some())
                && !turns.iter().any(near)
            {
                turns.push(turn);
            }
        }
        turns
    }

    /// Fillings of one item: every set of turns from every corner, and what fills the grids up.
    fn fillings(&self, item: usize, grids: &[Layout], most: u32) -> Vec<Layout> {
        let slim_mm2 = self.slims[item].area_mm2();
        let about = self.usable.area_mm2() / slim_mm2;
        let corners: usize = self.slims[item].rings().map(|ring| ring.len()).sum();
        let (some, many) = (about > SOME && corners > PLAIN_CORNERS, about > MANY);
        let free_turns = self.items[item].turns == Turns::Any;
        let mut bases = self.base_turns(item);
        if free_turns {
            bases.truncate(if many || some { 1 } else { bases.len() });
        }
        let mut shapes: Vec<Shape> = Vec::new();
        let mut sets: Vec<Vec<usize>> = Vec::new();
        for base in &bases {
            let first = shapes.len();
            let quarters: &[f64] = if free_turns && !many {
                &[0.0, 180.0, 90.0, 270.0]
            } else {
                &[0.0]
            };
            shapes.extend(
                quarters
                    .iter()
                    .map(|quarter| self.shape(item, base + quarter)),
            );
            let takes = [1, 2, 4]
                .into_iter()
                .filter(|n| *n <= quarters.len() && !(some && *n == 4));
            sets.extend(takes.map(|n| (first..first + n).collect()));
            if quarters.len() > 2 {
                sets.push(vec![first + 2]);
            }
        }
        if !free_turns {
            sets.push((0..shapes.len()).collect());
        }
        let shapes = Shapes::of(shapes);
        let rules: &[Rule] = match (many, self.room.is_rectangle()) {
            (true, _) => &Rule::ALL[..1],
            (false, true) => &Rule::ALL[..2],
            (false, false) => &Rule::ALL,
        };
        let tries: Vec<(Rule, &Vec<usize>)> = rules
            .iter()
            .flat_map(|rule| sets.iter().map(move |set| (*rule, set)))
            .collect();
        let filled = tries.par_iter().map(|(rule, set)| {
            let mut filling = Filling::of(&self.room, &shapes, *rule, Vec::new());
            filling.add(set, most);
            Layout {
                shapes: shapes.all.clone(),
                spots: filling.placed,
            }
        });
        let filled: Vec<Layout> = filled.collect();
        let topped = grids.par_iter().map(|grid| {
            let shapes = Shapes::of(grid.shapes.clone());
            let left = most.saturating_sub(grid.spots.len() as u32);
            let mut filling = Filling::of(&self.room, &shapes, Rule::Front, grid.spots.clone());
            let all: Vec<usize> = (0..shapes.all.len()).collect();
            filling.add(&all, left);
            Layout {
                spots: filling.placed,
                shapes: shapes.all,
            }
        });
        let topped: Vec<Layout> = topped.collect();
        topped.into_iter().chain(filled).collect()
    }

    /// The one place that is known, and what goes in beside it.
    fn around_known(&self, item: usize, most: u32) -> Option<Layout> {
        let known = self.items[item].known.filter(|_| most > 0)?;
        let shape = self.shape(item, known.turn_deg);
        let (low, _) = shape.outline.box_mm()?;
        let spot = Spot {
            shape: 0,
            at: [0, 1].map(|axis| known.corner_mm[axis] - low[axis]),
        };
        let shapes = Shapes::of(vec![shape, self.shape(item, known.turn_deg + 180.0)]);
        let mut filling = Filling::of(&self.room, &shapes, Rule::Front, vec![spot]);
        filling.add(&[0, 1], most - 1);
        Some(Layout {
            spots: filling.placed,
            shapes: shapes.all,
        })
    }

    /// Several items, the largest first.
    fn of_several(&self) -> Bedful {
        let mut order: Vec<usize> = (0..self.items.len()).collect();
        let area = |item: &usize| self.items[*item].outline.area_mm2();
        order.sort_by(|a, b| area(b).total_cmp(&area(a)));
        let mut shapes = Vec::new();
        let mut of_item: Vec<Vec<usize>> = vec![Vec::new(); self.items.len()];
        for &item in &order {
            for turn in self.turns_of_several(item) {
                of_item[item].push(shapes.len());
                shapes.push(self.shape(item, turn));
            }
        }
        let shapes = Shapes::of(shapes);
        let rules: &[Rule] = if self.room.is_rectangle() {
            &Rule::ALL[..3]
        } else {
            &Rule::ALL
        };
        let filled = rules.par_iter().map(|rule| {
            let mut filling = Filling::of(&self.room, &shapes, *rule, Vec::new());
            for &item in &order {
                let left = MOST_COPIES - (filling.placed.len() as u32).min(MOST_COPIES);
                filling.add(&of_item[item], most(&self.items[item]).min(left));
            }
            filling.placed
        });
        let filled: Vec<Vec<Spot>> = filled.collect();
        let covered = |spots: &[Spot]| -> f64 {
            spots
                .iter()
                .map(|spot| area(&shapes.all[spot.shape].item))
                .sum()
        };
        let mut fullest: &[Spot] = &[];
        for spots in &filled {
            if covered(spots) > covered(fullest) {
                fullest = spots;
            }
        }
        let kept = self.kept(&shapes.all, fullest, MOST_COPIES);
        if kept.copies() > 0 {
            return kept;
        }
        // What goes in only where it is known to lie gets beds of its own.
        let alone = order.iter().filter_map(|&item| {
            let wanted = most(&self.items[item]);
            let layout = self.around_known(item, wanted)?;
            let kept = self.kept(&layout.shapes, &layout.spots, wanted);
            (kept.copies() > 0).then_some(kept)
        });
        alone.into_iter().next().unwrap_or_default()
    }

    /// Quarter turns, and that of the best grid where the part fits no other way.
    fn turns_of_several(&self, item: usize) -> Vec<f64> {
        let of = &self.items[item];
        if let Turns::Only(turns) = &of.turns {
            return turns.clone();
        }
        let mut turns = vec![0.0, 90.0, 180.0, 270.0];
        let grid = best_grid(
            &hull(&of.outline),
            self.room.size(),
            self.clearance_mm,
            None,
        );
        turns.extend(
            grid.map(|grid| grid.turn_deg)
                .filter(|turn| turn % 90.0 != 0.0),
        );
        turns
    }

    /// The copies that hold what is promised: all of them, unless rounding played a trick.
    fn kept(&self, shapes: &[Shape], spots: &[Spot], most: u32) -> Bedful {
        let mut placements: Vec<Placement> = Vec::new();
        for spot in spots {
            let shape = &shapes[spot.shape];
            let outline = shape.outline.moved(spot.at);
            let apart = |placed: &Placement| {
                let gap = gap_below_mm(&placed.outline, &outline, self.clearance_mm.max(SLACK_MM));
                let least_mm = (self.clearance_mm - ROUNDING_MM).max(0.0);
                gap.is_some_and(|gap| {
                    gap >= least_mm && (gap > 0.0 || touches_only(&placed.outline, &outline))
                })
            };
            if lies_within(&outline, self.usable) && placements.iter().all(apart) {
                placements.push(Placement {
                    item: shape.item,
                    turn_deg: shape.turn_deg,
                    at_mm: spot.at,
                    outline,
                });
            }
        }
        let capped = placements.len() >= MOST_COPIES as usize && most >= MOST_COPIES;
        Bedful { placements, capped }
    }
}

/// Whether two outlines share no more than a film that rounding makes.
fn touches_only(a: &Region, b: &Region) -> bool {
    a.and(b).offset_unthinned(-ROUNDING_MM).is_empty()
}
