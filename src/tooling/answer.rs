//! The whole answer: can it be moulded, what does the mould take, and from which quantity does it pay.

use rust_decimal::Decimal;

use super::flip::{Flip, Totals, flip};
use super::heat::{Heat, heat_of};
use super::make::{HalfMade, band_s, fits_nowhere, half_made};
use super::money::{Laminate, PieceCost, ToolCost, piece_cost, tool_cost};
use super::{ToolingAsk, ToolingError};
use crate::cost::CostError;
use crate::estimate::{EstimateError, Made, Prices, estimate};
use crate::mesh::{InspectedMesh, inspect};
use crate::mould::{
    Kind, MouldError, Parting, best_parting, closed_mould, lay_up_tool, parting_along,
};
use crate::service::SOFTENING_MARGIN_C;
use crate::shop::{Material, Shop};

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer {
    /// It can be moulded.
    Yes(Box<Tooling>),
    /// It can't.
    No(No),
}

/// Why it can't be moulded as asked.
#[derive(Debug, Clone, PartialEq)]
pub struct No {
    /// One sentence without a full stop.
    pub sentence: String,
    /// The parting looked at, where that is the reason.
    pub parting: Option<Parting>,
}

impl No {
    fn of(sentence: String) -> No {
        No {
            sentence,
            parting: None,
        }
    }
}

/// Mould against piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Tooling {
    /// How the mould opens.
    pub parting: Parting,
    /// Its pieces, in the frame in which they are written.
    pub halves: Vec<HalfMade>,
    /// Whether they are the owner's own meshes.
    pub own: bool,
    /// Solids in the part's hollows that hang on nothing and were left out of the mould.
    pub left_out: usize,
    /// The heat of the cure against its plastic.
    pub heat: Heat,
    /// What it costs.
    pub tool: ToolCost,
    /// What a piece on it costs.
    pub piece: PieceCost,
    /// The laminate, on a lay-up tool.
    pub laminate: Option<Laminate>,
    /// The option that prints a piece, and what it makes of it.
    pub print_option: String,
    /// The plastic of a printed piece.
    pub print_material: String,
    /// What that option makes of the part.
    pub printed: Made,
    /// Where the mould is cheaper.
    pub flip: Flip,
    /// The same with a mould at the low and prints at the high end of their bands, and the other way round.
    pub flip_band: [Flip; 2],
    /// The quantities asked for.
    pub rows: Vec<Row>,
    /// The totals at quantities up to well beyond the flip, for a plot.
    pub curve: Vec<Row>,
}

/// Both ways at one quantity, before tax.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Pieces.
    pub quantity: u32,
    /// Moulds they take.
    pub moulds: u32,
    /// All of it with moulds.
    pub moulded: Decimal,
    /// All of it printed.
    pub printed: Decimal,
    /// How long one mould after the other is busy, h.
    pub mould_h: f64,
}

/// Points of a plot's curve, about.
const POINTS: u32 = 160;

/// Compares moulding a part with printing it. `own` are the owner's mould meshes; without any the mould is made here.
///
/// # Errors
/// [`ToolingError`] where something asked makes no sense, the part's mesh makes no mould, or money can't be computed.
pub fn tooling(
    part: &InspectedMesh,
    own: &[InspectedMesh],
    shop: &Shop,
    ask: &ToolingAsk,
) -> Result<Answer, ToolingError> {
    ask.check()?;
    let closed = part.watertight && part.topology.is_closed(&part.mesh.triangles);
    if !closed {
        return Err(MouldError::NotClosed.into());
    }
    let print_id = ask
        .print
        .material
        .as_deref()
        .unwrap_or(&shop.default_material);
    let id = ask.mould_material.as_deref().unwrap_or(print_id);
    let material = material(shop, id)?;
    // What needs no estimate comes first: a no is then at hand at once.
    let parting = parting(part, ask)?;
    if own.is_empty() && parting.holds() && !ask.flexible {
        return Ok(Answer::No(No {
            sentence: held(&parting),
            parting: Some(parting),
        }));
    }
    let heat = heat_of(material, shop, ask.cure_c.unwrap_or(shop.moulding.cure_c));
    if !heat.stands {
        return Ok(Answer::No(No::of(too_hot(material, &heat))));
    }
    let (solids, left_out) = solids(part, own, &parting, ask)?;
    let nowhere = solids
        .iter()
        .find_map(|(name, solid)| fits_nowhere(name, solid, shop));
    if let Some(sentence) = nowhere {
        return Ok(Answer::No(No::of(sentence)));
    }
    let estimated = estimate(part, shop, &ask.print)?;
    let Some((option, printed)) = estimated.picked() else {
        return Ok(Answer::No(No::of(format!(
            "the piece itself can't be printed here, so there is nothing to compare: {}",
            estimated.pick.why
        ))));
    };
    let mut halves = Vec::new();
    for (name, solid) in solids {
        match half_made(&name, solid, shop, ask, id)? {
            Ok(half) => halves.push(half),
            Err(no) => return Ok(Answer::No(no)),
        }
    }
    let piece = piece_cost(ask.kind, part.mass.volume_mm3, parting.face_mm2, shop)?;
    let top = ask.quantities.iter().copied().max().unwrap_or(1);
    let Some(prices) = Prices::of(part, shop, &ask.print, &estimated, &[1, 10, top.max(100)])?
    else {
        return Ok(Answer::No(No::of(estimated.pick.why.clone())));
    };
    let face = parting.face_mm2;
    let tool = tool_cost(&halves, face, shop, |half| half.made.seconds.whole_s())?;
    let low = tool_cost(&halves, face, shop, |half| half.band_s().0)?;
    let high = tool_cost(&halves, face, shop, |half| half.band_s().1)?;
    let whole_s = printed.seconds.whole_s();
    let (print_low_s, print_high_s) = band_s(printed);
    let flipped = |tool: &ToolCost, print_s: f64| {
        let prices = prices.slower(print_s / whole_s);
        flip(&totals(
            shop,
            &|n| Ok(prices.ledger(n)?.subtotal),
            tool,
            &piece,
        ))
    };
    let flip = flipped(&tool, whole_s)?;
    let flip_band = [flipped(&low, print_high_s)?, flipped(&high, print_low_s)?];
    let price = |n: u32| Ok(prices.ledger(n)?.subtotal);
    let totals = totals(shop, &price, &tool, &piece);
    let rows = |quantities: &[u32]| -> Result<Vec<Row>, ToolingError> {
        let row = |quantity: &u32| {
            let quantity = *quantity;
            Ok(Row {
                quantity,
                moulds: totals.moulds(quantity),
                moulded: totals.moulded(quantity)?,
                printed: totals.printed(quantity)?,
                mould_h: f64::from(quantity) * piece.mould_h,
            })
        };
        quantities.iter().map(row).collect()
    };
    let (asked, curve) = (
        rows(&ask.quantities)?,
        rows(&curve(ask, &flip, shop.moulding.life_pieces))?,
    );
    Ok(Answer::Yes(Box::new(Tooling {
        print_option: option.name(),
        print_material: estimated.material.clone(),
        printed: printed.clone(),
        laminate: (ask.kind == Kind::LayUp).then(|| Laminate::on(face, &shop.moulding)),
        own: !own.is_empty(),
        parting,
        halves,
        left_out,
        heat,
        tool,
        piece,
        flip,
        flip_band,
        rows: asked,
        curve,
    })))
}

fn totals<'a>(
    shop: &'a Shop,
    print: &'a dyn Fn(u32) -> Result<Decimal, CostError>,
    tool: &ToolCost,
    piece: &PieceCost,
) -> Totals<'a> {
    Totals {
        shop,
        print,
        tool_cost: tool.cost,
        piece_cost: piece.cost,
        life_pieces: shop.moulding.life_pieces,
    }
}

fn material<'a>(shop: &'a Shop, id: &str) -> Result<&'a Material, EstimateError> {
    shop.material(id).ok_or_else(|| EstimateError::Unknown {
        what: "material",
        given: id.to_owned(),
        known: shop
            .materials
            .iter()
            .map(|m| m.id.as_str())
            .collect::<Vec<_>>()
            .join(", "),
    })
}

fn parting(part: &InspectedMesh, ask: &ToolingAsk) -> Result<Parting, ToolingError> {
    let best = match &ask.opening {
        Some(opening) => return along(part, ask, opening.clone()),
        None => best_parting(&part.mesh, ask.kind, ask.draft_deg)?,
    };
    match ask.parting_height_mm {
        Some(_) => along(part, ask, best.opening),
        None => Ok(best),
    }
}

fn along(
    part: &InspectedMesh,
    ask: &ToolingAsk,
    opening: crate::mould::Opening,
) -> Result<Parting, ToolingError> {
    Ok(parting_along(
        &part.mesh,
        ask.kind,
        opening,
        ask.parting_height_mm,
        ask.draft_deg,
    )?)
}

/// The mould's pieces by name, inspected, and what was left out.
fn solids(
    part: &InspectedMesh,
    own: &[InspectedMesh],
    parting: &Parting,
    ask: &ToolingAsk,
) -> Result<(Vec<(String, InspectedMesh)>, usize), ToolingError> {
    if !own.is_empty() {
        let numbered = own.iter().enumerate();
        return Ok((
            numbered
                .map(|(n, mesh)| (format!("own {}", n + 1), mesh.clone()))
                .collect(),
            0,
        ));
    }
    let mould = match ask.kind {
        Kind::Closed => closed_mould(part, parting, &ask.mould)?,
        Kind::LayUp => lay_up_tool(part, parting, &ask.mould)?,
    };
    let solids = mould
        .halves
        .into_iter()
        .map(|half| {
            let inspected = inspect(half.mesh).map_err(|why| ToolingError::Half {
                half: half.name,
                why,
            })?;
            Ok((half.name.to_owned(), inspected))
        })
        .collect::<Result<Vec<_>, ToolingError>>()?;
    Ok((solids, mould.left_out))
}

fn held(parting: &Parting) -> String {
    let at = parting.places.first().map_or(String::new(), |place| {
        let [x, y, z] = place.at_mm;
        format!(", the most at ({x:.1}, {y:.1}, {z:.1}) mm")
    });
    format!(
        "the pieces cannot come out: {:.0} mm2 of undercut opening along {}{at}; a soft (rubber) mould, another opening direction or more \
         mould pieces would be needed (--flexible says that mould, piece or loose cores give way)",
        parting.undercut_mm2,
        parting.opening.name(),
    )
}

fn too_hot(material: &Material, heat: &Heat) -> String {
    let others = if heat.others.is_empty() {
        "no plastic of this shop stands it".to_owned()
    } else {
        format!(
            "of this shop's plastics {} would stand it",
            heat.others.join(", ")
        )
    };
    format!(
        "the mould would soften: the cure reaches {} C and {} gives way at {} C ({}), less than the {SOFTENING_MARGIN_C} C that are kept between; \
         {others} (--mould-material), or a cooler cure (--cure-c)",
        heat.cure_c,
        material.id,
        heat.softens_c.unwrap_or_default(),
        heat.by,
    )
}

/// Quantities of a plot: evenly up to twice the flip and the largest asked for, and both sides of every new mould.
fn curve(ask: &ToolingAsk, flip: &Flip, life_pieces: u32) -> Vec<u32> {
    let asked = ask.quantities.iter().copied().max().unwrap_or(1);
    let top = flip
        .first()
        .map_or(asked, |n| asked.max(n.saturating_mul(2)))
        .clamp(10, super::ask::MOST_PIECES);
    let step = top.div_ceil(POINTS).max(1);
    let mut all: Vec<u32> = (1..=top).step_by(step as usize).chain([top]).collect();
    let moulds = (1..=top / life_pieces.max(1)).take(POINTS as usize);
    all.extend(
        moulds
            .flat_map(|n| [n * life_pieces, n * life_pieces + 1])
            .filter(|n| *n <= top),
    );
    all.sort_unstable();
    all.dedup();
    all
}
