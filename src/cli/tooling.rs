//! The `tooling` command: a mould for the part against printing every piece.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use super::args::{PartArgs, ShopFile};
use super::parts::{BadPart, Named, Reading, files, name, plain, read, refuse_doubtful_unit};
use super::run::write;
use super::{BAD, Failure, NO, Outcome, shop};
use crate::bench::stl_bytes;
use crate::estimate::Ask;
use crate::mesh::InspectedMesh;
use crate::mould::{Kind, MouldAsk, Opening, Shape};
use crate::pose::Rest;
use crate::quote;
use crate::shop::Shop;
use crate::tooling::{Answer, HalfMade, Tooling, ToolingAsk, tooling as compare};

/// Arguments of `tooling`.
#[derive(Debug, Args)]
#[command(allow_negative_numbers = true)]
pub struct ToolingArgs {
    #[command(flatten)]
    pub files: PartArgs,
    #[command(flatten)]
    pub shop: ShopFile,
    /// Which kind of mould: lay-up or closed; asked first, for the two have little in common
    #[arg(long, value_name = "KIND")]
    pub kind: Option<String>,
    /// Material around the part, mm
    #[arg(long, value_name = "MM", default_value_t = 8.0)]
    pub wall: f64,
    /// How far the flange reaches beyond the wall, mm; else none around a block, twice the wall around a shell, 20 around a tool
    #[arg(long, value_name = "MM")]
    pub flange: Option<f64>,
    /// Tell faces that stand steeper than this against the opening, degrees
    #[arg(long, value_name = "DEG", default_value_t = 1.0)]
    pub draft: f64,
    /// The direction of the part along which the mould opens, an axis or x,y,z; else the one with the least undercut
    #[arg(long, value_name = "DIRECTION", allow_hyphen_values = true)]
    pub opens: Option<String>,
    /// Where the mould parts, mm along that direction in the part's own coordinates; else where the least is undercut
    #[arg(long, value_name = "MM", allow_hyphen_values = true)]
    pub parting_height: Option<f64>,
    /// A box around the part, or the same thickness everywhere; else a block for a closed mould, a shell for a tool
    #[arg(long, value_name = "SHAPE")]
    pub shape: Option<ShapeArg>,
    /// Your own mould instead, a mesh for each of its pieces; may be given several times
    #[arg(long, value_name = "FILE")]
    pub mould: Vec<PathBuf>,
    /// The hottest the mould gets while a piece cures, C; else the shop's
    #[arg(long, value_name = "C")]
    pub cure_c: Option<f64>,
    /// Mould, piece or loose cores give way (rubber, thin laminate, pins pulled first), so that undercuts do not hold
    #[arg(long)]
    pub flexible: bool,
    /// Pieces wanted, several side by side
    #[arg(
        long,
        value_name = "N[,N...]",
        value_delimiter = ',',
        default_value = "1,10,100"
    )]
    pub quantity: Vec<u32>,
    /// The plastic of printed pieces and of the mould, by its id; else the shop's default
    #[arg(long, value_name = "ID")]
    pub material: Option<String>,
    /// The mould's plastic, where it is another
    #[arg(long, value_name = "ID")]
    pub mould_material: Option<String>,
    /// The mould's nozzle; else the coarsest that makes it in layers fit for a mould
    #[arg(long, value_name = "ID")]
    pub nozzle: Option<String>,
    /// Draw the cost of both ways against quantity
    #[arg(long, value_name = "FILE.svg")]
    pub plot: Option<PathBuf>,
    /// Write the mould's pieces as STL files into this folder
    #[arg(long, value_name = "DIR")]
    pub export: Option<PathBuf>,
}

/// How a mould looks from outside.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ShapeArg {
    /// A box around the part
    Block,
    /// The same thickness everywhere, on a flange
    Shell,
}

const KINDS: &str = "lay-up is a one-sided tool on which fibre and resin are laid by hand, closed is two halves with a cavity into which resin \
                     is poured";

/// Runs `tooling`.
pub(super) fn tooling(args: &ToolingArgs) -> Result<Outcome, Failure> {
    let kind = kind(args.kind.as_deref())?;
    let shop = shop::open(&args.shop)?;
    let ask = ask(args, kind)?;
    if args.plot.as_deref().is_some_and(|path| {
        path.extension()
            .is_none_or(|e| !e.eq_ignore_ascii_case("svg"))
    }) {
        return Err(Failure::of(
            "--plot: a plot is an .svg file; give a name that ends so",
        ));
    }
    let reading = Reading::of(&args.files, &shop);
    let paths = files(&args.files.parts)?;
    let [path] = &paths[..] else {
        return Err(Failure::of(format!(
            "{} files are given; tooling compares one part at a time",
            paths.len()
        )));
    };
    let (part, mesh) = one(path, &reading)?;
    let mut own = Vec::new();
    for path in &args.mould {
        own.push(one(path, &reading)?.1);
    }
    match compare(&mesh, &own, &shop, &ask) {
        Err(error) => Err(Failure::of(format!("{part}: {error}"))),
        Ok(Answer::No(no)) => Ok(Outcome {
            out: if args.files.json {
                quote::tooling_no_json(&part, &no) + "\n"
            } else {
                String::new()
            },
            errors: vec![format!("{part}: {}", no.sentence)],
            exit: NO,
        }),
        Ok(Answer::Yes(answer)) => told(args, &part, &shop, &ask, &answer),
    }
}

fn told(
    args: &ToolingArgs,
    part: &str,
    shop: &Shop,
    ask: &ToolingAsk,
    answer: &Tooling,
) -> Result<Outcome, Failure> {
    let mut errors = Vec::new();
    let mut written = Vec::new();
    if let Some(folder) = &args.export {
        match export(folder, part, &answer.halves) {
            Ok(files) => written = files,
            Err(failure) => errors.push(failure.sentence),
        }
    }
    if let Some(path) = &args.plot {
        let drawn = quote::tooling_svg(part, answer, shop)
            .map_err(|error| Failure::of(format!("{}: not drawn: {error}", name(path))))
            .and_then(|svg| write(path, &svg));
        errors.extend(drawn.err().map(|failure| failure.sentence));
    }
    let out = if args.files.json {
        quote::tooling_json(part, shop, ask, answer, &written) + "\n"
    } else {
        quote::tooling_text(part, shop, ask, answer, &written)
    };
    Ok(Outcome {
        out,
        exit: if errors.is_empty() { 0 } else { BAD },
        errors,
    })
}

fn kind(given: Option<&str>) -> Result<Kind, Failure> {
    match given {
        Some("lay-up") => Ok(Kind::LayUp),
        Some("closed") => Ok(Kind::Closed),
        Some(other) => Err(Failure::of(format!(
            "--kind {}: there is no such kind; {KINDS}",
            crate::mesh::plain_text(other)
        ))),
        None => Err(Failure::of(format!(
            "which kind of mould? give --kind lay-up or --kind closed: {KINDS}"
        ))),
    }
}

fn ask(args: &ToolingArgs, kind: Kind) -> Result<ToolingAsk, Failure> {
    let opening = match &args.opens {
        Some(given) => {
            let rest = given.parse::<Rest>().map_err(|_| {
                Failure::of(format!(
                    "--opens: {given:?} is no direction; give an axis of the part, such as x or -z, or three numbers, x,y,z"
                ))
            })?;
            let opening = Opening::along(rest.direction());
            Some(opening.map_err(|error| Failure::of(format!("--opens: {error}")))?)
        }
        None => None,
    };
    let shape = match (args.shape, kind) {
        (Some(ShapeArg::Block), _) | (None, Kind::Closed) => Shape::Block,
        (Some(ShapeArg::Shell), _) | (None, Kind::LayUp) => Shape::Shell,
    };
    /// A laminate is trimmed on the flange.
    const TOOL_FLANGE_MM: f64 = 20.0;
    let usual_mm = match kind {
        Kind::LayUp => TOOL_FLANGE_MM,
        Kind::Closed => MouldAsk::usual_flange_mm(shape, args.wall),
    };
    Ok(ToolingAsk {
        kind,
        opening,
        parting_height_mm: args.parting_height,
        draft_deg: args.draft,
        mould: MouldAsk {
            wall_mm: args.wall,
            flange_mm: args.flange.unwrap_or(usual_mm),
            shape,
            keys: true,
            pouring: true,
        },
        cure_c: args.cure_c,
        flexible: args.flexible,
        mould_material: args.mould_material.clone(),
        mould_nozzle: args.nozzle.clone(),
        quantities: args.quantity.clone(),
        print: Ask {
            material: args.material.clone(),
            ..Ask::default()
        },
    })
}

/// The one part of a file.
fn one(path: &Path, reading: &Reading<'_>) -> Result<Named1, Failure> {
    let mut parts: Vec<Named<InspectedMesh>> = read(path, reading);
    if parts.len() > 1 {
        return Err(Failure::of(format!(
            "{}: the file holds {} parts; give one with a single part",
            name(path),
            parts.len()
        )));
    }
    let Some((part, mesh)) = parts.pop() else {
        return Err(Failure::of(format!(
            "{}: the file holds no part; give a mesh",
            name(path)
        )));
    };
    let bad = |bad: BadPart| Failure::of(format!("{part}: {}", bad.error));
    let mesh = mesh.map_err(bad)?;
    refuse_doubtful_unit(&mesh, reading).map_err(bad)?;
    Ok((part, mesh))
}

type Named1 = (String, InspectedMesh);

/// Writes the mould's pieces beside one another; none where one of the files is there already.
fn export(folder: &Path, part: &str, halves: &[HalfMade]) -> Result<Vec<String>, Failure> {
    let failed = |path: &Path, error: &std::io::Error| {
        Failure::of(format!(
            "{}: {}; give --export a folder that can be written",
            name(path),
            plain(error)
        ))
    };
    fs::create_dir_all(folder).map_err(|error| failed(folder, &error))?;
    let stem = super::cut::file_stem(part);
    let path =
        |half: &HalfMade| folder.join(format!("{stem}_mould_{}.stl", half.name.replace(' ', "_")));
    let paths: Vec<PathBuf> = halves.iter().map(path).collect();
    if let Some(there) = paths.iter().find(|path| path.exists()) {
        return Err(Failure::of(format!(
            "{}: the file is there already and is not overwritten; give --export another folder",
            name(there)
        )));
    }
    for (path, half) in paths.iter().zip(halves) {
        let mut file = fs::File::create_new(path).map_err(|error| failed(path, &error))?;
        file.write_all(&stl_bytes(&half.part.mesh))
            .map_err(|error| failed(path, &error))?;
    }
    Ok(paths.iter().map(|path| name(path)).collect())
}
