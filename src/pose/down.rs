//! The six poses in which an axis of the part points straight down.

use std::fmt;
use std::str::FromStr;

use nalgebra::{Matrix3, Rotation3, Vector3};

/// Which of the part's axes points down to the bed; `-z` is the part as drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Down {
    /// The part lies on its -x side.
    XMinus,
    /// The part lies on its +x side.
    XPlus,
    /// The part lies on its -y side.
    YMinus,
    /// The part lies on its +y side.
    YPlus,
    /// As drawn.
    ZMinus,
    /// Upside down.
    ZPlus,
}

/// A text that names no axis.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{given:?} is no axis to point down: give -z (as drawn), +z, -x, +x, -y or +y")]
pub struct DownError {
    /// The text as it was given.
    pub given: String,
}

impl Down {
    /// All six in the order in which ties are broken: as drawn first, then upside down, then the sides.
    pub const ALL: [Self; 6] = [
        Self::ZMinus,
        Self::ZPlus,
        Self::XMinus,
        Self::XPlus,
        Self::YMinus,
        Self::YPlus,
    ];

    /// The proper rotation that brings the axis down. Its entries are exactly 0, 1 or -1, so turning a point only
    /// swaps and negates its coordinates.
    pub fn rotation(self) -> Rotation3<f64> {
        let rows = match self {
            Self::ZMinus => [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]],
            Self::ZPlus => [[1.0, 0.0, 0.0], [0.0, -1.0, 0.0], [0.0, 0.0, -1.0]],
            Self::XMinus => [[0.0, 0.0, -1.0], [0.0, 1.0, 0.0], [1.0, 0.0, 0.0]],
            Self::XPlus => [[0.0, 0.0, 1.0], [0.0, 1.0, 0.0], [-1.0, 0.0, 0.0]],
            Self::YMinus => [[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]],
            Self::YPlus => [[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]],
        };
        Rotation3::from_matrix_unchecked(Matrix3::from_fn(|row, column| rows[row][column]))
    }

    /// How a person would say it: "as drawn", "upside down", "lying on its -x side".
    pub fn in_words(self) -> String {
        match self {
            Self::ZMinus => "as drawn".to_owned(),
            Self::ZPlus => "upside down".to_owned(),
            side => format!("lying on its {side} side"),
        }
    }

    /// The axis that points down, of length 1, as a direction of the part.
    pub fn vector(self) -> Vector3<f64> {
        let mut axis = Vector3::zeros();
        axis[self.axis()] = if self.is_plus() { 1.0 } else { -1.0 };
        axis
    }

    /// Index of the part's axis that stands upright: 0 for x, 1 for y, 2 for z.
    pub(super) fn axis(self) -> usize {
        match self {
            Self::XMinus | Self::XPlus => 0,
            Self::YMinus | Self::YPlus => 1,
            Self::ZMinus | Self::ZPlus => 2,
        }
    }

    /// Whether the axis' positive end points down.
    pub(super) fn is_plus(self) -> bool {
        matches!(self, Self::XPlus | Self::YPlus | Self::ZPlus)
    }
}

impl fmt::Display for Down {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::XMinus => "-x",
            Self::XPlus => "+x",
            Self::YMinus => "-y",
            Self::YPlus => "+y",
            Self::ZMinus => "-z",
            Self::ZPlus => "+z",
        })
    }
}

impl FromStr for Down {
    type Err = DownError;

    /// Reads "-z", "+z" or "z" (the same as "+z"), and so for x and y, in either case.
    fn from_str(given: &str) -> Result<Self, DownError> {
        match given.trim().to_ascii_lowercase().as_str() {
            "-x" => Ok(Self::XMinus),
            "x" | "+x" => Ok(Self::XPlus),
            "-y" => Ok(Self::YMinus),
            "y" | "+y" => Ok(Self::YPlus),
            "-z" => Ok(Self::ZMinus),
            "z" | "+z" => Ok(Self::ZPlus),
            _ => Err(DownError {
                given: given.to_owned(),
            }),
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used)]
    use super::*;

    #[test]
    fn every_rotation_is_proper_exact_and_brings_its_axis_down() {
        for down in Down::ALL {
            let rotation = down.rotation();
            assert_eq!(rotation.matrix().determinant(), 1.0, "{down}");
            assert!(
                rotation
                    .matrix()
                    .iter()
                    .all(|v| [0.0, 1.0, -1.0].contains(v))
            );
            assert_eq!(
                rotation.matrix() * rotation.matrix().transpose(),
                Matrix3::identity()
            );
            assert_eq!(rotation * down.vector(), -Vector3::z(), "{down}");
        }
    }

    #[test]
    fn an_axis_reads_back_as_it_is_written() {
        for down in Down::ALL {
            assert_eq!(down.to_string().parse::<Down>().unwrap(), down);
        }
        assert_eq!("Z".parse::<Down>().unwrap(), Down::ZPlus);
        assert_eq!(" y ".parse::<Down>().unwrap(), Down::YPlus);
    }

    #[test]
    fn a_wrong_axis_is_refused_with_what_would_be_right() {
        let said = "up".parse::<Down>().unwrap_err().to_string();
        assert_eq!(
            said,
            "\"up\" is no axis to point down: give -z (as drawn), +z, -x, +x, -y or +y"
        );
    }
}
