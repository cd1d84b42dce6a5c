//! How far the volume of a part can be trusted.

/// How a part's volume is known, the best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Grade {
    /// The surface is closed and oriented; nothing was mended. Where the part was examined in full, it does not run through
    /// itself either.
    Exact,
    /// As exact, after mending.
    Mended,
    /// The volume is known between two figures.
    Bounded,
    /// The two figures are too far apart to quote on.
    Refused,
}

impl Grade {
    /// Its name in JSON and on paper.
    pub fn name(self) -> &'static str {
        match self {
            Grade::Exact => "exact",
            Grade::Mended => "mended",
            Grade::Bounded => "bounded",
            Grade::Refused => "refused",
        }
    }
}

/// The trust in a part's volume.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trust {
    /// How it is known.
    pub grade: Grade,
    /// Between which figures it lies, mm3; equal where it is exact or mended.
    pub volume_bounds_mm3: [f64; 2],
}

/// Bounds wider than this share of their middle are refused: nobody can quote on them. A judgement without source.
const REFUSED_WIDTH: f64 = 0.20;

impl Trust {
    /// A volume that is known.
    pub(crate) fn known(grade: Grade, volume_mm3: f64) -> Trust {
        Trust {
            grade,
            volume_bounds_mm3: [volume_mm3; 2],
        }
    }

    /// A volume between two figures, which may be too far apart.
    pub(crate) fn between(low_mm3: f64, high_mm3: f64) -> Trust {
        let bounds = Trust {
            grade: Grade::Bounded,
            volume_bounds_mm3: [low_mm3.max(0.0), high_mm3],
        };
        let too_far = bounds.width() > REFUSED_WIDTH || bounds.width().is_nan();
        Trust {
            grade: if too_far {
                Grade::Refused
            } else {
                Grade::Bounded
            },
            ..bounds
        }
    }

    /// Width of the bounds as a share of their middle.
    pub fn width(&self) -> f64 {
        let [low, high] = self.volume_bounds_mm3;
        if high == low {
            0.0
        } else {
            2.0 * (high - low) / (high + low).abs()
        }
    }
}
