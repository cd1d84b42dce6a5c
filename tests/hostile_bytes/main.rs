//! Bytes that nobody meant as a mesh: files of every format, changed at random, are read, inspected and examined in full without a
//! panic, a hang or a great deal of memory.
//!
//! Each reader has a test of its own. It runs for one second, or for as many as `FUZZ_SECONDS` says (CI gives each 30). The seeds are
//! small files written here and the files of `../shared/meshes` up to 64 KiB, where that folder is. A file that breaks something is
//! kept in the target folder, and its name is printed.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod change;
mod seeds;

use std::alloc::System;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::sync::Mutex;
use std::time::{Duration, Instant};

use beadtally::health::examine;
use beadtally::mesh::{Mending, Source, Unit, inspect_part, open};
use cap::Cap;

use change::Changer;

/// The bounds for an input of up to 64 KiB.
const MOST_INPUT: usize = 64 << 10;
const MOST_TIME: Duration = Duration::from_secs(2);
const MOST_MEMORY: usize = 256 << 20;

#[global_allocator]
static MEMORY: Cap<System> = Cap::new(System, usize::MAX);

/// Memory and time are the whole process's: one test at a time.
static ALONE: Mutex<()> = Mutex::new(());

/// Everything that is done with a file, mended and as it is.
fn take(bytes: &[u8]) {
    let Ok(opened) = open(bytes.to_vec(), MOST_MEMORY as u64 / 4) else {
        return;
    };
    for drawing in opened.into_iter().filter_map(|file| file.drawing.ok()) {
        for part in drawing.parts.into_iter().take(4) {
            let source = Source {
                format: drawing.format,
                unit: drawing.unit.unwrap_or(Unit::Millimetre),
                unit_stated: drawing.unit.is_some(),
                copies: part.copies,
            };
            for mending in [Mending::Safe, Mending::AsIs] {
                if let Ok(part) = inspect_part(part.clone(), source, mending) {
                    examine(part, 0.34);
                }
            }
        }
    }
}

fn survives(reader: &str, bytes: &[u8]) {
    let keep = |what: &str| {
        let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{reader}-{what}.bin"));
        std::fs::write(&path, bytes).unwrap();
        panic!("{reader}: {what}; the file is kept as {}", path.display());
    };
    MEMORY
        .set_limit(MEMORY.allocated() + MOST_MEMORY)
        .expect("the limit lies above what is allocated");
    let start = Instant::now();
    if catch_unwind(AssertUnwindSafe(|| take(bytes))).is_err() {
        keep("panic");
    }
    if start.elapsed() > MOST_TIME {
        keep("slow");
    }
    MEMORY.set_limit(usize::MAX).expect("no limit is below it");
}

fn hammer(reader: &str) {
    let _alone = ALONE.lock().unwrap_or_else(|e| e.into_inner());
    let seconds: f64 = std::env::var("FUZZ_SECONDS")
        .ok()
        .and_then(|s| s.parse().ok())
        .unwrap_or(1.0);
    let seeds = seeds::of(reader);
    assert!(!seeds.is_empty());
    for seed in &seeds {
        survives(reader, &seed.file());
    }
    let mut changer = Changer::of(reader);
    let (start, mut files) = (Instant::now(), 0);
    while start.elapsed().as_secs_f64() < seconds {
        let changed = changer.change(&seeds);
        survives(reader, &changed[..changed.len().min(MOST_INPUT)]);
        files += 1;
    }
    println!("{reader}: {} seeds, {files} changed files", seeds.len());
}

#[test]
fn changed_stl_files_do_no_harm() {
    hammer("stl");
}

#[test]
fn changed_obj_files_do_no_harm() {
    hammer("obj");
}

#[test]
fn changed_ply_files_do_no_harm() {
    hammer("ply");
}

#[test]
fn changed_off_files_do_no_harm() {
    hammer("off");
}

#[test]
fn changed_amf_files_do_no_harm() {
    hammer("amf");
}

#[test]
fn changed_3mf_files_do_no_harm() {
    hammer("3mf");
}

#[test]
fn changed_archives_do_no_harm() {
    hammer("zip");
}

#[test]
fn every_truncation_of_a_small_file_of_each_format_does_no_harm() {
    let _alone = ALONE.lock().unwrap_or_else(|e| e.into_inner());
    for reader in ["stl", "obj", "ply", "off", "amf", "3mf", "zip"] {
        for seed in seeds::small(reader) {
            let file = seed.file();
            for length in 0..file.len() {
                survives(reader, &file[..length]);
            }
        }
    }
}
