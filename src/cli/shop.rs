//! Opening shop files, and the `shop` command.

use std::fs;
use std::io::{Read, Write};
use std::path::Path;

use super::args::{ShopArgs, ShopCommand, ShopFile};
use super::parts::{name, plain};
use super::{Failure, Outcome};
use crate::shop::{
    DEMONSTRATION_TOML, MAX_SHOP_BYTES, Shop, demonstration, describe, new_shop_file,
    read_shop_bytes, with_changes,
};

/// The shop asked, or the demonstration shop.
pub(super) fn open(file: &ShopFile) -> Result<Shop, Failure> {
    match &file.file {
        Some(path) => read(path),
        None => Ok(demonstration()),
    }
}

/// The shop asked with some of its values changed. Whether it is in order without them is for [`open`] to say, which is asked first.
pub(super) fn open_with(file: &ShopFile, changes: &[String]) -> Result<Shop, Failure> {
    let Some(path) = &file.file else {
        let shop = with_changes(DEMONSTRATION_TOML, "demonstration.toml", changes);
        return Ok(Shop {
            demonstration: true,
            ..shop.map_err(Failure::of)?
        });
    };
    let bytes = bytes_of(path)?;
    with_changes(&String::from_utf8_lossy(&bytes), &name(path), changes).map_err(Failure::of)
}

fn read(path: &Path) -> Result<Shop, Failure> {
    read_shop_bytes(&bytes_of(path)?, &name(path)).map_err(|e| Failure::of(e.to_string()))
}

pub(super) fn bytes_of(path: &Path) -> Result<Vec<u8>, Failure> {
    let unreadable = |why: String| {
        Failure::of(format!(
            "{}: {why}; give the path of a shop file",
            name(path)
        ))
    };
    let about = fs::metadata(path).map_err(|e| unreadable(plain(&e)))?;
    if about.is_dir() {
        return Err(unreadable("this is a folder".to_owned()));
    }
    if about.len() > MAX_SHOP_BYTES as u64 {
        return Err(unreadable(format!(
            "{} bytes are more than a shop file has",
            about.len()
        )));
    }
    let mut bytes = Vec::new();
    // A device states no length and may have no end.
    fs::File::open(path)
        .and_then(|file| file.take(MAX_SHOP_BYTES as u64 + 1).read_to_end(&mut bytes))
        .map_err(|e| unreadable(plain(&e)))?;
    if bytes.len() > MAX_SHOP_BYTES {
        return Err(unreadable("this is longer than a shop file".to_owned()));
    }
    Ok(bytes)
}

/// Runs the `shop` command.
pub(super) fn shop(args: &ShopArgs) -> Result<Outcome, Failure> {
    let out = match &args.command {
        ShopCommand::Check { file } => {
            let shop = read(file)?;
            format!(
                "{} is in order: {} machines, {} nozzles, {} plastics, {} measured rows.\n",
                name(file),
                shop.machines.len(),
                shop.nozzles.len(),
                shop.materials.len(),
                shop.measured.len()
            )
        }
        ShopCommand::Show { file } => {
            let shop = match file {
                Some(file) => read(file)?,
                None => demonstration(),
            };
            describe(&shop)
        }
        ShopCommand::New {
            file,
            demonstration,
        } => {
            let text = if *demonstration {
                DEMONSTRATION_TOML.to_owned()
            } else {
                new_shop_file()
            };
            match file {
                Some(file) => write_new(file, &text)?,
                None => text,
            }
        }
    };
    Ok(Outcome {
        out,
        ..Outcome::default()
    })
}

fn write_new(path: &Path, text: &str) -> Result<String, Failure> {
    let failed = |e: std::io::Error| match e.kind() {
        std::io::ErrorKind::AlreadyExists => Failure::of(format!(
            "{} exists already; give another name, it is not overwritten",
            name(path)
        )),
        _ => Failure::of(format!(
            "{}: {e}; give a path that can be written",
            name(path)
        )),
    };
    let mut file = fs::File::create_new(path).map_err(failed)?;
    file.write_all(text.as_bytes()).map_err(failed)?;
    Ok(format!(
        "{} is written; fill it in and run: beadtally shop check {}\n",
        name(path),
        name(path)
    ))
}
