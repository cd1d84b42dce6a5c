//! How long a part of a million facets takes, as ratios within one run.
//!
//! `cargo bench` prints seconds for whoever is curious and, what can be compared between machines, how many times
//! reading and inspecting the same file each answer takes.

use std::time::{Duration, Instant};

use beadtally::estimate::{Ask, estimate};
use beadtally::mesh;
use beadtally::shop::demonstration;

/// Rings and facets around of a bumpy ball 104 mm high: about 290 layers of 0.36 mm.
const RINGS: usize = 500;
const AROUND: usize = 1000;

fn main() {
    let bytes = ball();
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

/// The bytes of a binary STL.
fn ball() -> Vec<u8> {
    let point = |ring: usize, step: usize| -> [f32; 3] {
        let u = std::f64::consts::PI * ring as f64 / RINGS as f64;
        let v = std::f64::consts::TAU * (step % AROUND) as f64 / AROUND as f64;
        let belly = u.sin() * u.sin();
        let r = 52.0 * (1.0 + 0.08 * (5.0 * v).sin() * belly + 0.05 * (4.0 * u).cos() * belly);
        [r * u.sin() * v.cos(), r * u.sin() * v.sin(), r * u.cos()].map(|c| c as f32)
    };
    let mut facets: Vec<[[f32; 3]; 3]> = Vec::new();
    for ring in 0..RINGS {
        for step in 0..AROUND {
            let (a, b) = (point(ring, step), point(ring + 1, step));
            let (c, d) = (point(ring + 1, step + 1), point(ring, step + 1));
            if ring > 0 {
                facets.push([a, c, d]);
            }
            if ring < RINGS - 1 {
                facets.push([a, b, c]);
            }
        }
    }
    let mut bytes = vec![b' '; 80];
    bytes.extend((facets.len() as u32).to_le_bytes());
    for facet in &facets {
        bytes.extend([0u8; 12]);
        bytes.extend(facet.iter().flatten().flat_map(|c| c.to_le_bytes()));
        bytes.extend([0u8; 2]);
    }
    bytes
}
