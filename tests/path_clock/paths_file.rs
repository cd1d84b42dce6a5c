//! Paths, limits and the program's seconds in a file that another language reads.

use std::collections::BTreeMap;
use std::path::Path;

use beadtally::bead::{Course, Role, Stroke};
use beadtally::motion::Limits;
use serde::Serialize;

/// About so many layers of a part go into the file, first and last among them.
const LAYERS: usize = 8;

#[derive(Serialize)]
pub struct PathsFile {
    machines: Vec<Machine>,
}

#[derive(Serialize)]
struct Machine {
    name: &'static str,
    speed_mm_s: BTreeMap<&'static str, f64>,
    travel_mm_s: f64,
    first_layer_mm_s: f64,
    acceleration_mm_s2: f64,
    corner_deviation_mm: f64,
    melt_cap_mm3_s: Option<f64>,
    retraction_s: f64,
    least_layer_s: f64,
    layers: Vec<Layer>,
}

#[derive(Serialize)]
struct Layer {
    layer: usize,
    start_mm: [f64; 2],
    strokes: Vec<Laid>,
    /// What the program says.
    seconds: f64,
}

#[derive(Serialize)]
struct Laid {
    role: &'static str,
    bead_mm2: f64,
    points_mm: Vec<[f64; 2]>,
    /// Slivers are laid as one straight of this length.
    straight_mm: Option<f64>,
}

impl PathsFile {
    pub fn of(machines: &[(&'static str, Limits)]) -> PathsFile {
        let machine = |(name, limits): &(&'static str, Limits)| Machine {
            name,
            speed_mm_s: Role::ALL
                .iter()
                .map(|role| (role.name(), limits.speeds.of(*role)))
                .collect(),
            travel_mm_s: limits.speeds.travel_mm_s,
            first_layer_mm_s: limits.speeds.first_layer_mm_s,
            acceleration_mm_s2: limits.acceleration_mm_s2,
            corner_deviation_mm: limits.corner_deviation_mm,
            melt_cap_mm3_s: limits.melt_cap_mm3_s,
            retraction_s: limits.retraction_s,
            least_layer_s: limits.least_layer_s,
            layers: Vec::new(),
        };
        PathsFile {
            machines: machines.iter().map(machine).collect(),
        }
    }

    /// Takes a layer in where it is one of the chosen ones.
    pub fn layer(
        &mut self,
        machine: usize,
        k: usize,
        count: usize,
        start_mm: [f64; 2],
        course: &Course,
        seconds: f64,
    ) {
        if !k.is_multiple_of(count.div_ceil(LAYERS)) && k + 1 != count {
            return;
        }
        self.machines[machine].layers.push(Layer {
            layer: k,
            start_mm,
            strokes: course.strokes.iter().map(laid).collect(),
            seconds,
        });
    }

    pub fn write(&self, part: &str) {
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("path_clock");
        std::fs::create_dir_all(&folder).unwrap();
        let file = std::fs::File::create(folder.join(format!("{part}.json"))).unwrap();
        serde_json::to_writer(std::io::BufWriter::new(file), self).unwrap();
    }
}

fn laid(stroke: &Stroke) -> Laid {
    Laid {
        role: stroke.role.name(),
        bead_mm2: stroke.bead_mm2,
        points_mm: stroke.points_mm.clone(),
        straight_mm: (stroke.role == Role::Sliver).then(|| stroke.segments_mm[0]),
    }
}
