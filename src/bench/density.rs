//! The density as printed, from one part on the scale.

use serde::Serialize;

use super::reading::number;
use super::stopwatch::in_range;
use super::{BenchError, Setup};

/// Against the shop file's density, less and more than this is another part, plastic or fill (judgement: pores and fillers
/// stay well within).
const LIKELY: [f64; 2] = [0.5, 1.3];
const RIGHT: &str = "the grams of the printed part, such as 377.4";

/// A part to be weighed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DensityPlan {
    /// Volume laid for the part, without support and brim, mm3.
    pub laid_mm3: f64,
    /// What it weighs by the shop file's density, g.
    pub expected_g: f64,
    /// The scale's step, g.
    pub scale_g: f64,
    #[serde(skip)]
    file_g_cm3: f64,
    #[serde(skip)]
    material: String,
}

/// What the scale says.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Density {
    /// The reading, g.
    pub grams: f64,
    /// Volume laid, mm3.
    pub laid_mm3: f64,
    /// Density as printed, g/cm3.
    pub density_g_cm3: f64,
    /// Its least and greatest within a step of the scale, g/cm3.
    pub within_g_cm3: [f64; 2],
    /// The shop file's density so far, g/cm3.
    pub file_g_cm3: f64,
}

impl DensityPlan {
    /// A part of which a setup lays so much solid, mm3.
    ///
    /// # Errors
    /// [`BenchError::OutOfRange`] where the scale's step makes no sense.
    pub fn of(setup: &Setup<'_>, laid_mm3: f64, scale_g: f64) -> Result<DensityPlan, BenchError> {
        in_range("--scale", scale_g, 0.0001, 100.0, " g")?;
        let file_g_cm3 = setup.material.density_g_cm3;
        Ok(DensityPlan {
            laid_mm3,
            expected_g: laid_mm3 / 1000.0 * file_g_cm3,
            scale_g,
            file_g_cm3,
            material: setup.material.id.clone(),
        })
    }

    /// The density from the grams typed.
    ///
    /// # Errors
    /// [`BenchError`] where it is no number, or a density that can't be.
    pub fn read(&self, text: &str) -> Result<Density, BenchError> {
        let grams = number(text, RIGHT)?;
        let laid_cm3 = self.laid_mm3 / 1000.0;
        let found = grams / laid_cm3;
        let times = found / self.file_g_cm3;
        if !(LIKELY[0]..=LIKELY[1]).contains(&times) {
            return Err(BenchError::UnlikelyDensity {
                grams,
                laid_cm3,
                found,
                times,
                file: self.file_g_cm3,
                material: self.material.clone(),
            });
        }
        Ok(Density {
            grams,
            laid_mm3: self.laid_mm3,
            density_g_cm3: found,
            within_g_cm3: [-1.0, 1.0].map(|way| (grams + way * self.scale_g) / laid_cm3),
            file_g_cm3: self.file_g_cm3,
        })
    }
}
