//! The document for the owner: everything the customer's does not say. Headings, columns and numbers in tables follow the shop's
//! language; technical sentences (formulas, findings, advice) are English.

use super::customer::{cheaper, curve};
use super::figures::Figures;
use super::model::{Audience, Block, Column, Document, Table};
use super::part::{option_of, pictures};
use super::plots;
use super::service;
use crate::estimate::{Made, PartOption, Plan};
use crate::motion::Limit;
use crate::quote::answer::answer_sentences;
use crate::quote::offer::{Lot, Offer};
use crate::quote::remarks::{INVENTED, cautions, remarks};
use crate::quote::risk_words::risk_sentences;
use crate::quote::text::{about, refusals};
use crate::quote::words::{hours_column, money, own_name, pieces};

/// Published guidance on running such machines. All named here were seen; the list is no substitute for local codes.
const GUIDANCE: [&str; 4] = [
    "Fumes and ultrafine particles: DHHS (NIOSH) Publication 2024-103, Approaches to safe 3D printing, for small businesses (train, \
     limit access, enclose and ventilate, keep distance); DHHS (NIOSH) 2020-115, questions to ask when printing with filaments; \
     ANSI/CAN/UL 2904 is the test of what a machine gives off.",
    "Dust from sanding filled plastics: work wet, extract, wear a respirator (OSHA advice, 29 CFR 1910.134); the British HSE acts on \
     any dust from 10 mg/m3 inhalable and 4 mg/m3 respirable on (8 h).",
    "Unattended heat: a surface that does not burn, a working smoke detector, an extinguisher at hand, nothing within 30 cm, and the \
     guard against thermal runaway never disabled (a training laboratory's protocol; NFPA Journal, September 2018, names heat, long \
     runs and combustible dust as concerns).",
    "Parts whose failure can hurt: ISO/ASTM 52901 (purchased parts), 52910 (design) and 52920 (production sites) are the standards \
     to ask for (from memory).",
];

/// The document for the owner.
///
/// # Errors
/// What the plotting library says where a plot can't be drawn.
pub(super) fn owner(offer: &Offer<'_>) -> Result<Document, String> {
    let figures = Figures::of(&offer.subject.shop.document);
    let words = figures.phrases();
    let part = own_name(offer.subject.part);
    let mut blocks = vec![Block::Title(words.for_the_shop.to_owned())];
    blocks.extend(answer(offer));
    blocks.extend(about(&offer.subject, offer.ask).map(Block::Paragraph));
    blocks.push(Block::Facts(vec![
        (words.date.to_owned(), figures.date(offer.date)),
        (
            words.valid_until.to_owned(),
            figures.date(offer.valid_until()),
        ),
    ]));
    blocks.push(Block::Pictures(pictures(offer, part, &figures)));
    blocks.extend(options(offer, &figures)?);
    blocks.extend(ledger(offer, &figures)?);
    blocks.extend(quantities(offer, &figures)?);
    blocks.extend(section(words.owner.risk, risks(offer)));
    blocks.extend(service::blocks(offer, &figures));
    blocks.extend(section(
        words.owner.remarks,
        remarks(&offer.subject, offer.ask),
    ));
    blocks.extend(closing(offer, &figures));
    let title = format!("{}: {part}", words.for_the_shop);
    Ok(Document::about(offer, Audience::Owner, title, blocks))
}

/// The answer to what was asked: the option that the first quantity's plan runs, else the estimate's.
fn answer(offer: &Offer<'_>) -> Vec<Block> {
    let estimate = offer.subject.estimate;
    let first = offer.lots.first();
    let planned = first.and_then(|lot| {
        let (option, made) = option_of(offer, &lot.plan)?;
        Some((option, made, &lot.plan.ledger))
    });
    let picked = estimate.picked();
    let picked = picked.map(|(option, made)| (option, made, &made.ledger));
    let chosen = planned.or(picked);
    let quantity = chosen.map_or(offer.ask.quantity, |(_, _, ledger)| ledger.quantity);
    let mut sentences = answer_sentences(&offer.subject, chosen, quantity);
    let figures = Figures::of(&offer.subject.shop.document);
    let refusing = offer.service.iter().filter(|note| note.refuses());
    sentences.extend(refusing.map(|note| format!("Mind: {}", service::sentence(note, &figures))));
    let dressed = sentences.into_iter().enumerate();
    dressed
        .map(|(place, sentence)| match place {
            0 => Block::Lead(sentence),
            _ => Block::Paragraph(sentence),
        })
        .collect()
}

fn section(heading: &str, sentences: Vec<String>) -> Vec<Block> {
    if sentences.is_empty() {
        return Vec::new();
    }
    let heading = Block::Heading(heading.to_owned());
    [heading]
        .into_iter()
        .chain(sentences.into_iter().map(Block::Paragraph))
        .collect()
}

fn options(offer: &Offer<'_>, figures: &Figures) -> Result<Vec<Block>, String> {
    let words = &figures.phrases().owner;
    let estimate = offer.subject.estimate;
    let options = estimate.options.iter().enumerate();
    let made: Vec<(usize, &PartOption, &Made)> = options
        .filter_map(|(i, o)| Some((i, o, o.made()?)))
        .collect();
    let mut blocks = Vec::new();
    if let Some((_, _, first)) = made.first() {
        let code = first.ledger.currency.code();
        let picked = |index: usize| estimate.pick.option == Some(index);
        blocks.push(Block::Heading(words.options.to_owned()));
        blocks.push(Block::Table(Table {
            columns: option_columns(figures, code),
            rows: made
                .iter()
                .map(|(i, option, made)| option_row(option, made, picked(*i), figures))
                .collect(),
            strong: made
                .iter()
                .enumerate()
                .filter(|(_, (index, _, _))| picked(*index))
                .map(|(row, _)| row)
                .collect(),
        }));
        blocks.push(Block::Note(words.columns_mean.to_owned()));
        if estimate.pick.option.is_some() {
            let instead = estimate.pick.instead.iter();
            let instead: String = instead.map(|s| format!(" {s}.")).collect();
            let sentence = format!("* {}.{instead}", estimate.pick.why);
            blocks.push(Block::Paragraph(sentence));
        }
        if made.len() > 1 {
            let points = made.iter().map(|(index, option, made)| plots::OptionPoint {
                hours: made.seconds.hours(),
                price: made.ledger.unit_price,
                name: option.name(),
                picked: picked(*index),
            });
            let points: Vec<_> = points.collect();
            blocks.push(Block::Plot(plots::options(&points, code, figures)?));
        }
    }
    let refused = refusals(&offer.subject);
    if !refused.is_empty() {
        blocks.push(Block::Heading(words.not_possible.to_owned()));
        blocks.push(Block::List(refused));
    }
    Ok(blocks)
}

fn option_columns(figures: &Figures, code: &str) -> Vec<Column> {
    let words = &figures.phrases().owner;
    let numbers = [
        words.layer_mm,
        words.layers,
        words.walls,
        "g",
        words.hours,
        words.band,
    ];
    let money = [words.price, words.per_h].map(|name| format!("{name} {code}"));
    [Column::words(words.machine), Column::words(words.nozzle)]
        .into_iter()
        .chain(numbers.map(Column::numbers))
        .chain(money.map(Column::numbers))
        .chain([words.cusp, words.fail].map(Column::numbers))
        .chain([Column::words(words.held_by)])
        .collect()
}

fn option_row(option: &PartOption, made: &Made, picked: bool, figures: &Figures) -> Vec<String> {
    let ledger = &made.ledger;
    let mass_g = made.mass_g + made.support_g;
    let whole_s = made.seconds.whole_s();
    let band = made.band.as_ref().map_or(String::new(), |band| {
        format!(
            "-{:.0}+{:.0}",
            100.0 * (1.0 - band.from_s / whole_s),
            100.0 * (band.to_s / whole_s - 1.0)
        )
    });
    let share = made.limit_share.into_iter().fold(0.0, f64::max);
    let mark = if picked { "* " } else { "" };
    vec![
        format!("{mark}{}", option.machine),
        option.nozzle.clone(),
        figures.short(made.bead.height_mm(), 2),
        figures.number(made.layers as f64, 0),
        made.perimeters.to_string(),
        figures.number(mass_g, if mass_g < 1000.0 { 1 } else { 0 }),
        hours_column(whole_s),
        band,
        figures.amount(ledger.unit_price),
        figures.amount(ledger.earned_per_machine_hour),
        figures.number(made.cusp_um, 0),
        figures.number(100.0 * ledger.risk.failure_probability, 1),
        format!("{} {:.0} %", limit(made.limit, figures), 100.0 * share),
    ]
}

fn limit(limit: Limit, figures: &Figures) -> &'static str {
    let [motion, melt, cooling] = figures.phrases().owner.limits;
    match limit {
        Limit::Motion => motion,
        Limit::Melt => melt,
        Limit::Cooling => cooling,
    }
}

/// The first quantity's ledger with its formulas, then as bars.
fn ledger(offer: &Offer<'_>, figures: &Figures) -> Result<Vec<Block>, String> {
    let words = &figures.phrases().owner;
    let Some(Lot { plan, .. }) = offer.lots.first() else {
        return Ok(Vec::new());
    };
    let ledger = &plan.ledger;
    let code = ledger.currency.code();
    let (charged, nothing): (Vec<_>, Vec<_>) =
        ledger.lines.iter().partition(|line| !line.amount.is_zero());
    let mut rows: Vec<Vec<String>> = charged
        .into_iter()
        .map(|line| {
            vec![
                figures.ledger_line(line.line),
                figures.amount(line.amount),
                line.detail.clone(),
            ]
        })
        .collect();
    rows.push(vec![
        words.total.to_owned(),
        figures.amount(ledger.total),
        String::new(),
    ]);
    let table = Table {
        columns: vec![
            Column::words(words.line),
            Column::numbers(words.amount),
            Column::words(words.formula),
        ],
        strong: vec![rows.len() - 1],
        rows,
    };
    let each = format!(
        "Each {} before tax; floor price {} (no margin); earns {} per machine hour.",
        money(ledger.unit_price, ledger.currency),
        money(ledger.unit_cost, ledger.currency),
        money(ledger.earned_per_machine_hour, ledger.currency)
    );
    let nothing: Vec<String> = nothing
        .iter()
        .map(|line| figures.ledger_line(line.line))
        .collect();
    let heading = (words.ledger)(&plan.name(), &pieces(ledger.quantity), code);
    Ok(vec![
        Block::Heading(heading),
        Block::Table(table),
        Block::Note(format!("{}: {}.", words.not_charged, nothing.join(", "))),
        Block::Paragraph(each),
        Block::Plot(plots::ledger(ledger, figures)?),
    ])
}

/// A row for every quantity, how it is made, and when it can be sent.
fn quantities(offer: &Offer<'_>, figures: &Figures) -> Result<Vec<Block>, String> {
    let words = figures.phrases();
    let Some(first) = offer.lots.first() else {
        return Ok(Vec::new());
    };
    let code = first.plan.ledger.currency.code();
    let mut columns = vec![
        Column::numbers(words.quantity),
        Column::numbers(format!("{} {code}", words.owner.each)),
        Column::numbers(format!("{} {code}", words.owner.floor)),
        Column::numbers(format!("{} {code}", words.total)),
        Column::numbers(words.owner.earns),
    ];
    let dated = offer.lots.iter().any(|lot| lot.dates.is_some());
    if dated {
        columns.extend([words.owner.likely, words.owner.safe].map(Column::numbers));
    }
    let rows = offer.lots.iter();
    let rows = rows.map(|lot| quantity_row(lot, dated, figures)).collect();
    let prices = Table {
        columns,
        rows,
        strong: Vec::new(),
    };
    let mut blocks = vec![
        Block::Heading(words.owner.quantities.to_owned()),
        Block::Table(prices),
        Block::Table(beds(offer, figures)),
        Block::Note(words.owner.beds_mean.to_owned()),
    ];
    blocks.extend(cheaper(offer, figures).into_iter().map(Block::Paragraph));
    blocks.extend(curve(offer, figures)?);
    if !first.pace.is_empty() {
        blocks.push(Block::Paragraph((words.owner.pace)(&first.pace)));
    }
    Ok(blocks)
}

fn quantity_row(lot: &Lot, dated: bool, figures: &Figures) -> Vec<String> {
    let ledger = &lot.plan.ledger;
    let mut row = vec![
        figures.count(ledger.quantity),
        figures.amount(ledger.unit_price),
        figures.amount(ledger.unit_cost),
        figures.amount(ledger.total),
        figures.amount(ledger.earned_per_machine_hour),
    ];
    if dated {
        let dates = lot.dates.map(|d| [d.likely, d.safe]);
        // Days in full would make the table too wide; this is the one form that no reader takes for another.
        row.extend(dates.map_or([String::new(), String::new()], |d| d.map(|d| d.to_string())));
    }
    row
}

/// How every quantity is made.
fn beds(offer: &Offer<'_>, figures: &Figures) -> Table {
    let words = figures.phrases();
    let rows = offer.lots.iter().map(|lot| {
        let plan = &lot.plan;
        let each = |cell: &dyn Fn(&crate::estimate::PlannedStart) -> String| {
            let cells: Vec<String> = plan.starts.iter().map(cell).collect();
            cells.join(" + ")
        };
        vec![
            figures.count(plan.ledger.quantity),
            plan.name(),
            each(&|start| format!("{} x {}", start.pieces, start.times)),
            each(&|start| hours_column(start.seconds)),
            figures.number(grams(plan), 0),
        ]
    });
    Table {
        rows: rows.collect(),
        columns: vec![
            Column::numbers(words.quantity),
            Column::words(words.owner.made_on),
            Column::words(words.owner.beds),
            Column::words(words.owner.bed_hours),
            Column::numbers(words.owner.grams),
        ],
        strong: Vec::new(),
    }
}

fn grams(plan: &Plan) -> f64 {
    let starts = plan.starts.iter();
    starts.map(|s| s.grams * f64::from(s.times)).sum()
}

fn risks(offer: &Offer<'_>) -> Vec<String> {
    let first = offer.lots.first();
    first.map_or(Vec::new(), |lot| {
        risk_sentences(&lot.plan, offer.subject.shop)
    })
}

fn closing(offer: &Offer<'_>, figures: &Figures) -> Vec<Block> {
    let shop = offer.subject.shop;
    let words = figures.phrases();
    let guidance = GUIDANCE.map(str::to_owned);
    let sentences = cautions(&offer.subject).into_iter().chain(guidance);
    let mut blocks = vec![
        Block::Heading(words.owner.cautions.to_owned()),
        Block::List(sentences.collect()),
    ];
    if shop.demonstration {
        blocks.push(Block::Paragraph(INVENTED.to_owned()));
    }
    blocks
}
