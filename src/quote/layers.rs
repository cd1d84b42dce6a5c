//! Where the time of an option goes over its height: a table, JSON and a plot.

use std::fmt::Write;

use plotters::prelude::*;
use serde::Serialize;

use super::words::{WIDTH, duration, wrap};
use crate::estimate::{LayerFigures, Made, PartOption};
use crate::motion::Limit;

/// Rows of the table at most.
const MOST_ROWS: usize = 40;
/// Layers that differ by less than this share stand in one row.
const ALIKE_SHARE: f64 = 0.05;
/// Characters of the longest bar.
const BAR: f64 = 24.0;

/// The layers of an option from the bed up, those alike in one row, and what share of the time each row takes.
pub fn layers_text(part: &str, option: &PartOption, made: &Made) -> String {
    let mut text = String::new();
    let busy_s: f64 = made.profile.iter().map(|layer| layer.seconds).sum();
    let sentence = format!(
        "{part} on {}: {} layers in {}, {} more for the start.",
        option.name(),
        made.profile.len(),
        duration(busy_s),
        duration(made.seconds.start_s)
    );
    line!(text, "{}", wrap(&sentence, WIDTH, "  "));
    line!(
        text,
        "\n  {:>7} {:>7} {:>6} {:>9} {:>8} {:>7} {:<8} {:>6}",
        "from mm",
        "to mm",
        "layers",
        "cm2",
        "s each",
        "mm3/s",
        "held by",
        "% time"
    );
    let rows = rows(&made.profile);
    let most_s = rows.iter().map(|row| total_s(row)).fold(0.0, f64::max);
    let mut from_mm = 0.0;
    for row in rows {
        let n = row.len() as f64;
        let mean = |figure: fn(&LayerFigures) -> f64| row.iter().map(figure).sum::<f64>() / n;
        let laying_s: f64 = row.iter().map(|l| l.laying_s).sum();
        let laid_mm3: f64 = row.iter().map(|l| l.flow_mm3_s * l.laying_s).sum();
        let to_mm = row.last().map_or(from_mm, |layer| layer.top_mm);
        let seconds = total_s(row);
        line!(
            text,
            "  {from_mm:>7.2} {to_mm:>7.2} {:>6} {:>9.2} {:>8.1} {:>7.2} {:<8} {:>6.1} {}",
            row.len(),
            mean(|l| l.area_mm2) / 100.0,
            mean(|l| l.seconds),
            if laying_s > 0.0 {
                laid_mm3 / laying_s
            } else {
                0.0
            },
            limit(row).name(),
            100.0 * seconds / busy_s,
            "#".repeat((BAR * seconds / most_s).round() as usize)
        );
        from_mm = to_mm;
    }
    text
}

fn total_s(row: &[LayerFigures]) -> f64 {
    row.iter().map(|layer| layer.seconds).sum()
}

/// What holds most of a row's time.
fn limit(row: &[LayerFigures]) -> Limit {
    let held_s = |limit: Limit| -> f64 {
        let held = row.iter().filter(|layer| layer.limit == limit);
        held.map(|layer| layer.seconds).sum()
    };
    [Limit::Motion, Limit::Melt, Limit::Cooling]
        .into_iter()
        .max_by(|a, b| held_s(*a).total_cmp(&held_s(*b)))
        .unwrap_or(Limit::Motion)
}

/// Layers alike together; where that leaves too many rows, as many layers in each.
fn rows(profile: &[LayerFigures]) -> Vec<&[LayerFigures]> {
    let close = |a: f64, b: f64| (a - b).abs() <= ALIKE_SHARE * a.abs().max(b.abs());
    let mut rows: Vec<&[LayerFigures]> = Vec::new();
    let mut first = 0;
    for next in 1..=profile.len() {
        let alike = profile.get(next).is_some_and(|layer| {
            let begun = &profile[first];
            begun.limit == layer.limit
                && close(begun.seconds, layer.seconds)
                && close(begun.area_mm2, layer.area_mm2)
        });
        if !alike {
            rows.push(&profile[first..next]);
            first = next;
        }
    }
    if rows.len() > MOST_ROWS {
        return profile.chunks(profile.len().div_ceil(MOST_ROWS)).collect();
    }
    rows
}

/// One layer in JSON.
#[derive(Serialize)]
pub(super) struct LayerObject {
    top_mm: f64,
    area_mm2: f64,
    seconds: f64,
    laying_s: f64,
    stretch_s: f64,
    flow_mm3_s: f64,
    limit: &'static str,
}

impl LayerObject {
    pub fn of(layer: &LayerFigures) -> LayerObject {
        LayerObject {
            top_mm: layer.top_mm,
            area_mm2: layer.area_mm2,
            seconds: layer.seconds,
            laying_s: layer.laying_s,
            stretch_s: layer.stretch_s,
            flow_mm3_s: layer.flow_mm3_s,
            limit: layer.limit.name(),
        }
    }
}

/// A plot of the layers over height as an SVG document: seconds, area and flow, the flow under its melt cap.
///
/// # Errors
/// What the plotting library says where it can't draw.
pub fn layers_svg(part: &str, option: &PartOption, made: &Made) -> Result<String, String> {
    let mut svg = String::new();
    let title = format!("{part} on {}", option.name());
    draw(&mut svg, &title, made).map_err(|error| error.to_string())?;
    Ok(svg)
}

/// One panel of the plot: its name, the figure drawn, and the height of a line across it, 0 for none.
type Panel = (&'static str, fn(&LayerFigures) -> f64, f64);

const SIZE: (u32, u32) = (900, 780);
const CURVE: RGBColor = RGBColor(0, 84, 120);
const CAP: RGBColor = RGBColor(170, 60, 20);

type DrawError<'a> = DrawingAreaErrorKind<<SVGBackend<'a> as DrawingBackend>::ErrorType>;

fn draw<'a>(svg: &'a mut String, title: &str, made: &Made) -> Result<(), DrawError<'a>> {
    let root = SVGBackend::with_string(svg, SIZE).into_drawing_area();
    root.fill(&WHITE)?;
    let root = root.titled(title, ("sans-serif", 18))?;
    let panels = root.split_evenly((3, 1));
    let top_mm = made.profile.last().map_or(1.0, |layer| layer.top_mm);
    let cap = made.limits.melt_cap_mm3_s.unwrap_or(0.0) / made.correction;
    let figures: [Panel; 3] = [
        ("seconds a layer", |layer| layer.seconds, 0.0),
        ("section, cm2", |layer| layer.area_mm2 / 100.0, 0.0),
        (
            "mean flow, mm3/s, and melt cap",
            |layer| layer.flow_mm3_s,
            cap,
        ),
    ];
    for (panel, (name, figure, line)) in panels.iter().zip(figures) {
        let most = made
            .profile
            .iter()
            .map(figure)
            .fold(line, f64::max)
            .max(1e-9);
        let mut chart = ChartBuilder::on(panel)
            .margin(8)
            .x_label_area_size(32)
            .y_label_area_size(56)
            .build_cartesian_2d(0.0..top_mm, 0.0..1.08 * most)?;
        chart
            .configure_mesh()
            .x_desc("height, mm")
            .y_desc(name)
            .light_line_style(WHITE)
            .draw()?;
        let points = made
            .profile
            .iter()
            .map(|layer| (layer.top_mm, figure(layer)));
        chart.draw_series(LineSeries::new(points, CURVE.stroke_width(2)))?;
        if line > 0.0 {
            let ends = [(0.0, line), (top_mm, line)];
            chart.draw_series(LineSeries::new(ends, CAP.stroke_width(1)))?;
        }
    }
    root.present()
}
