//! The bed from above: what of it can be used, what lies on it, and how much room is left.

use std::path::Path;

use plotters::coord::Shift;
use plotters::prelude::*;
use plotters::style::text_anchor::{HPos, Pos, VPos};

use crate::plane::Region;

/// What is drawn. All lengths are mm in the bed's own coordinates.
pub(crate) struct BedPicture<'a> {
    /// Above the drawing.
    pub title: String,
    /// Below the drawing, a line each.
    pub notes: Vec<String>,
    /// The bed's own shape.
    pub bed: &'a Region,
    /// Where a part may stand.
    pub usable: &'a Region,
    /// What stands there, each with its label.
    pub parts: Vec<(Region, String)>,
    /// Lengths to write, each between two points.
    pub measures: Vec<Measure>,
}

/// A length between two points, written beside its middle.
pub(crate) struct Measure {
    pub from_mm: [f64; 2],
    pub to_mm: [f64; 2],
}

const WIDTH_PX: f64 = 760.0;
const EDGE_PX: f64 = 30.0;
const HEAD_PX: f64 = 46.0;
const NOTE_PX: f64 = 20.0;
/// The highest a drawing may be; a bed a hundred times as deep as wide is drawn smaller.
const MOST_PX: f64 = 1200.0;

const NO_GO: RGBColor = RGBColor(214, 214, 208);
const USABLE: RGBColor = RGBColor(250, 250, 246);
const LINE: RGBColor = RGBColor(90, 90, 90);
const PART: RGBColor = RGBColor(0, 84, 120);
const MEASURE: RGBColor = RGBColor(170, 60, 20);

/// The picture as an SVG document.
///
/// # Errors
/// What the plotting library says where it can't draw.
pub(crate) fn bed_svg(picture: &BedPicture<'_>) -> Result<String, String> {
    let frame = Frame::around(picture);
    let mut svg = String::new();
    {
        let root = SVGBackend::with_string(&mut svg, frame.size_px()).into_drawing_area();
        draw(&root, picture, &frame).map_err(|error| error.to_string())?;
    }
    Ok(svg)
}

/// What a picture is written as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PictureKind {
    /// A drawing, with its letters as text.
    Svg,
    /// Points.
    Png,
}

impl PictureKind {
    /// By a file's ending; none for any other.
    pub fn of(path: &Path) -> Option<Self> {
        let ending = path.extension()?.to_str()?.to_ascii_lowercase();
        match ending.as_str() {
            "svg" => Some(Self::Svg),
            "png" => Some(Self::Png),
            _ => None,
        }
    }

    /// The bytes of a file of this kind.
    ///
    /// # Errors
    /// What the drawing library says where it can't read or draw the document.
    pub fn file_of(self, svg: String) -> Result<Vec<u8>, String> {
        match self {
            Self::Svg => Ok(svg.into_bytes()),
            Self::Png => png_of(&svg),
        }
    }
}

/// An SVG document as a PNG file, its letters drawn in a font that comes along, so that they look alike everywhere.
///
/// # Errors
/// What the drawing library says where it can't read or draw the document.
fn png_of(svg: &str) -> Result<Vec<u8>, String> {
    let mut options = resvg::usvg::Options::default();
    let fonts = options.fontdb_mut();
    fonts.load_font_data(dejavu::sans::regular().to_vec());
    fonts.set_sans_serif_family("DejaVu Sans");
    let tree = resvg::usvg::Tree::from_str(svg, &options).map_err(|error| error.to_string())?;
    let size = tree.size().to_int_size();
    let mut pixels = resvg::tiny_skia::Pixmap::new(size.width(), size.height())
        .ok_or("the picture has no size")?;
    resvg::render(
        &tree,
        resvg::tiny_skia::Transform::identity(),
        &mut pixels.as_mut(),
    );
    pixels.encode_png().map_err(|error| error.to_string())
}

/// Where the bed lies in the picture.
struct Frame {
    low_mm: [f64; 2],
    size_mm: [f64; 2],
    px_per_mm: f64,
    notes: usize,
}

impl Frame {
    fn around(picture: &BedPicture<'_>) -> Frame {
        let ([x0, y0], [x1, y1]) = picture.bed.box_mm().unwrap_or(([0.0; 2], [1.0; 2]));
        let size_mm = [(x1 - x0).max(1e-3), (y1 - y0).max(1e-3)];
        let room_px = WIDTH_PX - 2.0 * EDGE_PX;
        Frame {
            low_mm: [x0, y0],
            size_mm,
            px_per_mm: (room_px / size_mm[0]).min(MOST_PX / size_mm[1]),
            notes: picture.notes.len(),
        }
    }

    fn size_px(&self) -> (u32, u32) {
        let height =
            HEAD_PX + self.size_mm[1] * self.px_per_mm + EDGE_PX + NOTE_PX * self.notes as f64;
        (WIDTH_PX as u32, height.ceil() as u32)
    }

    /// The bed's y runs away from the one who stands before it, the picture's runs down.
    fn px(&self, [x, y]: [f64; 2]) -> (i32, i32) {
        let left = (WIDTH_PX - self.size_mm[0] * self.px_per_mm) / 2.0;
        (
            (left + (x - self.low_mm[0]) * self.px_per_mm).round() as i32,
            (HEAD_PX + (self.low_mm[1] + self.size_mm[1] - y) * self.px_per_mm).round() as i32,
        )
    }
}

type Area<'a> = DrawingArea<SVGBackend<'a>, Shift>;
type DrawError<'a> = DrawingAreaErrorKind<<SVGBackend<'a> as DrawingBackend>::ErrorType>;

fn draw<'a>(root: &Area<'a>, picture: &BedPicture<'_>, frame: &Frame) -> Result<(), DrawError<'a>> {
    root.fill(&WHITE)?;
    let heading = ("sans-serif", 17).into_font().color(&BLACK);
    root.draw(&Text::new(
        picture.title.as_str(),
        (EDGE_PX as i32, 14),
        heading,
    ))?;
    region(root, frame, picture.bed, NO_GO.filled(), None)?;
    region(
        root,
        frame,
        picture.usable,
        USABLE.filled(),
        Some(NO_GO.filled()),
    )?;
    outline(root, frame, picture.usable, LINE)?;
    outline(root, frame, picture.bed, BLACK)?;
    for (part, label) in &picture.parts {
        region(
            root,
            frame,
            part,
            RGBColor(150, 190, 208).filled(),
            Some(USABLE.filled()),
        )?;
        outline(root, frame, part, PART)?;
        if let Some(([x0, y0], [x1, y1])) = part.box_mm().filter(|_| !label.is_empty()) {
            let middle = frame.px([(x0 + x1) / 2.0, (y0 + y1) / 2.0]);
            root.draw(&Text::new(label.as_str(), middle, centred(13, &PART)))?;
        }
    }
    // What can't be used and lies in a hole of a part was covered by the hole's ground.
    for kept_clear in picture.bed.minus(picture.usable).pieces() {
        if kept_clear.rings().count() == 1 {
            region(root, frame, &kept_clear, NO_GO.filled(), None)?;
            outline(root, frame, &kept_clear, LINE)?;
        }
    }
    for measure in &picture.measures {
        length(root, frame, measure)?;
    }
    let below = frame.size_px().1 as i32 - (NOTE_PX * frame.notes as f64) as i32 - 6;
    for (index, note) in (0..).zip(&picture.notes) {
        let at = (EDGE_PX as i32, below + index * NOTE_PX as i32);
        let style = ("sans-serif", 13).into_font().color(&BLACK);
        root.draw(&Text::new(note.as_str(), at, style))?;
    }
    root.present()
}

fn centred(size: i32, colour: &RGBColor) -> TextStyle<'_> {
    let style = TextStyle::from(("sans-serif", size).into_font()).color(colour);
    style.pos(Pos::new(HPos::Center, VPos::Center))
}

/// Outer rings filled, and holes filled again with what lies under them.
fn region<'a>(
    root: &Area<'a>,
    frame: &Frame,
    region: &Region,
    style: ShapeStyle,
    hole: Option<ShapeStyle>,
) -> Result<(), DrawError<'a>> {
    for (ring, is_hole) in region.rings_and_holes() {
        let style = if is_hole { hole } else { Some(style) };
        if let Some(style) = style {
            let corners: Vec<(i32, i32)> =
                ring.into_iter().map(|corner| frame.px(corner)).collect();
            root.draw(&Polygon::new(corners, style))?;
        }
    }
    Ok(())
}

fn outline<'a>(
    root: &Area<'a>,
    frame: &Frame,
    region: &Region,
    colour: RGBColor,
) -> Result<(), DrawError<'a>> {
    for ring in region.rings() {
        let closing = ring.first().copied();
        let corners: Vec<(i32, i32)> = ring
            .into_iter()
            .chain(closing)
            .map(|corner| frame.px(corner))
            .collect();
        root.draw(&PathElement::new(corners, colour.stroke_width(1)))?;
    }
    Ok(())
}

fn length<'a>(root: &Area<'a>, frame: &Frame, measure: &Measure) -> Result<(), DrawError<'a>> {
    let ([x0, y0], [x1, y1]) = (measure.from_mm, measure.to_mm);
    let mm = (x1 - x0).hypot(y1 - y0);
    let (from, to) = (frame.px(measure.from_mm), frame.px(measure.to_mm));
    root.draw(&PathElement::new([from, to], MEASURE.stroke_width(1)))?;
    let across = (x1 - x0).abs() < (y1 - y0).abs();
    for end in [from, to] {
        let tick = if across {
            [(end.0 - 4, end.1), (end.0 + 4, end.1)]
        } else {
            [(end.0, end.1 - 4), (end.0, end.1 + 4)]
        };
        root.draw(&PathElement::new(tick, MEASURE.stroke_width(1)))?;
    }
    let middle = ((from.0 + to.0) / 2, (from.1 + to.1) / 2);
    let beside = if across {
        (middle.0 + 24, middle.1)
    } else {
        (middle.0, middle.1 - 10)
    };
    root.draw(&Text::new(
        format!("{mm:.1}"),
        beside,
        centred(12, &MEASURE),
    ))
}
