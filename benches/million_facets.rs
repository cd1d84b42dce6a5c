//! How long a part of a million facets takes, as ratios within one run.
//!
//! `cargo bench` prints seconds for whoever is curious and, what can be compared between machines, how many times
//! reading and inspecting the same file each answer takes.

use std::time::{Duration, Instant};

use beadtally::estimate::{Ask, estimate};
use beadtally::mesh;
use beadtally::shop::demonstration;

#[path = "ball/mod.rs"]
mod ball;

fn main() {
    let bytes = ball::binary_stl();
    let shop = demonstration();
    let (part, reading) = timed(|| mesh::read(bytes.clone()));
    let Ok(part) = part else {
        println!("the ball could not be read");
        return;
    };
    let one = Ask {
        machine: Some("fast".into()),
        nozzle: Some("0.6-hardened".into()),
        ..Ask::default()
    };
    let (single, one_option) = timed(|| estimate(&part, &shop, &one));
    let (all, all_options) = timed(|| estimate(&part, &shop, &Ask::default()));
    let layers = single
        .ok()
        .and_then(|e| e.picked().map(|(_, made)| made.layers));
    let options = all.map_or(0, |e| {
        e.options.iter().filter(|o| o.made().is_some()).count()
    });
    let facets = part.facets_read;
    println!("{facets} facets, {} layers", layers.unwrap_or_default());
    row("read and inspect", reading, reading);
    row("one option", one_option, reading);
    row(&format!("all {options} options"), all_options, reading);
}

fn timed<T>(work: impl FnOnce() -> T) -> (T, Duration) {
    let start = Instant::now();
    let result = work();
    (result, start.elapsed())
}

fn row(what: &str, time: Duration, reading: Duration) {
    let ratio = time.as_secs_f64() / reading.as_secs_f64();
    println!(
        "{what:<18} {:>7.2} s  {ratio:>6.1} x reading",
        time.as_secs_f64()
    );
}
