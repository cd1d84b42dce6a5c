//! The band of an estimate: hours and price from and to.
//!
//! Each input that is not known exactly is put at the low and the high end of its stated range, and the option is planned
//! again. The differences are taken as independent and joined as the root of their squares (JCGM 100:2008, the guide to the
//! expression of uncertainty, from memory).

use rust_decimal::Decimal;

use super::EstimateError;
use super::asked::Asked;
use super::option::Made;
use super::replan::{Change, melt_doubt};
use super::sample::Sample;
use super::table::{Estimate, run};
use crate::cost::{Run, ledger};
use crate::mesh::{InspectedMesh, Trust};
use crate::section::{THIN_MM, sections_thinned};
use crate::shop::Doubt;

/// Hours and price from and to.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// The least seconds.
    pub from_s: f64,
    /// The most seconds.
    pub to_s: f64,
    /// The price of a piece at the least seconds.
    pub from_price: Decimal,
    /// The price of a piece at the most seconds.
    pub to_price: Decimal,
    /// What each input does, the one that weighs most first.
    pub inputs: Vec<BandInput>,
    /// By what the logarithms of its ends were multiplied, where the shop file has that from the job book.
    pub learnt: Option<f64>,
}

/// One input that is not known exactly.
#[derive(Debug, Clone, PartialEq)]
pub struct BandInput {
    /// Its name in JSON.
    pub name: &'static str,
    /// What it is and the range it was taken in.
    pub range: String,
    /// The whole job at its end that gives the least, s.
    pub from_s: f64,
    /// The whole job at its other end, s.
    pub to_s: f64,
}

impl BandInput {
    fn of(name: &'static str, range: String, seconds: f64, at_ends: [f64; 2]) -> BandInput {
        let [a, b] = at_ends;
        BandInput {
            name,
            range,
            from_s: a.min(b).min(seconds),
            to_s: a.max(b).max(seconds),
        }
    }

    fn width_s(&self) -> f64 {
        self.to_s - self.from_s
    }
}

/// The inputs of an option's band. `thinning` is the seconds of a sample of layers planned on contours thinned to a third, over
/// those planned as usual.
pub(super) fn inputs(
    made: &Made,
    doubt: &Doubt,
    trust: &Trust,
    volume_mm3: f64,
    thinning: f64,
) -> Vec<BandInput> {
    let seconds = made.seconds.whole_s();
    let mut all = Vec::new();
    let mut replanned = |name, range: String, low: Change, high: Change| {
        if let (Some(a), Some(b)) = (made.seconds_with(low), made.seconds_with(high)) {
            all.push(BandInput::of(name, range, seconds, [a, b]));
        }
    };
    let percent = |share: f64| format!("{:.0} %", 100.0 * share);
    if let Some(share) = melt_doubt(made.row.as_ref(), doubt) {
        let borrowed = made.row.as_ref().is_some_and(|row| row.borrowed.is_some());
        let whose = if borrowed {
            "a borrowed"
        } else {
            "the measured"
        };
        let range = format!("{whose} melt limit within {}", percent(share));
        replanned("melt_limit", range, Change::MeltLow, Change::MeltHigh);
    }
    let range = format!("speeds and acceleration within {}", percent(doubt.motion));
    replanned("motion", range, Change::MotionLow, Change::MotionHigh);
    let laying_s: f64 = made.seconds.laying_s.iter().sum();
    let paths_s = laying_s + made.seconds.travel_s;
    all.push(BandInput::of(
        "thinning",
        format!(
            "contours thinned to {THIN_MM} mm, {:+.2} % with finer ones in a sample",
            100.0 * (thinning - 1.0)
        ),
        seconds,
        [seconds + paths_s * (thinning - 1.0), seconds],
    ));
    let [low_mm3, high_mm3] = trust.volume_bounds_mm3;
    if volume_mm3 > 0.0 && low_mm3 < high_mm3 {
        let with = |mm3: f64| seconds + laying_s * (mm3 / volume_mm3 - 1.0);
        let range = format!(
            "the mesh's volume within {:.1} to {:.1} cm3",
            low_mm3 / 1e3,
            high_mm3 / 1e3
        );
        all.push(BandInput::of(
            "mesh",
            range,
            seconds,
            [with(low_mm3), with(high_mm3)],
        ));
    }
    all.sort_by(|a, b| b.width_s().total_cmp(&a.width_s()));
    all
}

/// The least and the most seconds of all inputs together.
pub(super) fn ends_s(inputs: &[BandInput], seconds: f64) -> [f64; 2] {
    let root =
        |differences: &mut dyn Iterator<Item = f64>| differences.map(|d| d * d).sum::<f64>().sqrt();
    let down_s = root(&mut inputs.iter().map(|i| seconds - i.from_s));
    let up_s = root(&mut inputs.iter().map(|i| i.to_s - seconds));
    [(seconds - down_s).max(0.0), seconds + up_s]
}

/// Layers planned again on finer contours.
const SAMPLE: usize = 6;
/// They are thinned to this share of the usual.
const FINER_SHARE: f64 = 0.3;

/// Gives every option of an estimate its band.
pub(super) fn attach(
    part: &InspectedMesh,
    asked: &Asked<'_>,
    sample: Option<&Sample>,
    estimate: &mut Estimate,
) -> Result<(), EstimateError> {
    let thinning = sample
        .and_then(|sample| finer_over_usual(part, sample))
        .unwrap_or(1.0);
    for option in &mut estimate.options {
        let names = (
            asked.shop.machine(&option.machine),
            asked.shop.nozzle(&option.nozzle),
        );
        let (Ok(made), (Some(machine), Some(nozzle))) = (&mut option.outcome, names) else {
            continue;
        };
        let volume_mm3 = part.mass.volume_mm3;
        let doubt = &asked.process.doubt;
        let inputs = inputs(made, doubt, &part.trust, volume_mm3, thinning);
        let seconds = made.seconds.whole_s();
        let own = made.row.as_ref().and_then(|row| row.own());
        let learnt = own.and_then(|row| row.band_factor);
        let narrowed = |end_s: f64| match learnt {
            Some(factor) if seconds > 0.0 => seconds * (end_s / seconds).powf(factor),
            _ => end_s,
        };
        let [from_s, to_s] = ends_s(&inputs, seconds).map(narrowed);
        let [low_mm3, high_mm3] = part.trust.volume_bounds_mm3;
        let price = |seconds: f64, mm3: f64| {
            let scale = if volume_mm3 > 0.0 {
                mm3 / volume_mm3
            } else {
                1.0
            };
            let run = Run {
                seconds,
                part_g: made.mass_g * scale,
                ..run(
                    machine,
                    nozzle,
                    asked.material,
                    &made.seconds,
                    &made.amounts(),
                )
            };
            let shop = asked.shop;
            let quantity = asked.ask.quantity;
            ledger(&run, &shop.rates, &shop.attended, shop.currency, quantity).map(|l| l.unit_price)
        };
        let (from_price, to_price) = (price(from_s, low_mm3)?, price(to_s, high_mm3)?);
        made.band = Some(Band {
            from_s,
            to_s,
            from_price,
            to_price,
            inputs,
            learnt,
        });
    }
    Ok(())
}

/// Seconds of an even sample of layers planned on contours thinned to a third of the usual tolerance, over those planned as usual.
fn finer_over_usual(part: &InspectedMesh, sample: &Sample) -> Option<f64> {
    let planes_mm = sample.planes_mm(SAMPLE);
    let seconds = |thin_mm: f64| {
        let cut = sections_thinned(&sample.posed, &part.topology, &planes_mm, thin_mm);
        sample.seconds(&cut.regions)
    };
    Some(seconds(FINER_SHARE * THIN_MM)? / seconds(THIN_MM)?)
}
