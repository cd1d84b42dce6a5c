//! Where the machine stands, followed from job to job on a grid.
//!
//! The logarithm of the bias is a number that stands still between changes and jumps at one (a new belt, another nozzle, other
//! settings). What is known of it after each job is a histogram on an even grid, carried forward exactly: between jobs some of it jumps,
//! at a job it is multiplied by the job's likelihood (the filter for non-Gaussian state space models, Kitagawa 1987,
//! J. Amer. Statist. Assoc. 82, from memory; the change of level is that of Adams & MacKay 2007, *Bayesian online
//! changepoint detection*, from memory). The scale of the jobs' own errors is unknown too, so that the filter runs once for each
//! of a few scales, and each counts as much as it foretold the jobs.

use super::pair::Job;
use super::student::{self, WILD};

/// Step of the grid of logarithms: 0.4 %. The narrowest histogram, of many jobs at the least scale, is about as wide.
const STEP: f64 = 0.004;
/// The grid goes this far beyond the jobs and beyond no correction.
const MARGIN: f64 = 0.8;
/// Scale of what is thought of a machine before its first job: one in two within 15 %, nineteen of twenty within 0.57 to 1.74. The
/// tails are Student's, so that steady jobs far off are believed after a few.
const PRIOR_SCALE: f64 = 0.2;
/// Scales of a job's own error that are tried. Below 2 % no clock or scale is trusted; above 25 % nothing is learnt.
const SCALES: [f64; 8] = [0.02, 0.029, 0.041, 0.059, 0.084, 0.12, 0.175, 0.25];
/// Scale thought likeliest before the first jobs: rather too wide than too narrow, since three jobs alone hardly tell it. One
/// standard deviation of its logarithm is a factor of two either way.
const LIKELY_SCALE: f64 = 0.1;
const LIKELY_SPREAD: f64 = std::f64::consts::LN_2;
/// Mean size of a change, as a logarithm: 10 %, either way. A belt is a few per cent, a nozzle or a setting ten or twenty.
const CHANGE_SIZE: f64 = 0.1;
/// Days in which it becomes as likely as not that something was changed unseen: the half-life of what a job tells.
pub const HALF_LIFE_DAYS: f64 = 365.0;
/// Besides, a change between the i-th job and the next is as likely as 1 in `FIRST_CHANGE_JOBS + i`: Laplace's rule of succession for
/// a machine that has stood still so far. A new shop is trusted less than one of sixty steady jobs.
pub const FIRST_CHANGE_JOBS: f64 = 3.0;

/// A histogram over the grid; its cells add up to 1.
type Cells = Vec<f64>;

/// Jobs on their grid.
pub(super) struct Track<'a> {
    jobs: &'a [Job],
    /// Logarithm of the bias at cell 0.
    first: f64,
    prior: Cells,
    /// How likely each scale is after all jobs; adds up to 1.
    scales: [f64; SCALES.len()],
}

impl<'a> Track<'a> {
    /// Jobs, the oldest first.
    pub fn of(jobs: &'a [Job]) -> Self {
        let mut ratios: Vec<f64> = jobs.iter().map(|job| job.log_ratio).collect();
        ratios.sort_by(f64::total_cmp);
        // a tenth at each end may be wild and need not lie on the grid
        let wild = ratios.len() / 10;
        let kept = ratios.get(wild..ratios.len() - wild).unwrap_or_default();
        let low = kept.first().map_or(0.0, |r| r.min(0.0)) - MARGIN;
        let high = kept.last().map_or(0.0, |r| r.max(0.0)) + MARGIN;
        // whole steps from 0, so that grid and answer do not move with a job that moves the ends
        let first = (low / STEP).floor() * STEP;
        let cells = ((high - first) / STEP).ceil() as usize + 1;
        let mut prior: Cells = (0..cells)
            .map(|i| student::density((first + i as f64 * STEP) / PRIOR_SCALE))
            .collect();
        make_whole(&mut prior);
        let mut track = Track {
            jobs,
            first,
            prior,
            scales: [1.0 / SCALES.len() as f64; SCALES.len()],
        };
        track.weigh_scales();
        track
    }

    /// Variance of the middle that one job alone tells: `(v + 3)/(v + 1)` scales squared, 7/5 for four degrees of freedom (the
    /// inverse of Fisher's information of Student's t; textbook, from memory).
    pub fn variance_of_one_job(&self) -> f64 {
        let squares = SCALES.iter().zip(&self.scales).map(|(s, w)| w * s * s);
        1.4 * squares.sum::<f64>()
    }

    /// What was known before the first job.
    pub fn before(&self) -> Known {
        Known {
            first: self.first,
            cells: self.prior.clone(),
        }
    }

    /// What is known of the bias today.
    pub fn today(&self) -> Known {
        let since = self
            .jobs
            .last()
            .map_or(0.0, |job| chance_of_change(self.jobs.len(), job.age_days));
        self.mixed(self.scales, |scale| {
            let mut cells = self.prior.clone();
            for i in 0..self.jobs.len() {
                self.step(i, scale, &mut cells);
            }
            jump(&mut cells, since);
            cells
        })
    }

    /// What all other jobs, earlier and later, tell of the bias at each job, in the order of the jobs: what the earlier
    /// ones tell, carried forward, times what the later ones tell, carried back.
    pub fn left_out(&self) -> Vec<Known> {
        let n = self.jobs.len();
        let mut known: Vec<Known> = (0..n).map(|_| self.nothing()).collect();
        for (&scale, &weight) in SCALES.iter().zip(&self.scales) {
            let mut later = vec![vec![1.0; self.prior.len()]; n];
            for i in (1..n).rev() {
                let mut cells = later[i].clone();
                self.see(i, scale, &mut cells);
                jump(&mut cells, self.change_before(i));
                later[i - 1] = cells;
            }
            let mut cells = self.prior.clone();
            for i in 0..n {
                jump(&mut cells, self.change_before(i));
                let mut both: Cells = cells.iter().zip(&later[i]).map(|(a, b)| a * b).collect();
                make_whole(&mut both);
                // how likely the scale is without this job: Bayes' rule backwards
                let foretold = self.likelihood(i, scale, &both);
                known[i].add(&both, weight / foretold);
                self.see(i, scale, &mut cells);
            }
        }
        for one in &mut known {
            make_whole(&mut one.cells);
        }
        known
    }

    /// Weighs each scale by how well it foretold the jobs, each from those before it.
    fn weigh_scales(&mut self) {
        let mut logs = [0.0; SCALES.len()];
        for (log, &scale) in logs.iter_mut().zip(&SCALES) {
            let off = (scale / LIKELY_SCALE).ln() / LIKELY_SPREAD;
            *log = -0.5 * off * off;
            let mut cells = self.prior.clone();
            for i in 0..self.jobs.len() {
                *log += self.step(i, scale, &mut cells).ln();
            }
        }
        let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let weights = logs.map(|log| (log - most).exp());
        let sum: f64 = weights.iter().sum();
        self.scales = weights.map(|weight| weight / sum);
    }

    fn mixed(&self, weights: [f64; SCALES.len()], cells: impl Fn(f64) -> Cells) -> Known {
        let mut known = self.nothing();
        for (&scale, weight) in SCALES.iter().zip(weights) {
            known.add(&cells(scale), weight);
        }
        known
    }

    fn nothing(&self) -> Known {
        Known {
            first: self.first,
            cells: vec![0.0; self.prior.len()],
        }
    }

    /// On to job `i` and past it. Gives the likelihood with which it was foretold.
    fn step(&self, i: usize, scale: f64, cells: &mut Cells) -> f64 {
        jump(cells, self.change_before(i));
        self.see(i, scale, cells)
    }

    /// Multiplies by the likelihood of job `i` and makes the cells whole again. Gives what they added up to.
    fn see(&self, i: usize, scale: f64, cells: &mut Cells) -> f64 {
        let density = self.density(i, scale);
        for (k, cell) in cells.iter_mut().enumerate() {
            *cell *= density(k);
        }
        make_whole(cells)
    }

    fn likelihood(&self, i: usize, scale: f64, cells: &Cells) -> f64 {
        let density = self.density(i, scale);
        let each = cells.iter().enumerate();
        each.map(|(k, cell)| cell * density(k)).sum()
    }

    /// Density of job `i` where the bias is that of a cell.
    fn density(&self, i: usize, scale: f64) -> impl Fn(usize) -> f64 {
        let z = (self.jobs[i].log_ratio - self.first) / scale;
        let step = STEP / scale;
        let ordinary = (1.0 - WILD) / scale;
        let wild = WILD * student::wild_density();
        move |cell| ordinary * student::density(z - cell as f64 * step) + wild
    }

    /// Chance of a change between job `i` and the one before it. Before the first there is none.
    fn change_before(&self, i: usize) -> f64 {
        let before = i.checked_sub(1).map_or(self.jobs[i], |k| self.jobs[k]);
        chance_of_change(i, before.age_days - self.jobs[i].age_days)
    }
}

/// Jobs of one moment have no change between them, whose order is not known.
fn chance_of_change(jobs: usize, days: f64) -> f64 {
    if days > 0.0 {
        let per_job = 1.0 / (FIRST_CHANGE_JOBS + jobs as f64);
        1.0 - (1.0 - per_job) * (-days / HALF_LIFE_DAYS).exp2()
    } else {
        0.0
    }
}

/// Lets a share of the cells jump, with Laplace's law of the size: two sweeps, one each way.
fn jump(cells: &mut Cells, share: f64) {
    if share == 0.0 {
        return;
    }
    let fall = (-STEP / CHANGE_SIZE).exp();
    // the geometric series a^|k| over all k adds up to (1 + a)/(1 - a)
    let part = share * (1.0 - fall) / (1.0 + fall);
    let stay = 1.0 - share;
    let before = cells.clone();
    let mut from_below = 0.0;
    for (cell, old) in cells.iter_mut().zip(&before) {
        from_below = fall * from_below + old;
        *cell = stay * old + part * from_below;
    }
    let mut from_above = 0.0;
    for (cell, old) in cells.iter_mut().zip(&before).rev() {
        *cell += part * fall * from_above;
        from_above = fall * from_above + old;
    }
}

/// Makes cells add up to 1 and gives what they added up to.
fn make_whole(cells: &mut Cells) -> f64 {
    let sum: f64 = cells.iter().sum();
    cells.iter_mut().for_each(|cell| *cell /= sum);
    sum
}

/// What is known of the logarithm of a bias.
#[derive(Debug, Clone)]
pub(super) struct Known {
    first: f64,
    cells: Cells,
}

impl Known {
    fn add(&mut self, cells: &Cells, weight: f64) {
        for (sum, cell) in self.cells.iter_mut().zip(cells) {
            *sum += weight * cell;
        }
    }

    /// The logarithm below which the bias lies with this chance; within a cell the chance is even.
    pub fn quantile(&self, chance: f64) -> f64 {
        let mut below = 0.0;
        for (k, cell) in self.cells.iter().enumerate() {
            if below + cell >= chance && *cell > 0.0 {
                let inside = (chance - below) / cell;
                return self.first + STEP * (k as f64 - 0.5 + inside);
            }
            below += cell;
        }
        self.first + STEP * self.cells.len() as f64
    }
}
