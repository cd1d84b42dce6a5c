//! The letters of a PDF: which glyphs a text takes, how wide it is, and where it breaks into lines.

use std::ops::Range;

use krilla::text::{Font, GlyphId, KrillaGlyph};
use rustybuzz::{Direction, Face, Feature, UnicodeBuffer, ttf_parser::Tag};
use unicode_bidi::BidiInfo;

/// Drawn for a letter that the font does not have; the text behind it stays the letter.
const STAND_IN: char = '\u{25a1}';

/// One weight of the font.
struct Cut {
    face: Face<'static>,
    font: Font,
    stand_in: GlyphId,
    stand_in_em: f32,
}

/// The font in its two weights.
pub(super) struct Letters {
    regular: Cut,
    bold: Cut,
}

impl Letters {
    /// The letters that the program carries; none where their bytes are no font.
    pub fn carried() -> Option<Letters> {
        Some(Letters {
            regular: Cut::of(dejavu::sans::regular())?,
            bold: Cut::of(dejavu::sans::bold())?,
        })
    }

    fn cut(&self, bold: bool) -> &Cut {
        if bold { &self.bold } else { &self.regular }
    }

    /// The font itself.
    pub fn font(&self, bold: bool) -> Font {
        self.cut(bold).font.clone()
    }

    /// The glyphs of a line from left to right, advances in em.
    pub fn glyphs(&self, text: &str, bold: bool) -> Vec<KrillaGlyph> {
        let cut = self.cut(bold);
        if text.is_ascii() {
            return cut.shape(text, 0..text.len(), false);
        }
        let bidi = BidiInfo::new(text, None);
        let mut glyphs = Vec::new();
        for paragraph in &bidi.paragraphs {
            let (levels, runs) = bidi.visual_runs(paragraph, paragraph.range.clone());
            for run in runs {
                let from_right = levels.get(run.start).is_some_and(|level| level.is_rtl());
                glyphs.extend(cut.shape(text, run, from_right));
            }
        }
        glyphs
    }

    /// How wide a line is at a size, in the size's unit.
    pub fn width(&self, text: &str, bold: bool, size: f32) -> f32 {
        let advances = self.glyphs(text, bold).into_iter().map(|g| g.x_advance);
        size * advances.sum::<f32>()
    }

    /// A text in lines of at most a width, broken between words; longer words are cut.
    pub fn lines(&self, text: &str, bold: bool, size: f32, width: f32) -> Vec<String> {
        let space = self.width(" ", bold, size);
        let mut lines = Vec::new();
        let (mut line, mut line_width) = (String::new(), 0.0);
        for word in words_with_units(text) {
            for piece in self.pieces(&word, bold, size, width) {
                let piece_width = self.width(&piece, bold, size);
                if !line.is_empty() && line_width + space + piece_width > width {
                    lines.push(std::mem::take(&mut line));
                }
                if line.is_empty() {
                    line_width = piece_width;
                } else {
                    line.push(' ');
                    line_width += space + piece_width;
                }
                line += &piece;
            }
        }
        lines.push(line);
        lines
    }

    /// A word whole where it fits, else in pieces that do. Widths are those of single letters, so one pass is enough.
    fn pieces(&self, word: &str, bold: bool, size: f32, width: f32) -> Vec<String> {
        if self.width(word, bold, size) <= width {
            return vec![word.to_owned()];
        }
        let mut pieces = Vec::new();
        let (mut piece, mut piece_width) = (String::new(), 0.0);
        for letter in word.chars() {
            let letter_width = self.width(letter.encode_utf8(&mut [0; 4]), bold, size);
            if !piece.is_empty() && piece_width + letter_width > width {
                pieces.push(std::mem::take(&mut piece));
                piece_width = 0.0;
            }
            piece.push(letter);
            piece_width += letter_width;
        }
        pieces.push(piece);
        pieces
    }
}

impl Cut {
    fn of(bytes: &'static [u8]) -> Option<Cut> {
        let face = Face::from_slice(bytes, 0)?;
        let stand_in = face.glyph_index(STAND_IN)?;
        let advance = f32::from(face.glyph_hor_advance(stand_in)?);
        Some(Cut {
            stand_in: GlyphId::new(u32::from(stand_in.0)),
            stand_in_em: advance / face.units_per_em() as f32,
            font: Font::new(bytes.into(), 0)?,
            face,
        })
    }

    /// The glyphs of one run of a text, which all goes in one direction.
    fn shape(&self, text: &str, run: Range<usize>, from_right: bool) -> Vec<KrillaGlyph> {
        let mut buffer = UnicodeBuffer::new();
        buffer.push_str(&text[run.clone()]);
        buffer.guess_segment_properties();
        buffer.set_direction(if from_right {
            Direction::RightToLeft
        } else {
            Direction::LeftToRight
        });
        // Without ligatures a word that is copied or searched for is found letter by letter.
        let no_ligatures = Feature::new(Tag::from_bytes(b"liga"), 0, ..);
        let shaped = rustybuzz::shape(&self.face, &[no_ligatures], buffer);
        let em = self.face.units_per_em() as f32;
        let starts = cluster_starts(&shaped);
        let infos = shaped.glyph_infos().iter();
        infos
            .zip(shaped.glyph_positions())
            .map(|(info, at)| {
                let from = info.cluster as usize;
                let next = starts.partition_point(|start| *start <= from);
                let to = starts.get(next).copied().unwrap_or(run.len());
                let known = info.glyph_id != 0;
                let (id, advance) = if known {
                    (GlyphId::new(info.glyph_id), at.x_advance as f32 / em)
                } else {
                    (self.stand_in, self.stand_in_em)
                };
                let shift = |units: i32| if known { units as f32 / em } else { 0.0 };
                let range = run.start + from..run.start + to;
                let (dx, dy) = (shift(at.x_offset), shift(at.y_offset));
                KrillaGlyph::new(id, advance, dx, dy, 0.0, range, None)
            })
            .collect()
    }
}

/// Units that stay with the number before them.
const UNITS: [&str; 9] = ["°C", "%", "mm", "in", "h", "g", "s", "min", "EUR"];

/// The words of a text, a number and its unit as one.
fn words_with_units(text: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let bare = word.trim_end_matches([',', '.', ';', ':', ')']);
        match words.last_mut() {
            Some(last) if UNITS.contains(&bare) && last.ends_with(|c: char| c.is_ascii_digit()) => {
                last.push(' ');
                last.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
    }
    words
}

/// Where the letters that became one or more glyphs together begin, in rising order.
fn cluster_starts(shaped: &rustybuzz::GlyphBuffer) -> Vec<usize> {
    let infos = shaped.glyph_infos().iter();
    let mut starts: Vec<usize> = infos.map(|info| info.cluster as usize).collect();
    starts.sort_unstable();
    starts.dedup();
    starts
}

/// A text without what no page can show: control characters become spaces, marks of byte order go.
pub(super) fn printable(text: &str) -> String {
    let shown = text
        .chars()
        .filter(|c| !matches!(c, '\u{feff}' | '\u{fffe}' | '\u{ffff}'));
    shown
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect()
}
