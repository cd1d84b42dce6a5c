//! The best plan for each quantity: one piece a start or several, on which machine, with which nozzle.
//!
//! Beds are filled once for each machine. Which plan is best is first judged by clocks put together from the part's own layers;
//! the options that win are then walked copy by copy, as a bedful is, and every figure told is made from those.

use rayon::prelude::*;
use rust_decimal::Decimal;

use super::EstimateError;
use super::ask::Ask;
use super::asked::Asked;
use super::bed_walk::{Standing, Walked};
use super::bedfuls::{item, with_brims};
use super::option::{Made, PartOption};
use super::pick::eligible;
use super::plan::{Plan, PlannedStart};
use super::table::Estimate;
use crate::bedful::{Bedful, Beds, USUAL_CLEARANCE_MM, fill};
use crate::cost::{CostError, Ledger, Run, Starts, order_ledger};
use crate::mesh::InspectedMesh;
use crate::pose::{Pose, outline};
use crate::shop::{Machine, Material, Nozzle, Shop};

/// Beds of 1 to so many pieces are always tried.
const SMALL_BEDS: u32 = 8;
/// Numbers of prints over which a quantity is tried to be spread evenly, from the fewest on.
const EVEN_SPREADS: u32 = 16;
/// Points of the curve of price against quantity, at most.
const MOST_POINTS: u32 = 120;

/// The plans of an order at several quantities.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Lots {
    /// The best plan for each quantity asked.
    pub plans: Vec<Plan>,
    /// For each of them a larger quantity that costs less in all, with its total.
    pub cheaper: Vec<Option<(u32, Decimal)>>,
    /// Quantity and price of a piece by the best plan, up to the largest quantity asked.
    pub curve: Vec<(u32, Decimal)>,
}

/// Plans an order of each of `quantities` pieces, each at least 1. `None` where no option is picked.
///
/// # Errors
/// [`EstimateError`] where a bed can't be filled or money can't be computed.
pub fn lots(
    part: &InspectedMesh,
    shop: &Shop,
    ask: &Ask,
    estimate: &Estimate,
    quantities: &[u32],
) -> Result<Option<Lots>, EstimateError> {
    let most = quantities.iter().copied().max().unwrap_or(1);
    let Some(floor) = Floor::walked(part, &Asked::of(shop, ask)?, estimate, quantities)? else {
        return Ok(None);
    };
    let plans = quantities
        .iter()
        .map(|quantity| floor.plan(*quantity))
        .collect::<Result<Vec<Plan>, EstimateError>>()?;
    let cheaper = plans.par_iter().map(|plan| floor.cheaper(plan)).collect();
    Ok(Some(Lots {
        curve: floor.curve(most)?,
        plans,
        cheaper,
    }))
}

/// What printing costs at any quantity: the beds of the plans that win at some quantities, walked once.
pub struct Prices<'a>(Floor<'a>);

impl<'a> Prices<'a> {
    /// For a part that is estimated; the options that win at `quantities` are kept. `None` where no option is picked.
    ///
    /// # Errors
    /// As [`lots`].
    pub fn of(
        part: &InspectedMesh,
        shop: &'a Shop,
        ask: &'a Ask,
        estimate: &'a Estimate,
        quantities: &[u32],
    ) -> Result<Option<Prices<'a>>, EstimateError> {
        Ok(Floor::walked(part, &Asked::of(shop, ask)?, estimate, quantities)?.map(Prices))
    }

    /// The ledger of so many pieces by the best plan.
    ///
    /// # Errors
    /// A quantity of 0, and what makes a ledger fail.
    pub fn ledger(&self, quantity: u32) -> Result<Ledger, CostError> {
        Ok(self.0.best(quantity)?.2)
    }

    /// The same where prints take so many times as long, heating left as it is.
    pub fn slower(&self, times: f64) -> Prices<'a> {
        let mut floor = self.0.clone();
        for figures in floor.able.iter_mut().flat_map(|able| &mut able.by_pieces) {
            let printing_s = figures.seconds - figures.start_seconds;
            figures.seconds = figures.start_seconds + printing_s * times;
        }
        Prices(floor)
    }
}

/// What a start of some pieces takes.
#[derive(Debug, Clone, Copy)]
struct Figures {
    seconds: f64,
    start_seconds: f64,
    part_g: f64,
    support_g: f64,
    surface_mm2: f64,
    held_mm2: f64,
}

/// One option that may make the order.
#[derive(Clone)]
struct Able<'a> {
    option: &'a PartOption,
    machine: &'a Machine,
    nozzle: &'a Nozzle,
    material: &'a Material,
    bed: Bedful,
    /// Starts of 1, 2, 3 ... pieces.
    by_pieces: Vec<Figures>,
}

/// Every option that may make the order.
#[derive(Clone)]
struct Floor<'a> {
    shop: &'a Shop,
    able: Vec<Able<'a>>,
}

impl<'a> Floor<'a> {
    /// The options that win at some quantities, their beds walked; `None` where no option is picked.
    fn walked(
        part: &InspectedMesh,
        asked: &Asked<'a>,
        estimate: &'a Estimate,
        quantities: &[u32],
    ) -> Result<Option<Floor<'a>>, EstimateError> {
        let Some(picked) = estimate.pick.option else {
            return Ok(None);
        };
        let most = quantities.iter().copied().max().unwrap_or(1);
        let able = eligible(&estimate.options, picked, asked.shop, asked.ask);
        let mut floor = Floor::of(part, asked, estimate, &able, most)?;
        let won = quantities
            .iter()
            .map(|quantity| Ok(floor.best(*quantity)?.0))
            .collect::<Result<Vec<usize>, CostError>>()?;
        floor.walk(part, asked, estimate, &won);
        Ok(Some(floor))
    }

    fn of(
        part: &InspectedMesh,
        asked: &Asked<'a>,
        estimate: &'a Estimate,
        able: &[usize],
        most: u32,
    ) -> Result<Floor<'a>, EstimateError> {
        let options: Vec<&PartOption> =
            able.iter().map(|index| &estimate.options[*index]).collect();
        let mut machines: Vec<&str> = options.iter().map(|o| o.machine.as_str()).collect();
        machines.dedup();
        let beds = machines
            .par_iter()
            .map(|machine| {
                let made = options.iter().find(|o| o.machine == *machine);
                let made = made.and_then(|option| option.made());
                bed(part, asked, estimate, machine, made, most)
            })
            .collect::<Result<Vec<Bedful>, EstimateError>>()?;
        let able = options.into_iter().filter_map(|option| {
            let made = option.made()?;
            let at = machines.iter().position(|m| *m == option.machine)?;
            let pieces = beds[at].copies().max(1);
            Some(Able {
                option,
                machine: asked.shop.machine(&option.machine)?,
                nozzle: asked.shop.nozzle(&option.nozzle)?,
                material: asked.material,
                bed: beds[at].clone(),
                by_pieces: (1..=pieces).map(|n| together(made, n)).collect(),
            })
        });
        Ok(Floor {
            able: able.collect(),
            shop: asked.shop,
        })
    }

    /// The option and the pieces a start with which a quantity costs least, and what that is.
    fn best(&self, quantity: u32) -> Result<(usize, u32, Ledger), CostError> {
        let ways: Vec<(usize, u32)> = self
            .able
            .iter()
            .enumerate()
            .flat_map(|(index, able)| {
                let fullest = (able.by_pieces.len() as u32).min(quantity);
                sizes(fullest, quantity).map(move |pieces| (index, pieces))
            })
            .collect();
        let priced: Vec<Result<(usize, u32, Ledger), CostError>> = ways
            .par_iter()
            .map(|(index, pieces)| Ok((*index, *pieces, self.ledger(*index, quantity, *pieces)?)))
            .collect();
        // A bed so long that it would never end well has no price; the quantity has one as long as some way does.
        let failed = priced.iter().find_map(|way| way.as_ref().err().cloned());
        // Under the least order prices tie: then the one that costs the shop less, then the quicker, as the pick has it.
        let seconds =
            |way: &(usize, u32, Ledger)| self.able[way.0].by_pieces[way.1 as usize - 1].seconds;
        let best = priced.into_iter().flatten().min_by(|a, b| {
            a.2.subtotal
                .cmp(&b.2.subtotal)
                .then(a.2.cost.cmp(&b.2.cost))
                .then(seconds(a).total_cmp(&seconds(b)))
        });
        best.ok_or(failed.unwrap_or(CostError::NoPieces))
    }

    fn starts(&self, index: usize, quantity: u32, pieces: u32) -> Vec<Starts<'_>> {
        let able = &self.able[index];
        let of = |pieces: u32, starts: u32| Starts {
            run: able.run(pieces),
            pieces_per_start: pieces,
            starts,
        };
        let (full, rest) = (quantity / pieces, quantity % pieces);
        let mut all = Vec::new();
        if full > 0 {
            all.push(of(pieces, full));
        }
        if rest > 0 {
            all.push(of(rest, 1));
        }
        all
    }

    fn ledger(&self, index: usize, quantity: u32, pieces: u32) -> Result<Ledger, CostError> {
        let starts = self.starts(index, quantity, pieces);
        let shop = self.shop;
        order_ledger(&starts, &shop.rates, &shop.attended, shop.currency)
    }

    /// Walks the beds of the options that won, copy by copy; no other option is left.
    fn walk(
        &mut self,
        part: &InspectedMesh,
        asked: &Asked<'_>,
        estimate: &Estimate,
        won: &[usize],
    ) {
        let mut index = 0;
        self.able.retain(|_| {
            index += 1;
            won.contains(&(index - 1))
        });
        let standing = [Standing {
            mesh: part,
            down: estimate.down,
        }];
        for able in &mut self.able {
            let Some(made) = able.option.made() else {
                continue;
            };
            let beds = Beds {
                kinds: vec![(able.bed.clone(), 1)],
                left: Vec::new(),
            };
            if able.by_pieces.len() < 2 {
                continue;
            }
            let walked = Walked::of(&standing, asked, &beds, &[made]);
            let bed = &able.bed;
            let several: Vec<Figures> = (2..=able.by_pieces.len())
                .into_par_iter()
                .map(|pieces| {
                    let of = walked.bed(&first_of(bed, pieces), &[made]);
                    Figures {
                        seconds: of.seconds.whole_s(),
                        start_seconds: of.seconds.start_s,
                        part_g: of.mass_g,
                        support_g: of.support_g,
                        surface_mm2: of.surface_mm2,
                        held_mm2: of.held_mm2,
                    }
                })
                .collect();
            able.by_pieces.truncate(1);
            able.by_pieces.extend(several);
        }
    }

    fn plan(&self, quantity: u32) -> Result<Plan, EstimateError> {
        let (index, pieces, ledger) = self.best(quantity)?;
        let able = &self.able[index];
        let starts = self.starts(index, quantity, pieces);
        Ok(Plan {
            machine: able.machine.id.clone(),
            nozzle: able.nozzle.id.clone(),
            starts: starts
                .iter()
                .map(|of| PlannedStart {
                    pieces: of.pieces_per_start,
                    times: of.starts,
                    seconds: of.run.seconds,
                    start_seconds: of.run.start_seconds,
                    grams: of.run.part_g + of.run.support_g,
                })
                .collect(),
            ledger,
        })
    }

    /// A larger lot that costs less in all than a plan. Only where a discount begins can the total fall, for a cost never falls with
    /// more pieces of the best plan.
    fn cheaper(&self, plan: &Plan) -> Option<(u32, Decimal)> {
        let (quantity, total) = (plan.ledger.quantity, plan.ledger.total);
        let steps = self.shop.rates.discounts.iter().map(|(from, _)| *from);
        let larger = steps.filter(|from| *from > quantity && *from <= quantity.saturating_mul(2));
        // A larger lot that has no price is no offer.
        let priced = larger.filter_map(|from| Some((from, self.best(from).ok()?.2.total)));
        priced
            .filter(|(_, of_larger)| *of_larger < total)
            .min_by_key(|(_, of_larger)| *of_larger)
    }

    fn curve(&self, most: u32) -> Result<Vec<(u32, Decimal)>, EstimateError> {
        let step = most.div_ceil(MOST_POINTS).max(1);
        let mut at: Vec<u32> = (1..=most).step_by(step as usize).collect();
        if at.last() != Some(&most) {
            at.push(most);
        }
        at.par_iter()
            .map(|quantity| Ok((*quantity, self.best(*quantity)?.2.unit_price)))
            .collect()
    }
}

impl<'a> Able<'a> {
    fn run(&self, pieces: u32) -> Run<'a> {
        let of = &self.by_pieces[pieces as usize - 1];
        Run {
            machine: self.machine,
            nozzle: self.nozzle,
            material: self.material,
            seconds: of.seconds,
            start_seconds: of.start_seconds,
            part_g: of.part_g,
            support_g: of.support_g,
            surface_mm2: of.surface_mm2,
            held_mm2: of.held_mm2,
        }
    }
}

/// A machine's bed with as many copies as go on it, at most so many.
fn bed(
    part: &InspectedMesh,
    asked: &Asked<'_>,
    estimate: &Estimate,
    machine: &str,
    made: Option<&Made>,
    most: u32,
) -> Result<Bedful, EstimateError> {
    let (Some(machine), Some(made)) = (asked.shop.machine(machine), made) else {
        return Ok(Bedful::default());
    };
    if most < 2 {
        return Ok(Bedful::default());
    }
    let space = asked.space_of(machine);
    let outline = outline(&part.mesh, &Pose::new(estimate.down, 0.0));
    let item = item(&outline, Some(most), Some(&made.pose));
    let usable = space.usable_region(estimate.size_mm[2]);
    let clearance_mm = with_brims(USUAL_CLEARANCE_MM, &space);
    Ok(fill(&[item], &usable, clearance_mm)?)
}

fn first_of(bed: &Bedful, pieces: usize) -> Bedful {
    Bedful {
        placements: bed.placements[..pieces.min(bed.placements.len())].to_vec(),
        capped: false,
    }
}

/// A start of several pieces, put together from the layers of one: travels between pieces are not in it.
fn together(made: &Made, pieces: u32) -> Figures {
    let n = f64::from(pieces);
    let layers: f64 = made
        .profile
        .iter()
        .map(|layer| {
            let least_s = layer.busy_s + layer.stretch_s;
            let busy_s = if layer.stretch_s > 0.0 {
                least_s.max(n * layer.busy_s)
            } else {
                n * layer.busy_s
            };
            layer.seconds - least_s + busy_s
        })
        .sum();
    Figures {
        seconds: if pieces == 1 {
            made.seconds.whole_s()
        } else {
            layers + made.seconds.start_s
        },
        start_seconds: made.seconds.start_s,
        part_g: n * made.mass_g,
        support_g: n * made.support_g,
        surface_mm2: n * made.surface_mm2,
        held_mm2: n * made.held_mm2,
    }
}

/// Pieces a start that are tried for a quantity, at most so many as go on a bed: few, all, and those that spread the quantity evenly
/// over its prints.
fn sizes(fullest: u32, quantity: u32) -> impl Iterator<Item = u32> {
    let fewest = quantity.div_ceil(fullest.max(1)).max(1);
    let even = (0..EVEN_SPREADS).map(move |more| quantity.div_ceil(fewest.saturating_add(more)));
    let few = 1..=fullest.min(SMALL_BEDS);
    let mut all: Vec<u32> = few.chain(even).chain([fullest]).collect();
    all.sort_unstable();
    all.dedup();
    all.into_iter()
}
