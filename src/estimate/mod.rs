//! Takes a mesh, a shop and what is asked. Gives one estimate per option: the line from mesh to money, walked once.
//!
//! `table` is where the rooms meet: what is `asked`, which `candidate` can take the part, what `making` it gives, which
//! option to `pick`. `walk` takes a posed part from sections to a clock.

mod ask;
mod asked;
mod candidate;
mod error;
mod findings;
mod finish;
mod lead;
mod making;
mod option;
mod other_poses;
mod pick;
mod table;
mod unit;
mod walk;

pub use ask::{Ask, BestBy, Due, Floors, UsedAs, Walls};
pub use error::EstimateError;
pub use finish::Steps;
pub use lead::{LeadTime, first_opening_min, lead_time};
pub use option::{Made, PartOption, Refusal, Seconds};
pub use pick::Pick;
pub use table::{Estimate, estimate};
pub use unit::{UnitDoubt, narrowest_wall_mm, unit_doubt};
pub use walk::{Laid, Way, walk};
