//! What was typed after `jobs`.

use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};

use super::args::{JobArgs, UnitArg};
use crate::store::End;

/// Arguments of `jobs`.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  beadtally jobs --shop my-shop.toml enquiry cleat.stl --customer 'Anna' --quantity 4
  beadtally jobs --shop my-shop.toml offer 1 cleat.stl --nozzle 0.6-hardened
  beadtally jobs --shop my-shop.toml book 1
  beadtally jobs --shop my-shop.toml actual 1 --hours 9.4 --grams 371
  beadtally jobs --shop my-shop.toml failed 1 --hours 19 --cause 'came off the bed'
  beadtally jobs --shop my-shop.toml learn

The book lies beside the shop file (my-shop.toml has my-shop.jobs) unless --book says where. Entries are only ever
added; a wrong one is put right by `correct`.")]
pub struct JobsArgs {
    /// The shop file
    #[arg(long = "shop", value_name = "FILE", global = true)]
    pub shop: Option<PathBuf>,
    /// The job book; else the file beside the shop file
    #[arg(long, value_name = "FILE", global = true)]
    pub book: Option<PathBuf>,
    /// The shop's time, 2026-03-16 14:30; else the clock's
    #[arg(long, value_name = "TIME", global = true)]
    pub now: Option<String>,
    /// Answer as JSON
    #[arg(long, global = true)]
    pub json: bool,
    /// What to do.
    #[command(subcommand)]
    pub command: JobsCommand,
}

/// What can be done with the job book.
#[derive(Debug, Subcommand)]
pub enum JobsCommand {
    /// Enter that somebody asked for a part; says whether it was met before
    Enquiry(EnquiryArgs),
    /// Price a job's part and enter the offer
    Offer(Box<OfferArgs>),
    /// Enter that the offer was taken, and give the job its place on the machine
    Book {
        /// The job
        job: u64,
        /// Not to be begun before this time
        #[arg(long, value_name = "TIME")]
        from: Option<String>,
    },
    /// Enter that a print began
    Start {
        /// The job
        job: u64,
        /// When; else now
        #[arg(long, value_name = "TIME")]
        began: Option<String>,
        /// The hours the machine shows at its start
        #[arg(long, value_name = "H", allow_negative_numbers = true)]
        shown: Option<f64>,
    },
    /// Enter what a print really took
    Actual {
        /// The job
        job: u64,
        /// Hours it took
        #[arg(long, value_name = "H", allow_negative_numbers = true)]
        hours: f64,
        /// Grams the scale shows, part and support
        #[arg(long, value_name = "G", allow_negative_numbers = true)]
        grams: Option<f64>,
        /// When it ended; else now
        #[arg(long, value_name = "TIME")]
        ended: Option<String>,
    },
    /// Enter a failure; says what is left on the spool, what it costs, the new date, whose jobs slip
    Failed(FailedArgs),
    /// Close a job
    Close {
        /// The job
        job: u64,
        /// How it ended
        #[arg(long = "as", value_name = "END")]
        end: EndArg,
    },
    /// Enter what is on a plastic's spool now
    Spool {
        /// The plastic, by its id in the shop file
        material: String,
        /// Grams left
        #[arg(allow_negative_numbers = true)]
        grams: f64,
    },
    /// Put an entry right by a further one
    Correct {
        /// The number of the entry, as `jobs export` shows it
        entry: u64,
        /// What it should have said
        #[arg(required = true, value_name = "KEY=VALUE")]
        set: Vec<String>,
        /// Why
        #[arg(long)]
        why: Option<String>,
    },
    /// Whether a part was met before, by its mesh or by its shape, turned or renamed
    Again {
        /// The mesh file
        part: PathBuf,
        /// The unit of a file that states none
        #[arg(long, value_name = "UNIT")]
        unit: Option<UnitArg>,
    },
    /// List the jobs that are open
    List {
        /// Closed ones too
        #[arg(long)]
        all: bool,
    },
    /// What is on each machine until when
    Floor,
    /// What the book teaches about hours, grams and failures
    Learn {
        /// Write it into the shop file
        #[arg(long)]
        apply: bool,
        /// Take corrections below 0.5 or above 2 as well
        #[arg(long)]
        take_extreme: bool,
    },
    /// Write all entries to standard output, as JSON Lines
    Export {
        /// As a spreadsheet
        #[arg(long)]
        csv: bool,
    },
    /// Fill a new book with exported entries (JSON Lines)
    Import {
        /// The file that `jobs export` wrote
        file: PathBuf,
    },
}

/// Arguments of `jobs enquiry`.
#[derive(Debug, Args)]
pub struct EnquiryArgs {
    /// The mesh file
    pub part: PathBuf,
    /// Who asks
    #[arg(long)]
    pub customer: Option<String>,
    /// Pieces asked for
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub quantity: u32,
    /// A note
    #[arg(long)]
    pub note: Option<String>,
    /// The unit of a file that states none
    #[arg(long, value_name = "UNIT")]
    pub unit: Option<UnitArg>,
}

/// Arguments of `jobs offer`.
#[derive(Debug, Args)]
pub struct OfferArgs {
    /// The job
    pub number: u64,
    /// The mesh file; it must be the part that was asked for
    pub part: PathBuf,
    /// The unit of a file that states none
    #[arg(long, value_name = "UNIT")]
    pub unit: Option<UnitArg>,
    /// Pieces, where other than asked for
    #[arg(long, value_name = "N")]
    pub quantity: Option<u32>,
    #[command(flatten)]
    pub job: JobArgs,
}

/// Arguments of `jobs failed`.
#[derive(Debug, Args)]
pub struct FailedArgs {
    /// The job
    pub job: u64,
    /// Hours it had run
    #[arg(long, value_name = "H", allow_negative_numbers = true)]
    pub hours: f64,
    /// The layer it had come to
    #[arg(long, value_name = "N")]
    pub layer: Option<u32>,
    /// Why, in your words
    #[arg(long)]
    pub cause: Option<String>,
    /// Plastic lost, g; else in proportion to the hours
    #[arg(long, value_name = "G", allow_negative_numbers = true)]
    pub grams: Option<f64>,
    /// When; else now
    #[arg(long, value_name = "TIME")]
    pub stopped: Option<String>,
}

/// How a job ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum EndArg {
    /// All pieces went to the customer
    Delivered,
    /// The customer said no
    Declined,
    /// The shop gave it up
    GivenUp,
}

impl EndArg {
    /// The same for the book.
    pub fn end(self) -> End {
        match self {
            EndArg::Delivered => End::Delivered,
            EndArg::Declined => End::Declined,
            EndArg::GivenUp => End::GivenUp,
        }
    }
}
