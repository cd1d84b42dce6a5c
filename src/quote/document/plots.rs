//! The plots of a document as SVG: the same drawing goes into the page and onto the PDF. Blue and orange stay apart for most
//! colour-blind eyes, and what is picked has another shape as well, so that grey print is enough.

use iso_currency::Currency;
use plotters::coord::Shift;
use plotters::prelude::*;
use plotters::style::text_anchor::{HPos, Pos, VPos};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::figures::Figures;
use super::model::Plot;
use crate::cost::Ledger;

const WIDTH_PX: u32 = 900;
const OPTIONS_PX: u32 = 440;
const CURVE_PX: u32 = 330;
const BLUE: RGBColor = RGBColor(0, 84, 120);
const ORANGE: RGBColor = RGBColor(190, 80, 10);
const FAINT: RGBColor = RGBColor(222, 226, 230);
const INK: RGBColor = RGBColor(28, 36, 48);
const HAIR: RGBColor = RGBColor(150, 156, 164);
const LETTERS_PX: i32 = 17;
/// Beyond so many points a curve is drawn without them.
const MOST_POINTS: usize = 60;
/// From this ratio of the largest quantity to the least on, quantities stand at their logarithms.
const LOGARITHMIC_FROM: u32 = 20;

type Area<'a> = DrawingArea<SVGBackend<'a>, Shift>;
type DrawError<'a> = DrawingAreaErrorKind<<SVGBackend<'a> as DrawingBackend>::ErrorType>;

/// One option in the plot of hours against price.
pub(super) struct OptionPoint {
    pub hours: f64,
    pub price: Decimal,
    pub name: String,
    pub picked: bool,
}

/// The hours of one print against the price of a piece, for every option.
pub(super) fn options(
    points: &[OptionPoint],
    code: &str,
    figures: &Figures,
) -> Result<Plot, String> {
    let words = figures.phrases();
    let mut svg = String::new();
    {
        let root = canvas(&mut svg, OPTIONS_PX);
        draw_options(&root, points, code, figures).map_err(|error| error.to_string())?;
    }
    let told: Vec<String> = points
        .iter()
        .map(|p| {
            let (hours, price) = (figures.number(p.hours, 1), figures.amount(p.price));
            format!("{}: {hours} h, {price} {code}", p.name)
        })
        .collect();
    let alt = format!("{}: {}", words.owner.options_alt, told.join("; "));
    Ok(plot(svg, OPTIONS_PX, alt))
}

fn draw_options<'a>(
    root: &Area<'a>,
    points: &[OptionPoint],
    code: &str,
    figures: &Figures,
) -> Result<(), DrawError<'a>> {
    let words = figures.phrases();
    root.fill(&WHITE)?;
    let places: Vec<(f64, f64)> = points.iter().map(|p| (p.hours, plain(p.price))).collect();
    let most_h = places.iter().map(|p| p.0).fold(1e-9, f64::max);
    let most_price = places.iter().map(|p| p.1).fold(1e-9, f64::max);
    // Prices lie close together: the axis shows where they differ, from no lower than 0.
    let least_price = places.iter().map(|p| p.1).fold(most_price, f64::min);
    let spare = (0.15 * (most_price - least_price)).max(0.02 * most_price);
    let low = (least_price - spare).max(0.0);
    let mut chart = ChartBuilder::on(root)
        .margin(10)
        .margin_right(30)
        .caption(words.owner.options_title, letters(&INK))
        .x_label_area_size(50)
        .y_label_area_size(90)
        .build_cartesian_2d(0.0..1.1 * most_h, low..most_price + spare)?;
    let digits = [digits_for(most_h), digits_for(most_price - low)];
    chart
        .configure_mesh()
        .x_desc(words.owner.hours_axis)
        .y_desc(format!("{}, {code}", words.price_each))
        .x_label_formatter(&|x| figures.number(*x, digits[0]))
        .y_label_formatter(&|y| figures.number(*y, digits[1]))
        .label_style(letters(&INK))
        .axis_desc_style(letters(&INK))
        .light_line_style(WHITE)
        .bold_line_style(FAINT)
        .draw()?;
    for (point, place) in points.iter().zip(&places) {
        if point.picked {
            chart.draw_series([TriangleMarker::new(*place, 10, ORANGE.filled())])?;
        } else {
            chart.draw_series([Circle::new(*place, 5, BLUE.filled())])?;
        }
    }
    let at: Vec<(i32, i32)> = places
        .iter()
        .map(|place| chart.backend_coord(place))
        .collect();
    label_points(root, points, &at)
}

/// Writes every point's name beside it: to its right, or to its left near the edge, and as little higher or lower as lets it stand
/// free; a hair leads to it where it has moved.
fn label_points<'a>(
    root: &Area<'a>,
    points: &[OptionPoint],
    at: &[(i32, i32)],
) -> Result<(), DrawError<'a>> {
    // Left, right, middle: the markers first, for no name may cover one.
    let mut taken: Vec<(i32, i32, i32)> = at.iter().map(|(x, y)| (x - 8, x + 8, *y)).collect();
    // The option picked has the first choice of places.
    let mut order: Vec<(&OptionPoint, (i32, i32))> =
        points.iter().zip(at.iter().copied()).collect();
    order.sort_by_key(|(point, _)| !point.picked);
    for (point, (x, y)) in order {
        let name = shortened(&point.name);
        // About the width of a letter: names need room, not measure.
        let width = name.chars().count() as i32 * LETTERS_PX * 6 / 10;
        let left = if x + 14 + width > WIDTH_PX as i32 - 10 {
            x - 14 - width
        } else {
            x + 14
        };
        let free = |middle: i32| {
            let clear = |(l, r, m): &(i32, i32, i32)| {
                left > *r || left + width < *l || (middle - m).abs() >= LETTERS_PX
            };
            taken.iter().all(clear)
        };
        let (above, below) = (20, OPTIONS_PX as i32 - 80);
        let near = (0..60).flat_map(|step| [y - 6 * step, y + 6 * step]);
        let mut near = near.filter(|middle| (above..below).contains(middle));
        let middle = near.find(|middle| free(*middle)).unwrap_or(y);
        taken.push((left, left + width, middle));
        let colour = if point.picked { ORANGE } else { INK };
        let style = letters(&colour).pos(Pos::new(HPos::Left, VPos::Center));
        root.draw(&Text::new(name, (left, middle), style))?;
        if (middle - y).abs() > LETTERS_PX / 2 {
            let end = if left > x { left - 2 } else { left + width + 2 };
            root.draw(&PathElement::new([(x, y), (end, middle)], HAIR))?;
        }
    }
    Ok(())
}

/// The price of a piece against the quantity, full and part-filled beds as they are; the quantities asked are marked.
pub(super) fn curve(
    curve: &[(u32, Decimal)],
    asked: &[u32],
    currency: Currency,
    figures: &Figures,
) -> Result<Plot, String> {
    let words = figures.phrases();
    let mut svg = String::new();
    {
        let root = canvas(&mut svg, CURVE_PX);
        draw_curve(&root, curve, asked, currency.code(), figures)
            .map_err(|error| error.to_string())?;
    }
    let told: Vec<String> = curve
        .iter()
        .filter(|(quantity, _)| asked.contains(quantity))
        .take(MOST_POINTS)
        .map(|(quantity, price)| {
            format!(
                "{}: {}",
                figures.count(*quantity),
                figures.money(*price, currency)
            )
        })
        .collect();
    let alt = format!("{}: {}", words.curve_alt, told.join("; "));
    Ok(plot(svg, CURVE_PX, alt))
}

fn draw_curve<'a>(
    root: &Area<'a>,
    curve: &[(u32, Decimal)],
    asked: &[u32],
    code: &str,
    figures: &Figures,
) -> Result<(), DrawError<'a>> {
    let words = figures.phrases();
    root.fill(&WHITE)?;
    let quantities = || curve.iter().map(|(quantity, _)| *quantity);
    let (least, largest) = (
        quantities().min().unwrap_or(1).max(1),
        quantities().max().unwrap_or(1).max(1),
    );
    let logarithmic = largest / least >= LOGARITHMIC_FROM;
    let x = |quantity: u32| {
        let quantity = f64::from(quantity.max(1));
        if logarithmic {
            quantity.log10()
        } else {
            quantity
        }
    };
    let most_price = curve.iter().map(|(_, p)| plain(*p)).fold(1e-9, f64::max);
    let room = 0.03 * (x(largest) - x(least)).max(0.1);
    let mut chart = ChartBuilder::on(root)
        .margin(10)
        .margin_right(30)
        .caption(words.curve, letters(&INK))
        .x_label_area_size(50)
        .y_label_area_size(90)
        .build_cartesian_2d(x(least) - room..x(largest) + room, 0.0..1.1 * most_price)?;
    let digits = digits_for(most_price);
    chart
        .configure_mesh()
        .x_labels(if logarithmic { 0 } else { 10 })
        .y_desc(format!("{}, {code}", words.price_each))
        .x_desc(words.quantity)
        .x_label_formatter(&|x| figures.short(*x, 0))
        .y_label_formatter(&|y| figures.number(*y, digits))
        .label_style(letters(&INK))
        .axis_desc_style(letters(&INK))
        .disable_x_mesh()
        .light_line_style(WHITE)
        .bold_line_style(FAINT)
        .draw()?;
    if logarithmic {
        for (quantity, place) in round_quantities(least, largest).map(|q| (q, x(q))) {
            let (left, bottom) = chart.backend_coord(&(place, 0.0));
            let style = letters(&INK).pos(Pos::new(HPos::Center, VPos::Top));
            root.draw(&Text::new(
                figures.count(quantity),
                (left, bottom + 6),
                style,
            ))?;
            root.draw(&PathElement::new([(left, bottom), (left, bottom + 4)], INK))?;
        }
    }
    let places = curve.iter().map(|(q, price)| (x(*q), plain(*price)));
    chart.draw_series(LineSeries::new(places.clone(), BLUE.stroke_width(2)))?;
    if curve.len() <= MOST_POINTS {
        chart.draw_series(places.map(|place| Circle::new(place, 3, BLUE.filled())))?;
    }
    let marked = curve.iter().filter(|(q, _)| asked.contains(q));
    chart.draw_series(
        marked.map(|(q, price)| TriangleMarker::new((x(*q), plain(*price)), 8, ORANGE.filled())),
    )?;
    Ok(())
}

/// 1, 2, 5, 10, 20, ... between two quantities.
fn round_quantities(least: u32, largest: u32) -> impl Iterator<Item = u32> {
    let decades = (0..10u32).map(|power| 10u64.pow(power));
    let round = decades.flat_map(|ten| [ten, 2 * ten, 5 * ten]);
    round
        .filter_map(|quantity| u32::try_from(quantity).ok())
        .filter(move |quantity| (least..=largest).contains(quantity))
}

const BAR_PX: i32 = 26;
const NAME_PX: i32 = 190;
const AMOUNT_PX: i32 = 120;

/// The lines of a ledger that charge something, as bars.
pub(super) fn ledger(ledger: &Ledger, figures: &Figures) -> Result<Plot, String> {
    let words = &figures.phrases().owner;
    let charged = ledger.lines.iter().filter(|line| !line.amount.is_zero());
    let bars: Vec<(String, Decimal)> = charged
        .map(|line| (figures.ledger_line(line.line), line.amount))
        .collect();
    let height = u32::try_from(bars.len()).unwrap_or(0).saturating_add(1) * BAR_PX as u32 + 16;
    let mut svg = String::new();
    {
        let root = canvas(&mut svg, height);
        let title = format!("{}, {}", words.ledger_bars, ledger.currency.code());
        draw_bars(&root, &title, &bars, figures).map_err(|error| error.to_string())?;
    }
    let told: Vec<String> = bars
        .iter()
        .map(|(name, amount)| format!("{name} {}", figures.amount(*amount)))
        .collect();
    Ok(plot(
        svg,
        height,
        format!("{}: {}", words.ledger_alt, told.join("; ")),
    ))
}

fn draw_bars<'a>(
    root: &Area<'a>,
    title: &str,
    bars: &[(String, Decimal)],
    figures: &Figures,
) -> Result<(), DrawError<'a>> {
    root.fill(&WHITE)?;
    let most = bars
        .iter()
        .map(|bar| plain(bar.1).abs())
        .fold(1e-9, f64::max);
    let longest = WIDTH_PX as i32 - NAME_PX - AMOUNT_PX - 20;
    let left_style = letters(&INK).pos(Pos::new(HPos::Left, VPos::Center));
    root.draw(&Text::new(
        title.to_owned(),
        (8, BAR_PX / 2 + 4),
        left_style,
    ))?;
    for (row, (name, amount)) in bars.iter().enumerate() {
        let middle = BAR_PX * (row as i32 + 1) + BAR_PX / 2 + 4;
        let value = plain(*amount);
        let length = (f64::from(longest) * value.abs() / most).round() as i32;
        let colour = if value < 0.0 { ORANGE } else { BLUE };
        let corners = [(NAME_PX, middle - 8), (NAME_PX + length.max(1), middle + 8)];
        let name_style = letters(&INK).pos(Pos::new(HPos::Right, VPos::Center));
        let amount_style = letters(&INK).pos(Pos::new(HPos::Left, VPos::Center));
        root.draw(&Text::new(name.clone(), (NAME_PX - 8, middle), name_style))?;
        root.draw(&Rectangle::new(corners, colour.filled()))?;
        let after = (NAME_PX + length + 8, middle);
        root.draw(&Text::new(figures.amount(*amount), after, amount_style))?;
    }
    Ok(())
}

fn canvas(svg: &mut String, height_px: u32) -> Area<'_> {
    SVGBackend::with_string(svg, (WIDTH_PX, height_px)).into_drawing_area()
}

fn letters(colour: &RGBColor) -> TextStyle<'_> {
    TextStyle::from(("sans-serif", LETTERS_PX).into_font()).color(colour)
}

fn plot(svg: String, height_px: u32, alt: String) -> Plot {
    Plot {
        svg,
        size_px: [WIDTH_PX, height_px],
        alt,
    }
}

/// An amount for a place on a plot; never for a figure that is read.
fn plain(amount: Decimal) -> f64 {
    amount.to_f64().unwrap_or(0.0)
}

/// Decimals of the numbers along an axis.
fn digits_for(most: f64) -> usize {
    match most {
        m if m >= 20.0 => 0,
        m if m >= 2.0 => 1,
        _ => 2,
    }
}

/// A name that leaves room for the plot.
fn shortened(name: &str) -> String {
    const MOST: usize = 32;
    match name.char_indices().nth(MOST) {
        Some((end, _)) => format!("{}...", &name[..end]),
        None => name.to_owned(),
    }
}
