//! The poses of an option, for programs.

use serde::Serialize;

use super::estimate::EstimateObject;
use crate::estimate::{PoseFigures, PoseTable};

/// An estimate with the poses of one option.
#[derive(Serialize)]
pub(super) struct WithPoses<'a> {
    #[serde(flatten)]
    pub estimate: EstimateObject<'a>,
    pub poses_of: PosesObject<'a>,
}

/// The poses of an option.
#[derive(Serialize)]
pub(super) struct PosesObject<'a> {
    option: &'a str,
    looked_at: usize,
    do_not_fit: usize,
    /// The pose in use first.
    poses: Vec<PoseRow>,
}

#[derive(Serialize)]
struct PoseRow {
    down: String,
    tilt_deg: f64,
    turn_deg: f64,
    size_mm: [f64; 3],
    margin_mm: f64,
    layers: usize,
    hours: f64,
    mass_g: f64,
    support_g: f64,
    unit_price: String,
    failure_probability: f64,
    cusp_um: f64,
    face: Option<FaceObject>,
    load_off_layers_deg: Option<f64>,
    load_off_beads_deg: Option<f64>,
    foot_mm2: f64,
    height_to_foot: Option<f64>,
}

#[derive(Serialize)]
struct FaceObject {
    area_mm2: f64,
    cusp_um: f64,
    lies: &'static str,
}

impl<'a> PosesObject<'a> {
    pub fn of(table: &'a PoseTable) -> Self {
        PosesObject {
            option: &table.option,
            looked_at: table.looked_at,
            do_not_fit: table.do_not_fit,
            poses: table.poses.iter().map(PoseRow::of).collect(),
        }
    }
}

impl PoseRow {
    fn of(pose: &PoseFigures) -> Self {
        PoseRow {
            down: pose.fit.down.to_string(),
            tilt_deg: pose.fit.tilt_deg,
            turn_deg: pose.fit.turn_deg,
            size_mm: pose.fit.size_mm,
            margin_mm: pose.fit.margin_mm,
            layers: pose.layers,
            hours: pose.hours,
            mass_g: pose.mass_g,
            support_g: pose.support_g,
            unit_price: pose.unit_price.to_string(),
            failure_probability: pose.failure_probability,
            cusp_um: pose.cusp_um,
            face: pose.face.as_ref().map(|face| FaceObject {
                area_mm2: face.area_mm2,
                cusp_um: face.cusp_um,
                lies: face.lies.in_words(),
            }),
            load_off_layers_deg: pose.loaded.map(|loaded| loaded.off_layers_deg),
            load_off_beads_deg: pose.loaded.map(|loaded| loaded.off_beads_deg),
            foot_mm2: pose.foot_mm2,
            height_to_foot: Some(pose.height_to_foot).filter(|ratio| ratio.is_finite()),
        }
    }
}
