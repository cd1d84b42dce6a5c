//! What of a bed may be covered.

use crate::plane::Region;
use crate::pose::{Bed, BuildSpace};

/// A round bed is taken as a polygon inside it that leaves out no more than this at the rim, mm.
const RIM_MM: f64 = 0.01;
/// Sides of that polygon at most; on a bed of 5 m the rim then lacks 0.05 mm.
const MOST_SIDES: usize = 720;

/// The bed less its edge margin, mm: from (0, 0) for a rectangular bed, around (0, 0) for a round one. Empty where the margins
/// leave nothing.
pub fn usable_region(space: &BuildSpace) -> Region {
    let margin_mm = space.edge_margin_mm;
    match space.bed {
        Bed::Rectangle { x_mm, y_mm } => {
            let high_mm = [x_mm - margin_mm, y_mm - margin_mm];
            if high_mm.iter().any(|high| *high <= margin_mm) {
                return Region::default();
            }
            Region::rectangle([margin_mm; 2], high_mm)
        }
        Bed::Circle { diameter_mm } => round(diameter_mm / 2.0 - margin_mm),
    }
}

fn round(radius_mm: f64) -> Region {
    if radius_mm <= RIM_MM {
        return Region::default();
    }
    // The middle of a side is r (1 - cos(pi / n)) from the rim, about r pi^2 / (2 n^2).
    let sides = std::f64::consts::PI * (radius_mm / (2.0 * RIM_MM)).sqrt();
    // A multiple of four has corners at the ends of both axes.
    let sides = ((sides / 4.0).ceil() as usize * 4).clamp(24, MOST_SIDES);
    let corner = |i: usize| {
        let (sine, cosine) = (std::f64::consts::TAU * i as f64 / sides as f64).sin_cos();
        [radius_mm * cosine, radius_mm * sine]
    };
    Region::from_rings([(0..sides).map(corner).collect()])
}
