//! Sets tables on sheets: rows stay whole, and a table that goes on over the page has its head again.

use krilla::tagging::{TableHeaderScope, Tag};

use super::columns::{SHORT, widths};
use super::letters::{Letters, printable};
use super::model::{Align, Table};
use super::sheet::{HAIR, INK, Mark, Sheets, Style};

/// Letters of a table, from the size wished for down to the least that can still be read, points.
const SIZES: [f32; 6] = [8.5, 8.0, 7.5, 7.0, 6.5, 6.0];
/// Free room on either side of a cell, and above and below.
const BESIDE: f32 = 4.0;
const ABOVE: f32 = 2.2;

/// A table fitted to the sheet's width.
struct Fitted {
    size: f32,
    /// With the room beside the letters.
    widths: Vec<f32>,
    head: Row,
    rows: Vec<Row>,
}

/// The lines of a row, cell by cell.
struct Row {
    cells: Vec<Vec<String>>,
    bold: bool,
}

impl Row {
    fn lines(&self) -> usize {
        self.cells.iter().map(Vec::len).max().unwrap_or(0)
    }

    fn height(&self, size: f32) -> f32 {
        self.lines() as f32 * line_height(size) + 2.0 * ABOVE
    }
}

fn line_height(size: f32) -> f32 {
    1.28 * size
}

/// The height of a table's head with its first two rows.
pub(super) fn least_height(sheets: &Sheets<'_>, table: &Table) -> f32 {
    let fitted = fit(sheets, table);
    let first = fitted.rows.iter().take(2);
    fitted.head.height(fitted.size) + first.map(|row| row.height(fitted.size)).sum::<f32>()
}

/// Sets a table.
pub(super) fn set(sheets: &mut Sheets<'_>, table: &Table) {
    let fitted = fit(sheets, table);
    let size = fitted.size;
    let node = sheets.node(Tag::Table, None);
    let head = sheets.node(Tag::THead, Some(node));
    let body = sheets.node(Tag::TBody, Some(node));
    let first = fitted.rows.first().map_or(0.0, |row| row.height(size));
    sheets.need(fitted.head.height(size) + first);
    let row = sheets.node(Tag::TR, Some(head));
    set_row(sheets, table, &fitted, &fitted.head, Kind::Head(row));
    for row in &fitted.rows {
        if !sheets.has_room(row.height(size)) {
            sheets.turn();
            set_row(sheets, table, &fitted, &fitted.head, Kind::Again);
        }
        let node = sheets.node(Tag::TR, Some(body));
        set_row(sheets, table, &fitted, row, Kind::Row(node));
    }
    sheets.y += 7.0;
}

/// What a row is in the order of reading.
#[derive(Clone, Copy)]
enum Kind {
    /// The table's head, under this node.
    Head(usize),
    /// The head once more, which is not read again.
    Again,
    /// A row, under this node.
    Row(usize),
}

fn set_row(sheets: &mut Sheets<'_>, table: &Table, fitted: &Fitted, row: &Row, kind: Kind) {
    let size = fitted.size;
    let style = Style {
        size,
        bold: row.bold,
        grey: INK,
    };
    let (mut x, top, lines) = (sheets.left(), sheets.y + ABOVE, row.lines());
    for ((column, cell), width) in table.columns.iter().zip(&row.cells).zip(&fitted.widths) {
        let node = match kind {
            Kind::Head(under) => Some(sheets.node(Tag::TH(TableHeaderScope::Column), Some(under))),
            Kind::Row(under) => Some(sheets.node(Tag::TD, Some(under))),
            Kind::Again => None,
        };
        // Heads stand on their rule, cells hang from it.
        let down = match kind {
            Kind::Row(_) => 0,
            _ => lines - cell.len(),
        };
        for (at, line) in cell.iter().enumerate() {
            let left = match column.align {
                Align::Left => x,
                Align::Right => {
                    x + width - 2.0 * BESIDE - sheets.letters.width(line, row.bold, size)
                }
            };
            let y = top + (at + down) as f32 * line_height(size);
            let space = if at + 1 < cell.len() { " " } else { "" };
            sheets.words([left, y], &format!("{line}{space}"), style, node);
        }
        x += width;
    }
    sheets.y += row.height(size);
    let (thick, grey) = match kind {
        Kind::Row(_) => (0.5, HAIR),
        _ => (0.9, INK),
    };
    let rule = Mark::Rule {
        at: [sheets.left(), sheets.y],
        length: sheets.width(),
        thick,
        grey,
    };
    sheets.place(rule, None);
}

/// Fits a table: letters as large as let every word stay whole, columns as wide as they need.
fn fit(sheets: &Sheets<'_>, table: &Table) -> Fitted {
    let room = sheets.width();
    let letters = sheets.letters;
    let mut size = SIZES[0];
    let mut steps = column_steps(letters, table, size);
    for smaller in &SIZES[1..] {
        if steps[0].iter().sum::<f64>() <= f64::from(room) {
            break;
        }
        size = *smaller;
        steps = column_steps(letters, table, size);
    }
    let shared = widths(&steps, f64::from(room));
    let mut widths: Vec<f32> = shared.iter().map(|w| *w as f32).collect();
    spread(&mut widths, table, room);
    let most_lines = (sheets.height() / 2.0 / line_height(size)).floor().max(1.0) as usize;
    let cells = |cells: &[String], bold: bool| -> Vec<Vec<String>> {
        let cells = cells.iter().zip(&widths);
        cells
            .map(|(cell, width)| {
                let inner = (width - 2.0 * BESIDE).max(1.0);
                letters.lines(&printable(cell), bold, size, inner + 0.01)
            })
            .collect()
    };
    let names: Vec<String> = table.columns.iter().map(|c| c.name.clone()).collect();
    let head = Row {
        cells: cells(&names, true),
        bold: true,
    };
    let rows = table.rows.iter().enumerate().flat_map(|(place, row)| {
        let bold = table.strong.contains(&place);
        parted(cells(row, bold), bold, most_lines)
    });
    Fitted {
        size,
        rows: rows.collect(),
        head: parted(head.cells, true, most_lines)
            .into_iter()
            .next()
            .unwrap_or(Row {
                cells: Vec::new(),
                bold: true,
            }),
        widths,
    }
}

/// A row in rows of at most so many lines: one that would be higher than half a page could not be set whole.
fn parted(cells: Vec<Vec<String>>, bold: bool, most_lines: usize) -> Vec<Row> {
    let lines = cells.iter().map(Vec::len).max().unwrap_or(0);
    (0..lines.max(1))
        .step_by(most_lines)
        .map(|from| {
            let cells = cells.iter();
            let cells = cells.map(|cell| {
                let part = cell.iter().skip(from).take(most_lines);
                part.cloned().collect()
            });
            Row {
                cells: cells.collect(),
                bold,
            }
        })
        .collect()
}

/// What every column takes for its longest words, for its cells unbroken, and for its name as well, points.
fn column_steps(letters: &Letters, table: &Table, size: f32) -> [Vec<f64>; 3] {
    let width = |text: &str, bold: bool| f64::from(letters.width(&printable(text), bold, size));
    let longest_word = |text: &str, bold: bool| {
        let words = text.split_whitespace().map(|word| width(word, bold));
        words.fold(0.0, f64::max)
    };
    let beside = f64::from(2.0 * BESIDE);
    let mut steps = [Vec::new(), Vec::new(), Vec::new()];
    for (i, column) in table.columns.iter().enumerate() {
        let rows = table.rows.iter().enumerate();
        let cells: Vec<(&str, bool)> = rows
            .filter_map(|(place, row)| Some((row.get(i)?.as_str(), table.strong.contains(&place))))
            .collect();
        let most = |of: &dyn Fn(&str, bool) -> f64| {
            cells
                .iter()
                .map(|(c, bold)| of(c, *bold))
                .fold(0.0, f64::max)
        };
        let whole = most(&width);
        let short = cells.iter().all(|(cell, _)| cell.chars().count() <= SHORT);
        let least = if short || column.align == Align::Right {
            whole
        } else {
            most(&longest_word)
        };
        let word = longest_word(&column.name, true);
        let name = width(&column.name, true);
        let of_step = [least.max(word), whole.max(word), whole.max(name)];
        for (step, width) in steps.iter_mut().zip(of_step) {
            step.push(width + beside);
        }
    }
    steps
}

/// Gives what is left of the width to a last column of words, else to all alike.
fn spread(widths: &mut [f32], table: &Table, room: f32) {
    let left = room - widths.iter().sum::<f32>();
    if left <= 0.0 {
        return;
    }
    let words_last = table.columns.last().is_some_and(|c| c.align == Align::Left);
    let many = widths.len().max(1) as f32;
    match widths.last_mut() {
        Some(last) if words_last => *last += left,
        _ => widths.iter_mut().for_each(|width| *width += left / many),
    }
}
