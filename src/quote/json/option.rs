//! One option of `estimate`.

use serde::Serialize;

use crate::estimate::{Band, BandInput, Estimate, Made, PartOption, Replanned, Seconds, advice};
use crate::shop::{RowUsed, Shop};

/// One option; everything behind `why_not` but its name is null where it is refused.
#[derive(Serialize)]
pub(super) struct OptionObject<'a> {
    machine: &'a str,
    nozzle: &'a str,
    material: &'a str,
    fits: bool,
    why_not: Option<String>,
    layer_height_mm: Option<f64>,
    bead_width_mm: Option<f64>,
    layers: Option<usize>,
    solid_fill_layers: Option<usize>,
    perimeters: Option<u32>,
    bead_length_mm: Option<ByRole>,
    travel_mm: Option<f64>,
    deposited_mm3: Option<f64>,
    support_mm3: Option<f64>,
    mass_g: Option<f64>,
    support_g: Option<f64>,
    seconds: Option<f64>,
    seconds_by: Option<SecondsObject>,
    limit: Option<&'static str>,
    limit_share: Option<ShareObject>,
    mean_flow_mm3_s: Option<f64>,
    cusp_um: Option<f64>,
    cusp_greatest_um: Option<f64>,
    roughness_um: Option<f64>,
    detail_lost_mm3: Option<f64>,
    failure_probability: Option<f64>,
    unit_cost: Option<String>,
    unit_price: Option<String>,
    measured_row: Option<RowObject<'a>>,
    correction: Option<f64>,
    turn_deg: Option<f64>,
    margin_mm: Option<f64>,
    earned_per_machine_hour: Option<String>,
    band: Option<BandObject<'a>>,
    replanned: Vec<ReplannedObject>,
    advice: Vec<String>,
    layer_seconds: Option<LayerSecondsObject>,
    interfaces_per_cm: Option<f64>,
    wall_mm: Option<f64>,
    cusp_greatest_at_mm: Option<[f64; 3]>,
    detail_lost_mm2: Option<f64>,
    grams_correction: Option<f64>,
    detail_lost_at_mm: Option<[f64; 3]>,
    supported_mm2: Option<f64>,
}

impl<'a> OptionObject<'a> {
    pub fn of(option: &'a PartOption, estimate: &'a Estimate, shop: &Shop) -> Self {
        let material = &estimate.material;
        let made = option.made();
        let number = |figure: fn(&Made) -> f64| made.map(figure);
        let refusal = option.outcome.as_ref().err();
        OptionObject {
            machine: &option.machine,
            nozzle: &option.nozzle,
            material,
            fits: refusal.is_none_or(|refusal| refusal.fits),
            why_not: refusal.map(|refusal| refusal.reasons.join("; ")),
            layer_height_mm: number(|made| made.bead.height_mm()),
            bead_width_mm: number(|made| made.bead.width_mm()),
            layers: made.map(|made| made.layers),
            solid_fill_layers: made.map(|made| made.solid_fill_layers),
            perimeters: made.map(|made| made.perimeters),
            bead_length_mm: made.map(|made| ByRole::of(made.bead_length_mm)),
            travel_mm: number(|made| made.travel_mm),
            deposited_mm3: number(|made| made.deposited_mm3),
            support_mm3: number(|made| made.support_mm3),
            mass_g: number(|made| made.mass_g),
            support_g: number(|made| made.support_g),
            seconds: number(|made| made.seconds.whole_s()),
            seconds_by: made.map(|made| SecondsObject::of(&made.seconds)),
            limit: made.map(|made| made.limit.name()),
            limit_share: made.map(|made| ShareObject::of(made.limit_share)),
            mean_flow_mm3_s: number(|made| made.mean_flow_mm3_s),
            cusp_um: number(|made| made.cusp_um),
            cusp_greatest_um: number(|made| made.greatest_cusp_um),
            roughness_um: made.and_then(|made| made.roughness_um),
            detail_lost_mm3: number(|made| made.detail_lost_mm3),
            failure_probability: number(|made| made.ledger.risk.failure_probability),
            unit_cost: made.map(|made| made.ledger.unit_cost.to_string()),
            unit_price: made.map(|made| made.ledger.unit_price.to_string()),
            measured_row: made.and_then(|made| made.row.as_ref()).map(RowObject::of),
            correction: number(|made| made.correction),
            turn_deg: number(|made| made.pose.turn_deg),
            margin_mm: number(|made| made.pose.margin_mm),
            earned_per_machine_hour: made
                .map(|made| made.ledger.earned_per_machine_hour.to_string()),
            band: made.and_then(|made| made.band.as_ref()).map(BandObject::of),
            replanned: made.map_or(Vec::new(), |made| {
                made.replanned.iter().map(ReplannedObject::of).collect()
            }),
            advice: advice(estimate, option, shop),
            layer_seconds: made.and_then(LayerSecondsObject::of),
            interfaces_per_cm: number(|made| 10.0 / made.bead.height_mm()),
            wall_mm: number(Made::wall_mm),
            cusp_greatest_at_mm: made.and_then(|made| made.greatest_cusp_at_mm),
            detail_lost_mm2: number(|made| made.detail_lost_mm2),
            grams_correction: number(|made| made.grams_correction),
            detail_lost_at_mm: made.and_then(|made| made.detail_lost_at_mm),
            supported_mm2: made.map(|made| made.held_mm2),
        }
    }
}

/// Hours and price from and to.
#[derive(Serialize)]
struct BandObject<'a> {
    seconds_from: f64,
    seconds_to: f64,
    unit_price_from: String,
    unit_price_to: String,
    largest: Option<&'a str>,
    inputs: Vec<BandInputObject<'a>>,
    learnt_factor: Option<f64>,
}

#[derive(Serialize)]
struct BandInputObject<'a> {
    input: &'a str,
    range: &'a str,
    seconds_from: f64,
    seconds_to: f64,
}

impl<'a> BandObject<'a> {
    fn of(band: &'a Band) -> Self {
        let input = |input: &'a BandInput| BandInputObject {
            input: input.name,
            range: &input.range,
            seconds_from: input.from_s,
            seconds_to: input.to_s,
        };
        BandObject {
            seconds_from: band.from_s,
            seconds_to: band.to_s,
            unit_price_from: band.from_price.to_string(),
            unit_price_to: band.to_price.to_string(),
            largest: band.inputs.first().map(|input| input.name),
            inputs: band.inputs.iter().map(input).collect(),
            learnt_factor: band.learnt,
        }
    }
}

/// The job with one input changed.
#[derive(Serialize)]
struct ReplannedObject {
    change: &'static str,
    seconds: f64,
}

impl ReplannedObject {
    fn of(replanned: &Replanned) -> Self {
        ReplannedObject {
            change: replanned.change.name(),
            seconds: replanned.seconds,
        }
    }
}

/// Time from layer to layer: the least and the greatest, and the heights of those layers.
#[derive(Serialize)]
struct LayerSecondsObject {
    least: f64,
    least_at_mm: f64,
    greatest: f64,
    greatest_at_mm: f64,
}

impl LayerSecondsObject {
    fn of(made: &Made) -> Option<Self> {
        let (least, greatest) = made.layer_seconds()?;
        Some(LayerSecondsObject {
            least: least.seconds,
            least_at_mm: least.top_mm,
            greatest: greatest.seconds,
            greatest_at_mm: greatest.top_mm,
        })
    }
}

#[derive(Serialize)]
struct ByRole {
    outer: f64,
    inner: f64,
    fill: f64,
    open: f64,
    sliver: f64,
    support: f64,
}

impl ByRole {
    /// From figures in the order of [`Role::ALL`](crate::bead::Role::ALL).
    fn of([outer, inner, fill, open, sliver, support]: [f64; 6]) -> Self {
        ByRole {
            outer,
            inner,
            fill,
            open,
            sliver,
            support,
        }
    }
}

#[derive(Serialize)]
struct SecondsObject {
    #[serde(flatten)]
    laying: ByRole,
    travel: f64,
    layer_change: f64,
    cooling: f64,
    start: f64,
}

impl SecondsObject {
    fn of(seconds: &Seconds) -> Self {
        SecondsObject {
            laying: ByRole::of(seconds.laying_s),
            travel: seconds.travel_s,
            layer_change: seconds.layer_change_s,
            cooling: seconds.cooling_s,
            start: seconds.start_s,
        }
    }
}

#[derive(Serialize)]
struct ShareObject {
    motion: f64,
    melt: f64,
    cooling: f64,
}

impl ShareObject {
    fn of([motion, melt, cooling]: [f64; 3]) -> Self {
        ShareObject {
            motion,
            melt,
            cooling,
        }
    }
}

/// The measured row used, named by what it was measured with.
#[derive(Serialize)]
struct RowObject<'a> {
    machine: &'a str,
    nozzle: &'a str,
    material: &'a str,
    melt_limit_mm3_s: f64,
    margin: f64,
    borrowed: bool,
    note: Option<&'a str>,
}

impl<'a> RowObject<'a> {
    fn of(used: &'a RowUsed) -> Self {
        RowObject {
            machine: &used.row.machine,
            nozzle: &used.row.nozzle,
            material: &used.row.material,
            melt_limit_mm3_s: used.row.melt_limit_mm3_s,
            margin: used.row.margin,
            borrowed: used.borrowed.is_some(),
            note: used.borrowed.as_deref(),
        }
    }
}
