//! The keys of design.md section 7 and those added since, as a reader of the answers would write them down. They refuse
//! what they do not know and miss what is not there, so a key that is renamed or lost fails here.

// Some keys are only read so that they must be there.
#![allow(dead_code)]
#![allow(clippy::unwrap_used, clippy::expect_used)]

use beadtally::mesh::{InspectedMesh, read};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Deserializer};

/// The demonstration part the answers are about.
pub fn part() -> InspectedMesh {
    read(std::fs::read("models/cleat_block.stl").unwrap()).unwrap()
}

/// An object read back, which must stand on one line and begin with its format.
pub fn parsed<T: DeserializeOwned>(line: &str) -> T {
    assert!(!line.contains(['\n', '\r']), "one object is one line");
    assert!(line.starts_with("{\"format\":1,\"part\":"), "{line:.60}");
    serde_json::from_str(line).unwrap_or_else(|error| panic!("{error}: {line}"))
}

/// The keys of an object in the order in which they stand, those of its own level only.
pub fn keys(line: &str) -> Vec<String> {
    let (mut keys, mut depth, mut start, mut escaped) = (Vec::new(), 0, None, false);
    for (at, c) in line.char_indices() {
        match (start, c) {
            (Some(_), _) if escaped => escaped = false,
            (Some(_), '\\') => escaped = true,
            (Some(from), '"') => {
                start = None;
                if depth == 1 && line[at + 1..].starts_with(':') {
                    keys.push(line[from..at].to_owned());
                }
            }
            (None, '"') => start = Some(at + 1),
            (None, '{' | '[') => depth += 1,
            (None, '}' | ']') => depth -= 1,
            _ => {}
        }
    }
    keys
}

/// A key that must be there but may be null.
fn known<'de, T, D>(deserializer: D) -> Result<Option<T>, D::Error>
where
    T: Deserialize<'de>,
    D: Deserializer<'de>,
{
    Option::deserialize(deserializer)
}

/// Whether a text is a decimal with just so many decimals and nothing else.
pub fn is_money(text: &str, decimals: usize) -> bool {
    let digits = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_digit());
    text.split_once('.')
        .is_some_and(|(whole, part)| digits(whole) && digits(part) && part.len() == decimals)
}

macro_rules! object {
    ($(#[$doc:meta])* $name:ident { $($key:ident : $kind:ty),* $(,)? } null { $($maybe:ident : $inner:ty),* $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Deserialize)]
        #[serde(deny_unknown_fields)]
        pub struct $name {
            $(pub $key: $kind,)*
            $(#[serde(deserialize_with = "known")] pub $maybe: Option<$inner>,)*
        }
    };
}

object!(BadPart { format: u32, part: String, error: String, ask: String } null {});
object!(Finding { kind: String, count: u64, detail: String, mended: bool } null { at_mm: [f64; 3], body: u32 });
object!(Trust { grade: String, volume_bounds_mm3: [f64; 2], volume_as_drawn_mm3: f64, examined: bool } null {});
object!(BoxMm { min: [f64; 3], max: [f64; 3], size: [f64; 3] } null {});
object!(Measured {
    format: u32, part: String, unit_assumed: String, triangles: usize, volume_mm3: f64, area_mm2: f64, box_mm: BoxMm,
    centroid_mm: [f64; 3], bodies: usize, watertight: bool, findings: Vec<Finding>, trust: Trust, file_format: String,
    unit_stated: bool, copies: u32,
} null {});

object!(Fit { format: u32, part: String, machines: Vec<Machine> } null {});
object!(Machine { machine: String, fits: bool, poses: Vec<FitPose> } null {
    pieces_if_cut: u64, why_not: String, search: Search,
});
object!(Search { poses_searched: usize, proven: bool, answer: String } null {});
object!(Sides { left: f64, right: f64, front: f64, back: f64 } null {});
object!(FitPose {
    rotation: [[f64; 3]; 3], size_mm: [f64; 3], margin_mm: f64, turn_deg: f64, turns_deg: Vec<[f64; 2]>, tilt_deg: f64,
    down: String, best_turn_deg: f64, best_margin_mm: f64, sides_mm: Sides, above_mm: f64, at_mm: [f64; 2], turns_open_deg: f64,
} null {});

object!(ByRole { outer: f64, inner: f64, fill: f64, open: f64, sliver: f64, support: f64 } null {});
object!(SecondsBy {
    outer: f64, inner: f64, fill: f64, open: f64, sliver: f64, support: f64, travel: f64, layer_change: f64,
    cooling: f64, start: f64,
} null {});
object!(Share { motion: f64, melt: f64, cooling: f64 } null {});
object!(Row {
    machine: String, nozzle: String, material: String, melt_limit_mm3_s: f64, margin: f64, borrowed: bool,
} null { note: String });
object!(BandInput { input: String, range: String, seconds_from: f64, seconds_to: f64 } null {});
object!(Band {
    seconds_from: f64, seconds_to: f64, unit_price_from: String, unit_price_to: String, inputs: Vec<BandInput>,
} null { largest: String, learnt_factor: f64 });
object!(Replanned { change: String, seconds: f64 } null {});
object!(LayerSeconds { least: f64, least_at_mm: f64, greatest: f64, greatest_at_mm: f64 } null {});
object!(Choice {
    machine: String, nozzle: String, material: String, fits: bool, replanned: Vec<Replanned>, advice: Vec<String>,
} null {
    why_not: String, layer_height_mm: f64, bead_width_mm: f64, layers: usize, solid_fill_layers: usize, perimeters: u32,
    bead_length_mm: ByRole, travel_mm: f64, deposited_mm3: f64, support_mm3: f64, mass_g: f64, support_g: f64,
    seconds: f64, seconds_by: SecondsBy, limit: String, limit_share: Share, mean_flow_mm3_s: f64, cusp_um: f64,
    cusp_greatest_um: f64, roughness_um: f64, detail_lost_mm3: f64, failure_probability: f64, unit_cost: String,
    unit_price: String, measured_row: Row, correction: f64, turn_deg: f64, margin_mm: f64,
    earned_per_machine_hour: String, band: Band, layer_seconds: LayerSeconds, interfaces_per_cm: f64, wall_mm: f64,
    cusp_greatest_at_mm: [f64; 3], detail_lost_mm2: f64, grams_correction: f64, detail_lost_at_mm: [f64; 3], supported_mm2: f64,
});
object!(Pose { down: String, why: String, size_mm: [f64; 3] } null { other_pose: String, turn_deg: f64, margin_mm: f64 });
object!(Pick { why: String, instead: Vec<String> } null { machine: String, nozzle: String });
object!(Estimated {
    format: u32, part: String, shop: String, material: String, options: Vec<Choice>, pose: Pose, findings: Vec<Finding>,
    pick: Pick, currency: String, demonstration_shop: bool, volume_mm3: f64, watertight: bool, cautions: Vec<String>,
    trust: Trust,
} null { quantity: u32 });

object!(StartKind { pieces: u32, times: u32, seconds: f64, mass_g: f64 } null {});
object!(Cheaper { quantity: u32, total: String } null {});
object!(Break {
    quantity: u32, unit_price: String, unit_cost: String, total: String, earned_per_machine_hour: String,
    subtotal: String, tax: String, discount: String, machine: String, nozzle: String, starts: Vec<StartKind>,
    expected_starts: f64, pace: String,
} null { ready_likely: String, ready_safe: String, cheaper_lot: Cheaper });
object!(Use { about: String } null { stands: bool, service_c: f64, softens_c: f64, softens_by: String });
object!(CurvePoint { quantity: u32, unit_price: String } null {});
object!(Line { line: String, detail: String, amount: String } null {});
object!(Lead { prints: u32, prints_per_week: f64, note: String } null { hours: f64 });
object!(Quoted {
    format: u32, part: String, shop: String, material: String, options: Vec<Choice>, pose: Pose, findings: Vec<Finding>,
    pick: Pick, currency: String, demonstration_shop: bool, volume_mm3: f64, watertight: bool, cautions: Vec<String>,
    trust: Trust,
    quantity_breaks: Vec<Break>, ledger: Vec<Line>, date: String, valid_until: String, service: Vec<Use>,
    price_curve: Vec<CurvePoint>,
} null { quantity: u32, subtotal: String, tax: String, total: String, lead_time: Lead });
