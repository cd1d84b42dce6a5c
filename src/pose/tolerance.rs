//! Every tolerance of this room, with its reason.

/// A length may pass its limit by this share of the limit and still fit. It is far above the rounding of a few sums in
/// double precision (1e-16 each, 1e-11 for a part 10 km from the origin), and a nanometre on a bed of a metre.
pub(super) const LENGTH_SHARE: f64 = 1e-9;

/// Turns whose room differs by less than this share of the bed's size are equally roomy: a ten-thousandth of a
/// micrometre on a bed of a metre is no reason to turn a finely divided cylinder.
pub(super) const SAME_ROOM_SHARE: f64 = 1e-10;

/// Angles closer than this are the same angle, degrees: the rounding of an arc tangent turned into degrees, with room.
pub(super) const SAME_ANGLE_DEG: f64 = 1e-9;

/// A range of turns that reaches less than this past a square turn ends at the square turn, degrees. A part exactly as
/// large as the bed would else be told to fit turned by a millionth of a degree, which is only [`LENGTH_SHARE`] at work.
pub(super) const SQUARE_SNAP_DEG: f64 = 1e-4;

/// A facet nearer to the bed than this share of the part's size lies on it: files in single precision round at 1e-7.
pub(super) const ON_BED_SHARE: f64 = 1e-6;

/// A facet counts as leaning past the overhang angle when its normal passes the limit by this much. A slope drawn at
/// exactly the angle is left alone in spite of a file's single-precision rounding.
pub(super) const LEAN_SINE: f64 = 1e-6;

/// Whether a length fits into a limit, both mm. A limit that is not above 0 holds nothing.
pub(super) fn fits_within(length_mm: f64, limit_mm: f64) -> bool {
    limit_mm > 0.0 && length_mm <= with_tolerance(limit_mm)
}

/// A limit grown by the tolerance, mm.
pub(super) fn with_tolerance(limit_mm: f64) -> f64 {
    limit_mm * (1.0 + LENGTH_SHARE)
}

/// A vertex inside, or within this share of the part's size outside, the solid of a part's extreme points is no corner
/// of its hull: a thousandth of what [`LENGTH_SHARE`] forgives.
pub(super) const CORNER_SHARE: f64 = 1e-12;

/// A hull from the library is believed when no point passes a facet's plane by more than this share of the part's size:
/// a tenth of what [`LENGTH_SHARE`] forgives.
pub(super) const HULL_SHARE: f64 = 1e-10;

/// A statement that no pose fits is made about a space larger by this share, so that rounding never makes it wrong.
pub(super) const PROOF_SHARE: f64 = 1e-8;
