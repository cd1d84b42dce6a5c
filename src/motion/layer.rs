//! A layer on the clock, and a job added up from its layers.

use super::{Limits, Pace, RETRACTION_FROM_MM, rest_to_rest_s, time_stroke};
use crate::bead::{Course, Role};

/// What holds the speed down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// The machine: its speeds, acceleration and corners.
    Motion,
    /// The melt rate of nozzle and plastic.
    Melt,
    /// The least time a layer needs to cool.
    Cooling,
}

impl Limit {
    /// Its name in JSON.
    pub fn name(self) -> &'static str {
        match self {
            Limit::Motion => "motion",
            Limit::Melt => "melt",
            Limit::Cooling => "cooling",
        }
    }
}

/// Seconds of one layer, before any correction.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LayerTime {
    /// Laying, by role ([`Role::ALL`]), s.
    pub laying_s: [f64; 6],
    /// Travels and their retractions, s.
    pub travel_s: f64,
    /// Stretch to the least layer time, s.
    pub stretch_s: f64,
    /// Laying at full speed under the melt cap, s; 0 in a stretched layer, all of which is held by cooling.
    pub melt_held_s: f64,
    /// Lengths laid, by role, mm.
    pub laid_mm: [f64; 6],
    /// Lengths travelled, mm.
    pub travel_mm: f64,
    /// Volume of all beads, mm3.
    pub bead_mm3: f64,
    /// The travel to its first path, which `travel_mm` and `travel_s` hold too, mm; not summed over layers.
    pub entry_mm: f64,
    /// Where its first path begins and its last one ends, mm; not summed over layers.
    pub ends_mm: Option<[[f64; 2]; 2]>,
}

/// Times a layer. `first` holds every path, but no travel, to the first layer's speed.
pub fn time_layer(course: &Course, limits: &Limits, first: bool) -> LayerTime {
    let mut time = LayerTime::default();
    if let (Some(first), Some(last)) = (course.strokes.first(), course.strokes.last()) {
        time.entry_mm = first.travel_mm;
        let ends = first.points_mm.first().zip(last.points_mm.last());
        time.ends_mm = ends.map(|(from, to)| [*from, *to]);
    }
    for stroke in &course.strokes {
        time.take_travel(stroke.travel_mm, limits);
        let role = stroke.role.index();
        let (pace, melts) = pace(stroke.role, stroke.bead_mm2, limits, first);
        let laid = time_stroke(stroke, &pace);
        let length_mm: f64 = stroke.segments_mm.iter().sum();
        time.laying_s[role] += laid.seconds;
        time.laid_mm[role] += length_mm;
        time.bead_mm3 += length_mm * stroke.bead_mm2;
        if melts {
            time.melt_held_s += laid.at_speed_s;
        }
    }
    let busy_s = time.laying_s.iter().sum::<f64>() + time.travel_s;
    if busy_s < limits.least_layer_s {
        time.stretch_s = limits.least_layer_s - busy_s;
        time.melt_held_s = 0.0;
    }
    time
}

/// The pace of a stroke, and whether the melt cap sets it.
fn pace(role: Role, bead_mm2: f64, limits: &Limits, first: bool) -> (Pace, bool) {
    let mut speed_mm_s = limits.speeds.of(role);
    if first {
        speed_mm_s = speed_mm_s.min(limits.speeds.first_layer_mm_s);
    }
    let cap_mm_s = limits
        .melt_cap_mm3_s
        .map_or(f64::INFINITY, |cap| cap / bead_mm2);
    let pace = Pace {
        speed_mm_s: speed_mm_s.min(cap_mm_s),
        acceleration_mm_s2: limits.acceleration_mm_s2,
        deviation_mm: limits.corner_deviation_mm,
    };
    (pace, cap_mm_s < speed_mm_s)
}

/// A travel from rest to rest, with its retraction where it is long enough for one, s.
pub fn travel_s(travel_mm: f64, limits: &Limits) -> f64 {
    if travel_mm <= 0.0 {
        return 0.0;
    }
    let moving_s = rest_to_rest_s(
        travel_mm,
        limits.speeds.travel_mm_s,
        limits.acceleration_mm_s2,
    );
    let retracts = travel_mm > RETRACTION_FROM_MM;
    moving_s + if retracts { limits.retraction_s } else { 0.0 }
}

impl LayerTime {
    fn take_travel(&mut self, travel_mm: f64, limits: &Limits) {
        if travel_mm <= 0.0 {
            return;
        }
        self.travel_mm += travel_mm;
        self.travel_s += travel_s(travel_mm, limits);
    }

    /// Paths, travels and stretch, s.
    pub fn seconds(&self) -> f64 {
        self.laying_s.iter().sum::<f64>() + self.travel_s + self.stretch_s
    }
}

/// A job on the clock: the sum of its layers and overheads, s, before any correction.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Clock {
    /// Sums of the layers' own figures.
    pub layers: LayerTime,
    /// Number of layers.
    pub count: usize,
    /// Time of stretched layers as a whole, s.
    pub cooling_held_s: f64,
    /// Lift and pause between layers, s.
    pub layer_change_s: f64,
    /// Heating and levelling, s.
    pub start_s: f64,
}

impl Clock {
    /// A job that has only begun.
    pub fn started(limits: &Limits) -> Clock {
        Clock {
            start_s: limits.start_s,
            ..Clock::default()
        }
    }

    /// Adds a layer.
    pub fn add(&mut self, layer: &LayerTime, limits: &Limits) {
        for role in 0..Role::ALL.len() {
            self.layers.laying_s[role] += layer.laying_s[role];
            self.layers.laid_mm[role] += layer.laid_mm[role];
        }
        self.layers.travel_s += layer.travel_s;
        self.layers.stretch_s += layer.stretch_s;
        self.layers.melt_held_s += layer.melt_held_s;
        self.layers.travel_mm += layer.travel_mm;
        self.layers.bead_mm3 += layer.bead_mm3;
        if layer.stretch_s > 0.0 {
            self.cooling_held_s += layer.seconds();
        }
        self.layer_change_s += limits.layer_change_s;
        self.count += 1;
    }

    /// Everything, s.
    pub fn seconds(&self) -> f64 {
        self.layers.seconds() + self.layer_change_s + self.start_s
    }

    /// Shares of motion, melt and cooling in paths, travels and stretch; they add up to 1 (0 each for no time at all).
    pub fn shares(&self) -> [f64; 3] {
        let whole_s = self.layers.seconds();
        if whole_s <= 0.0 {
            return [0.0; 3];
        }
        let (melt, cooling) = (
            self.layers.melt_held_s / whole_s,
            self.cooling_held_s / whole_s,
        );
        [(1.0 - melt - cooling).max(0.0), melt, cooling]
    }

    /// The largest share.
    pub fn limit(&self) -> Limit {
        let [motion, melt, cooling] = self.shares();
        if cooling > motion && cooling > melt {
            Limit::Cooling
        } else if melt > motion {
            Limit::Melt
        } else {
            Limit::Motion
        }
    }
}
