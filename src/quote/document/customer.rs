//! The document that goes to the customer. Of what the shop pays, earns and risks it knows nothing: it reads prices, dates and what
//! the part is, and no line of a ledger.

use super::figures::Figures;
use super::model::{Audience, Block, Column, Document, Table};
use super::part::{layers, pictures};
use super::plots;
use super::service;
use crate::mesh::Grade;
use crate::quote::offer::{Lot, Offer};
use crate::quote::words::own_name;
use crate::service::softens_c;

/// The document for the customer.
///
/// # Errors
/// What the plotting library says where a plot can't be drawn.
pub(super) fn customer(offer: &Offer<'_>) -> Result<Document, String> {
    let figures = Figures::of(&offer.subject.shop.document);
    let words = figures.phrases();
    let part = own_name(offer.subject.part);
    let mut blocks = head(offer, &figures, part);
    blocks.push(Block::Heading(words.your_part.to_owned()));
    blocks.push(Block::Pictures(pictures(offer, part, &figures)));
    blocks.push(Block::Facts(facts(offer, &figures)));
    blocks.extend(prices(offer, &figures));
    blocks.extend(curve(offer, &figures)?);
    blocks.extend(delivery(offer, &figures));
    blocks.extend(service::blocks(offer, &figures));
    blocks.extend(closing(offer, &figures));
    let title = (words.for_part)(part);
    Ok(Document::about(offer, Audience::Customer, title, blocks))
}

fn head(offer: &Offer<'_>, figures: &Figures, part: &str) -> Vec<Block> {
    let words = figures.phrases();
    let shop = offer.subject.shop;
    let fact = |name: &str, value: String| (name.to_owned(), value);
    vec![
        Block::Letterhead {
            name: shop.name.clone(),
            lines: shop.document.sender.clone(),
        },
        Block::Title(words.quotation.to_owned()),
        Block::Facts(vec![
            fact(words.part, part.to_owned()),
            fact(words.date, figures.date(offer.date)),
            fact(words.valid_until, figures.date(offer.valid_until())),
        ]),
    ]
}

/// Size, plastic, layers, fill, and what is wrong with the file.
fn facts(offer: &Offer<'_>, figures: &Figures) -> Vec<(String, String)> {
    let words = figures.phrases();
    let mut facts = vec![(
        words.size.to_owned(),
        figures.size(offer.subject.drawn_size_mm()),
    )];
    facts.push((words.material.to_owned(), material(offer, figures)));
    if let Some(layers) = layers(offer, figures) {
        facts.push((words.layers.to_owned(), layers));
    }
    let inside = if offer.ask.fill >= 1.0 {
        words.solid.to_owned()
    } else {
        (words.filled)(&figures.short(100.0 * offer.ask.fill, 0))
    };
    facts.push((words.inside.to_owned(), inside));
    let doubt = match offer.subject.mesh.trust.grade {
        Grade::Exact => None,
        Grade::Mended => Some(words.mended),
        Grade::Bounded | Grade::Refused => Some(words.not_closed),
    };
    facts.extend(doubt.map(|doubt| (words.file.to_owned(), doubt.to_owned())));
    facts
}

/// The plastic, why it is that one, and where it softens.
fn material(offer: &Offer<'_>, figures: &Figures) -> String {
    let words = figures.phrases();
    let why = match offer.ask.material {
        Some(_) => words.asked_plastic,
        None => words.usual_plastic,
    };
    let Some(material) = offer.subject.material() else {
        return format!("{}, {why}", offer.subject.estimate.material);
    };
    let softens = softens_c(material).map_or(String::new(), |(softens_c, _)| {
        format!("; {}", (words.softens)(&figures.short(softens_c, 0)))
    });
    format!("{}, {why}{softens}", material.what)
}

fn prices(offer: &Offer<'_>, figures: &Figures) -> Vec<Block> {
    let words = figures.phrases();
    let Some(first) = offer.lots.first() else {
        return Vec::new();
    };
    let code = first.plan.ledger.currency.code();
    let rates = &offer.subject.shop.rates;
    let tax_name = match rates.tax_name.trim() {
        "" => words.tax,
        name => name,
    };
    let tax = format!("{tax_name} {} %", figures.short(100.0 * rates.tax, 2));
    let columns = vec![
        Column::numbers(words.quantity),
        Column::numbers(format!("{}, {code}", words.each)),
        Column::numbers(format!("{}, {code}", words.before_tax)),
        Column::numbers(format!("{tax}, {code}")),
        Column::numbers(format!("{}, {code}", words.total)),
    ];
    let rows = offer.lots.iter().map(|lot| price_row(lot, figures));
    let mut blocks = vec![
        Block::Heading(words.prices.to_owned()),
        Block::Table(Table {
            columns,
            rows: rows.collect(),
            strong: Vec::new(),
        }),
    ];
    let rounded = offer.lots.iter();
    if rounded
        .map(|lot| lot.plan.ledger.unit_rounding)
        .any(|rest| !rest.is_zero())
    {
        blocks.push(Block::Note(words.rounded.to_owned()));
    }
    blocks.extend(
        terms_of_price(offer, figures)
            .into_iter()
            .map(Block::Paragraph),
    );
    blocks.extend(cheaper(offer, figures).into_iter().map(Block::Paragraph));
    blocks
}

/// What is in the price beside the part itself: bought-in parts, a discount, the order's place before others.
fn terms_of_price(offer: &Offer<'_>, figures: &Figures) -> Vec<String> {
    let words = figures.phrases();
    let rates = &offer.subject.shop.rates;
    let bought: Vec<&str> = rates
        .job
        .bought_in
        .iter()
        .map(|part| part.what.as_str())
        .collect();
    let mut all = Vec::new();
    if !bought.is_empty() {
        all.push((words.included)(&bought.join(", ")));
    }
    if rates.job.rush {
        all.push(words.express.to_owned());
    }
    let ledgers = offer.lots.iter().map(|lot| &lot.plan.ledger);
    all.extend(
        ledgers
            .filter(|ledger| !ledger.discount.is_zero())
            .map(|ledger| {
                let share = figures.short(100.0 * rates.discount_on(ledger.quantity), 2);
                (words.discounted)(&figures.count(ledger.quantity), &share)
            }),
    );
    all
}

fn price_row(lot: &Lot, figures: &Figures) -> Vec<String> {
    let ledger = &lot.plan.ledger;
    vec![
        figures.count(ledger.quantity),
        figures.amount(ledger.unit_price),
        figures.amount(ledger.subtotal),
        figures.amount(ledger.tax),
        figures.amount(ledger.total),
    ]
}

/// Larger quantities that cost less in all.
pub(super) fn cheaper(offer: &Offer<'_>, figures: &Figures) -> Vec<String> {
    let words = figures.phrases();
    let lots = offer.lots.iter();
    lots.filter_map(|lot| {
        let (quantity, total) = lot.cheaper?;
        let ledger = &lot.plan.ledger;
        Some((words.cheaper)(
            &figures.count(ledger.quantity),
            &figures.count(quantity),
            &figures.money(total, ledger.currency),
        ))
    })
    .collect()
}

/// Price against quantity, where there is more than one quantity to show.
pub(super) fn curve(offer: &Offer<'_>, figures: &Figures) -> Result<Option<Block>, String> {
    let (Some(first), true) = (offer.lots.first(), offer.curve.len() > 2) else {
        return Ok(None);
    };
    let currency = first.plan.ledger.currency;
    let asked: Vec<u32> = offer.lots.iter().map(|l| l.plan.ledger.quantity).collect();
    plots::curve(&offer.curve, &asked, currency, figures).map(|plot| Some(Block::Plot(plot)))
}

fn delivery(offer: &Offer<'_>, figures: &Figures) -> Vec<Block> {
    let words = figures.phrases();
    let heading = Block::Heading(words.delivery.to_owned());
    let lots = offer.lots.iter();
    let rows: Vec<Vec<String>> = lots
        .filter_map(|lot| {
            let dates = lot.dates?;
            Some(vec![
                figures.count(lot.plan.ledger.quantity),
                figures.date(dates.likely),
                figures.date(dates.safe),
            ])
        })
        .collect();
    if rows.is_empty() {
        return vec![heading, Block::Paragraph(words.no_dates.to_owned())];
    }
    let table = Table {
        columns: vec![
            Column::numbers(words.quantity),
            Column::numbers(words.likely),
            Column::numbers(words.safe),
        ],
        rows,
        strong: Vec::new(),
    };
    vec![
        heading,
        Block::Table(table),
        Block::Note(words.dates_mean.to_owned()),
    ]
}

/// Cautions, terms, and that the demonstration shop is invented.
fn closing(offer: &Offer<'_>, figures: &Figures) -> Vec<Block> {
    let words = figures.phrases();
    let shop = offer.subject.shop;
    let mut cautions = vec![words.review.to_owned(), words.as_sent.to_owned()];
    if let Some(material) = offer.subject.material() {
        let of_plastic = material.cautions.iter();
        cautions.extend(of_plastic.map(|caution| format!("{}: {caution}.", material.what)));
    }
    let mut terms = vec![(words.holds_until)(&figures.date(offer.valid_until()))];
    terms.extend(shop.document.terms.iter().cloned());
    let mut blocks = vec![
        Block::Heading(words.please_note.to_owned()),
        Block::List(cautions),
        Block::Heading(words.terms.to_owned()),
        Block::List(terms),
    ];
    if shop.demonstration {
        blocks.push(Block::Lead(words.invented.to_owned()));
    }
    blocks
}
