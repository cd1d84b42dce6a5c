//! The objects of `estimate`.

use serde::Serialize;

use super::super::layers::LayerObject;
use super::option::OptionObject;
use super::{FORMAT, FindingObject, TrustObject, findings};
use crate::estimate::{Estimate, PartOption};
use crate::mesh::InspectedMesh;
use crate::shop::{Shop, no_row};

#[derive(Serialize)]
pub(super) struct EstimateObject<'a> {
    format: u32,
    part: &'a str,
    shop: &'a str,
    material: &'a str,
    options: Vec<OptionObject<'a>>,
    pose: PoseObject<'a>,
    findings: Vec<FindingObject<'a>>,
    pick: PickObject<'a>,
    currency: &'static str,
    quantity: Option<u32>,
    demonstration_shop: bool,
    volume_mm3: f64,
    watertight: bool,
    cautions: Vec<String>,
    trust: TrustObject,
}

#[derive(Serialize)]
struct PoseObject<'a> {
    down: String,
    why: &'a str,
    size_mm: [f64; 3],
    other_pose: Option<&'a str>,
    turn_deg: Option<f64>,
    margin_mm: Option<f64>,
}

#[derive(Serialize)]
struct PickObject<'a> {
    machine: Option<&'a str>,
    nozzle: Option<&'a str>,
    why: &'a str,
    instead: &'a [String],
}

impl<'a> EstimateObject<'a> {
    pub fn of(part: &'a str, shop: &'a Shop, mesh: &InspectedMesh, estimate: &'a Estimate) -> Self {
        let options = estimate.options.iter();
        EstimateObject {
            format: FORMAT,
            part,
            shop: &shop.name,
            material: &estimate.material,
            options: options
                .clone()
                .map(|option| OptionObject::of(option, estimate, shop))
                .collect(),
            pose: PoseObject::of(estimate),
            findings: findings(&estimate.findings),
            pick: PickObject::of(estimate),
            currency: shop.currency.code(),
            // Every ledger is made for the quantity asked; without one there is no price it could belong to.
            quantity: options
                .filter_map(PartOption::made)
                .map(|made| made.ledger.quantity)
                .next(),
            demonstration_shop: shop.demonstration,
            volume_mm3: mesh.mass.volume_mm3,
            watertight: mesh.watertight,
            cautions: cautions(shop, estimate),
            trust: TrustObject::of(mesh),
        }
    }
}

impl<'a> PoseObject<'a> {
    fn of(estimate: &'a Estimate) -> Self {
        let pose = estimate.picked().map(|(_, made)| &made.pose);
        PoseObject {
            down: estimate.down.to_string(),
            why: &estimate.down_why,
            size_mm: estimate.size_mm,
            other_pose: estimate.other_pose.as_deref(),
            turn_deg: pose.map(|pose| pose.turn_deg),
            margin_mm: pose.map(|pose| pose.margin_mm),
        }
    }
}

impl<'a> PickObject<'a> {
    fn of(estimate: &'a Estimate) -> Self {
        let option = estimate.picked().map(|(option, _)| option);
        PickObject {
            machine: option.map(|option| option.machine.as_str()),
            nozzle: option.map(|option| option.nozzle.as_str()),
            why: &estimate.pick.why,
            instead: &estimate.pick.instead,
        }
    }
}

/// The plastic's cautions, and each machine whose melt limit nothing is known of.
fn cautions(shop: &Shop, estimate: &Estimate) -> Vec<String> {
    let plastic = shop.material(&estimate.material);
    let mut cautions = plastic.map_or_else(Vec::new, |plastic| plastic.cautions.clone());
    let rowless = |machine: &str| {
        let mut options = estimate.options.iter().filter(|o| o.machine == machine);
        options.any(|option| option.made().is_some_and(|made| made.row.is_none()))
    };
    let machines = shop.machines.iter();
    cautions.extend(machines.filter(|machine| rowless(&machine.id)).map(no_row));
    cautions
}

/// An estimate with the layers of one option.
#[derive(Serialize)]
pub(super) struct LayersObject<'a> {
    #[serde(flatten)]
    estimate: EstimateObject<'a>,
    layers_of: LayersOf<'a>,
}

#[derive(Serialize)]
struct LayersOf<'a> {
    machine: &'a str,
    nozzle: &'a str,
    layers: Vec<LayerObject>,
}

impl<'a> LayersObject<'a> {
    pub fn of(estimate: EstimateObject<'a>, option: &'a PartOption) -> Self {
        let layers = option
            .made()
            .map_or(&[][..], |made| made.profile.as_slice());
        LayersObject {
            estimate,
            layers_of: LayersOf {
                machine: &option.machine,
                nozzle: &option.nozzle,
                layers: layers.iter().map(LayerObject::of).collect(),
            },
        }
    }
}
