//! An order on full beds: how many copies each machine takes at once, how long its beds take, and what a piece costs so.

use rayon::prelude::*;

use super::EstimateError;
use super::ask::Ask;
use super::asked::Asked;
use super::bed_walk::{Standing, Walked};
use super::option::{Made, Seconds};
use super::table::{Amounts, Estimate, estimate, run};
use crate::bedful::{Beds, Item, Known, Turns, fill_beds};
use crate::cost::{Ledger, Restart, Risk, Starts, order_ledger};
use crate::mesh::InspectedMesh;
use crate::motion::Limit;
use crate::plane::Region;
use crate::pose::{BuildSpace, Pose, PoseFit, Rest, outline};
use crate::shop::{Machine, Shop};

/// One part of an order.
#[derive(Debug, Clone, Copy)]
pub struct OrderPart<'a> {
    /// The part.
    pub part: &'a InspectedMesh,
    /// Pieces wanted; as many as one bed takes where nothing is said.
    pub count: Option<u32>,
}

/// An order on the beds of a shop.
#[derive(Debug, Clone, PartialEq)]
pub struct Bedfuls {
    /// The plastic's id.
    pub material: String,
    /// Clearance between outlines, mm.
    pub clearance_mm: f64,
    /// Which direction of each part points down.
    pub down: Vec<Rest>,
    /// Every machine asked for.
    pub machines: Vec<MachineBeds>,
    /// The machine and option with the least price of a piece.
    pub pick: Option<[usize; 2]>,
}

/// An order on one machine's beds.
#[derive(Debug, Clone, PartialEq)]
pub struct MachineBeds {
    /// The machine's id.
    pub machine: String,
    /// Its bed, mm.
    pub bed: Region,
    /// What of its bed may be covered by parts as high as the highest of the order, mm.
    pub usable: Region,
    /// The beds; none where a part can't be placed.
    pub beds: Beds,
    /// Its nozzles: what the beds take with each, or why they can't be printed.
    pub options: Vec<(String, Result<BedsMade, String>)>,
}

/// What one option makes of an order.
#[derive(Debug, Clone, PartialEq)]
pub struct BedsMade {
    /// Each kind of bed.
    pub beds: Vec<BedMade>,
    /// The order on these beds.
    pub ledger: Ledger,
    /// The same pieces one at a time, s.
    pub alone_s: f64,
    /// The same pieces one at a time.
    pub alone: Ledger,
}

/// One kind of bed on one option. Seconds carry the machine's correction.
#[derive(Debug, Clone, PartialEq)]
pub struct BedMade {
    /// Copies on it, all of which are lost when it fails.
    pub copies: u32,
    /// How often it is printed.
    pub times: u32,
    /// Its clock.
    pub seconds: Seconds,
    /// What holds the speed down.
    pub limit: Limit,
    /// Mass of the parts, g.
    pub mass_g: f64,
    /// Mass of their support, brims and the purge line, g.
    pub support_g: f64,
    /// The odds of one bed.
    pub risk: Risk,
}

impl BedsMade {
    /// Hours of all beds, when none fails, s.
    pub fn whole_s(&self) -> f64 {
        self.beds
            .iter()
            .map(|bed| bed.seconds.whole_s() * f64::from(bed.times))
            .sum()
    }

    /// Pieces of all beds.
    pub fn pieces(&self) -> u32 {
        self.beds.iter().map(|bed| bed.copies * bed.times).sum()
    }
}

impl Bedfuls {
    /// The machine and option with the least price of a piece.
    pub fn picked(&self) -> Option<(&MachineBeds, &str, &BedsMade)> {
        let [machine, option] = self.pick?;
        let machine = &self.machines[machine];
        let (nozzle, made) = &machine.options[option];
        Some((machine, nozzle, made.as_ref().ok()?))
    }
}

/// Puts an order on the beds of a shop. Every part stands as [`estimate`] would have it, turned as the bed is filled best.
///
/// Each copy is walked at its own turn, so what a turn does to the raster is in its seconds; the bed's clock adds the copies
/// up layer by layer (see `docs/bedfuls.md` for how far that is from walking the whole bed as one part).
///
/// # Errors
/// As [`estimate`], and for a clearance that is no length.
pub fn bedfuls(
    order: &[OrderPart<'_>],
    shop: &Shop,
    ask: &Ask,
    clearance_mm: f64,
) -> Result<Bedfuls, EstimateError> {
    let asked = Asked::of(shop, ask)?;
    let parts: Vec<Part<'_>> = order
        .iter()
        .map(|part| Part::of(part, shop, ask))
        .collect::<Result<_, EstimateError>>()?;
    let wanted = |m: &&Machine| ask.machine.as_deref().is_none_or(|id| id == m.id);
    let machines: Vec<&Machine> = shop.machines.iter().filter(wanted).collect();
    let machines: Vec<MachineBeds> = machines
        .par_iter()
        .map(|machine| on_machine(&parts, &asked, machine, clearance_mm))
        .collect::<Result<_, EstimateError>>()?;
    Ok(Bedfuls {
        material: asked.material.id.clone(),
        clearance_mm,
        down: parts.iter().map(|part| part.estimate.down).collect(),
        pick: cheapest(&machines),
        machines,
    })
}

fn cheapest(machines: &[MachineBeds]) -> Option<[usize; 2]> {
    let all = machines.iter().enumerate().flat_map(|(m, machine)| {
        let made = move |(o, (_, made)): (usize, &(String, Result<BedsMade, String>))| {
            Some(([m, o], made.as_ref().ok()?.ledger.unit_price))
        };
        machine.options.iter().enumerate().filter_map(made)
    });
    // The first of equals.
    all.min_by(|a, b| a.1.cmp(&b.1)).map(|(at, _)| at)
}

/// A part of the order with its estimate.
struct Part<'a> {
    mesh: &'a InspectedMesh,
    count: Option<u32>,
    estimate: Estimate,
    outline: Region,
}

impl<'a> Part<'a> {
    fn of(of: &OrderPart<'a>, shop: &Shop, ask: &Ask) -> Result<Part<'a>, EstimateError> {
        let estimate = estimate(of.part, shop, ask)?;
        Ok(Part {
            mesh: of.part,
            count: of.count,
            outline: outline(&of.part.mesh, &Pose::new(estimate.down, 0.0)),
            estimate,
        })
    }

    /// What an option makes of the part alone.
    fn alone(&self, machine: &str, nozzle: &str) -> Result<&Made, String> {
        let options = self.estimate.options.iter();
        let mut options = options.filter(|o| o.machine == machine && o.nozzle == nozzle);
        match options.next().map(|option| &option.outcome) {
            Some(Ok(made)) => Ok(made),
            Some(Err(refusal)) => Err(refusal.reasons.join("; ")),
            None => Err("it was not asked for".to_owned()),
        }
    }
}

fn on_machine(
    parts: &[Part<'_>],
    asked: &Asked<'_>,
    machine: &Machine,
    clearance_mm: f64,
) -> Result<MachineBeds, EstimateError> {
    let space = asked.space_of(machine);
    let highest_mm = parts.iter().map(|part| part.estimate.size_mm[2]);
    let usable = space.usable_region(highest_mm.fold(0.0, f64::max));
    let clearance_mm = with_brims(clearance_mm, &space);
    let pairs = asked
        .pairs()
        .into_iter()
        .filter(|(m, _)| m.id == machine.id);
    let nozzles: Vec<&str> = pairs.map(|(_, nozzle)| nozzle.id.as_str()).collect();
    let made = |nozzle: &&str| -> Result<Vec<&Made>, String> {
        parts
            .iter()
            .map(|part| part.alone(&machine.id, nozzle))
            .collect()
    };
    let alone: Vec<_> = nozzles.iter().map(made).collect();
    // A machine that can't print the parts, too low ones among them, needs no places.
    let beds = if alone.iter().any(Result::is_ok) {
        let fits = alone.iter().flatten().next();
        let pose = |index: usize| fits.map(|made| &made[index].pose);
        let items: Vec<Item> = (0..parts.len())
            .map(|index| item(&parts[index].outline, parts[index].count, pose(index)))
            .collect();
        fill_beds(&items, &usable, clearance_mm)?
    } else {
        Beds::default()
    };
    let lacks = beds.kinds.is_empty() || beds.left.iter().any(|left| *left > 0);
    let options = nozzles.par_iter().zip(alone).map(|(nozzle, alone)| {
        let made = match alone {
            Err(reasons) => Err(reasons),
            Ok(_) if lacks => Err("no place was found on the bed for all that is asked".to_owned()),
            Ok(alone) => Ok(beds_made(parts, asked, machine, nozzle, &beds, &alone)?),
        };
        Ok(((*nozzle).to_owned(), made))
    });
    let options = options.collect::<Result<Vec<_>, EstimateError>>()?;
    Ok(MachineBeds {
        machine: machine.id.clone(),
        bed: space.bed_region(),
        usable,
        beds,
        options,
    })
}

/// The clearance at which no two brims touch, mm; what is no clearance is left for the bed to refuse.
pub(super) fn with_brims(clearance_mm: f64, space: &BuildSpace) -> f64 {
    if clearance_mm >= 0.0 {
        clearance_mm.max(2.0 * space.brim_mm)
    } else {
        clearance_mm
    }
}

/// What is placed on a bed: an outline, as often as wanted, turned in any way; where it stands alone is known.
pub(super) fn item(outline: &Region, wanted: Option<u32>, pose: Option<&PoseFit>) -> Item {
    Item {
        outline: outline.clone(),
        wanted,
        turns: Turns::Any,
        known: pose.map(|pose| Known {
            turn_deg: pose.turn_deg,
            corner_mm: pose.at_mm,
            roomiest_deg: pose.best_turn_deg,
        }),
    }
}

fn beds_made(
    parts: &[Part<'_>],
    asked: &Asked<'_>,
    machine: &Machine,
    nozzle: &str,
    beds: &Beds,
    alone: &[&Made],
) -> Result<BedsMade, EstimateError> {
    let shop = asked.shop;
    let nozzle = shop.nozzle(nozzle).ok_or(EstimateError::Unknown {
        what: "nozzle",
        given: nozzle.to_owned(),
        known: machine.nozzles.join(", "),
    })?;
    let standing: Vec<Standing<'_>> = parts
        .iter()
        .map(|part| Standing {
            mesh: part.mesh,
            down: part.estimate.down,
        })
        .collect();
    let walked = Walked::of(&standing, asked, beds, alone);
    let mut starts = Vec::new();
    let mut made = Vec::new();
    for (bed, times) in &beds.kinds {
        let of = walked.bed(bed, alone);
        let run = run(
            machine,
            nozzle,
            asked.material,
            &of.seconds,
            &Amounts {
                part_g: of.mass_g,
                support_g: of.support_g,
                surface_mm2: of.surface_mm2,
                held_mm2: of.held_mm2,
            },
        );
        let (hours, heating_h) = (of.seconds.hours(), of.seconds.start_s / 3600.0);
        let restart = Restart::on(&run.failures(), hours, heating_h, &shop.attended)?;
        starts.push(Starts {
            run,
            pieces_per_start: of.copies,
            starts: *times,
        });
        made.push(of.made(*times, restart.risk()?));
    }
    let mut alone_s = 0.0;
    let mut singles = Vec::new();
    for (index, one) in alone.iter().enumerate() {
        let count: u32 = beds
            .kinds
            .iter()
            .map(|(bed, times)| bed.copies_of(index) * times)
            .sum();
        alone_s += f64::from(count) * one.seconds.whole_s();
        let run = run(
            machine,
            nozzle,
            asked.material,
            &one.seconds,
            &one.amounts(),
        );
        if count > 0 {
            singles.push(Starts {
                run,
                pieces_per_start: 1,
                starts: count,
            });
        }
    }
    let ledger =
        |starts: &[Starts<'_>]| order_ledger(starts, &shop.rates, &shop.attended, shop.currency);
    Ok(BedsMade {
        beds: made,
        ledger: ledger(&starts)?,
        alone_s,
        alone: ledger(&singles)?,
    })
}
