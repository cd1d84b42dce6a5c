//! The bead: what one pass of the nozzle leaves.

use std::f64::consts::PI;

/// Layer height over nozzle diameter where nothing else is said (common practice, no source).
const HEIGHT_PER_NOZZLE: f64 = 0.6;
/// Bead width over nozzle diameter where nothing else is said (common practice, no source).
const WIDTH_PER_NOZZLE: f64 = 1.2;
/// A layer higher than this share of the nozzle is worth a finding (design).
const TALL_SHARE: f64 = 0.8;

/// Why a bead can't be laid.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum BeadError {
    /// A size that is no positive number.
    #[error("{what} is {value} mm; give a length above 0")]
    NotALength {
        /// Which size.
        what: &'static str,
        /// Its value.
        value: f64,
    },
    /// A layer as high as the nozzle is wide leaves nothing to press the bead down.
    #[error(
        "the layer height {height_mm} mm is above the nozzle's {nozzle_mm} mm; give at most 0.8 of the nozzle"
    )]
    TallerThanNozzle {
        /// Layer height, mm.
        height_mm: f64,
        /// Nozzle diameter, mm.
        nozzle_mm: f64,
    },
    /// A bead narrower than high is a thread that falls over.
    #[error(
        "the bead width {width_mm} mm is less than the layer height {height_mm} mm; give a wider bead"
    )]
    NarrowerThanHigh {
        /// Bead width, mm.
        width_mm: f64,
        /// Layer height, mm.
        height_mm: f64,
    },
}

/// A bead: a stadium of width `w` and height `h`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bead {
    nozzle_mm: f64,
    height_mm: f64,
    width_mm: f64,
}

impl Bead {
    /// A bead of a given height and width from a nozzle, mm.
    ///
    /// # Errors
    /// [`BeadError`] where a size is no positive number, the layer is higher than the nozzle, or the bead is narrower
    /// than high.
    pub fn new(nozzle_mm: f64, height_mm: f64, width_mm: f64) -> Result<Bead, BeadError> {
        let sizes = [
            ("the nozzle diameter", nozzle_mm),
            ("the layer height", height_mm),
            ("the bead width", width_mm),
        ];
        for (what, value) in sizes {
            if !(value.is_finite() && value > 0.0) {
                return Err(BeadError::NotALength { what, value });
            }
        }
        if height_mm > nozzle_mm {
            return Err(BeadError::TallerThanNozzle {
                height_mm,
                nozzle_mm,
            });
        }
        if width_mm < height_mm {
            return Err(BeadError::NarrowerThanHigh {
                width_mm,
                height_mm,
            });
        }
        Ok(Bead {
            nozzle_mm,
            height_mm,
            width_mm,
        })
    }

    /// The bead a nozzle lays where nothing else is said: `h = 0.6 d`, `w = 1.2 d` (common practice, no source).
    ///
    /// # Errors
    /// [`BeadError`] where the diameter is no positive number.
    pub fn of_nozzle(nozzle_mm: f64) -> Result<Bead, BeadError> {
        // The factors are taken in tenths of a micrometre, so that 0.6 x 0.6 is 0.36 and not 0.36 less a rounding.
        let tidy = |mm: f64| (mm * 1e4).round() / 1e4;
        Bead::new(
            nozzle_mm,
            tidy(HEIGHT_PER_NOZZLE * nozzle_mm),
            tidy(WIDTH_PER_NOZZLE * nozzle_mm),
        )
    }

    /// Nozzle diameter `d`, mm.
    pub fn nozzle_mm(&self) -> f64 {
        self.nozzle_mm
    }

    /// Layer height `h`, mm.
    pub fn height_mm(&self) -> f64 {
        self.height_mm
    }

    /// Bead width `w`, mm.
    pub fn width_mm(&self) -> f64 {
        self.width_mm
    }

    /// Cross-section `A_b = h(w - h) + pi h^2/4`, mm2.
    pub fn area_mm2(&self) -> f64 {
        self.height_mm * (self.width_mm - self.height_mm)
            + PI * self.height_mm * self.height_mm / 4.0
    }

    /// How far apart beads lie that tile a solid: `s = A_b / h`, mm.
    pub fn spacing_mm(&self) -> f64 {
        self.area_mm2() / self.height_mm
    }

    /// Whether the layer is so high for the nozzle that it is worth a finding.
    pub fn is_tall(&self) -> bool {
        self.height_mm > self.tall_from_mm() + 1e-9
    }

    /// The height above which a layer is so high, mm: 0.8 of the nozzle (design).
    pub fn tall_from_mm(&self) -> f64 {
        TALL_SHARE * self.nozzle_mm
    }
}

/// How many perimeters a wall thickness asks for: `n = max(1, round((wall - w)/s + 1))`.
pub fn perimeters_for_wall(wall_mm: f64, bead: &Bead) -> u32 {
    let count = ((wall_mm - bead.width_mm()) / bead.spacing_mm() + 1.0).round();
    count.clamp(1.0, 1000.0) as u32
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// references.md 1, "Exact DERIVED checks": w 0.45, h 0.20 has 0.0814159 mm2; the round limit 0.1256637 mm2.
    #[test]
    fn a_bead_is_a_rectangle_with_half_round_ends() {
        assert!((Bead::new(0.4, 0.20, 0.45).unwrap().area_mm2() - 0.081_415_9).abs() < 5e-8);
        assert!((Bead::new(0.4, 0.4, 0.4).unwrap().area_mm2() - 0.125_663_7).abs() < 5e-8);
    }

    #[test]
    fn beads_that_tile_a_solid_fill_it_exactly() {
        let bead = Bead::of_nozzle(0.6).unwrap();
        assert!((bead.spacing_mm() * bead.height_mm() - bead.area_mm2()).abs() < 1e-15);
        let closed_form = bead.width_mm() - bead.height_mm() * (1.0 - PI / 4.0);
        assert!((bead.spacing_mm() - closed_form).abs() < 1e-12);
    }

    /// Common practice, no source: 1.4 mm of wall is three perimeters with a 0.4 mm nozzle and two with 0.6.
    #[test]
    fn a_wider_nozzle_needs_fewer_perimeters_for_the_same_wall() {
        assert_eq!(perimeters_for_wall(1.4, &Bead::of_nozzle(0.4).unwrap()), 3);
        assert_eq!(perimeters_for_wall(1.4, &Bead::of_nozzle(0.6).unwrap()), 2);
        assert_eq!(perimeters_for_wall(0.1, &Bead::of_nozzle(0.6).unwrap()), 1);
    }

    #[test]
    fn a_bead_narrower_than_high_is_refused() {
        assert!(matches!(
            Bead::new(0.4, 0.3, 0.2),
            Err(BeadError::NarrowerThanHigh { .. })
        ));
        assert!(matches!(
            Bead::new(0.4, 0.5, 0.6),
            Err(BeadError::TallerThanNozzle { .. })
        ));
        assert!(matches!(
            Bead::new(0.4, f64::NAN, 0.6),
            Err(BeadError::NotALength { .. })
        ));
    }

    #[test]
    fn a_layer_above_four_fifths_of_the_nozzle_is_tall() {
        assert!(Bead::new(0.4, 0.33, 0.48).unwrap().is_tall());
        assert!(!Bead::new(0.4, 0.32, 0.48).unwrap().is_tall());
    }
}
