//! Mould against piece, for people.

use std::fmt::Write;

use super::remarks::INVENTED;
use super::words::{WIDTH, cubic, duration, grams, hang, length, money, size, wrap};
use crate::cost::LedgerLine;
use crate::mould::Kind;
use crate::service::SOFTENING_MARGIN_C;
use crate::shop::Shop;
use crate::tooling::{Flip, HalfMade, Row, Tooling, ToolingAsk, open_end};

/// What whoever works with moulds must know, whatever the part.
pub(super) const CAUTIONS: [&str; 3] = [
    "A printed mould is for casting and laying up by hand, not for injection or any other pressure; a mould that is put under pressure or \
     heated, and a piece whose failure can hurt someone, must first be reviewed by a licensed engineer",
    "Curing resin heats itself, more in a thick piece, and gives off fumes: pour in stages, air the room, never leave a large cure alone",
    "Read the resin's and the release agent's safety data sheets first; gloves and eye protection with resin, a dust mask when sanding",
];

/// The answer's first line: from which quantity the mould is cheaper, with its band.
pub fn tooling_answer(answer: &Tooling) -> String {
    let [low, high] = answer.flip_band.each_ref().map(Flip::first);
    let count = |n: Option<u32>| n.map_or_else(|| "never".to_owned(), |n| n.to_string());
    let band = if low == high {
        "the same over the band of the estimates".to_owned()
    } else {
        format!(
            "{} to {} over the band of the estimates",
            count(low),
            count(high)
        )
    };
    match answer.flip.cheaper.split_first() {
        Some(((from, None), _)) => format!("From {from} pieces on the mould is cheaper ({band})"),
        Some(((from, to), more)) => {
            let again: Vec<String> = more
                .iter()
                .map(|(from, to)| format!("{from} {}", open_end(*to)))
                .collect();
            let again = if again.is_empty() {
                String::new()
            } else {
                format!(", then from {}", again.join(", "))
            };
            format!(
                "From {from} {} pieces the mould is cheaper{again}: in between a new mould is due ({band})",
                open_end(*to)
            )
        }
        None => format!("Printing stays cheaper at every quantity ({band})"),
    }
}

/// The whole answer. `files` are the pieces of the mould that were written.
pub fn tooling_text(
    part: &str,
    shop: &Shop,
    ask: &ToolingAsk,
    answer: &Tooling,
    files: &[String],
) -> String {
    let mut text = String::new();
    line!(
        text,
        "{}.",
        wrap(&format!("{part}: {}", tooling_answer(answer)), WIDTH, "  ")
    );
    line!(text, "");
    mould(&mut text, ask, answer);
    costs(&mut text, shop, ask, answer);
    table(&mut text, shop, &answer.rows);
    for file in files {
        line!(text, "{}", hang(&format!("  written: {file}"), 4));
    }
    line!(text, "");
    let mut notes: Vec<String> = notes(shop, ask, answer);
    notes.extend(CAUTIONS.map(str::to_owned));
    for note in notes {
        line!(text, "{}", hang(&format!("- {note}."), 2));
    }
    if shop.demonstration {
        line!(text, "{}", wrap(INVENTED, WIDTH, ""));
    }
    text
}

fn mould(text: &mut String, ask: &ToolingAsk, answer: &Tooling) {
    let mut say = |sentence: String| line!(text, "{}", hang(&sentence, 4));
    let parting = &answer.parting;
    let face = parting.face_mm2 / 100.0;
    match ask.kind {
        _ if answer.own => say(format!(
            "  your own mould, {} pieces; the part has {face:.1} cm2 of surface",
            answer.halves.len()
        )),
        Kind::Closed => say(format!(
            "  closed mould in two halves, opening along {}, parted at {} mm: {face:.1} cm2 of face, undercut {:.0} mm2",
            parting.opening.name(),
            height(parting.height_mm),
            parting.undercut_mm2,
        )),
        Kind::LayUp => say(format!(
            "  lay-up tool over the face that looks along {}, flange at {} mm: {face:.1} cm2 of face, undercut {:.0} mm2",
            parting.opening.name(),
            height(parting.height_mm),
            parting.undercut_mm2,
        )),
    }
    for half in &answer.halves {
        let HalfMade {
            name,
            part,
            machine,
            nozzle,
            material,
            made,
        } = half;
        let (from, to) = half.band_s();
        say(format!(
            "  {name}: {}, {}; {machine}/{nozzle} in {material}, {} layers, {} ({} to {}), {}",
            size(part.mesh.size_mm().into()),
            cubic(part.mass.volume_mm3),
            made.layers,
            duration(made.seconds.whole_s()),
            duration(from),
            duration(to),
            grams(made.mass_g + made.support_g),
        ));
    }
}

/// A height without a sign before nought.
fn height(mm: f64) -> String {
    length((100.0 * mm).round() / 100.0 + 0.0)
}

/// The lines that come to something.
fn ledger_lines(text: &mut String, lines: &[LedgerLine]) {
    for each in lines.iter().filter(|line| !line.amount.is_zero()) {
        let name = each.line.replace('_', " ");
        let sentence = format!("    {name:<16} {:>9}  {}", each.amount, each.detail);
        line!(text, "{}", hang(&sentence, 32));
    }
}

fn costs(text: &mut String, shop: &Shop, ask: &ToolingAsk, answer: &Tooling) {
    let currency = shop.currency;
    line!(
        text,
        "  the mould costs {} before margin:",
        money(answer.tool.cost, currency)
    );
    ledger_lines(text, &answer.tool.lines);
    let what = match (ask.kind, &answer.laminate) {
        (Kind::LayUp, Some(laminate)) => format!(
            "laminate {:.2} mm thick, {}",
            laminate.thick_mm,
            grams(answer.piece.mass_g)
        ),
        _ => format!("cast solid, {}", grams(answer.piece.mass_g)),
    };
    line!(
        text,
        "  a piece on it ({what}) costs {} before margin:",
        money(answer.piece.cost, currency)
    );
    ledger_lines(text, &answer.piece.lines);
    let printed = &answer.printed;
    let print = format!(
        "  a printed piece: {} in {}, {}, {}",
        answer.print_option,
        answer.print_material,
        duration(printed.seconds.whole_s()),
        grams(printed.mass_g + printed.support_g)
    );
    line!(text, "{}", hang(&print, 4));
    line!(text, "");
}

fn table(text: &mut String, shop: &Shop, rows: &[Row]) {
    let code = shop.currency.code();
    line!(text, "  prices before tax, {code}");
    line!(
        text,
        "  {:>9} {:>7} {:>13} {:>13} {:>13} {:>9}  cheaper",
        "pieces",
        "moulds",
        "with moulds",
        "printed",
        "saved",
        "mould h"
    );
    for row in rows {
        let saved = row.printed - row.moulded;
        let cheaper = if saved.is_zero() {
            "alike"
        } else if saved.is_sign_positive() {
            "mould"
        } else {
            "printing"
        };
        line!(
            text,
            "  {:>9} {:>7} {:>13} {:>13} {:>13} {:>9.0}  {cheaper}",
            row.quantity,
            row.moulds,
            row.moulded,
            row.printed,
            saved,
            row.mould_h
        );
    }
}

/// What was assumed and noticed, a sentence each without a full stop.
pub(super) fn notes(shop: &Shop, ask: &ToolingAsk, answer: &Tooling) -> Vec<String> {
    let parting = &answer.parting;
    let m = &shop.moulding;
    let busy = if m.mould_busy {
        "with its cure"
    } else {
        "without its cure"
    };
    let mut notes = vec![format!(
        "A mould lasts {} pieces, then the next is due; it is busy {:.1} h a piece {busy}, one mould after the other",
        m.life_pieces, answer.piece.mould_h
    )];
    if parting.holds() {
        let places: Vec<String> = parting
            .places
            .iter()
            .map(|p| {
                format!(
                    "{:.0} mm2 at ({:.1}, {:.1}, {:.1})",
                    p.area_mm2, p.at_mm[0], p.at_mm[1], p.at_mm[2]
                )
            })
            .collect();
        notes.push(format!(
            "Undercut {:.0} mm2, which holds a hard piece in a hard mould: {}",
            parting.undercut_mm2,
            places.join("; ")
        ));
    }
    if parting.steep_mm2 > 0.005 * parting.surface_mm2 {
        notes.push(format!(
            "{:.1} cm2 of the face stand steeper than {} degrees against the opening: the piece will stick there; give those faces draft",
            parting.steep_mm2 / 100.0,
            length(ask.draft_deg)
        ));
    }
    match answer.heat.softens_c {
        Some(c) => notes.push(format!(
            "The cure reaches {} C, the mould's plastic gives way at {c} C ({}): the {SOFTENING_MARGIN_C} C kept between are a judgement without source",
            answer.heat.cure_c, answer.heat.by
        )),
        None => notes.push(format!(
            "Whether the mould stands the {} C of the cure is not known: its plastic has neither glass transition nor heat deflection in the \
             shop file",
            answer.heat.cure_c
        )),
    }
    if answer.left_out > 0 {
        notes.push(
            "The part has hollows that the mould does not reach; they are not moulded".to_owned(),
        );
    }
    if ask.kind == Kind::LayUp {
        notes.push("The laminate replaces a solid printed piece: the two are not equally thick, stiff or strong".to_owned());
    }
    notes.extend(m.assumed_in_words());
    notes.push(
        "Printed pieces are priced by the plan that costs least, as a quote has them; the band takes the mould's hours at one end and the prints' at the other, and none for \
         the work on a moulded piece"
            .to_owned(),
    );
    notes
}
