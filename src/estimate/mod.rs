//! Takes a mesh, a shop and what is asked. Gives one estimate per option: the line from mesh to money, walked once.
//!
//! `table` is where the rooms meet: what is `asked`, which `candidate` can take the part, what `making` it gives, which
//! option to `pick`. `walk` takes a posed part from sections to a clock; `bedfuls` puts an order on full
//! beds, `bed_clock` times one.

mod advice;
mod ask;
mod asked;
mod band;
mod bed_clock;
mod bed_walk;
mod bedfuls;
mod bead_steps;
mod candidate;
mod error;
mod face;
mod findings;
mod finish;
mod lead;
mod lots;
mod making;
mod option;
mod other_poses;
mod pick;
mod plan;
mod pose_sample;
mod poses;
mod profile;
mod replan;
mod sample;
mod shipping;
mod table;
mod together;
mod unit;
mod walk;
mod way_down;

pub use advice::{advice, what_would_help};
pub use ask::{Ask, BestBy, Beyond, Due, Floors, UsedAs, Walls};
pub use band::{Band, BandInput};
pub use bedfuls::{BedMade, Bedfuls, BedsMade, MachineBeds, OrderPart, bedfuls};
pub(crate) use candidate::{bead as option_bead, limits as option_limits};
pub use error::EstimateError;
pub use face::{FaceFinish, FaceLies};
pub use finish::Steps;
pub use lead::{LeadTime, first_opening_min, lead_time};
pub use lots::{Lots, Prices, lots};
pub use option::{Made, PartOption, Refusal, Seconds};
pub use pick::Pick;
pub use plan::{Plan, PlannedStart};
pub use poses::{Loaded, PoseFigures, PoseTable, TALL_ON_ITS_FOOT, pose_table};
pub use profile::LayerFigures;
pub use replan::{Change, Replanned};
pub use shipping::{Shipping, pace_of, shipping};
pub use table::{Estimate, estimate};
pub use together::{PieceMade, Together, estimate_pieces};
pub use unit::{UnitDoubt, narrowest_wall_mm, unit_doubt};
pub use walk::{Laid, Way, walk, walk_watched};
