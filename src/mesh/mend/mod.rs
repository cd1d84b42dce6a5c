//! Closes what can be closed without a doubt: cracks, flat openings and small ones. Whether the surface is closed then is
//! for the caller to check.

mod cracks;
mod holes;

pub(super) use cracks::{Stitched, stitch};
pub(super) use holes::{Opening, close, openings};
