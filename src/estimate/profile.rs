//! Where the time of an option goes over its height.

use crate::motion::{LayerTime, Limit, Limits};
use crate::section::Layers;

/// One layer of an option. Seconds carry the machine's correction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LayerFigures {
    /// Height of its upper face, mm.
    pub top_mm: f64,
    /// Area of the section, mm2.
    pub area_mm2: f64,
    /// From its first move to the first of the next layer, s.
    pub seconds: f64,
    /// What of that lays plastic and travels, s.
    pub busy_s: f64,
    /// What of that lays plastic, s.
    pub laying_s: f64,
    /// What of that is wait for the least layer time, s.
    pub stretch_s: f64,
    /// Volume laid over the seconds of laying, mm3/s; 0 where nothing is laid.
    pub flow_mm3_s: f64,
    /// What holds it.
    pub limit: Limit,
}

impl LayerFigures {
    pub(super) fn of(
        k: usize,
        layers: &Layers,
        area_mm2: f64,
        time: &LayerTime,
        limits: &Limits,
        correction: f64,
    ) -> LayerFigures {
        let laying_s: f64 = time.laying_s.iter().sum();
        let paths_s = time.seconds();
        LayerFigures {
            top_mm: layers.middle_mm(k) + layers.thickness_mm(k) / 2.0,
            area_mm2,
            seconds: (paths_s + limits.layer_change_s) * correction,
            busy_s: (paths_s - time.stretch_s) * correction,
            laying_s: laying_s * correction,
            stretch_s: time.stretch_s * correction,
            flow_mm3_s: if laying_s > 0.0 {
                time.bead_mm3 / (laying_s * correction)
            } else {
                0.0
            },
            limit: if time.stretch_s > 0.0 {
                Limit::Cooling
            } else if 2.0 * time.melt_held_s > paths_s {
                Limit::Melt
            } else {
                Limit::Motion
            },
        }
    }
}

/// The wait for the least layer time where the bed holds so many of the part, per part, s: while one cools the others are laid.
/// Travels between them are not counted.
pub(super) fn stretch_together_s(profile: &[LayerFigures], together: u32) -> f64 {
    let n = f64::from(together);
    let stretched = profile.iter().filter(|layer| layer.stretch_s > 0.0);
    stretched
        .map(|layer| {
            let least_s = layer.busy_s + layer.stretch_s;
            (least_s - n * layer.busy_s).max(0.0) / n
        })
        .sum()
}
