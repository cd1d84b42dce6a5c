//! Which poses of a part fit a machine, and with how much to spare.

use nalgebra::Rotation3;
use rayon::prelude::*;

use super::bed::plan::Asked;
use super::bed::usable::Usable;
use super::miss::{nearest, pieces_if_cut};
use super::tilt::search::{SearchBudget, TiltSearch, search_tilted};
use super::tolerance::fits_within;
use super::{BuildSpace, Down, Footprints, Miss, Pose, Rest};

/// How a part fits one machine.
#[derive(Debug, Clone, PartialEq)]
pub struct MachineFit {
    /// Whether any of the poses asked for fits.
    pub fits: bool,
    /// The poses that fit, the axis-down ones in the order of [`Down::ALL`].
    pub poses: Vec<PoseFit>,
    /// Where none of the six axis-down poses fits: what a search over all rotations came to. What it found is among `poses`.
    pub search: Option<TiltSearch>,
    /// Where none fits: the pose and turn that lack the least.
    pub nearest_miss: Option<Miss>,
    /// Where none fits: the least number of pieces into which straight cuts along the axes divide the part's box so
    /// that every piece fits square. A figure of the box alone: a hollow or slanting part may do with fewer.
    pub pieces_if_cut: Option<u64>,
}

/// A pose that fits a machine.
#[derive(Debug, Clone, PartialEq)]
pub struct PoseFit {
    /// The part's direction that points down.
    pub down: Rest,
    /// The whole rotation from the part as drawn, `turn_deg` included.
    pub rotation: Rotation3<f64>,
    /// Size of the part's box in this pose and turn, mm.
    pub size_mm: [f64; 3],
    /// Where the lower corner of the part's box then lies on the bed, in the coordinates of [`super::Bed`], mm: in the middle of
    /// what is left of the bed, as far from everything around as it can be.
    pub at_mm: [f64; 2],
    /// The least clearance on any side beyond the bed's edge margin, room for the brim, keep-outs and steps, mm. Beside
    /// keep-outs and in bays it is taken on the true outline and found to 0.003 mm, never too large by more than 0.001 mm.
    pub margin_mm: f64,
    /// The turn about the vertical taken, degrees counter-clockwise seen from above, in 0..360: 0 where the part fits
    /// square as it is, else 90 where it fits square that way, else the least turn in either sense (a clockwise one is
    /// above 180).
    pub turn_deg: f64,
    /// Every range of turns that fits, degrees, ascending and apart, in 0..=360. A range through 0 is given in two.
    pub turns_deg: Vec<(f64, f64)>,
    /// Turns, degrees in all, that could not be settled beside keep-outs and in bays within the search's limit; they count as not
    /// fitting. 0 on every convex bed.
    pub turns_open_deg: f64,
    /// The turn with the most clearance, degrees in 0..360; of turns as good, the least.
    pub best_turn_deg: f64,
    /// The least clearance at that turn, mm. Beside keep-outs and in bays the search for it ends at 0.02 mm or at a limit of
    /// turns looked at, so that another turn may have a little more.
    pub best_margin_mm: f64,
    /// Clearance left, right, front and back at the turn taken, beyond the edge margin, mm: how far the part could be moved
    /// that way. On a round bed all four are
    /// the way to the rim: every half of the smallest circle around a part touches the part.
    pub sides_mm: [f64; 4],
    /// Room above the part, mm.
    pub above_mm: f64,
    /// Tilt off the nearest axis-down pose, degrees.
    pub tilt_deg: f64,
}

impl PoseFit {
    /// The pose to place the part with.
    pub fn pose(&self) -> Pose {
        Pose::new(self.down, self.turn_deg)
    }
}

impl MachineFit {
    /// The fit of one pose, where it fits.
    pub fn pose(&self, down: impl Into<Rest>) -> Option<&PoseFit> {
        let down = down.into();
        self.poses.iter().find(|pose| pose.down == down)
    }
}

/// Fits the six axis-down poses into a machine's build space; no others are looked at.
pub fn fit_machine(footprints: &Footprints, space: &BuildSpace) -> MachineFit {
    fit_rests(footprints, &Down::ALL.map(Rest::Axis), space)
}

/// As [`fit_machine`], and where none of the six fits, all rotations are searched.
pub fn fit_searched(footprints: &Footprints, space: &BuildSpace) -> MachineFit {
    let mut fit = fit_machine(footprints, space);
    if fit.fits {
        return fit;
    }
    let search = search_tilted(footprints, space, &SearchBudget::default());
    if !search.found.is_empty() {
        fit.fits = true;
        fit.poses = search.found.clone();
        fit.nearest_miss = None;
        fit.pieces_if_cut = None;
    }
    fit.search = Some(search);
    fit
}

/// Fits one pose into a machine's build space.
pub fn fit_rest(footprints: &Footprints, rest: Rest, space: &BuildSpace) -> MachineFit {
    fit_rests(footprints, &[rest], space)
}

fn fit_rests(footprints: &Footprints, rests: &[Rest], space: &BuildSpace) -> MachineFit {
    // The poses are independent; they are gathered in order, so threads change nothing.
    let answers: Vec<_> = rests
        .par_iter()
        .map(|&rest| footprints.pose_fit(rest, space))
        .collect();
    let (mut poses, mut misses) = (Vec::new(), Vec::new());
    for answer in answers {
        match answer {
            Ok(pose) => poses.push(pose),
            Err(miss) => misses.push(miss),
        }
    }
    let fits = !poses.is_empty();
    let nearest_miss = if fits { None } else { nearest(misses) };
    let pieces_if_cut = if fits {
        None
    } else {
        pieces_if_cut(footprints.size_mm(), space)
    };
    MachineFit {
        fits,
        poses,
        search: None,
        nearest_miss,
        pieces_if_cut,
    }
}

impl Footprints<'_> {
    /// Fits one pose into a machine's build space.
    ///
    /// # Errors
    /// By how much the pose misses, at its nearest turn.
    pub fn pose_fit(&self, down: impl Into<Rest>, space: &BuildSpace) -> Result<PoseFit, Miss> {
        let rest = down.into();
        let asked = self.asked(rest, space);
        let height_mm = asked.height_mm;
        let plan = asked.plan();
        let above_mm = space.height_mm - height_mm;
        if !plan.fits || !fits_within(height_mm, space.height_mm) {
            let [x, y] = plan.slack_mm;
            let over_mm = [-x, -y, -above_mm];
            return Err(Miss::new(
                rest,
                plan.turn_deg,
                over_mm,
                plan.size_mm,
                plan.held,
            ));
        }
        Ok(PoseFit {
            down: rest,
            rotation: Pose::new(rest, plan.turn_deg).rotation,
            size_mm: [plan.size_mm[0], plan.size_mm[1], height_mm],
            at_mm: plan.at_mm,
            margin_mm: plan.margin_mm,
            turn_deg: plan.turn_deg,
            turns_deg: plan.turns_deg,
            turns_open_deg: plan.open_deg,
            best_turn_deg: plan.best_turn_deg,
            best_margin_mm: plan.best_margin_mm,
            sides_mm: plan.sides_mm,
            above_mm: above_mm.max(0.0),
            tilt_deg: rest.tilt_deg(),
        })
    }

    /// Whether one pose fits a machine's build space at any turn.
    pub fn fits(&self, down: impl Into<Rest>, space: &BuildSpace) -> bool {
        let asked = self.asked(down.into(), space);
        fits_within(asked.height_mm, space.height_mm) && asked.fits()
    }

    /// Whether one of the six axis-down poses fits a machine's build space.
    pub fn fits_on_an_axis(&self, space: &BuildSpace) -> bool {
        Down::ALL.into_iter().any(|down| self.fits(down, space))
    }

    fn asked<'a>(&'a self, rest: Rest, space: &'a BuildSpace) -> Asked<'a> {
        Asked {
            footprints: self,
            rest,
            space,
            height_mm: self.height_mm(rest),
        }
    }
}

impl BuildSpace {
    /// Whether a box of that size fits square on the bed, whichever of its sides is down, mm.
    pub fn holds_box(&self, size_mm: [f64; 3]) -> bool {
        (0..3).any(|up| {
            let [a, b] = [size_mm[(up + 1) % 3], size_mm[(up + 2) % 3]];
            let on_bed = || {
                let usable = Usable::of(self, size_mm[up]);
                usable.holds_square([a, b]) || usable.holds_square([b, a])
            };
            size_mm[up] <= self.height_mm && on_bed()
        })
    }
}
