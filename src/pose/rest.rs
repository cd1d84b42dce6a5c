//! How a part rests on a bed: which of its directions points straight down.

use std::fmt;
use std::str::FromStr;

use nalgebra::{Matrix3, Rotation3, Vector3};

use super::Down;
use super::tolerance::SAME_ANGLE_DEG;

/// Which of the part's directions points straight down to the bed. The turn about the vertical is no part of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Rest {
    /// One of the part's axes.
    Axis(Down),
    /// Any other direction.
    Tilted(Tilt),
}

/// A direction that points down and is none of the part's axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tilt {
    direction: Vector3<f64>,
    nearest: Down,
}

/// A text that names no way down.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "{given:?} is no way down: give an axis, -z (as drawn), +z, -x, +x, -y or +y, or a direction of the part as \
     three numbers, x,y,z"
)]
pub struct RestError {
    /// The text as it was given.
    pub given: String,
}

impl Rest {
    /// The rest in which a direction of the part points down; `None` where it is no direction: zero, infinite or not a
    /// number. A direction within a billionth of a degree of an axis is that axis.
    pub fn on(direction: Vector3<f64>) -> Option<Self> {
        if !is_direction(&direction) {
            return None;
        }
        let scale = direction.amax();
        let direction = (direction / scale).normalize();
        let along = |down: &Down| down.vector().dot(&direction);
        let nearest = Down::ALL
            .into_iter()
            .reduce(|best, next| {
                if along(&next) > along(&best) {
                    next
                } else {
                    best
                }
            })
            .unwrap_or(Down::ZMinus);
        let tilt = Tilt { direction, nearest };
        Some(if tilt.angle_deg() <= SAME_ANGLE_DEG {
            Self::Axis(nearest)
        } else {
            Self::Tilted(tilt)
        })
    }

    /// The part's direction that points down, of length 1.
    pub fn direction(&self) -> Vector3<f64> {
        match self {
            Self::Axis(down) => down.vector(),
            Self::Tilted(tilt) => tilt.direction,
        }
    }

    /// The proper rotation that brings the direction down, without a turn: that of the nearest axis, then the least one
    /// that is still missing.
    pub fn rotation(&self) -> Rotation3<f64> {
        match self {
            Self::Axis(down) => down.rotation(),
            Self::Tilted(tilt) => {
                let upright = tilt.nearest.rotation();
                let (from, to) = (upright * tilt.direction, -Vector3::z());
                // Rodrigues' formula for the least rotation between two directions; they are never opposite, for none is
                // further than 55 degrees from its nearest axis.
                let twist = from.cross(&to).cross_matrix();
                let missing = Matrix3::identity() + twist + twist * twist / (1.0 + from.dot(&to));
                Rotation3::from_matrix_unchecked(missing) * upright
            }
        }
    }

    /// The axis that points down, where one does.
    pub fn axis(&self) -> Option<Down> {
        match self {
            Self::Axis(down) => Some(*down),
            Self::Tilted(_) => None,
        }
    }

    /// The axis-down pose that the rest is nearest to.
    pub fn nearest_axis(&self) -> Down {
        match self {
            Self::Axis(down) => *down,
            Self::Tilted(tilt) => tilt.nearest,
        }
    }

    /// Tilt off the nearest axis-down pose, degrees; 0 for an axis.
    pub fn tilt_deg(&self) -> f64 {
        match self {
            Self::Axis(_) => 0.0,
            Self::Tilted(tilt) => tilt.angle_deg(),
        }
    }

    /// How a person would say it: "as drawn", "tilted 35.3 degrees off lying on its -x side".
    pub fn in_words(&self) -> String {
        match self {
            Self::Axis(down) => down.in_words(),
            Self::Tilted(tilt) => {
                format!(
                    "tilted {:.1} degrees off {}",
                    tilt.angle_deg(),
                    tilt.nearest.in_words()
                )
            }
        }
    }
}

impl Tilt {
    fn angle_deg(&self) -> f64 {
        let axis = self.nearest.vector();
        axis.cross(&self.direction)
            .norm()
            .atan2(axis.dot(&self.direction))
            .to_degrees()
    }
}

impl From<Down> for Rest {
    fn from(down: Down) -> Self {
        Self::Axis(down)
    }
}

impl fmt::Display for Rest {
    /// As [`Rest::from_str`] reads it, a direction to a ten-millionth: over a metre that is a ten-thousandth of a
    /// millimetre.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Axis(down) => down.fmt(f),
            Self::Tilted(tilt) => {
                let [x, y, z] = tilt.direction.map(|v| format!("{:.7}", v + 0.0)).into();
                f.pad(&format!("{x},{y},{z}"))
            }
        }
    }
}

impl FromStr for Rest {
    type Err = RestError;

    /// Reads an axis as [`Down::from_str`] does, or a direction as three numbers between commas.
    fn from_str(given: &str) -> Result<Self, RestError> {
        let wrong = || RestError {
            given: given.to_owned(),
        };
        if !given.contains(',') {
            return given.parse::<Down>().map(Self::Axis).map_err(|_| wrong());
        }
        let direction = direction(given).ok_or_else(wrong)?;
        Self::on(direction).ok_or_else(wrong)
    }
}

/// Three numbers between commas that make a direction.
fn direction(given: &str) -> Option<Vector3<f64>> {
    let numbers: Vec<f64> = given
        .split(',')
        .map(|number| number.trim().parse().ok())
        .collect::<Option<_>>()?;
    let [x, y, z] = numbers[..] else { return None };
    let direction = Vector3::new(x, y, z);
    is_direction(&direction).then_some(direction)
}

fn is_direction(given: &Vector3<f64>) -> bool {
    given.iter().all(|v| v.is_finite()) && given.amax() > 0.0
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn every_direction_is_brought_straight_down_by_a_proper_rotation() {
        for (x, y, z) in [
            (1.0, 2.0, -3.0),
            (0.0, 1.0, 1.0),
            (-1.0, -1.0, -1.0),
            (1e-7, 0.0, 1.0),
            (1e300, 1e300, 0.0),
        ] {
            let rest = Rest::on(Vector3::new(x, y, z)).unwrap();
            let rotation = rest.rotation();
            assert!(
                (rotation * rest.direction() + Vector3::z()).norm() < 1e-12,
                "{rest}"
            );
            assert!((rotation.matrix().determinant() - 1.0).abs() < 1e-12);
            assert!(rest.tilt_deg() < 54.74);
        }
    }

    #[test]
    fn a_direction_along_an_axis_is_the_axis() {
        for down in Down::ALL {
            assert_eq!(Rest::on(down.vector() * 7.0), Some(Rest::Axis(down)));
            assert_eq!(down.to_string().parse::<Rest>(), Ok(Rest::Axis(down)));
        }
    }

    #[test]
    fn a_tilt_reads_back_as_it_is_written() {
        let rest: Rest = "1,-2, 0.5".parse().unwrap();
        let again: Rest = rest.to_string().parse().unwrap();
        assert!((rest.direction() - again.direction()).norm() < 1e-6);
        assert!((rest.tilt_deg() - (1.25_f64.sqrt() / 2.0).atan().to_degrees()).abs() < 1e-9);
    }

    #[test]
    fn what_is_no_direction_is_refused_with_what_would_be_right() {
        for given in [
            "up", "0,0,0", "1,2", "1,2,3,4", "nan,0,1", "inf,0,1", "a,b,c", ",",
        ] {
            let said = given.parse::<Rest>().unwrap_err().to_string();
            assert!(
                said.contains("give an axis") && said.contains(given),
                "{said}"
            );
        }
    }
}
