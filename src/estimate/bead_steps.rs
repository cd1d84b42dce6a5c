//! Walls near a step in the number of beads across them: a little thicker or thinner, and the hours jump. A designer can use
//! that.

use rayon::prelude::*;

use super::sample::Sample;
use super::table::Estimate;
use crate::bead::Bead;
use crate::mesh::{Finding, FindingKind, InspectedMesh};
use crate::section::{Region, sections_at};

/// A wall so close to a step, mm, may as well be on its other side (the issue's own figure).
const NEAR_MM: f64 = 0.2;
/// From this share of the outline's length on it is worth a finding.
const WORTH_SHARE: f64 = 0.10;
/// Hours that differ by less than this share between the two sides are not worth a finding.
const HOURS_SHARE: f64 = 0.03;
/// Layers looked at.
const SAMPLE: usize = 16;
/// Places looked at on the outlines of each.
const PLACES: f64 = 300.0;
/// Two sides make a wall where they face each other within this many degrees.
const FACING_DEG: f64 = 30.0;

/// A finding where over a tenth of the outline of the option picked belongs to walls within 0.2 mm of a step.
pub(super) fn finding(
    part: &InspectedMesh,
    sample: &Sample,
    estimate: &Estimate,
) -> Option<Finding> {
    let (option, made) = estimate.picked()?;
    let planes_mm = sample.planes_mm(SAMPLE);
    let regions = sections_at(&sample.posed, &part.topology, &planes_mm).regions;
    let steps_mm = steps_mm(&made.bead, made.perimeters);
    let walls = walls(&regions, steps_mm.last()? + NEAR_MM);
    let step = busiest(&steps_mm, &walls)?;
    let whole_mm: f64 = regions.iter().map(Region::outline_mm).sum();
    if step.length_mm < WORTH_SHARE * whole_mm {
        return None;
    }
    let seconds = |grown_mm: f64| {
        let moved: Vec<Region> = regions.par_iter().map(|r| r.grow(grown_mm)).collect();
        sample.seconds(&moved)
    };
    let usual_s = seconds(0.0)?;
    let sides_mm = [step.at_mm - NEAR_MM, step.at_mm + NEAR_MM];
    let [thinner_s, thicker_s] = sides_mm.map(|mm| seconds((mm - step.wall_mm) / 2.0));
    let whole_s = made.seconds.whole_s();
    // Only what is laid and travelled depends on the walls.
    let paths_s = whole_s - made.seconds.start_s - made.seconds.layer_change_s;
    let hours = |sampled_s: f64| whole_s + paths_s * (sampled_s / usual_s - 1.0);
    let (thinner_s, thicker_s) = (hours(thinner_s?), hours(thicker_s?));
    if (thicker_s / thinner_s - 1.0).abs() < HOURS_SHARE {
        return None;
    }
    Some(Finding::new(
        FindingKind::BeadSteps,
        1,
        format!(
            "{:.0} % of the outline belongs to walls about {:.1} mm thick, near {:.2} mm, where {} lays another bead across them: walls of \
             {:.1} mm would take {}, of {:.1} mm {} (from a sample of layers)",
            100.0 * step.length_mm / whole_mm,
            step.wall_mm,
            step.at_mm,
            option.name(),
            sides_mm[0],
            in_words(thinner_s),
            sides_mm[1],
            in_words(thicker_s),
        ),
    ))
}

fn in_words(seconds: f64) -> String {
    let minutes = (seconds / 60.0).round() as u64;
    format!("{} h {:02} min", minutes / 60, minutes % 60)
}

/// The wall thicknesses at which the number of beads across changes, mm, in rising order: the outermost step's `lo` and `hi`,
/// then half a spacing more than every whole number of spacings behind it (design, Perimeters), up to where fill turns to
/// raster.
fn steps_mm(bead: &Bead, perimeters: u32) -> Vec<f64> {
    let (d, w, s) = (bead.nozzle_mm(), bead.width_mm(), bead.spacing_mm());
    let behind_mm = w + s;
    let raster_mm = behind_mm + 2.0 * s * f64::from(perimeters.saturating_sub(1)) + 12.0 * s;
    let mut steps = vec![(0.85 * d).min(0.7 * w), w + s / 2.0];
    let later = (0..).map(|k| behind_mm + (f64::from(k) + 0.5) * s);
    steps.extend(later.take_while(|mm| *mm < raster_mm));
    steps.push(raster_mm);
    steps
}

/// A piece of outline that has a wall behind it.
struct Wall {
    thickness_mm: f64,
    length_mm: f64,
}

/// The walls of sections that are at most so thick, sampled along their outlines.
fn walls(regions: &[Region], most_mm: f64) -> Vec<Wall> {
    regions
        .par_iter()
        .flat_map_iter(|region| walls_of(region, most_mm))
        .collect()
}

fn walls_of(region: &Region, most_mm: f64) -> Vec<Wall> {
    let sides: Vec<[[f64; 2]; 2]> = region
        .rings()
        .flat_map(|ring| {
            let next: Vec<[f64; 2]> = ring[1..].iter().chain(&ring[..1]).copied().collect();
            ring.into_iter()
                .zip(next)
                .map(|(a, b)| [a, b])
                .collect::<Vec<_>>()
        })
        .collect();
    let pace_mm = region.outline_mm() / PLACES;
    let mut walls = Vec::new();
    let mut since_mm = 0.0;
    for side in &sides {
        let length_mm = length(*side);
        // Every pace along the outline one place: on a long side several, of short sides only some.
        let places = ((since_mm + length_mm) / pace_mm) as usize;
        since_mm += length_mm - places as f64 * pace_mm;
        for place in 0..places {
            let t = (place as f64 + 0.5) / places as f64;
            if let Some(thickness_mm) = thickness_behind(side, t, &sides, most_mm) {
                walls.push(Wall {
                    thickness_mm,
                    length_mm: pace_mm,
                });
            }
        }
    }
    walls
}

fn length([a, b]: [[f64; 2]; 2]) -> f64 {
    (b[0] - a[0]).hypot(b[1] - a[1])
}

/// How far it is from a place on a side straight into the solid to the side across, where that faces it. The solid lies on the
/// left of every side.
fn thickness_behind(
    side: &[[f64; 2]; 2],
    t: f64,
    sides: &[[[f64; 2]; 2]],
    most_mm: f64,
) -> Option<f64> {
    let [a, b] = *side;
    let long_mm = length(*side);
    let along = [(b[0] - a[0]) / long_mm, (b[1] - a[1]) / long_mm];
    let inward = [-along[1], along[0]];
    let from = [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])];
    let mut nearest: Option<(f64, f64)> = None;
    for [p, q] in sides {
        let (e, f) = ([q[0] - p[0], q[1] - p[1]], [p[0] - from[0], p[1] - from[1]]);
        let across = inward[0] * e[1] - inward[1] * e[0];
        // A side that is crossed from inside turns to the left of the ray.
        if across <= 0.0 {
            continue;
        }
        let (far_mm, share) = (
            (f[0] * e[1] - f[1] * e[0]) / across,
            (f[0] * inward[1] - f[1] * inward[0]) / across,
        );
        let met = far_mm > 1e-6 && far_mm < most_mm && (0.0..=1.0).contains(&share);
        if met && nearest.is_none_or(|(best, _)| far_mm < best) {
            // Sine of the angle between the ray and that side: 1 where it faces straight.
            nearest = Some((far_mm, across / e[0].hypot(e[1])));
        }
    }
    let (far_mm, facing) = nearest?;
    (facing >= FACING_DEG.to_radians().cos()).then_some(far_mm)
}

/// The step that most walls are near.
struct Step {
    at_mm: f64,
    length_mm: f64,
    /// Mean thickness of the walls near it, mm.
    wall_mm: f64,
}

fn busiest(steps_mm: &[f64], walls: &[Wall]) -> Option<Step> {
    let near = |at_mm: f64| {
        let near = walls
            .iter()
            .filter(move |w| (w.thickness_mm - at_mm).abs() <= NEAR_MM);
        let (length_mm, moment) = near.fold((0.0, 0.0), |(length, moment), w| {
            (length + w.length_mm, moment + w.length_mm * w.thickness_mm)
        });
        Step {
            at_mm,
            length_mm,
            wall_mm: moment / length_mm,
        }
    };
    let all = steps_mm.iter().map(|at_mm| near(*at_mm));
    all.filter(|step| step.length_mm > 0.0)
        .max_by(|a, b| a.length_mm.total_cmp(&b.length_mm))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn the_thickness_of_an_upright_wall_is_met_straight_behind_its_outline() {
        let plate = Region::rectangle([0.0, 0.0], [60.0, 5.0]);
        let walls = walls_of(&plate, 10.0);
        assert!(walls.len() > 200);
        let of_five = walls.iter().filter(|w| (w.thickness_mm - 5.0).abs() < 1e-9);
        assert!(of_five.count() > walls.len() * 9 / 10);
    }

    #[test]
    fn a_ring_has_the_thickness_between_its_outlines() {
        let circle = |radius: f64, turn: f64| -> Vec<[f64; 2]> {
            (0..360)
                .map(|i| (turn * f64::from(i)).to_radians())
                .map(|t| [radius * t.cos(), radius * t.sin()])
                .collect()
        };
        let ring = Region::from_rings([circle(20.0, 1.0), circle(17.0, -1.0)]);
        for wall in walls_of(&ring, 10.0) {
            assert!(
                (wall.thickness_mm - 3.0).abs() < 0.01,
                "{}",
                wall.thickness_mm
            );
        }
    }

    /// Derived from the rule by hand for the usual bead of a 0.6 mm nozzle: w 0.72, h 0.36, s = 0.72 - 0.36 (1 - pi/4).
    #[test]
    fn beads_across_a_wall_step_by_the_rule() {
        let bead = Bead::of_nozzle(0.6).unwrap();
        let s = 0.72 - 0.36 * (1.0 - std::f64::consts::FRAC_PI_4);
        let steps = steps_mm(&bead, 2);
        let expected = [0.504, 0.72 + s / 2.0, 0.72 + 1.5 * s, 0.72 + 2.5 * s];
        for (step, expected) in steps.iter().zip(expected) {
            assert!((step - expected).abs() < 1e-12, "{step} {expected}");
        }
        assert!((steps.last().unwrap() - (0.72 + s + 2.0 * s + 12.0 * s)).abs() < 1e-12);
    }
}
