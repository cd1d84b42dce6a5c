//! Sheets and answers as one JSON object on one line. Keys carry their units; none is renamed or given another meaning.

use serde::Serialize;

use super::{CourseKind, Setup, StopwatchPlan};

/// The version of the keys, first in every object.
const FORMAT: u32 = 1;

#[derive(Serialize)]
struct Object<'a, P, V> {
    format: u32,
    bench: &'static str,
    shop: &'a str,
    demonstration: bool,
    machine: &'a str,
    nozzle: &'a str,
    material: &'a str,
    sheet: P,
    /// Null where nothing was read.
    answer: Option<V>,
    /// The lines for the shop file; null where there are none.
    shop_file: Option<String>,
}

/// What a sheet asks for, and what was found of the readings where there were any.
pub fn answer_json<P: Serialize, V: Serialize>(
    bench: &'static str,
    setup: &Setup<'_>,
    sheet: P,
    answer: Option<V>,
    shop_file: Option<String>,
) -> String {
    let object = Object {
        format: FORMAT,
        bench,
        shop: &setup.shop.name,
        demonstration: setup.shop.demonstration,
        machine: &setup.machine.id,
        nozzle: &setup.nozzle.id,
        material: &setup.material.id,
        sheet,
        answer,
        shop_file,
    };
    // Only maps with keys that are no text fail, and there are none.
    serde_json::to_string(&object).unwrap_or_default()
}

#[derive(Serialize)]
struct CourseObject {
    lap_mm: f64,
    corners: usize,
    size_mm: [f64; 3],
    seconds_now: f64,
}

#[derive(Serialize)]
struct StopwatchObject {
    speed_mm_s: f64,
    laps: u32,
    pause_s: f64,
    unbroken: bool,
    layer_mm: f64,
    long: CourseObject,
    short: CourseObject,
}

impl StopwatchPlan {
    /// The sheet's figures, with the times that the shop file's values would give.
    pub fn to_json(&self, setup: &Setup<'_>) -> impl Serialize + use<> {
        let course = |kind: CourseKind| CourseObject {
            lap_mm: self.course(kind).lap_mm(),
            corners: self.course(kind).corners(),
            size_mm: self.mesh(kind).size_mm().into(),
            seconds_now: self.seconds(
                kind,
                setup.machine.acceleration_mm_s2,
                setup.machine.corner_deviation_mm,
            ),
        };
        StopwatchObject {
            speed_mm_s: self.speed_mm_s,
            laps: self.laps,
            pause_s: self.pause_s,
            unbroken: self.unbroken,
            layer_mm: self.layer_mm,
            long: course(CourseKind::Long),
            short: course(CourseKind::Short),
        }
    }
}
