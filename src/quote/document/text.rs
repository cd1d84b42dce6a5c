//! A document as text of at most 100 columns. The owner's begins with the answer.

use std::fmt::Write;

use super::columns::{SHORT, widths};
use super::model::{Align, Audience, Block, Document, Table};
use crate::quote::words::{WIDTH, hang, wrap};

/// Letters between two columns of a table, and where it would be too wide.
const GAP: usize = 2;
const NARROW_GAP: usize = 1;

/// The document as text.
pub(super) fn text(document: &Document) -> String {
    let mut text = String::new();
    let owner = document.audience == Audience::Owner;
    for block in &document.blocks {
        match block {
            // On a terminal the answer comes first; who asks for it knows whose it is.
            Block::Title(_) | Block::Letterhead { .. } if owner => {}
            Block::Letterhead { name, lines } => {
                for each in [name].into_iter().chain(lines) {
                    line!(text, "{}", wrap(each, WIDTH, "  "));
                }
            }
            Block::Title(title) => {
                line!(text, "\n{}\n{}\n", title, "=".repeat(title.chars().count()))
            }
            Block::Heading(heading) => line!(text, "\n{}", wrap(heading, WIDTH, "  ")),
            Block::Paragraph(sentence) | Block::Lead(sentence) | Block::Note(sentence) => {
                line!(text, "{}", wrap(sentence, WIDTH, "  "));
            }
            Block::Facts(facts) => put_facts(&mut text, facts),
            Block::Table(table) => put_table(&mut text, table),
            Block::List(sentences) => {
                for sentence in sentences {
                    line!(text, "{}", hang(&format!("- {sentence}"), 2));
                }
            }
            // Pictures and plots show what the tables say.
            Block::Pictures(_) | Block::Plot(_) => {}
        }
    }
    text
}

fn put_facts(text: &mut String, facts: &[(String, String)]) {
    let longest = facts
        .iter()
        .map(|(name, _)| length(name))
        .max()
        .unwrap_or(0);
    for (name, value) in facts {
        let pad = " ".repeat(longest - length(name) + GAP);
        line!(
            text,
            "{}",
            hang(&format!("{name}{pad}{value}"), longest + GAP)
        );
    }
}

fn put_table(text: &mut String, table: &Table) {
    let steps = column_steps(table);
    let gaps = table.columns.len().saturating_sub(1);
    let least = steps[0].iter().sum::<f64>() as usize;
    let gap = if least + GAP * gaps > WIDTH {
        NARROW_GAP
    } else {
        GAP
    };
    let room = WIDTH.saturating_sub(gap * gaps).max(table.columns.len());
    let columns = widths(&steps, room as f64);
    let columns: Vec<usize> = columns.iter().map(|w| (*w as usize).max(1)).collect();
    let names: Vec<String> = table.columns.iter().map(|c| c.name.clone()).collect();
    for cells in [&names].into_iter().chain(&table.rows) {
        put_row(text, table, cells, &columns, gap);
    }
    line!(text, "");
}

/// What every column takes for its longest words, for its cells unbroken, and for its name as well, letters.
fn column_steps(table: &Table) -> [Vec<f64>; 3] {
    let mut steps = [Vec::new(), Vec::new(), Vec::new()];
    for (i, column) in table.columns.iter().enumerate() {
        let longest_word = |cell: &str| cell.split_whitespace().map(length).max().unwrap_or(0);
        let cells = || table.rows.iter().filter_map(|row| row.get(i));
        let whole = cells().map(|c| length(c)).max().unwrap_or(0);
        // Numbers and short words are never broken; a column's name is, rather than to widen it.
        let least = if column.align == Align::Right || whole <= SHORT {
            whole
        } else {
            cells().map(|c| longest_word(c)).max().unwrap_or(0)
        };
        let word = longest_word(&column.name);
        steps[0].push(least.max(word) as f64);
        steps[1].push(whole.max(word) as f64);
        steps[2].push(whole.max(length(&column.name)) as f64);
    }
    steps
}

/// One row, its cells broken into as many lines as they need.
fn put_row(text: &mut String, table: &Table, cells: &[String], widths: &[usize], gap: usize) {
    let broken: Vec<Vec<String>> = cells
        .iter()
        .zip(widths)
        .map(|(cell, width)| broken(cell, *width))
        .collect();
    let lines = broken.iter().map(Vec::len).max().unwrap_or(0);
    for at in 0..lines {
        let mut row = String::new();
        for ((column, lines), width) in table.columns.iter().zip(&broken).zip(widths) {
            let cell = lines.get(at).map_or("", String::as_str);
            let pad = " ".repeat(width.saturating_sub(length(cell)));
            let _ = match column.align {
                Align::Left => write!(row, "{cell}{pad}"),
                Align::Right => write!(row, "{pad}{cell}"),
            };
            row += &" ".repeat(gap);
        }
        line!(text, "{}", row.trim_end());
    }
}

/// A cell in lines of at most so many letters; longer words are cut.
fn broken(cell: &str, width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    for line in wrap(cell, width, "").lines() {
        let letters: Vec<char> = line.chars().collect();
        let pieces = letters.chunks(width).map(|piece| piece.iter().collect());
        lines.extend(pieces);
    }
    lines
}

fn length(text: &str) -> usize {
    text.chars().count()
}
