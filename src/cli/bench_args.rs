//! What was typed behind `bench`.

use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};

use super::args::ShopFile;

/// Arguments of `bench`.
#[derive(Debug, Args)]
#[command(after_help = "\
Without --read the sheet is printed: what to do, and what to read off. With it the readings are
judged, and the answer ends in the lines for the shop file. Nothing is written but --part.

Examples:
  beadtally bench flow --machine fast
  beadtally bench flow --machine fast --read 237:3.02,415:3.01,592:3.0,770:2.71,948:2.2
  beadtally bench stopwatch --machine fast --part long.stl --course long
  beadtally bench stopwatch --machine fast --read 541.0,481.3
  beadtally bench bonding --machine fast --part strip.stl
  beadtally bench density --of models/cleat_block.stl --read 377.4")]
pub struct BenchArgs {
    /// What to measure.
    #[command(subcommand)]
    pub command: BenchCommand,
}

/// What can be measured.
#[derive(Debug, Subcommand)]
pub enum BenchCommand {
    /// The melt limit: feedstock fed into the air at five feeds and weighed
    Flow(FlowArgs),
    /// Acceleration and corner deviation: two courses timed by stopwatch
    Stopwatch(StopwatchArgs),
    /// Nozzle temperatures at which layers hold: a strip laid at five of them and bent
    Bonding(BondingArgs),
    /// The density as printed: one part on the scale
    Density(DensityArgs),
}

/// What is measured with what.
#[derive(Debug, Args)]
pub struct SetupArgs {
    #[command(flatten)]
    pub shop: ShopFile,
    /// The machine; else the first that takes nozzle and plastic
    #[arg(long, value_name = "ID")]
    pub machine: Option<String>,
    /// The nozzle; else the shop's usual one, or one that the machine takes
    #[arg(long, value_name = "ID")]
    pub nozzle: Option<String>,
    /// The plastic; else the shop's default
    #[arg(long, value_name = "ID")]
    pub material: Option<String>,
    /// Answer as JSON, one object on one line
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `bench flow`.
#[derive(Debug, Args)]
#[command(allow_negative_numbers = true)]
pub struct FlowArgs {
    #[command(flatten)]
    pub setup: SetupArgs,
    /// Spread the five feeds between these flows, mm3/s; else around the present melt limit
    #[arg(long, value_name = "LOW,HIGH")]
    pub between: Option<String>,
    /// Feedstock fed at each feed, mm; else as much as the scale needs
    #[arg(long, value_name = "MM")]
    pub length: Option<f64>,
    /// The scale's step, g
    #[arg(long, value_name = "G", default_value_t = 0.01)]
    pub scale: f64,
    /// Grams weighed at each of five feeds
    #[arg(long, value_name = "FEED_MM_MIN:GRAMS,...", allow_hyphen_values = true)]
    pub read: Option<String>,
}

/// Arguments of `bench stopwatch`.
#[derive(Debug, Args)]
#[command(allow_negative_numbers = true)]
pub struct StopwatchArgs {
    #[command(flatten)]
    pub setup: SetupArgs,
    /// Write the part of a course as STL; an existing file is never overwritten
    #[arg(long, value_name = "FILE.stl")]
    pub part: Option<PathBuf>,
    /// Which course --part writes
    #[arg(long, value_name = "COURSE", default_value = "long")]
    pub course: CourseArg,
    /// Laps timed, one a layer
    #[arg(long, value_name = "N", default_value_t = 100)]
    pub laps: u32,
    /// Speed it is run at, mm/s; else that of outer perimeters, under the melt cap
    #[arg(long, value_name = "MM_S")]
    pub speed: Option<f64>,
    /// From the end of a lap to the start of the next, s; else the machine's layer change
    #[arg(long, value_name = "S", conflicts_with = "unbroken")]
    pub pause: Option<f64>,
    /// The laps follow each other in one rising line, without rest
    #[arg(long)]
    pub unbroken: bool,
    /// Seconds of the long and of the short course
    #[arg(long, value_name = "LONG_S,SHORT_S", allow_hyphen_values = true)]
    pub read: Option<String>,
}

/// A course.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum CourseArg {
    /// Square corners
    Long,
    /// Blunt corners
    Short,
}

/// Arguments of `bench bonding`.
#[derive(Debug, Args)]
pub struct BondingArgs {
    #[command(flatten)]
    pub setup: SetupArgs,
    /// Write the strip as STL; an existing file is never overwritten
    #[arg(long, value_name = "FILE.stl")]
    pub part: Option<PathBuf>,
    /// What each of the five storeys did
    #[arg(
        long,
        value_name = "TEMPERATURE:whole|broke,...",
        allow_hyphen_values = true
    )]
    pub read: Option<String>,
}

/// Arguments of `bench density`.
#[derive(Debug, Args)]
#[command(allow_negative_numbers = true)]
pub struct DensityArgs {
    #[command(flatten)]
    pub setup: SetupArgs,
    /// The mesh of the part that is weighed, in mm
    #[arg(long, value_name = "PART")]
    pub of: PathBuf,
    /// The scale's step, g
    #[arg(long, value_name = "G", default_value_t = 0.01)]
    pub scale: f64,
    /// Grams of the printed part, without support and brim
    #[arg(long, value_name = "GRAMS", allow_hyphen_values = true)]
    pub read: Option<String>,
}
