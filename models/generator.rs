//! Writes the demonstration parts: six invented fittings of a workshop for small wooden sailing boats.
//!
//! `cargo run --example demonstration_parts [DIR]` writes one binary STL per part into DIR (default `models`), the
//! same bytes each run, and prints facets and volume of each. The parts themselves are in `parts/`.

mod parts;

use std::error::Error;
use std::path::PathBuf;

fn main() -> Result<(), Box<dyn Error>> {
    let folder = std::env::args_os()
        .nth(1)
        .map_or_else(|| PathBuf::from("models"), PathBuf::from);
    for part in parts::ALL {
        let solid = (part.build)().map_err(|error| format!("{}: {error}", part.file))?;
        let path = folder.join(part.file);
        std::fs::write(&path, solid.to_stl())
            .map_err(|error| format!("{}: {error}", path.display()))?;
        let litres = solid.volume_mm3() / 1.0e6;
        println!(
            "{:<24} {:>6} facets  {litres:.4} l",
            part.file,
            solid.facet_count()
        );
    }
    Ok(())
}
