//! What was typed.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

use super::bedful::BedfulArgs;
use super::bench_args::BenchArgs;
use super::document::DocumentArgs;
use super::jobs_args::JobsArgs;
use super::offer::TermArgs;
use super::payback::PaybackArgs;
use super::tooling::ToolingArgs;
use crate::mesh::{UNPACKED_LIMIT_BYTES, Unit};

/// What a printed part costs, computed from its mesh on every machine and nozzle of a shop.
#[derive(Debug, Parser)]
#[command(
    name = "beadtally",
    version,
    about,
    max_term_width = 100,
    after_help = "\
Examples:
  beadtally estimate models/cleat_block.stl
  beadtally estimate enquiries/ --shop my-shop.toml --csv > monday.csv
  beadtally estimate part.stl --why fast/0.6-hardened
  beadtally estimate part.stl --what-if machine.fast.acceleration_mm_s2=12000
  beadtally estimate part.stl --layers --layers-plot layers.svg
  beadtally measure part.3mf --report part.html
  beadtally quote part.stl --quantity 1,10,100 --shop my-shop.toml
  beadtally quote part.stl --quantity 1,10,100 --out quote.pdf --out quote.html
  beadtally bedful part.stl --copies 13 --machine fast --picture bed.svg
  beadtally tooling part.stl --kind closed --quantity 1,10,100 --plot mould.svg
  beadtally shop new my-shop.toml
  beadtally bench flow --machine fast

Without --shop a built-in demonstration shop with invented figures answers.
Exit codes: 0 done, 1 the answer is no, 2 bad input or usage."
)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// What a part is: volume, surface, box, bodies, and whether its mesh can be trusted
    Measure(MeasureArgs),
    /// Which machines hold a part, turned how, with how much to spare
    Fit(FitArgs),
    /// What each machine and nozzle makes of a part: layers, grams, hours, price
    Estimate(EstimateArgs),
    /// What to charge: the ledger of the option picked, and prices by quantity
    Quote(QuoteArgs),
    /// Full beds: how many copies, or which mix, go on each bed at once, its hours, cost and risk
    Bedful(BedfulArgs),
    /// Whether a machine or a nozzle is worth buying, for the parts of a month
    Payback(PaybackArgs),
    /// Mould against piece: a lay-up tool or a closed mould for the part, and from which quantity it pays
    Tooling(ToolingArgs),
    /// The job book: what was asked, offered, booked, and what really happened
    Jobs(JobsArgs),
    /// Check, show or begin a shop file
    Shop(ShopArgs),
    /// Sheets and parts for measuring what a shop file asks for, and what the readings say
    Bench(BenchArgs),
}

/// The files asked about.
#[derive(Debug, Args)]
pub struct PartArgs {
    /// Mesh files (STL, 3MF, OBJ, PLY, OFF, AMF; also zipped), folders of them, or - for standard input
    #[arg(required = true, value_name = "PART")]
    pub parts: Vec<PathBuf>,
    /// The unit of files that state none; without it mm, and a question where another is likelier
    #[arg(long, value_name = "UNIT")]
    pub unit: Option<UnitArg>,
    /// Take meshes as the files have them: mend nothing
    #[arg(long)]
    pub as_is: bool,
    /// How much one file may unpack to, MiB
    #[arg(long, value_name = "MIB", default_value_t = UNPACKED_LIMIT_BYTES >> 20,
          value_parser = clap::value_parser!(u64).range(1..=1 << 20))]
    pub limit: u64,
    /// Answer as JSON, one object per part and line
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `measure`.
#[derive(Debug, Args)]
pub struct MeasureArgs {
    #[command(flatten)]
    pub files: PartArgs,
    #[command(flatten)]
    pub shop: ShopFile,
    /// Only the quick checks: no search for self-intersections, overlaps and thin walls
    #[arg(long)]
    pub quick: bool,
    /// Write a page to forward to the customer: the part from three sides, what is wrong marked and said
    #[arg(long, value_name = "FILE.html", conflicts_with = "json")]
    pub report: Option<PathBuf>,
}

/// The shop asked.
#[derive(Debug, Args)]
pub struct ShopFile {
    /// The shop file; without it the built-in demonstration shop answers
    #[arg(long = "shop", value_name = "FILE")]
    pub file: Option<PathBuf>,
}

/// Arguments of `fit`.
#[derive(Debug, Args)]
#[command(allow_negative_numbers = true)]
pub struct FitArgs {
    #[command(flatten)]
    pub files: PartArgs,
    #[command(flatten)]
    pub shop: ShopFile,
    /// Only this machine, with every clearance and every turn that fits; with --cut-into the machine to cut for
    #[arg(long, value_name = "ID")]
    pub machine: Option<String>,
    /// Only the pose with this down: an axis, -z (as drawn), z, -x, x, -y or y, or a direction x,y,z
    #[arg(long, value_name = "AXIS", allow_hyphen_values = true)]
    pub down: Option<String>,
    /// Draw the bed of the first machine that holds the part, from above, with the part and the room around it; one part only
    #[arg(long, value_name = "FILE.svg|png")]
    pub picture: Option<PathBuf>,
    /// Cut a part that is too large into pieces that fit, price them together, and write them as STL files into this folder
    #[arg(long, value_name = "DIR", conflicts_with_all = ["picture", "down"])]
    pub cut_into: Option<PathBuf>,
}

/// How parts are to be laid, and what the job asks for.
#[derive(Debug, Args)]
#[command(allow_negative_numbers = true)]
pub struct JobArgs {
    /// The plastic, by its id in the shop file; else the shop's default
    #[arg(long, value_name = "ID")]
    pub material: Option<String>,
    /// Only this machine
    #[arg(long, value_name = "ID")]
    pub machine: Option<String>,
    /// Only this nozzle
    #[arg(long, value_name = "ID")]
    pub nozzle: Option<String>,
    /// Open the fill to this fraction of solid
    #[arg(long, value_name = "FRACTION", default_value_t = 1.0)]
    pub fill: f64,
    /// Wall thickness in mm, from which the perimeters follow; else the shop's
    #[arg(long, value_name = "MM", conflicts_with = "perimeters")]
    pub wall: Option<f64>,
    /// Number of perimeters
    #[arg(long, value_name = "N")]
    pub perimeters: Option<u32>,
    /// Layer height in mm for every nozzle
    #[arg(long, value_name = "MM")]
    pub layer_height: Option<f64>,
    /// What of the part points down: an axis, -z (as drawn), z, -x, x, -y or y, or a direction x,y,z
    #[arg(long, value_name = "AXIS", allow_hyphen_values = true)]
    pub down: Option<String>,
    /// A direction of the part along which it is loaded, an axis or x,y,z: the pose is chosen so that its layers lie along it
    #[arg(long, value_name = "DIRECTION", allow_hyphen_values = true)]
    pub loaded_along: Option<String>,
    /// The face that matters, by the direction it looks in, an axis or x,y,z: its finish is told for every pose (--poses)
    #[arg(long, value_name = "DIRECTION", allow_hyphen_values = true)]
    pub face: Option<String>,
    /// Whether overhangs are held up
    #[arg(long, value_name = "WHETHER", default_value = "needed")]
    pub support: SupportArg,
    /// Thickness of the first layer in mm; else the shop's, else as the others
    #[arg(long, value_name = "MM")]
    pub first_layer: Option<f64>,
    /// Lay a brim that reaches out so far, mm
    #[arg(long, value_name = "MM")]
    pub brim: Option<f64>,
    /// Purge the nozzle with a line of this length before the job, mm
    #[arg(long, value_name = "MM")]
    pub purge_line: Option<f64>,
    /// Keep this gap between support and part, mm
    #[arg(long, value_name = "MM")]
    pub clearance: Option<f64>,
    /// Lay so many layers of support under the part solid
    #[arg(long, value_name = "N")]
    pub contact_layers: Option<u32>,
    /// The plain model: no exceptions for short spans and small cross-holes, none of the shop's settings beyond it
    #[arg(long)]
    pub base_model: bool,
    /// Let a soft nozzle lay an abrasive plastic
    #[arg(long)]
    pub force_soft_nozzle: bool,
    /// What the part is for; bounds the layer height
    #[arg(long = "use", value_name = "USE")]
    pub used_as: Option<UseArg>,
    /// The smallest feature that must not be lost, mm
    #[arg(long, value_name = "MM")]
    pub keep: Option<f64>,
    /// The day all pieces must be printed, YYYY-MM-DD
    #[arg(long, value_name = "DATE")]
    pub due: Option<String>,
    /// What decides between options
    #[arg(long, value_name = "BY")]
    pub best_by: Option<BestByArg>,
    /// Answer as a spreadsheet, one row per part
    #[arg(long, conflicts_with = "json")]
    pub csv: bool,
}

/// Arguments of `estimate`.
#[derive(Debug, Args)]
pub struct EstimateArgs {
    #[command(flatten)]
    pub files: PartArgs,
    #[command(flatten)]
    pub shop: ShopFile,
    #[command(flatten)]
    pub job: JobArgs,
    /// Pieces wanted
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub quantity: u32,
    /// Explain every figure of one option
    #[arg(long, value_name = "MACHINE/NOZZLE", conflicts_with_all = ["json", "csv"])]
    pub why: Option<String>,
    /// Show what other poses would make of the option picked (or of the one named after =), the best few side by side
    #[arg(long, value_name = "MACHINE/NOZZLE", num_args = 0..=1, require_equals = true, default_missing_value = "",
          conflicts_with_all = ["why", "layers", "csv", "what_if"])]
    pub poses: Option<String>,
    /// Show where the time of the option picked (or of the one named after =) goes over the height
    #[arg(long, value_name = "MACHINE/NOZZLE", num_args = 0..=1, require_equals = true, default_missing_value = "",
          conflicts_with_all = ["why", "csv"])]
    pub layers: Option<String>,
    /// Draw the same as an SVG plot; one part only
    #[arg(long, value_name = "FILE.svg", conflicts_with_all = ["why", "csv", "what_if"])]
    pub layers_plot: Option<PathBuf>,
    /// Change one value of the shop and show both answers side by side; may be given several times. KEY is
    /// process.KEY, rates.KEY, machine.ID.KEY, nozzle.ID.KEY, material.ID.KEY or measured.MACHINE/NOZZLE/MATERIAL.KEY
    #[arg(long, value_name = "KEY=VALUE", conflicts_with_all = ["why", "csv", "layers"])]
    pub what_if: Vec<String>,
    /// The job book, for dates and earlier prints; else the one beside the shop file, where there is one
    #[arg(long, value_name = "FILE")]
    pub book: Option<PathBuf>,
}

/// Arguments of `quote`.
#[derive(Debug, Args)]
pub struct QuoteArgs {
    #[command(flatten)]
    pub files: PartArgs,
    #[command(flatten)]
    pub shop: ShopFile,
    #[command(flatten)]
    pub job: JobArgs,
    #[command(flatten)]
    pub terms: TermArgs,
    /// Pieces wanted; several are priced side by side, the ledger is that of the first
    #[arg(
        long,
        value_name = "N[,N...]",
        value_delimiter = ',',
        default_value = "1"
    )]
    pub quantity: Vec<u32>,
    /// The job book, for dates and earlier prints; else the one beside the shop file, where there is one
    #[arg(long, value_name = "FILE")]
    pub book: Option<PathBuf>,
    #[command(flatten)]
    pub document: DocumentArgs,
}

/// The unit of files that state none.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum UnitArg {
    /// Millimetres
    Mm,
    /// Centimetres
    Cm,
    /// Metres
    M,
    /// Inches
    Inch,
    /// Feet
    Ft,
    /// The one unit in which the part makes sense in this shop; a question where several do
    Auto,
}

impl UnitArg {
    /// The unit named; none for "auto".
    pub fn unit(self) -> Option<Unit> {
        Some(match self {
            UnitArg::Mm => Unit::Millimetre,
            UnitArg::Cm => Unit::Centimetre,
            UnitArg::M => Unit::Metre,
            UnitArg::Inch => Unit::Inch,
            UnitArg::Ft => Unit::Foot,
            UnitArg::Auto => return None,
        })
    }
}

/// Whether overhangs are held up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SupportArg {
    /// Where the part needs it
    Needed,
    /// Nowhere
    None,
}

/// What a part is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum UseArg {
    /// It is looked at
    Visible,
    /// It is not looked at
    Hidden,
    /// Its face is filled and sealed
    Mould,
}

/// What decides between options.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum BestByArg {
    /// The least price
    Price,
    /// The fewest hours
    Time,
    /// The smoothest surface
    Finish,
}

/// Arguments of `shop`.
#[derive(Debug, Args)]
pub struct ShopArgs {
    /// What to do with the shop file.
    #[command(subcommand)]
    pub command: ShopCommand,
}

/// What can be done with a shop file.
#[derive(Debug, Subcommand)]
pub enum ShopCommand {
    /// Say whether a shop file is right, and if not where and what would be
    Check {
        /// The shop file
        file: PathBuf,
    },
    /// Show a shop: its machines, nozzles, plastics, rates, and what is assumed
    Show {
        /// The shop file; without it the built-in demonstration shop
        file: Option<PathBuf>,
    },
    /// Write a commented shop file to fill in
    New {
        /// Where to; standard output without it. An existing file is never overwritten
        file: Option<PathBuf>,
        /// The whole demonstration shop instead of the short starter
        #[arg(long)]
        demonstration: bool,
    },
}
