//! How the time of an estimate grows from a thousand to five million facets: with the facets, and with the layers times the length
//! of their contours. Writes a plot to `target/growth.svg`.

use std::time::Instant;

use beadtally::estimate::{Ask, estimate};
use beadtally::mesh;
use beadtally::shop::demonstration;
use plotters::prelude::*;

#[path = "ball/mod.rs"]
mod ball;

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// Rings and facets around; two facets each.
const SIZES: [(usize, usize); 6] = [
    (16, 32),
    (50, 100),
    (158, 316),
    (500, 1000),
    (866, 1732),
    (1118, 2236),
];

struct Row {
    facets: f64,
    reading_s: f64,
    option_s: f64,
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let shop = demonstration();
    let ask = Ask {
        machine: Some("fast".into()),
        nozzle: Some("0.6-hardened".into()),
        ..Ask::default()
    };
    let mut rows = Vec::new();
    println!(
        "{:>9} {:>10} {:>10} {:>14}",
        "facets", "reading s", "option s", "us a facet"
    );
    for (rings, around) in SIZES {
        let bytes = ball::of(rings, around);
        let start = Instant::now();
        let part = mesh::read(bytes)?;
        let reading_s = start.elapsed().as_secs_f64();
        let start = Instant::now();
        estimate(&part, &shop, &ask)?;
        let option_s = start.elapsed().as_secs_f64();
        let facets = part.facets_read as f64;
        println!(
            "{facets:>9} {reading_s:>10.3} {option_s:>10.3} {:>14.3}",
            1e6 * (reading_s + option_s) / facets
        );
        rows.push(Row {
            facets,
            reading_s,
            option_s,
        });
    }
    plot(&rows)
}

fn plot(rows: &[Row]) -> Result<(), Box<dyn std::error::Error>> {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("target/growth.svg");
    let root = SVGBackend::new(&path, (800, 500)).into_drawing_area();
    root.fill(&WHITE)?;
    let most_s = rows
        .iter()
        .map(|r| r.reading_s + r.option_s)
        .fold(1.0, f64::max);
    let mut chart = ChartBuilder::on(&root)
        .margin(10)
        .caption(
            "seconds by facets: reading, and one option",
            ("sans-serif", 16),
        )
        .x_label_area_size(35)
        .y_label_area_size(55)
        .build_cartesian_2d((500.0..6e6).log_scale(), (1e-4..2.0 * most_s).log_scale())?;
    chart.configure_mesh().x_desc("facets").y_desc("s").draw()?;
    let reading = rows.iter().map(|r| (r.facets, r.reading_s));
    chart.draw_series(LineSeries::new(
        reading,
        RGBColor(120, 120, 120).stroke_width(2),
    ))?;
    let option = rows.iter().map(|r| (r.facets, r.option_s));
    chart.draw_series(LineSeries::new(
        option,
        RGBColor(0, 84, 120).stroke_width(2),
    ))?;
    root.present()?;
    println!("the plot is in target/growth.svg");
    Ok(())
}
