//! Compares two grey pictures: `compare_pictures REFERENCE PICTURE` ends with 1 where they differ by more than another way of drawing
//! letters makes; `compare_pictures --keep PICTURE REFERENCE` writes a picture as a reference. Pictures are PNG files; colours are
//! made grey.

use std::error::Error;
use std::fs::File;
use std::io::{BufReader, BufWriter};
use std::process::ExitCode;

/// Squares of so many pixels a side are compared by their mean, which another drawing of the same letters hardly changes.
const SQUARE: usize = 12;
/// A square whose mean differs by more than this of 255 is another square: a line of text is there or not.
const OTHER: f64 = 22.0;
/// So many squares of all may be other ones, and so far may all pixels be apart in the mean: letters without soft edges came to 14
/// and to no other square, a row less in a table to 1.9 % of other squares.
const MOST_OTHER: f64 = 0.004;
const MOST_MEAN: f64 = 16.0;

struct Grey {
    size: [usize; 2],
    pixels: Vec<f64>,
}

fn read(path: &str) -> Result<Grey, Box<dyn Error>> {
    let mut decoder = png::Decoder::new(BufReader::new(File::open(path)?));
    decoder.set_transformations(png::Transformations::normalize_to_color8());
    let mut reader = decoder.read_info()?;
    let mut bytes = vec![0; reader.output_buffer_size().ok_or("too large")?];
    let info = reader.next_frame(&mut bytes)?;
    let samples = info.color_type.samples();
    let colours = if samples >= 3 { 3 } else { 1 };
    let grey = |pixel: &[u8]| {
        let sum: f64 = pixel[..colours].iter().map(|c| f64::from(*c)).sum();
        sum / colours as f64
    };
    let size = [info.width as usize, info.height as usize];
    let pixels = bytes[..size[0] * size[1] * samples]
        .chunks(samples)
        .map(grey)
        .collect();
    Ok(Grey { size, pixels })
}

fn keep(picture: &str, reference: &str) -> Result<(), Box<dyn Error>> {
    let grey = read(picture)?;
    let file = BufWriter::new(File::create(reference)?);
    let mut encoder = png::Encoder::new(file, grey.size[0] as u32, grey.size[1] as u32);
    encoder.set_color(png::ColorType::Grayscale);
    encoder.set_compression(png::Compression::High);
    let bytes: Vec<u8> = grey.pixels.iter().map(|p| p.round() as u8).collect();
    encoder.write_header()?.write_image_data(&bytes)?;
    Ok(())
}

/// The mean of every square.
fn squares(grey: &Grey) -> Vec<f64> {
    let across = grey.size[0].div_ceil(SQUARE);
    let mut sums = vec![(0.0, 0.0); across * grey.size[1].div_ceil(SQUARE)];
    for (place, pixel) in grey.pixels.iter().enumerate() {
        let (x, y) = (place % grey.size[0], place / grey.size[0]);
        let square = &mut sums[y / SQUARE * across + x / SQUARE];
        square.0 += pixel;
        square.1 += 1.0;
    }
    sums.into_iter().map(|(sum, count)| sum / count).collect()
}

fn compare(reference: &str, picture: &str) -> Result<bool, Box<dyn Error>> {
    let (a, b) = (read(reference)?, read(picture)?);
    let apart = a.size.iter().zip(b.size).any(|(a, b)| a.abs_diff(b) > 1);
    if apart {
        println!("{picture}: {:?} pixels, not {:?}", b.size, a.size);
        return Ok(false);
    }
    let differences = || a.pixels.iter().zip(&b.pixels).map(|(a, b)| (a - b).abs());
    let mean = differences().sum::<f64>() / a.pixels.len() as f64;
    let (of_a, of_b) = (squares(&a), squares(&b));
    let other = of_a
        .iter()
        .zip(&of_b)
        .filter(|(a, b)| (*a - *b).abs() > OTHER)
        .count();
    let share = other as f64 / of_a.len() as f64;
    let alike = mean <= MOST_MEAN && share <= MOST_OTHER;
    let verdict = if alike { "alike" } else { "DIFFERENT" };
    println!(
        "{picture}: {verdict}, {mean:.2} of 255 apart in the mean, {:.2} % other squares",
        100.0 * share
    );
    Ok(alike)
}

fn main() -> Result<ExitCode, Box<dyn Error>> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    match &args.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        ["--keep", picture, reference] => keep(picture, reference).map(|()| ExitCode::SUCCESS),
        [reference, picture] => Ok(ExitCode::from(u8::from(!compare(reference, picture)?))),
        _ => Err("give REFERENCE PICTURE, or --keep PICTURE REFERENCE".into()),
    }
}
