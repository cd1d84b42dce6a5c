//! A document as one page that holds everything itself: no scripts, nothing fetched. Printed, it keeps rows whole and headings with
//! what follows them.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::model::{Align, Block, Document, Picture, Plot, Table};
use super::phrases::phrases;
use crate::shop::Paper;

const STYLE: &str = "\
:root{color:#1c2430;background:#fff}\
body{font:14px/1.5 'DejaVu Sans',Verdana,sans-serif;max-width:60em;margin:2em auto;padding:0 1.5em}\
h1{font-size:1.7em;margin:1.2em 0 .4em}h2{font-size:1.15em;margin:1.8em 0 .5em;break-after:avoid}\
p{margin:.5em 0}p.note{font-size:.85em;color:#4a5563}p.lead{font-weight:bold}\
header{border-bottom:2px solid #005478;padding-bottom:.6em}header strong{font-size:1.3em;display:block}\
table{border-collapse:collapse;width:100%;margin:.6em 0;font-size:.92em}\
thead{display:table-header-group}tr{break-inside:avoid}\
th,td{padding:.3em .8em .3em 0;text-align:left;vertical-align:top;overflow-wrap:anywhere}\
thead th{border-bottom:1.5px solid #1c2430;vertical-align:bottom;overflow-wrap:normal}tbody td{border-bottom:1px solid #dee2e6}\
.number{text-align:right;white-space:nowrap;font-variant-numeric:tabular-nums}thead .number{white-space:normal}\
tr.strong td{font-weight:bold}.facts th{width:9em;font-weight:normal;color:#4a5563}.facts td{border:0}\
.views{display:flex;flex-wrap:wrap;gap:1em;align-items:flex-end;margin:.8em 0}figure{margin:0;break-inside:avoid}\
.plot{margin:1em 0}figure img,figure svg{max-width:100%;height:auto}figcaption{font-size:.85em;color:#4a5563}\
li{margin-bottom:.35em}.foot{margin-top:2.5em;font-size:.8em;color:#4a5563;border-top:1px solid #dee2e6;padding-top:.4em}\
@media print{body{margin:0;padding:0;max-width:none;font-size:10pt}}";

/// The document as a page.
pub(super) fn html(document: &Document) -> String {
    let sheet = match document.paper {
        Paper::A4 => "@page{size:A4;margin:18mm 16mm}",
        Paper::Letter => "@page{size:letter;margin:0.7in 0.65in}",
    };
    let page = html! {
        (DOCTYPE)
        html lang=(phrases(document.language).code) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (document.title) }
                style { (PreEscaped(STYLE)) (PreEscaped(sheet)) }
            }
            body {
                @for block in &document.blocks { (one(block)) }
                p.foot { (document.foot) }
            }
        }
    };
    page.into_string()
}

fn one(block: &Block) -> Markup {
    match block {
        Block::Letterhead { name, lines } => html! {
            header {
                strong dir="auto" { (name) }
                @for line in lines { span dir="auto" { (line) } br; }
            }
        },
        Block::Title(title) => html! { h1 dir="auto" { (title) } },
        Block::Heading(heading) => html! { h2 dir="auto" { (heading) } },
        Block::Paragraph(sentence) => html! { p dir="auto" { (sentence) } },
        Block::Lead(sentence) => html! { p.lead dir="auto" { (sentence) } },
        Block::Note(sentence) => html! { p.note dir="auto" { (sentence) } },
        Block::Facts(facts) => html! {
            table.facts { tbody {
                @for (name, value) in facts { tr { th scope="row" { (name) } td dir="auto" { (value) } } }
            } }
        },
        Block::Table(rows) => table(rows),
        Block::List(sentences) => html! {
            ul { @for sentence in sentences { li dir="auto" { (sentence) } } }
        },
        Block::Pictures(pictures) => html! {
            div.views { @for picture in pictures { (drawn(picture)) } }
        },
        Block::Plot(drawing) => plot(drawing),
    }
}

fn table(table: &Table) -> Markup {
    let class = |i: usize| match table.columns.get(i).map(|column| column.align) {
        Some(Align::Right) => Some("number"),
        _ => None,
    };
    html! {
        table {
            thead { tr {
                @for (i, column) in table.columns.iter().enumerate() {
                    th scope="col" class=[class(i)] { (column.name) }
                }
            } }
            tbody {
                @for (row, cells) in table.rows.iter().enumerate() {
                    tr class=[table.strong.contains(&row).then_some("strong")] {
                        @for (i, cell) in cells.iter().enumerate() { td dir="auto" class=[class(i)] { (cell) } }
                    }
                }
            }
        }
    }
}

/// A picture at a quarter of its points a side, so that it is sharp on fine screens and on paper; four fit side by side.
fn drawn(picture: &Picture) -> Markup {
    let [width, height] = picture.size_px.map(|px| px.div_ceil(4).max(1));
    let address = format!("data:image/png;base64,{}", STANDARD.encode(&picture.png));
    html! {
        figure {
            img src=(address) width=(width) height=(height) alt=(picture.alt);
            figcaption { (picture.caption) }
        }
    }
}

/// The drawing itself, named for who can't see it.
fn plot(plot: &Plot) -> Markup {
    let [width, height] = plot.size_px;
    let plain = format!("<svg width=\"{width}\" height=\"{height}\"");
    let named = html! { svg role="img" aria-label=(plot.alt) width=(width) height=(height) {} }
        .into_string();
    let named = named.trim_end_matches("></svg>");
    html! {
        figure.plot { (PreEscaped(plot.svg.replacen(&plain, named, 1))) }
    }
}
