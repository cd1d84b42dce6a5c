//! What a document holds, before it is dressed.

use jiff::civil::Date;

use crate::shop::{Language, Paper};

/// Whom a document is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Audience {
    /// The customer: the part, prices, dates and terms, and nothing of what the shop pays or earns.
    #[default]
    Customer,
    /// The owner: everything.
    Owner,
}

/// A document: blocks in the order they are read.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    /// Its title.
    pub title: String,
    /// Whom it is for.
    pub audience: Audience,
    /// The shop's name.
    pub author: String,
    /// The language its words and numbers are in.
    pub language: Language,
    /// The sheet.
    pub paper: Paper,
    /// Its day; no other time gets into it.
    pub date: Date,
    /// What stands at the foot of every page, before the page's number.
    pub foot: String,
    /// Its blocks.
    pub blocks: Vec<Block>,
}

/// One block of a document.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    /// Who sends it: a name and the lines under it.
    Letterhead {
        /// The shop's name.
        name: String,
        /// Address, telephone, registration.
        lines: Vec<String>,
    },
    /// The document's own heading; once.
    Title(String),
    /// The heading of a section.
    Heading(String),
    /// Running text.
    Paragraph(String),
    /// Running text that is read first.
    Lead(String),
    /// Running text in small letters: what a table's columns mean.
    Note(String),
    /// Names with their values.
    Facts(Vec<(String, String)>),
    /// Rows under named columns.
    Table(Table),
    /// Sentences that stand apart.
    List(Vec<String>),
    /// Pictures side by side, at one scale.
    Pictures(Vec<Picture>),
    /// A drawing.
    Plot(Plot),
}

/// Rows under named columns.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Table {
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows, each with a cell for every column.
    pub rows: Vec<Vec<String>>,
    /// Rows that stand out, by their place: a total, the option picked.
    pub strong: Vec<usize>,
}

/// A column of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Column {
    /// Its name, with the unit where the cells have one.
    pub name: String,
    /// On which side its cells stand.
    pub align: Align,
}

/// On which side cells stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Align {
    /// Words.
    Left,
    /// Numbers.
    Right,
}

impl Column {
    /// A column of words.
    pub fn words(name: impl Into<String>) -> Column {
        Column {
            name: name.into(),
            align: Align::Left,
        }
    }

    /// A column of numbers.
    pub fn numbers(name: impl Into<String>) -> Column {
        Column {
            name: name.into(),
            align: Align::Right,
        }
    }
}

/// A picture of points.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// The bytes of a PNG file.
    pub png: Vec<u8>,
    /// Width and height, pixels.
    pub size_px: [usize; 2],
    /// What it shows, for who can't see it.
    pub alt: String,
    /// What stands under it.
    pub caption: String,
}

/// A drawing of lines and words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plot {
    /// The SVG document.
    pub svg: String,
    /// Width and height, pixels.
    pub size_px: [u32; 2],
    /// What it shows, for who can't see it.
    pub alt: String,
}
