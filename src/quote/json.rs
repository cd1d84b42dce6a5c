//! The answers as JSON, one compact object on one line, as design.md section 7 lists their keys.
//!
//! The types in here are the wire's own: renaming something inside the program renames no key. A key is never renamed
//! or given another meaning; new ones are added behind the old. Money is a string in decimal, a number that is not
//! known is null and never 0.

mod bedful;
mod book;
mod cut;
mod estimate;
mod option;
mod poses;
mod quote;

use serde::Serialize;
use serde_json::Value;

pub use self::bedful::bedful_json;
pub use self::book::{
    after_failure_json, floor_json, jobs_json, lessons_json, met_json, with_history,
};
pub use self::cut::{cut_json, whole_json};
use self::estimate::{EstimateObject, LayersObject};
use self::poses::{PosesObject, WithPoses};
use self::quote::QuoteObject;
use super::fit::FitRow;
use super::offer::Offer;
use crate::estimate::{Estimate, PartOption, PoseTable};
use crate::mesh::{Finding, InspectedMesh};
use crate::pose::{MachineFit, PoseFit, TiltOutcome, TiltSearch};
use crate::shop::Shop;

/// The version of the keys, first in every object. It changes only where a key would have to be renamed.
pub const FORMAT: u32 = 1;

/// What a part is: volume, surface, box, bodies and what was found. `triangles` counts the facets in the file.
pub fn measure_json(part: &str, mesh: &InspectedMesh) -> String {
    let (low, high) = mesh.mesh.box_mm();
    line(&MeasureObject {
        format: FORMAT,
        part,
        unit_assumed: mesh.source.unit.sign(),
        triangles: mesh.facets_read,
        volume_mm3: mesh.mass.volume_mm3,
        area_mm2: mesh.mass.area_mm2,
        box_mm: BoxObject {
            min: low.into(),
            max: high.into(),
            size: (high - low).into(),
        },
        centroid_mm: mesh.mass.centroid_mm.into(),
        bodies: mesh.topology.bodies,
        watertight: mesh.watertight,
        findings: findings(&mesh.findings),
        trust: TrustObject::of(mesh),
        file_format: mesh.source.format,
        unit_stated: mesh.source.unit_stated,
        copies: mesh.source.copies,
    })
}

/// As [`estimate_json`], with the poses of one option under `poses_of`.
pub fn estimate_poses_json(
    part: &str,
    shop: &Shop,
    mesh: &InspectedMesh,
    estimate: &Estimate,
    table: &PoseTable,
) -> String {
    line(&WithPoses {
        estimate: EstimateObject::of(part, shop, mesh, estimate),
        poses_of: PosesObject::of(table),
    })
}

/// How a part fits each of the machines, named by their ids.
pub fn fit_json(part: &str, fits: &[FitRow]) -> String {
    let machines = fits
        .iter()
        .map(|row| MachineObject::of(&row.machine, &row.fit))
        .collect();
    line(&FitObject {
        format: FORMAT,
        part,
        machines,
    })
}

/// Every option of a shop for a part, with the pose, the findings and the option picked.
pub fn estimate_json(part: &str, shop: &Shop, mesh: &InspectedMesh, estimate: &Estimate) -> String {
    line(&EstimateObject::of(part, shop, mesh, estimate))
}

/// The estimate's object, then the layers of one of its options, first layer first.
pub fn estimate_layers_json(
    part: &str,
    shop: &Shop,
    mesh: &InspectedMesh,
    estimate: &Estimate,
    option: &PartOption,
) -> String {
    line(&LayersObject::of(
        EstimateObject::of(part, shop, mesh, estimate),
        option,
    ))
}

/// The estimate's object, then what is charged: the ledger of the first quantity, every quantity's price, plan and dates. Where no
/// option is picked these are empty and null.
pub fn quote_json(offer: &Offer<'_>) -> String {
    let subject = &offer.subject;
    let estimate = EstimateObject::of(subject.part, subject.shop, subject.mesh, subject.estimate);
    line(&QuoteObject::of(estimate, offer))
}

/// A part that gives no answer: what is wrong with it, and the sentence to send the customer.
pub fn bad_part_json(part: &str, error: &str, ask: &str) -> String {
    line(&BadPartObject {
        format: FORMAT,
        part,
        error,
        ask,
    })
}

/// One line without its end. Line ends within texts are escaped by JSON itself.
pub(super) fn line(object: &impl Serialize) -> String {
    // Plain structs with text keys always serialize; should one not, the line says so instead of being empty.
    serde_json::to_string(object).unwrap_or_else(|error| {
        let error = Value::String(error.to_string());
        format!("{{\"format\":{FORMAT},\"error\":{error}}}")
    })
}

fn findings(findings: &[Finding]) -> Vec<FindingObject<'_>> {
    findings.iter().map(FindingObject::of).collect()
}

#[derive(Serialize)]
struct MeasureObject<'a> {
    format: u32,
    part: &'a str,
    unit_assumed: &'static str,
    triangles: usize,
    volume_mm3: f64,
    area_mm2: f64,
    box_mm: BoxObject,
    centroid_mm: [f64; 3],
    bodies: usize,
    watertight: bool,
    findings: Vec<FindingObject<'a>>,
    trust: TrustObject,
    file_format: &'static str,
    unit_stated: bool,
    copies: u32,
}

/// How far the volume can be trusted.
#[derive(Serialize)]
struct TrustObject {
    grade: &'static str,
    volume_bounds_mm3: [f64; 2],
    volume_as_drawn_mm3: f64,
    examined: bool,
}

impl TrustObject {
    fn of(mesh: &InspectedMesh) -> Self {
        TrustObject {
            grade: mesh.trust.grade.name(),
            volume_bounds_mm3: mesh.trust.volume_bounds_mm3,
            volume_as_drawn_mm3: mesh.volume_as_drawn_mm3,
            examined: mesh.examined,
        }
    }
}

#[derive(Serialize)]
struct BoxObject {
    min: [f64; 3],
    max: [f64; 3],
    size: [f64; 3],
}

#[derive(Serialize)]
struct FindingObject<'a> {
    kind: &'static str,
    count: u64,
    detail: &'a str,
    mended: bool,
    at_mm: Option<[f64; 3]>,
    body: Option<u32>,
}

impl<'a> FindingObject<'a> {
    fn of(finding: &'a Finding) -> Self {
        FindingObject {
            kind: finding.kind.name(),
            count: finding.count,
            detail: &finding.detail,
            mended: finding.mended,
            at_mm: finding.at_mm.map(Into::into),
            body: finding.body,
        }
    }
}

#[derive(Serialize)]
struct FitObject<'a> {
    format: u32,
    part: &'a str,
    machines: Vec<MachineObject<'a>>,
}

#[derive(Serialize)]
struct MachineObject<'a> {
    machine: &'a str,
    fits: bool,
    poses: Vec<PoseObject<'a>>,
    pieces_if_cut: Option<u64>,
    why_not: Option<&'a str>,
    search: Option<SearchObject>,
}

/// The search over all rotations, where no axis-down pose fits.
#[derive(Serialize)]
struct SearchObject {
    poses_searched: usize,
    proven: bool,
    answer: String,
}

impl SearchObject {
    fn of(search: &TiltSearch) -> Self {
        SearchObject {
            poses_searched: search.searched,
            proven: !matches!(search.outcome, TiltOutcome::NotFound { .. }),
            answer: search.in_words(),
        }
    }
}

impl<'a> MachineObject<'a> {
    fn of(machine: &'a str, fit: &'a MachineFit) -> Self {
        MachineObject {
            machine,
            fits: fit.fits,
            poses: fit.poses.iter().map(PoseObject::of).collect(),
            pieces_if_cut: fit.pieces_if_cut,
            why_not: fit.nearest_miss.as_ref().map(|miss| miss.words.as_str()),
            search: fit.search.as_ref().map(SearchObject::of),
        }
    }
}

#[derive(Serialize)]
struct PoseObject<'a> {
    rotation: [[f64; 3]; 3],
    size_mm: [f64; 3],
    margin_mm: f64,
    turn_deg: f64,
    turns_deg: &'a [(f64, f64)],
    tilt_deg: f64,
    down: String,
    best_turn_deg: f64,
    best_margin_mm: f64,
    sides_mm: SidesObject,
    above_mm: f64,
    at_mm: [f64; 2],
    turns_open_deg: f64,
}

#[derive(Serialize)]
struct SidesObject {
    left: f64,
    right: f64,
    front: f64,
    back: f64,
}

impl<'a> PoseObject<'a> {
    fn of(pose: &'a PoseFit) -> Self {
        let matrix = pose.rotation.matrix();
        let [left, right, front, back] = pose.sides_mm;
        PoseObject {
            // Row by row: a rotation times the part's own (x, y, z) is the posed part's.
            rotation: [0, 1, 2].map(|row| [0, 1, 2].map(|column| matrix[(row, column)])),
            size_mm: pose.size_mm,
            margin_mm: pose.margin_mm,
            turn_deg: pose.turn_deg,
            turns_deg: &pose.turns_deg,
            tilt_deg: pose.tilt_deg,
            down: pose.down.to_string(),
            best_turn_deg: pose.best_turn_deg,
            best_margin_mm: pose.best_margin_mm,
            sides_mm: SidesObject {
                left,
                right,
                front,
                back,
            },
            above_mm: pose.above_mm,
            at_mm: pose.at_mm,
            turns_open_deg: pose.turns_open_deg,
        }
    }
}

#[derive(Serialize)]
struct BadPartObject<'a> {
    format: u32,
    part: &'a str,
    error: &'a str,
    ask: &'a str,
}
