//! The objects of `estimate` and `quote`.

use serde::Serialize;

use super::super::layers::LayerObject;
use super::option::OptionObject;
use super::{FORMAT, FindingObject, TrustObject, findings};
use crate::cost::{Ledger, LedgerLine};
use crate::estimate::{Estimate, LeadTime, PartOption};
use crate::mesh::InspectedMesh;
use crate::shop::{Shop, no_row};

/// Said with every lead time.
const LEAD_NOTE: &str = "from the opening of the week to the end of the last print, one print after the other on one \
                         machine, each started and cleared in attended hours; failures and finishing are not in it";

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

#[derive(Serialize)]
pub(super) struct QuoteObject<'a> {
    #[serde(flatten)]
    estimate: EstimateObject<'a>,
    quantity_breaks: Vec<BreakObject>,
    ledger: Vec<LineObject<'a>>,
    subtotal: Option<String>,
    tax: Option<String>,
    total: Option<String>,
    lead_time: Option<LeadObject>,
}

#[derive(Serialize)]
struct BreakObject {
    quantity: u32,
    unit_price: String,
    unit_cost: String,
    total: String,
    earned_per_machine_hour: String,
}

#[derive(Serialize)]
pub(super) struct LineObject<'a> {
    line: &'static str,
    detail: &'a str,
    amount: String,
}

#[derive(Serialize)]
struct LeadObject {
    hours: Option<f64>,
    prints: u32,
    prints_per_week: f64,
    note: &'static str,
}

impl<'a> QuoteObject<'a> {
    pub fn of(
        estimate: EstimateObject<'a>,
        ledger: Option<&'a Ledger>,
        breaks: &[Ledger],
        lead: Option<&LeadTime>,
    ) -> Self {
        let lines = ledger.map_or(&[][..], |ledger| ledger.lines.as_slice());
        QuoteObject {
            estimate,
            quantity_breaks: breaks.iter().map(BreakObject::of).collect(),
            ledger: lines.iter().map(LineObject::of).collect(),
            subtotal: ledger.map(|ledger| ledger.subtotal.to_string()),
            tax: ledger.map(|ledger| ledger.tax.to_string()),
            total: ledger.map(|ledger| ledger.total.to_string()),
            lead_time: lead.map(LeadObject::of),
        }
    }
}

impl BreakObject {
    fn of(ledger: &Ledger) -> Self {
        BreakObject {
            quantity: ledger.quantity,
            unit_price: ledger.unit_price.to_string(),
            unit_cost: ledger.unit_cost.to_string(),
            total: ledger.total.to_string(),
            earned_per_machine_hour: ledger.earned_per_machine_hour.to_string(),
        }
    }
}

impl<'a> LineObject<'a> {
    pub fn of(line: &'a LedgerLine) -> Self {
        LineObject {
            line: line.line,
            detail: &line.detail,
            amount: line.amount.to_string(),
        }
    }
}

impl LeadObject {
    fn of(lead: &LeadTime) -> Self {
        LeadObject {
            hours: Some(lead.hours).filter(|hours| hours.is_finite()),
            prints: lead.prints,
            prints_per_week: lead.prints_per_week,
            note: LEAD_NOTE,
        }
    }
}
