//! A document as PDF: real text in an embedded font, tagged, with its title, language and list of contents. It is set to PDF/UA-1
//! (ISO 14289-1); where a text of the shop or the customer can't be shown by those rules, it is written without that claim.

use krilla::color::luma;
use krilla::configure::{Accessibility, Configuration, ConfigurationBuilder};
use krilla::destination::XyzDestination;
use krilla::geom::{PathBuilder, Point, Rect, Size, Transform};
use krilla::image::Image;
use krilla::metadata::{DateTime, Metadata};
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::Fill;
use krilla::surface::Surface;
use krilla::tagging::{
    Artifact, ArtifactType, ContentTag, Identifier, Node, SpanTag, TagGroup, TagTree,
};
use krilla::{Document as Pdf, SerializeSettings};
use krilla_svg::{SurfaceExt, SvgSettings};

use super::layout::laid_out;
use super::letters::{Letters, printable};
use super::model::Document;
use super::phrases::phrases;
use super::sheet::{Child, FAINT, Grey, Mark, Sheets, Style};

const FOOT: Style = Style {
    size: 7.5,
    bold: false,
    grey: FAINT,
};

/// The document as the bytes of a PDF file.
///
/// # Errors
/// What the libraries say where a plot or a picture can't be read or the file can't be closed.
pub(super) fn pdf(document: &Document) -> Result<Vec<u8>, String> {
    let letters = Letters::carried().ok_or("the font that comes along can't be read")?;
    let sheets = laid_out(document, &letters)?;
    let accessible = ConfigurationBuilder::new()
        .with_accessibility_validator(Accessibility::UA1)
        .finish()
        .map_err(|error| format!("{error:?}"))?;
    match drawn(document, &sheets, accessible) {
        Err(_) => drawn(document, &sheets, Configuration::default()),
        done => done,
    }
}

fn drawn(
    document: &Document,
    sheets: &Sheets<'_>,
    configuration: Configuration,
) -> Result<Vec<u8>, String> {
    let mut pdf = Pdf::new_with(SerializeSettings {
        configuration,
        ..SerializeSettings::default()
    });
    let mut names: Vec<Option<Identifier>> = vec![None; sheets.marks.len()];
    let [width, height] = sheets.size;
    let mut marks = sheets.marks.iter().enumerate().peekable();
    for page in 0..=sheets.page {
        let settings = PageSettings::from_wh(width, height).ok_or("the sheet has no size")?;
        let mut sheet = pdf.start_page_with(settings);
        let mut surface = sheet.surface();
        // Marks were placed page by page.
        while let Some((id, placed)) = marks.next_if(|(_, placed)| placed.page == page) {
            let tag = match (&placed.mark, placed.read) {
                (_, false) => ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout)),
                (Mark::Words { .. }, true) => ContentTag::Span(SpanTag::empty()),
                (_, true) => ContentTag::Other,
            };
            let name = surface.start_tagged(tag);
            names[id] = placed.read.then_some(name);
            draw(&mut surface, &placed.mark, sheets.letters)?;
            surface.end_tagged();
        }
        foot(&mut surface, document, sheets, page);
        surface.finish();
        sheet.finish();
    }
    pdf.set_metadata(metadata(document));
    pdf.set_outline(outline(sheets));
    pdf.set_tag_tree(tag_tree(document, sheets, &names));
    pdf.finish().map_err(|error| error.to_string())
}

fn draw(surface: &mut Surface<'_>, mark: &Mark<'_>, letters: &Letters) -> Result<(), String> {
    match mark {
        Mark::Words { at, text, style } => words(surface, *at, text, *style, letters),
        Mark::Rule {
            at,
            length,
            thick,
            grey,
        } => {
            let mut path = PathBuilder::new();
            let rect = Rect::from_xywh(at[0], at[1], *length, *thick);
            path.push_rect(rect.ok_or("a rule has no size")?);
            surface.set_fill(Some(fill(*grey)));
            surface.set_stroke(None);
            surface.draw_path(&path.finish().ok_or("a rule has no size")?);
        }
        Mark::Picture { at, size, picture } => {
            let image = Image::from_png(picture.png.clone().into(), false)?;
            surface.push_transform(&Transform::from_translate(at[0], at[1]));
            surface.draw_image(image, sized(*size)?);
            surface.pop();
        }
        Mark::Drawing { at, size, tree } => {
            surface.push_transform(&Transform::from_translate(at[0], at[1]));
            surface.draw_svg(tree, sized(*size)?, SvgSettings::default());
            surface.pop();
        }
    }
    Ok(())
}

fn words(surface: &mut Surface<'_>, at: [f32; 2], text: &str, style: Style, letters: &Letters) {
    surface.set_fill(Some(fill(style.grey)));
    surface.set_stroke(None);
    surface.draw_glyphs(
        Point::from_xy(at[0], at[1]),
        &letters.glyphs(text, style.bold),
        letters.font(style.bold),
        text,
        style.size,
        false,
    );
}

fn sized([width, height]: [f32; 2]) -> Result<Size, String> {
    Size::from_wh(width, height).ok_or_else(|| "a picture has no size".to_owned())
}

fn fill(grey: Grey) -> Fill {
    Fill {
        paint: luma::Color::new(grey).into(),
        ..Fill::default()
    }
}

/// The shop, the part and the page's number at the foot of a page; readers that read aloud leave it out.
fn foot(surface: &mut Surface<'_>, document: &Document, sheets: &Sheets<'_>, page: usize) {
    let letters = sheets.letters;
    let number = (phrases(document.language).page_of)(page + 1, sheets.page + 1);
    let number_width = letters.width(&number, false, FOOT.size);
    let left = sheets.left();
    let room = sheets.width() - number_width - 12.0;
    let lines = letters.lines(&printable(&document.foot), false, FOOT.size, room);
    surface.start_tagged(ContentTag::Artifact(Artifact::with_kind(
        ArtifactType::Footer,
    )));
    if let Some(line) = lines.first() {
        words(surface, [left, sheets.foot_y()], line, FOOT, letters);
    }
    let right = left + sheets.width() - number_width;
    words(surface, [right, sheets.foot_y()], &number, FOOT, letters);
    surface.end_tagged();
}

fn metadata(document: &Document) -> Metadata {
    let date = document.date;
    // A year before our reckoning is no day of a quote; the file then says the first.
    let year = u16::try_from(date.year()).unwrap_or(1);
    let made = DateTime::new(year)
        .month(date.month().unsigned_abs())
        .day(date.day().unsigned_abs());
    Metadata::new()
        .title(printable(&document.title))
        .language(phrases(document.language).code.to_owned())
        .authors(vec![printable(&document.author)])
        .creator(concat!("beadtally ", env!("CARGO_PKG_VERSION")).to_owned())
        .creation_date(made)
}

fn outline(sheets: &Sheets<'_>) -> Outline {
    let mut outline = Outline::new();
    for entry in &sheets.entries {
        let place = XyzDestination::new(entry.page, Point::from_xy(0.0, entry.y));
        outline.push_child(OutlineNode::new(entry.text.clone(), place));
    }
    outline
}

fn tag_tree(document: &Document, sheets: &Sheets<'_>, names: &[Option<Identifier>]) -> TagTree {
    let language = phrases(document.language).code.to_owned();
    let mut tree = TagTree::new().with_lang(Some(language));
    for node in &sheets.top {
        if let Some(group) = group(sheets, *node, names) {
            tree.push(group);
        }
    }
    tree
}

/// A node with all below it. Nodes only hold nodes that were made after them, so this comes to an end.
fn group(sheets: &Sheets<'_>, node: usize, names: &[Option<Identifier>]) -> Option<TagGroup> {
    let read = sheets.reads.get(node)?;
    let mut made = TagGroup::new(read.kind.clone());
    for child in &read.children {
        let child: Option<Node> = match child {
            Child::Node(id) => group(sheets, *id, names).map(Node::from),
            Child::Mark(id) => names.get(*id).copied().flatten().map(Node::from),
        };
        if let Some(child) = child {
            made.push(child);
        }
    }
    Some(made)
}
