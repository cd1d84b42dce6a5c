//! The nozzle temperatures at which layers hold together, from an upright strip laid at five of them and bent.

use serde::Serialize;

use super::reading::{items, pair};
use super::{BenchError, Setup, prism};
use crate::mesh::Mesh;

/// Temperatures tried, one a storey.
const STOREYS: usize = 5;
/// Height of a storey, mm.
const STOREY_MM: f64 = 14.0;
/// Width of the strip, and of the waist at which a storey bends, mm.
const WIDTH_MM: f64 = 24.0;
const WAIST_MM: f64 = 16.0;
/// Depth of the strip, mm: a few beads, so that it bends and still stands.
const DEPTH_MM: f64 = 4.0;
/// A temperature may be read off so far from the one asked for, C.
const NEAR_C: f64 = 1.0;
const RIGHT: &str = "five readings TEMPERATURE:whole or TEMPERATURE:broke, such as 240:broke,248:whole,255:whole,262:whole,270:broke";

/// Five temperatures and the strip for them.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BondingPlan {
    /// Temperatures, C, rising. The hottest is laid first, on the bed.
    pub temperatures_c: [f64; STOREYS],
    /// Height at which each begins, mm, in the same order.
    pub from_mm: [f64; STOREYS],
    /// The least and greatest temperature that machine and plastic allow, C.
    pub allowed_c: [f64; 2],
}

/// One storey bent.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct StripReading {
    /// Its temperature, C.
    pub temperature_c: f64,
    /// Whether it stayed whole.
    pub whole: bool,
}

/// What the strip says.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(tag = "held", rename_all = "snake_case")]
pub enum Bonding {
    /// It held from one temperature to another.
    Between {
        /// Least, C.
        low_c: f64,
        /// Greatest, C.
        high_c: f64,
    },
    /// It held nowhere.
    Nowhere,
    /// It broke at one temperature between two at which it held.
    Contradictory {
        /// Where it held, C.
        below_c: f64,
        /// Where it broke, C.
        broke_c: f64,
        /// Where it held again, C.
        above_c: f64,
    },
}

/// What was read and what it says.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BondingVerdict {
    /// The storeys, cooler first.
    pub strips: Vec<StripReading>,
    /// What they say.
    #[serde(flatten)]
    pub bonding: Bonding,
}

impl BondingPlan {
    /// Five temperatures between the least and greatest that plastic and machine allow.
    ///
    /// # Errors
    /// [`BenchError`] where they allow too little, or the machine does not hold the strip.
    pub fn of(setup: &Setup<'_>) -> Result<BondingPlan, BenchError> {
        let (least, greatest) = setup.material.nozzle_c;
        let low = least.max(setup.machine.nozzle_min_c).ceil();
        let high = greatest.min(setup.machine.nozzle_max_c).floor();
        // Steps of at least twice what a reading may be off, so that no reading fits two storeys.
        if high - low < (STOREYS - 1) as f64 * (2.0 * NEAR_C + 1.0) {
            return Err(BenchError::NarrowWindow {
                material: setup.material.id.clone(),
                machine: setup.machine.id.clone(),
                least: low,
                greatest: high,
            });
        }
        let step = (high - low) / (STOREYS - 1) as f64;
        let plan = BondingPlan {
            temperatures_c: std::array::from_fn(|i| (low + step * i as f64).round()),
            from_mm: std::array::from_fn(|i| (STOREYS - 1 - i) as f64 * STOREY_MM),
            allowed_c: [low, high],
        };
        setup.must_hold(&plan.mesh(), "")?;
        Ok(plan)
    }

    /// The strip: five storeys, each with a waist at which it bends.
    pub fn mesh(&self) -> Mesh {
        // Its front lies in the drawing's plane and is then stood up.
        let mut lying = prism(&front(), DEPTH_MM);
        for vertex in &mut lying.vertices_mm {
            (vertex.y, vertex.z) = (DEPTH_MM - vertex.z, vertex.y);
        }
        lying
    }

    /// Height of the strip, mm.
    pub fn height_mm(&self) -> f64 {
        STOREYS as f64 * STOREY_MM
    }

    /// Takes `TEMPERATURE:whole` and `TEMPERATURE:broke` apart and says between which temperatures the strip held.
    ///
    /// # Errors
    /// [`BenchError`] where it is not the five temperatures of the plan, each once, with `whole` or `broke`.
    pub fn read(&self, text: &str) -> Result<BondingVerdict, BenchError> {
        let mut whole: [Option<bool>; STOREYS] = [None; STOREYS];
        for item in items(text, STOREYS, RIGHT)? {
            let (temperature_c, found) = pair(item, RIGHT)?;
            let found = match found {
                "whole" => true,
                "broke" => false,
                _ => {
                    return Err(BenchError::NoReading {
                        given: crate::mesh::plain_text(item.trim()),
                        right: RIGHT,
                    });
                }
            };
            let storey = self.storey(temperature_c)?;
            if whole[storey].replace(found).is_some() {
                return Err(BenchError::Twice {
                    what: format!("{} C", self.temperatures_c[storey]),
                });
            }
        }
        let strips: Vec<StripReading> = self
            .temperatures_c
            .iter()
            .zip(whole)
            .map(|(temperature_c, whole)| StripReading {
                temperature_c: *temperature_c,
                whole: whole == Some(true),
            })
            .collect();
        Ok(BondingVerdict {
            bonding: judged(&strips),
            strips,
        })
    }

    fn storey(&self, temperature_c: f64) -> Result<usize, BenchError> {
        let near = |c: &f64| (c - temperature_c).abs() <= NEAR_C;
        self.temperatures_c
            .iter()
            .position(near)
            .ok_or_else(|| BenchError::OutOfRange {
                what: format!(
                    "a temperature of the strip, which is laid at {},",
                    self.temperatures_c.map(|c| c.to_string()).join(", ")
                ),
                value: temperature_c,
                low: self.allowed_c[0],
                high: self.allowed_c[1],
                unit: " C, one of those five",
            })
    }
}

/// The range that held; storeys cooler first.
fn judged(strips: &[StripReading]) -> Bonding {
    let held: Vec<usize> = (0..strips.len()).filter(|i| strips[*i].whole).collect();
    let (Some(first), Some(last)) = (held.first(), held.last()) else {
        return Bonding::Nowhere;
    };
    let c = |i: usize| strips[i].temperature_c;
    match (*first..*last).find(|i| !strips[*i].whole) {
        Some(broke) => Bonding::Contradictory {
            below_c: c(broke - 1),
            broke_c: c(broke),
            above_c: held
                .iter()
                .find(|i| **i > broke)
                .map_or(c(*last), |i| c(*i)),
        },
        None => Bonding::Between {
            low_c: c(*first),
            high_c: c(*last),
        },
    }
}

/// The strip seen from the front, counter-clockwise: up on the right side, down on the left.
fn front() -> Vec<[f64; 2]> {
    let in_mm = (WIDTH_MM - WAIST_MM) / 2.0;
    // Sides lean by 45 degrees towards the waist, which needs no support.
    let straight_mm = (STOREY_MM - 2.0 * in_mm) / 3.0;
    let side: Vec<[f64; 2]> = (0..STOREYS)
        .flat_map(|storey| {
            let z = storey as f64 * STOREY_MM;
            let (to_waist, from_waist) = (z + straight_mm, z + STOREY_MM - straight_mm);
            [
                [0.0, to_waist],
                [in_mm, to_waist + in_mm],
                [in_mm, from_waist - in_mm],
                [0.0, from_waist],
            ]
        })
        .collect();
    let right = side.iter().map(|[in_mm, z]| [WIDTH_MM - in_mm, *z]);
    let height_mm = STOREYS as f64 * STOREY_MM;
    [[0.0, 0.0], [WIDTH_MM, 0.0]]
        .into_iter()
        .chain(right)
        .chain([[WIDTH_MM, height_mm], [0.0, height_mm]])
        .chain(side.iter().rev().copied())
        .collect()
}
