//! Poses off the six axis-down ones: where a part stands on its own, and whether any rotation at all fits.
//!
//! `corners` keeps the few vertices that can be corners of the part's hull, `hull3` is that hull; `rests` are the faces it stands on,
//! `contact` what touches the bed. `search` divides the sphere of directions (`cells`), looks at a few points of the part (`inner`), and
//! rules ranges of directions out (`bound`).

pub(super) mod bound;
pub(super) mod cells;
pub(super) mod contact;
pub(super) mod corners;
pub(super) mod hull3;
pub(super) mod inner;
pub(super) mod rests;
pub(super) mod search;
