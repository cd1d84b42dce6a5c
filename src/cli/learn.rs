//! `jobs learn`.
use super::jobs::Call;
use super::{Failure, Outcome};
pub(super) fn learn(_call: &Call<'_>, _apply: bool, _take_extreme: bool) -> Result<Outcome, Failure> {
    Err(Failure::of("not yet"))
}
