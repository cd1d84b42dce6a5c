//! Sets the blocks of a document on sheets.

use std::num::NonZeroU16;
use std::sync::Arc;

use krilla::tagging::{ListNumbering, TableHeaderScope, Tag};
use resvg::usvg;

use super::letters::{Letters, printable};
use super::model::{Block, Document, Picture, Plot};
use super::sheet::{Entry, FAINT, INK, Mark, Sheets, Style};
use super::table_layout::{self, least_height};

const BODY: Style = Style {
    size: 9.5,
    bold: false,
    grey: INK,
};
const LEAD: Style = Style { bold: true, ..BODY };
const NOTE: Style = Style {
    size: 8.0,
    bold: false,
    grey: FAINT,
};
const TITLE: Style = Style {
    size: 19.0,
    bold: true,
    grey: INK,
};
const HEADING: Style = Style {
    size: 12.0,
    bold: true,
    grey: INK,
};
const SENDER: Style = Style {
    size: 14.0,
    bold: true,
    grey: INK,
};
/// Between two paragraphs, points.
const APART: f32 = 5.0;
/// The width of names beside their values.
const NAMES: f32 = 96.0;
/// The height that pictures may take, and the room between two.
const PICTURES: f32 = 112.0;
const BETWEEN: f32 = 16.0;

/// The sheets of a document.
///
/// # Errors
/// What the drawing library says where it can't read a plot.
pub(super) fn laid_out<'a>(
    document: &'a Document,
    letters: &'a Letters,
) -> Result<Sheets<'a>, String> {
    let mut sheets = Sheets::new(letters, document.paper);
    let mut options = usvg::Options::default();
    let fonts = options.fontdb_mut();
    let font: Arc<dyn AsRef<[u8]> + Send + Sync> = Arc::new(dejavu::sans::regular());
    fonts.load_font_source(usvg::fontdb::Source::Binary(font));
    fonts.set_sans_serif_family("DejaVu Sans");
    for (place, block) in document.blocks.iter().enumerate() {
        let next = document.blocks.get(place + 1);
        one(&mut sheets, block, next, &options)?;
    }
    Ok(sheets)
}

fn one<'a>(
    sheets: &mut Sheets<'a>,
    block: &'a Block,
    next: Option<&Block>,
    options: &usvg::Options<'_>,
) -> Result<(), String> {
    match block {
        Block::Letterhead { name, lines } => letterhead(sheets, name, lines),
        Block::Title(title) => heading(sheets, title, TITLE, NonZeroU16::MIN, next),
        Block::Heading(text) => {
            let second = NonZeroU16::MIN.saturating_add(1);
            heading(sheets, text, HEADING, second, next);
        }
        Block::Paragraph(text) => paragraph(sheets, text, BODY),
        Block::Lead(text) => paragraph(sheets, text, LEAD),
        Block::Note(text) => paragraph(sheets, text, NOTE),
        Block::Facts(facts) => set_facts(sheets, facts),
        Block::Table(table) => table_layout::set(sheets, table),
        Block::List(sentences) => list(sheets, sentences),
        Block::Pictures(drawn) => pictures(sheets, drawn),
        Block::Plot(drawing) => plot(sheets, drawing, options)?,
    }
    Ok(())
}

fn letterhead(sheets: &mut Sheets<'_>, name: &str, lines: &[String]) {
    let node = sheets.node(Tag::P, None);
    let (left, width) = (sheets.left(), sheets.width());
    let set = |sheets: &mut Sheets<'_>, text: &str, style: Style| {
        let text = format!("{} ", printable(text));
        let lines = sheets.letters.lines(&text, style.bold, style.size, width);
        sheets.lines(&lines, left, style, node);
    };
    set(sheets, name, SENDER);
    for line in lines {
        set(sheets, line, NOTE);
    }
    let at = [left, sheets.y + 4.0];
    let rule = Mark::Rule {
        at,
        length: width,
        thick: 1.2,
        grey: INK,
    };
    sheets.place(rule, None);
    sheets.y += 12.0;
}

/// A heading, never without what it heads.
fn heading(
    sheets: &mut Sheets<'_>,
    text: &str,
    style: Style,
    level: NonZeroU16,
    next: Option<&Block>,
) {
    let text = printable(text);
    let (left, width) = (sheets.left(), sheets.width());
    let lines = sheets.letters.lines(&text, style.bold, style.size, width);
    let own = lines.len() as f32 * style.line_height();
    sheets.space(1.1 * style.size);
    let kept = next.map_or(0.0, |block| first_height(sheets, block));
    sheets.need(own + APART + kept.min(sheets.height() / 2.0));
    sheets.entries.push(Entry {
        text: text.clone(),
        page: sheets.page,
        y: sheets.y,
    });
    let node = sheets.node(Tag::Hn(level, Some(text)), None);
    sheets.lines(&lines, left, style, node);
    sheets.y += APART;
}

/// How much of a block must stand with its heading.
fn first_height(sheets: &Sheets<'_>, block: &Block) -> f32 {
    match block {
        Block::Table(table) => least_height(sheets, table),
        Block::Pictures(_) => PICTURES + 2.0 * NOTE.line_height(),
        Block::Plot(plot) => plot_size(sheets, plot)[1],
        _ => 2.0 * BODY.line_height(),
    }
}

fn paragraph(sheets: &mut Sheets<'_>, text: &str, style: Style) {
    let (left, width) = (sheets.left(), sheets.width());
    let lines = sheets
        .letters
        .lines(&printable(text), style.bold, style.size, width);
    // Two lines at least stand together.
    sheets.need(lines.len().min(2) as f32 * style.line_height());
    let node = sheets.node(Tag::P, None);
    sheets.lines(&lines, left, style, node);
    sheets.y += APART;
}

fn set_facts(sheets: &mut Sheets<'_>, facts: &[(String, String)]) {
    let table = sheets.node(Tag::Table, None);
    let body = sheets.node(Tag::TBody, Some(table));
    let name_style = Style {
        grey: FAINT,
        ..BODY
    };
    let (left, width) = (sheets.left(), sheets.width());
    for (name, value) in facts {
        let letters = sheets.letters;
        let names = letters.lines(&printable(name), false, BODY.size, NAMES - 8.0);
        let values = letters.lines(&printable(value), false, BODY.size, width - NAMES);
        sheets.need(names.len().max(values.len()).min(8) as f32 * BODY.line_height());
        let row = sheets.node(Tag::TR, Some(body));
        let head = sheets.node(Tag::TH(TableHeaderScope::Row), Some(row));
        let cell = sheets.node(Tag::TD, Some(row));
        let (page, top) = (sheets.page, sheets.y);
        sheets.lines(&names, left, name_style, head);
        let below = sheets.y;
        // Both stand beside each other, except where the name alone has turned the page.
        if sheets.page == page {
            sheets.y = top;
        }
        sheets.lines(&values, left + NAMES, BODY, cell);
        if sheets.page == page {
            sheets.y = sheets.y.max(below);
        }
        sheets.y += 1.5;
    }
    sheets.y += APART;
}

fn list(sheets: &mut Sheets<'_>, sentences: &[String]) {
    const INDENT: f32 = 12.0;
    let list = sheets.node(Tag::L(ListNumbering::Disc), None);
    let (left, width) = (sheets.left(), sheets.width());
    for sentence in sentences {
        let text = printable(sentence);
        let lines = sheets
            .letters
            .lines(&text, false, BODY.size, width - INDENT);
        sheets.need(lines.len().min(3) as f32 * BODY.line_height());
        let item = sheets.node(Tag::LI, Some(list));
        let label = sheets.node(Tag::Lbl, Some(item));
        let body = sheets.node(Tag::LBody, Some(item));
        let y = sheets.y;
        sheets.words([left, y], "\u{2022} ", BODY, Some(label));
        sheets.lines(&lines, left + INDENT, BODY, body);
        sheets.y += 2.0;
    }
    sheets.y += APART;
}

/// Pictures side by side at one scale, as large as the row allows.
fn pictures<'a>(sheets: &mut Sheets<'a>, pictures: &'a [Picture]) {
    let gaps = BETWEEN * pictures.len().saturating_sub(1) as f32;
    let across: f32 = pictures.iter().map(|p| p.size_px[0] as f32).sum();
    let high = pictures.iter().map(|p| p.size_px[1]).max().unwrap_or(0) as f32;
    if across <= 0.0 || high <= 0.0 {
        return;
    }
    let scale = ((sheets.width() - gaps) / across).min(PICTURES / high);
    let height = high * scale;
    sheets.need(height + 2.0 * NOTE.line_height());
    let (mut x, top) = (sheets.left(), sheets.y);
    for picture in pictures {
        let [width, own] = picture.size_px.map(|px| px as f32 * scale);
        let figure = sheets.node(Tag::Figure(Some(printable(&picture.alt))), None);
        let mark = Mark::Picture {
            at: [x, top + height - own],
            size: [width, own],
            picture,
        };
        sheets.place(mark, Some(figure));
        let caption = printable(&picture.caption);
        let words = sheets.letters.width(&caption, false, NOTE.size);
        let node = sheets.node(Tag::Caption, Some(figure));
        sheets.words([x, top + height + 3.0], &caption, NOTE, Some(node));
        // A caption may be wider than a slender part.
        x += width.max(words) + BETWEEN;
    }
    sheets.y = top + height + 3.0 + NOTE.line_height() + 2.0 * APART;
}

fn plot_size(sheets: &Sheets<'_>, plot: &Plot) -> [f32; 2] {
    let [width, height] = plot.size_px.map(|px| px.max(1) as f32);
    let scale = (sheets.width() / width)
        .min(sheets.height() / height)
        .min(0.55);
    [width * scale, height * scale]
}

fn plot(sheets: &mut Sheets<'_>, plot: &Plot, options: &usvg::Options<'_>) -> Result<(), String> {
    let tree = usvg::Tree::from_str(&plot.svg, options).map_err(|error| error.to_string())?;
    let size = plot_size(sheets, plot);
    sheets.space(APART);
    sheets.need(size[1]);
    let node = sheets.node(Tag::Figure(Some(printable(&plot.alt))), None);
    let at = [sheets.left(), sheets.y];
    let mark = Mark::Drawing {
        at,
        size,
        tree: Box::new(tree),
    };
    sheets.place(mark, Some(node));
    sheets.y += size[1] + 2.0 * APART;
    Ok(())
}
