//! Mould against piece, for programs.

use serde::Serialize;

use super::json::{FORMAT, line};
use super::tooling::{CAUTIONS, notes, tooling_answer};
use crate::cost::LedgerLine;
use crate::mould::{Kind, Parting, Shape};
use crate::shop::Shop;
use crate::tooling::{Flip, HalfMade, No, Row, Tooling, ToolingAsk};

/// Mould against piece. `files` are those that were written, in the order of the mould's pieces.
pub fn tooling_json(
    part: &str,
    shop: &Shop,
    ask: &ToolingAsk,
    answer: &Tooling,
    files: &[String],
) -> String {
    let [low, high] = answer.flip_band.each_ref().map(Flip::first);
    line(&ToolingObject {
        format: FORMAT,
        part,
        shop: &shop.name,
        answer: tooling_answer(answer),
        kind: match ask.kind {
            Kind::LayUp => "lay_up",
            Kind::Closed => "closed",
        },
        shape: match ask.mould.shape {
            Shape::Block => "block",
            Shape::Shell => "shell",
        },
        wall_mm: ask.mould.wall_mm,
        flange_mm: ask.mould.flange_mm,
        own_mould: answer.own,
        parting: PartingObject::of(&answer.parting),
        mould_pieces: answer
            .halves
            .iter()
            .enumerate()
            .map(|(n, half)| Piece::of(half, files.get(n)))
            .collect(),
        cure_c: answer.heat.cure_c,
        mould_softens_c: answer.heat.softens_c,
        currency: shop.currency.code(),
        mould_cost: answer.tool.cost.to_string(),
        mould_ledger: lines(&answer.tool.lines),
        moulded_piece_cost: answer.piece.cost.to_string(),
        moulded_piece_ledger: lines(&answer.piece.lines),
        moulded_piece_g: answer.piece.mass_g,
        laminate_mm: answer.laminate.map(|laminate| laminate.thick_mm),
        mould_life_pieces: shop.moulding.life_pieces,
        mould_busy_h: answer.piece.mould_h,
        printed_option: &answer.print_option,
        printed_material: &answer.print_material,
        printed_seconds: answer.printed.seconds.whole_s(),
        mould_cheaper: answer
            .flip
            .cheaper
            .iter()
            .map(|(from, to)| Range {
                from: *from,
                to: *to,
            })
            .collect(),
        mould_cheaper_from: answer.flip.first(),
        mould_cheaper_from_band: [low, high],
        quantities: answer.rows.iter().map(RowObject::of).collect(),
        notes: notes(shop, ask, answer),
        cautions: CAUTIONS,
    })
}

/// Why a part can't be moulded as asked.
pub fn tooling_no_json(part: &str, no: &No) -> String {
    line(&NoObject {
        format: FORMAT,
        part,
        no: &no.sentence,
        parting: no.parting.as_ref().map(PartingObject::of),
    })
}

#[derive(Serialize)]
struct NoObject<'a> {
    format: u32,
    part: &'a str,
    no: &'a str,
    parting: Option<PartingObject>,
}

#[derive(Serialize)]
struct ToolingObject<'a> {
    format: u32,
    part: &'a str,
    shop: &'a str,
    answer: String,
    kind: &'static str,
    shape: &'static str,
    wall_mm: f64,
    flange_mm: f64,
    own_mould: bool,
    parting: PartingObject,
    mould_pieces: Vec<Piece<'a>>,
    cure_c: f64,
    mould_softens_c: Option<f64>,
    currency: &'static str,
    mould_cost: String,
    mould_ledger: Vec<Amount<'a>>,
    moulded_piece_cost: String,
    moulded_piece_ledger: Vec<Amount<'a>>,
    moulded_piece_g: f64,
    laminate_mm: Option<f64>,
    mould_life_pieces: u32,
    mould_busy_h: f64,
    printed_option: &'a str,
    printed_material: &'a str,
    printed_seconds: f64,
    mould_cheaper: Vec<Range>,
    mould_cheaper_from: Option<u32>,
    mould_cheaper_from_band: [Option<u32>; 2],
    quantities: Vec<RowObject>,
    notes: Vec<String>,
    cautions: [&'static str; 3],
}

#[derive(Serialize)]
struct PartingObject {
    opens: String,
    direction: [f64; 3],
    height_mm: f64,
    undercut_mm2: f64,
    holds: bool,
    undercuts: Vec<PlaceObject>,
    surface_mm2: f64,
    face_mm2: f64,
    steep_mm2: f64,
}

impl PartingObject {
    fn of(parting: &Parting) -> PartingObject {
        PartingObject {
            opens: parting.opening.name(),
            direction: parting.opening.direction().into(),
            height_mm: parting.height_mm,
            undercut_mm2: parting.undercut_mm2,
            holds: parting.holds(),
            undercuts: parting
                .places
                .iter()
                .map(|place| PlaceObject {
                    at_mm: place.at_mm,
                    area_mm2: place.area_mm2,
                })
                .collect(),
            surface_mm2: parting.surface_mm2,
            face_mm2: parting.face_mm2,
            steep_mm2: parting.steep_mm2,
        }
    }
}

#[derive(Serialize)]
struct PlaceObject {
    at_mm: [f64; 3],
    area_mm2: f64,
}

#[derive(Serialize)]
struct Piece<'a> {
    name: &'a str,
    size_mm: [f64; 3],
    volume_mm3: f64,
    machine: &'a str,
    nozzle: &'a str,
    material: &'a str,
    layers: usize,
    seconds: f64,
    seconds_band: [f64; 2],
    mass_g: f64,
    support_g: f64,
    file: Option<&'a String>,
}

impl<'a> Piece<'a> {
    fn of(half: &'a HalfMade, file: Option<&'a String>) -> Piece<'a> {
        let (from_s, to_s) = half.band_s();
        Piece {
            name: &half.name,
            size_mm: half.part.mesh.size_mm().into(),
            volume_mm3: half.part.mass.volume_mm3,
            machine: &half.machine,
            nozzle: &half.nozzle,
            material: &half.material,
            layers: half.made.layers,
            seconds: half.made.seconds.whole_s(),
            seconds_band: [from_s, to_s],
            mass_g: half.made.mass_g,
            support_g: half.made.support_g,
            file,
        }
    }
}

#[derive(Serialize)]
struct Amount<'a> {
    line: &'static str,
    detail: &'a str,
    amount: String,
}

fn lines(lines: &[LedgerLine]) -> Vec<Amount<'_>> {
    lines
        .iter()
        .map(|each| Amount {
            line: each.line,
            detail: &each.detail,
            amount: each.amount.to_string(),
        })
        .collect()
}

#[derive(Serialize)]
struct Range {
    from: u32,
    to: Option<u32>,
}

#[derive(Serialize)]
struct RowObject {
    quantity: u32,
    moulds: u32,
    moulded_price: String,
    printed_price: String,
    mould_h: f64,
}

impl RowObject {
    fn of(row: &Row) -> RowObject {
        RowObject {
            quantity: row.quantity,
            moulds: row.moulds,
            moulded_price: row.moulded.to_string(),
            printed_price: row.printed.to_string(),
            mould_h: row.mould_h,
        }
    }
}
