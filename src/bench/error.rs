//! Why nothing can be measured, or a reading can't be used.

use crate::bead::BeadError;

/// Why nothing can be measured, or a reading can't be used. Every sentence says what would be right.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum BenchError {
    /// An id that the shop does not have.
    #[error("there is no {what} {id} in this shop; give one of {known}")]
    Unknown {
        /// What was named: machine, nozzle or material.
        what: &'static str,
        /// The id given.
        id: String,
        /// The ids there are.
        known: String,
    },
    /// No machine of the shop lays this.
    #[error(
        "no machine of this shop lays {material} with {nozzle}; name others with --machine, --nozzle and --material"
    )]
    NoMachine {
        /// The nozzle asked for.
        nozzle: String,
        /// The plastic asked for.
        material: String,
    },
    /// The machine can't lay this plastic with this nozzle.
    #[error("{option} can't be measured: {reasons}; name another machine, nozzle or material")]
    Refused {
        /// Machine, nozzle and plastic.
        option: String,
        /// Why not.
        reasons: String,
    },
    /// The bead can't be laid.
    #[error(transparent)]
    Bead(#[from] BeadError),
    /// The part is larger than the machine.
    #[error("the part of {size} mm does not fit on {machine}: {words}; name another machine{or}")]
    DoesNotFit {
        /// Its size.
        size: String,
        /// The machine's id.
        machine: String,
        /// Why not.
        words: String,
        /// What else would help.
        or: &'static str,
    },
    /// The part's outline leaves no single path to time.
    #[error(
        "the course can't be laid as one path with a bead {width_mm} mm wide; name a narrower nozzle"
    )]
    NoSinglePath {
        /// Width of the bead, mm.
        width_mm: f64,
    },
    /// Something typed that is no reading.
    #[error("\"{given}\" is no reading; give {right}")]
    NoReading {
        /// What was typed.
        given: String,
        /// What would be right.
        right: &'static str,
    },
    /// Too few or too many readings.
    #[error("{found} readings are given and {needed} are needed; give {right}")]
    Count {
        /// How many were given.
        found: usize,
        /// How many are needed.
        needed: usize,
        /// What would be right.
        right: &'static str,
    },
    /// The same setting twice.
    #[error("{what} is read twice; give each of the five once")]
    Twice {
        /// The setting.
        what: String,
    },
    /// A value outside of what makes sense.
    #[error("{what} is {value}; give {low} to {high}{unit}")]
    OutOfRange {
        /// What it is.
        what: String,
        /// Its value.
        value: f64,
        /// Least.
        low: f64,
        /// Greatest.
        high: f64,
        /// The unit, with a space before it.
        unit: &'static str,
    },
    /// More on the scale than was fed.
    #[error(
        "at {feed_mm_min} mm/min {grams} g were weighed but only {fed_g:.2} g fed; weigh again, or put right the density, the feedstock diameter or --length"
    )]
    MoreThanFed {
        /// The feed, mm/min.
        feed_mm_min: f64,
        /// Weighed, g.
        grams: f64,
        /// Fed, g.
        fed_g: f64,
    },
    /// The slowest feed delivers too little already.
    #[error(
        "at the slowest feed, {feed_mm_min} mm/min, only {percent:.0} % of what was fed came out; start slower with --between, or put right the density, the feedstock diameter or --length"
    )]
    SlowestSlips {
        /// The feed, mm/min.
        feed_mm_min: f64,
        /// Delivered, %.
        percent: f64,
    },
    /// A faster feed delivers again what a slower one did not.
    #[error(
        "at {faster_mm_min} mm/min more of the feed came out than at {slower_mm_min} mm/min, where it had broken down; weigh both again"
    )]
    ComesBack {
        /// The feed that broke down, mm/min.
        slower_mm_min: f64,
        /// The faster one that did not, mm/min.
        faster_mm_min: f64,
    },
    /// More came out faster than slower.
    #[error(
        "at {faster_mm_min} mm/min {percent:.1} % of what the slowest feed, {slowest_mm_min} mm/min, delivered came out; no faster feed can \
         deliver more, so weigh both again"
    )]
    MoreThanSlowest {
        /// The slowest feed, mm/min.
        slowest_mm_min: f64,
        /// The faster one, mm/min.
        faster_mm_min: f64,
        /// What came out of it, % of the slowest.
        percent: f64,
    },
    /// A scale that can't tell the threshold.
    #[error(
        "a scale of {scale_g} g can't tell 5 % of {fed_g:.2} g; feed at least {length_mm:.0} mm with --length, or use a finer scale"
    )]
    CoarseScale {
        /// The scale's step, g.
        scale_g: f64,
        /// Fed, g.
        fed_g: f64,
        /// Length that would do, mm.
        length_mm: f64,
    },
    /// A time no motion gives.
    #[error("the {course} course took {seconds} s for its {laps} laps, {why}")]
    ImpossibleTime {
        /// Long or short.
        course: &'static str,
        /// The reading, s.
        seconds: f64,
        /// Laps timed.
        laps: u32,
        /// What it should lie between, and what to do.
        why: String,
    },
    /// Times that two motions take.
    #[error(
        "these times fit {fits}, for at {speed_mm_s} mm/s the machine passes the blunt corners almost unslowed; run both courses again at a higher --speed, empty where the nozzle does not melt so much"
    )]
    Either {
        /// The motions.
        fits: String,
        /// Speed run at, mm/s.
        speed_mm_s: f64,
    },
    /// A density that can't be.
    #[error(
        "{grams} g on {laid_cm3:.2} cm3 laid are {found:.3} g/cm3, {times:.2} times the {file} g/cm3 of the shop file; is it this part, laid solid in {material}, without support and brim?"
    )]
    UnlikelyDensity {
        /// The reading, g.
        grams: f64,
        /// Volume laid, cm3.
        laid_cm3: f64,
        /// Density found, g/cm3.
        found: f64,
        /// Over the file's.
        times: f64,
        /// Density of the shop file, g/cm3.
        file: f64,
        /// The plastic's id.
        material: String,
    },
    /// The plastic's temperatures leave nothing to try.
    #[error(
        "{material} is laid at {least} to {greatest} C on {machine}, too narrow for five temperatures; widen nozzle_c in the shop file by what its maker allows"
    )]
    NarrowWindow {
        /// The plastic's id.
        material: String,
        /// The machine's id.
        machine: String,
        /// Least, C.
        least: f64,
        /// Greatest, C.
        greatest: f64,
    },
}
