//! Whether any pose of a part fits a machine, over all rotations.
//!
//! The direction that points down is one of a sphere's; for each, all turns about the vertical are solved at once. Poses in
//! which the part stands on its own are tried first, then those on an axis, those on an edge, and then the sphere is
//! divided into cells. A cell is ruled out as a whole (see [`look`]), or its middle fits, or it is divided again.

use nalgebra::{Point3, Vector3};
use rayon::prelude::*;

use super::bound::{Enclosure, Look, look, slack_mm};
use super::cells::Cell;
use super::corners::extremes;
use crate::pose::{BuildSpace, Down, Footprints, Miss, Pose, PoseFit, Rest};

/// How far a search goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SearchBudget {
    /// Directions looked at, each at all its turns. 5000 by default; a few more may be looked at.
    pub poses: usize,
    /// A range of directions is not divided further when its poses differ by no more than this, mm. 0.05 by default.
    pub resolution_mm: f64,
    /// The search ends when so many poses that fit are found. 8 by default; 0 is taken as 1.
    pub wanted: usize,
}

impl Default for SearchBudget {
    fn default() -> Self {
        Self {
            poses: 5000,
            resolution_mm: 0.05,
            wanted: 8,
        }
    }
}

/// What a search came to.
#[derive(Debug, Clone, PartialEq)]
pub struct TiltSearch {
    /// Poses that fit: those in which the part stands on its own, by contact area, then those on an axis, then tilted
    /// ones, the least tilt first. Tilted poses are sought only where no other fits.
    pub found: Vec<PoseFit>,
    /// Directions looked at, each at all its turns.
    pub searched: usize,
    /// The answer.
    pub outcome: TiltOutcome,
}

/// The answer of a search.
#[derive(Debug, Clone, PartialEq)]
pub enum TiltOutcome {
    /// A pose fits.
    Fits,
    /// No pose whatever fits, and this is why.
    ProvenNot {
        /// The reason, without a full stop.
        why: String,
    },
    /// None was found, which is no proof.
    NotFound {
        /// The pose found that lacks the least; it fits a space larger by its `excess_mm` in every direction.
        nearest: Option<Miss>,
        /// Whether every direction was ruled out except some that lack less than the resolution; else the budget was
        /// used up.
        to_the_end: bool,
    },
}

impl TiltSearch {
    /// The answer in a sentence without a full stop.
    pub fn in_words(&self) -> String {
        let poses = in_thousands(self.searched);
        match &self.outcome {
            TiltOutcome::Fits => match self.found.first() {
                Some(best) => format!("it fits {}", best.down.in_words()),
                None => "it fits".to_owned(),
            },
            TiltOutcome::ProvenNot { why } => format!("no pose of this part fits: {why}"),
            TiltOutcome::NotFound {
                nearest,
                to_the_end,
            } => {
                let lacking = nearest.as_ref().map_or(0.0, |miss| miss.excess_mm);
                if *to_the_end {
                    format!(
                        "none found among {poses} poses searched; all directions were ruled out but for some that lack \
                         as little as {lacking:.3} mm"
                    )
                } else {
                    format!(
                        "none found among {poses} poses searched; the nearest lacks {lacking:.1} mm"
                    )
                }
            }
        }
    }
}

/// Searches all rotations for poses in which a part fits a build space. The same answer every time, with one thread or
/// many. A part that fits is found where a middle of a cell, a climb from it or one of the poses tried first fits; a part
/// that fits only just may be missed, and is then never said to be proven not to fit.
pub fn search_tilted(
    footprints: &Footprints<'_>,
    space: &BuildSpace,
    budget: &SearchBudget,
) -> TiltSearch {
    let mut search = Search::new(footprints, space, budget);
    let resting = footprints.rests().poses.iter().map(|pose| pose.rest);
    let standing: Vec<Rest> = resting.chain(Down::ALL.map(Rest::Axis)).collect();
    search.try_all(&standing);
    if !search.found.is_empty() {
        return search.ended(TiltOutcome::Fits);
    }
    if let Some(why) = footprints.inner().too_large_for(&search.enclosure) {
        return search.ended(TiltOutcome::ProvenNot { why });
    }
    let edges: Vec<Rest> = footprints
        .inner()
        .edge_rests
        .iter()
        .copied()
        .filter_map(Rest::on)
        .collect();
    search.try_all(&edges);
    let open = if search.found.is_empty() {
        search.divide()
    } else {
        Open::default()
    };
    if !search.found.is_empty() {
        search
            .found
            .sort_by(|a, b| a.tilt_deg.total_cmp(&b.tilt_deg));
        return search.ended(TiltOutcome::Fits);
    }
    if open.undecided == 0 && !open.cut_short {
        let (poses, resolution) = (in_thousands(search.searched), budget.resolution_mm);
        let why = format!("every direction was ruled out ({poses} poses, to {resolution} mm)");
        return search.ended(TiltOutcome::ProvenNot { why });
    }
    let nearest = search.nearest.take();
    search.ended(TiltOutcome::NotFound {
        nearest,
        to_the_end: !open.cut_short,
    })
}

struct Search<'a, 'm> {
    footprints: &'a Footprints<'m>,
    space: &'a BuildSpace,
    budget: &'a SearchBudget,
    enclosure: Enclosure,
    /// Points of the part; more are added where they are too few to tell.
    points: Vec<Point3<f64>>,
    searched: usize,
    /// How often the whole part may still be tried.
    tries_left: usize,
    found: Vec<PoseFit>,
    nearest: Option<Miss>,
}

/// What a division of the sphere left open.
#[derive(Default)]
struct Open {
    undecided: usize,
    cut_short: bool,
}

/// The work, in points of the part looked at, that trying the whole part may cost.
const MOST_POINTS_TRIED: usize = 20_000_000;

/// Poses that are tried with the whole part where true outlines decide.
const MOST_TRIED_BESIDE_OBSTACLES: usize = 12;

/// Poses of one division that are tried with the whole part.
const TRIES_A_ROUND: usize = 12;

impl<'a, 'm> Search<'a, 'm> {
    fn new(
        footprints: &'a Footprints<'m>,
        space: &'a BuildSpace,
        budget: &'a SearchBudget,
    ) -> Self {
        Self {
            footprints,
            space,
            budget,
            enclosure: Enclosure::of(space),
            points: footprints.inner().points.clone(),
            searched: 0,
            tries_left: if space.is_convex() {
                (MOST_POINTS_TRIED / footprints.corners().len().max(1)).clamp(8, 500)
            } else {
                MOST_TRIED_BESIDE_OBSTACLES
            },
            found: Vec::new(),
            nearest: None,
        }
    }

    fn ended(self, outcome: TiltOutcome) -> TiltSearch {
        TiltSearch {
            found: self.found,
            searched: self.searched,
            outcome,
        }
    }

    fn has_enough(&self) -> bool {
        self.found.len() >= self.budget.wanted.max(1)
    }

    /// Tries rests in order until enough are found.
    fn try_all(&mut self, rests: &[Rest]) {
        let looks: Vec<_> = rests
            .par_iter()
            .map(|rest| look(&self.points, &self.enclosure, &rest.direction(), 0.0))
            .collect();
        self.searched += rests.len();
        for (rest, _) in rests.iter().zip(looks).filter(|(_, look)| look.is_some()) {
            if self.has_enough() {
                return;
            }
            self.try_on(*rest);
        }
    }

    /// Tries the whole part on a direction and, where the space is not the same upside down, on its opposite.
    fn try_on(&mut self, rest: Rest) {
        if self.tries_left == 0 || self.found.iter().any(|pose| pose.down == rest) {
            return;
        }
        self.tries_left -= 1;
        let opposite = || Rest::on(-rest.direction()).unwrap_or(rest);
        let fit = self.footprints.pose_fit(rest, self.space);
        match fit.or_else(|miss| {
            self.footprints
                .pose_fit(opposite(), self.space)
                .map_err(|_| miss)
        }) {
            Ok(pose) => self.found.push(pose),
            Err(miss) => {
                self.learn_from(&miss);
                if self
                    .nearest
                    .as_ref()
                    .is_none_or(|held| miss.excess_mm < held.excess_mm)
                {
                    self.nearest = Some(miss);
                }
            }
        }
    }

    /// Adds the points that made a pose miss.
    fn learn_from(&mut self, miss: &Miss) {
        let corners = self.footprints.corners();
        if self.points.len() == corners.len() {
            return;
        }
        let upright = Pose::new(miss.down, miss.turn_deg).rotation.inverse();
        let axes = [Vector3::x(), Vector3::y(), Vector3::z()].map(|axis| upright * axis);
        self.points.extend(extremes(corners, &axes));
    }

    /// Divides the sphere of directions until all are ruled out, enough poses are found or the budget is used up.
    fn divide(&mut self) -> Open {
        let mut open = Open::default();
        let mut cells: Vec<(Cell, f64)> = Cell::half_sphere()
            .into_iter()
            .map(|cell| (cell, 0.0))
            .collect();
        let mut best: Option<(Vector3<f64>, f64)> = None;
        while !cells.is_empty() {
            let room = self.budget.poses.saturating_sub(self.searched);
            if cells.len() > room {
                // The most promising first; a stable sort, so that the same are kept every time.
                cells.sort_by(|a, b| b.1.total_cmp(&a.1));
                cells.truncate(room);
                open.cut_short = true;
            }
            let mut left = self.look_at(&cells);
            left.sort_by(|a, b| b.1.slack_mm.total_cmp(&a.1.slack_mm));
            for (cell, _) in left
                .iter()
                .take_while(|(_, look)| look.slack_mm >= 0.0)
                .take(TRIES_A_ROUND)
            {
                if let Some(rest) = Rest::on(cell.middle()) {
                    self.try_on(rest);
                }
            }
            if let Some((cell, look)) = left.first() {
                best = best
                    .filter(|held| held.1 >= look.slack_mm)
                    .or(Some((cell.middle(), look.slack_mm)));
                self.climb(cell.middle(), cell.radius_rad());
            }
            if !self.found.is_empty() {
                return open;
            }
            let (fine, coarse): (Vec<_>, Vec<_>) = left
                .into_iter()
                .partition(|(_, look)| look.growth_mm <= self.budget.resolution_mm);
            open.undecided += fine.len();
            cells = coarse
                .into_iter()
                .flat_map(|(cell, look)| cell.quarters().map(|quarter| (quarter, look.slack_mm)))
                .collect();
        }
        if let Some(rest) = best.and_then(|(direction, _)| Rest::on(direction)) {
            self.try_on(rest);
        }
        open
    }

    /// The cells that are not ruled out.
    fn look_at(&mut self, cells: &[(Cell, f64)]) -> Vec<(Cell, Look)> {
        self.searched += cells.len();
        cells
            .par_iter()
            .filter_map(|(cell, _)| {
                let seen = look(
                    &self.points,
                    &self.enclosure,
                    &cell.middle(),
                    cell.radius_rad(),
                )?;
                Some((*cell, seen))
            })
            .collect()
    }

    /// Climbs from a direction to the one with the most room near it, and tries the part there. Six directions around are
    /// looked at; where none is better they are drawn nearer.
    fn climb(&mut self, from: Vector3<f64>, reach_rad: f64) {
        let room = |direction: &Vector3<f64>| slack_mm(&self.points, &self.enclosure, direction);
        let (mut at, mut most, mut step) = (from, room(&from), reach_rad / 2.0);
        let mut looked = 1;
        while step > 1e-7 && looked < MOST_CLIMBED {
            let across = at.cross(&Vector3::ith(at.iamin(), 1.0)).normalize();
            let other = at.cross(&across);
            let around: Vec<_> = (0..6)
                .into_par_iter()
                .map(|i| {
                    let (sine, cosine) = (f64::from(i) * std::f64::consts::FRAC_PI_3).sin_cos();
                    let next = (at + (across * cosine + other * sine) * step.tan()).normalize();
                    (next, room(&next))
                })
                .collect();
            looked += around.len();
            match around
                .into_iter()
                .reduce(|a, b| if b.1 > a.1 { b } else { a })
            {
                Some((next, room)) if room > most => (at, most) = (next, room),
                _ => step /= 2.0,
            }
        }
        self.searched += looked;
        if let Some(rest) = Rest::on(at).filter(|_| most >= 0.0) {
            self.try_on(rest);
        }
    }
}

/// Directions looked at in a climb.
const MOST_CLIMBED: usize = 150;

/// 4312 as "4 312".
fn in_thousands(count: usize) -> String {
    let digits = count.to_string();
    let mut written = String::new();
    for (place, digit) in digits.chars().enumerate() {
        if place > 0 && (digits.len() - place).is_multiple_of(3) {
            written.push(' ');
        }
        written.push(digit);
    }
    written
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_written_in_groups_of_three_digits() {
        assert_eq!(
            [0, 999, 4312, 1_234_567].map(in_thousands),
            ["0", "999", "4 312", "1 234 567"]
        );
    }
}
