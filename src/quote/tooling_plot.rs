//! A plot of mould against piece.

use plotters::prelude::*;
use rust_decimal::prelude::ToPrimitive;

use super::words::own_name;
use crate::shop::Shop;
use crate::tooling::{Row, Tooling};

const SIZE: (u32, u32) = (900, 520);
const MOULD: RGBColor = RGBColor(0, 84, 120);
const PRINT: RGBColor = RGBColor(170, 60, 20);
const FLIP: RGBColor = RGBColor(120, 120, 120);

type DrawError<'a> = DrawingAreaErrorKind<<SVGBackend<'a> as DrawingBackend>::ErrorType>;

/// The price of both ways against quantity as an SVG document, with a line where the mould becomes cheaper.
///
/// # Errors
/// What the plotting library says where it can't draw.
pub fn tooling_svg(part: &str, answer: &Tooling, shop: &Shop) -> Result<String, String> {
    let mut svg = String::new();
    draw(&mut svg, part, answer, shop).map_err(|error| error.to_string())?;
    Ok(svg)
}

fn draw<'a>(
    svg: &'a mut String,
    part: &str,
    answer: &Tooling,
    shop: &Shop,
) -> Result<(), DrawError<'a>> {
    // A figure in a plot need be no finer than a line is wide.
    let moulded = |row: &Row| row.moulded.to_f64().unwrap_or_default();
    let printed = |row: &Row| row.printed.to_f64().unwrap_or_default();
    let most = answer
        .curve
        .iter()
        .map(|row| moulded(row).max(printed(row)))
        .fold(1.0, f64::max);
    let top = answer
        .curve
        .last()
        .map_or(1.0, |row| f64::from(row.quantity));
    let root = SVGBackend::with_string(svg, SIZE).into_drawing_area();
    root.fill(&WHITE)?;
    let title = format!("{}: printing every piece, or a mould", own_name(part));
    let root = root.titled(&title, ("sans-serif", 18))?;
    let mut chart = ChartBuilder::on(&root)
        .margin(10)
        .margin_right(28)
        .x_label_area_size(40)
        .y_label_area_size(80)
        .build_cartesian_2d(0.0..top, 0.0..1.05 * most)?;
    chart
        .configure_mesh()
        .x_desc("pieces")
        .x_label_formatter(&|pieces| format!("{pieces:.0}"))
        .y_label_formatter(&|price| format!("{price:.0}"))
        .y_desc(format!("price before tax, {}", shop.currency.code()))
        .light_line_style(WHITE)
        .draw()?;
    let points = |price: fn(&Row) -> f64| {
        answer
            .curve
            .iter()
            .map(move |row| (f64::from(row.quantity), price(row)))
            .collect::<Vec<_>>()
    };
    let legend = |colour: RGBColor| {
        move |(x, y)| PathElement::new(vec![(x, y), (x + 22, y)], colour.stroke_width(2))
    };
    let moulded = |row: &Row| row.moulded.to_f64().unwrap_or_default();
    let printed = |row: &Row| row.printed.to_f64().unwrap_or_default();
    chart
        .draw_series(LineSeries::new(points(moulded), MOULD.stroke_width(2)))?
        .label("with moulds")
        .legend(legend(MOULD));
    chart
        .draw_series(LineSeries::new(points(printed), PRINT.stroke_width(2)))?
        .label("printed one by one")
        .legend(legend(PRINT));
    if let Some(from) = answer.flip.first() {
        let at = f64::from(from);
        chart
            .draw_series(LineSeries::new(
                [(at, 0.0), (at, 1.05 * most)],
                FLIP.stroke_width(1),
            ))?
            .label(format!("the mould is cheaper from {from} pieces"))
            .legend(legend(FLIP));
    }
    chart
        .configure_series_labels()
        .position(SeriesLabelPosition::UpperLeft)
        .background_style(WHITE)
        .border_style(BLACK)
        .draw()?;
    root.present()
}
