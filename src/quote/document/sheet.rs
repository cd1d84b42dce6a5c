//! The sheets of a PDF before they are drawn: what stands where, and what it is in the order of reading.

use krilla::tagging::TagKind;

use super::letters::Letters;
use super::model::Picture;
use crate::shop::Paper;

/// Free room at the edges, points.
const SIDE: f32 = 52.0;
const TOP: f32 = 50.0;
const BOTTOM: f32 = 62.0;

/// A grey between black (0) and white (255).
pub(super) type Grey = u8;
/// What is read.
pub(super) const INK: Grey = 28;
/// What stands back.
pub(super) const FAINT: Grey = 88;
/// Lines between rows.
pub(super) const HAIR: Grey = 216;

/// How words are set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Style {
    pub size: f32,
    pub bold: bool,
    pub grey: Grey,
}

impl Style {
    /// From one line of letters to the next, points.
    pub fn line_height(&self) -> f32 {
        1.35 * self.size
    }
}

/// Something drawn.
pub(super) enum Mark<'a> {
    /// A line of words, from the left end of its baseline.
    Words {
        at: [f32; 2],
        text: String,
        style: Style,
    },
    /// A rule from a point to the right.
    Rule {
        at: [f32; 2],
        length: f32,
        thick: f32,
        grey: Grey,
    },
    /// A picture in a rectangle.
    Picture {
        at: [f32; 2],
        size: [f32; 2],
        picture: &'a Picture,
    },
    /// A drawing in a rectangle.
    Drawing {
        at: [f32; 2],
        size: [f32; 2],
        tree: Box<resvg::usvg::Tree>,
    },
}

/// A mark on a page, and the place in the order of reading that it belongs to; none for ornament.
pub(super) struct Placed<'a> {
    pub page: usize,
    pub mark: Mark<'a>,
    pub read: bool,
}

/// A node in the order of reading.
pub(super) struct Read {
    pub kind: TagKind,
    pub children: Vec<Child>,
}

/// What a node holds.
pub(super) enum Child {
    /// Another node.
    Node(usize),
    /// A mark.
    Mark(usize),
}

/// A heading, for the list of contents that readers show.
pub(super) struct Entry {
    pub text: String,
    pub page: usize,
    pub y: f32,
}

/// The sheets being set: where the next block goes, and everything placed so far.
pub(super) struct Sheets<'a> {
    pub letters: &'a Letters,
    /// Width and height of the sheet, points.
    pub size: [f32; 2],
    pub marks: Vec<Placed<'a>>,
    pub reads: Vec<Read>,
    /// The nodes at the top of the order of reading.
    pub top: Vec<usize>,
    pub entries: Vec<Entry>,
    /// The page being filled, from 0.
    pub page: usize,
    /// How far it is filled, points from above.
    pub y: f32,
}

impl<'a> Sheets<'a> {
    pub fn new(letters: &'a Letters, paper: Paper) -> Sheets<'a> {
        Sheets {
            letters,
            size: match paper {
                // 210 x 297 mm and 8.5 x 11 in, at 72 points an inch.
                Paper::A4 => [595.276, 841.89],
                Paper::Letter => [612.0, 792.0],
            },
            marks: Vec::new(),
            reads: Vec::new(),
            top: Vec::new(),
            entries: Vec::new(),
            page: 0,
            y: TOP,
        }
    }

    /// The left edge of what is set.
    pub fn left(&self) -> f32 {
        SIDE
    }

    /// The width of what is set.
    pub fn width(&self) -> f32 {
        self.size[0] - 2.0 * SIDE
    }

    /// The height of what is set.
    pub fn height(&self) -> f32 {
        self.size[1] - TOP - BOTTOM
    }

    /// The baseline of the foot.
    pub fn foot_y(&self) -> f32 {
        self.size[1] - BOTTOM + 30.0
    }

    /// Whether so much height is free on this page.
    pub fn has_room(&self, height: f32) -> bool {
        self.y + height <= self.size[1] - BOTTOM
    }

    /// Goes to the next page where less height is free, unless this one is empty.
    pub fn need(&mut self, height: f32) {
        if !self.has_room(height) && self.y > TOP {
            self.turn();
        }
    }

    /// Goes to the next page.
    pub fn turn(&mut self) {
        self.page += 1;
        self.y = TOP;
    }

    /// Leaves room before a block, but not at a page's head.
    pub fn space(&mut self, height: f32) {
        if self.y > TOP {
            self.y += height;
        }
    }

    /// A node under another, or at the top.
    pub fn node(&mut self, kind: impl Into<TagKind>, under: Option<usize>) -> usize {
        let id = self.reads.len();
        self.reads.push(Read {
            kind: kind.into(),
            children: Vec::new(),
        });
        match under.and_then(|parent| self.reads.get_mut(parent)) {
            Some(parent) => parent.children.push(Child::Node(id)),
            None => self.top.push(id),
        }
        id
    }

    /// Places a mark on the page being filled: read as part of a node, or an ornament.
    pub fn place(&mut self, mark: Mark<'a>, node: Option<usize>) {
        let id = self.marks.len();
        let node = node.and_then(|node| self.reads.get_mut(node));
        let read = node.is_some();
        if let Some(node) = node {
            node.children.push(Child::Mark(id));
        }
        self.marks.push(Placed {
            page: self.page,
            mark,
            read,
        });
    }

    /// Places a line of words whose top is at `y`.
    pub fn words(&mut self, at: [f32; 2], text: &str, style: Style, node: Option<usize>) {
        if text.trim().is_empty() {
            return;
        }
        let mark = Mark::Words {
            at: [at[0], at[1] + style.size],
            text: text.to_owned(),
            style,
        };
        self.place(mark, node);
    }

    /// Sets lines one under the other from `left` on, turning pages as needed.
    pub fn lines(&mut self, lines: &[String], left: f32, style: Style, node: usize) {
        for (place, line) in lines.iter().enumerate() {
            self.need(style.line_height());
            // The space at a line's end keeps words apart for whoever reads the text without its places.
            let space = if place + 1 < lines.len() { " " } else { "" };
            let y = self.y;
            self.words([left, y], &format!("{line}{space}"), style, Some(node));
            self.y += style.line_height();
        }
    }
}
