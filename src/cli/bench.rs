//! The `bench` command: sheets and parts for measuring, and what the readings say.

use std::fs;
use std::io::Write;
use std::path::Path;

use serde::Serialize;

use super::bench_args::{
    BenchArgs, BenchCommand, BondingArgs, CourseArg, DensityArgs, FlowArgs, SetupArgs,
    StopwatchArgs,
};
use super::parts::{name, plain};
use super::run::estimate_one;
use super::{Failure, NO, Outcome, shop};
use crate::bench::{self, BenchError, Bonding, Chosen, CourseKind, Setup};
use crate::estimate::Ask;
use crate::mesh::{self, Mesh};
use crate::shop::Shop;

/// Runs `bench`.
pub(super) fn bench(args: &BenchArgs) -> Result<Outcome, Failure> {
    match &args.command {
        BenchCommand::Flow(args) => flow(args),
        BenchCommand::Stopwatch(args) => stopwatch(args),
        BenchCommand::Bonding(args) => bonding(args),
        BenchCommand::Density(args) => density(args),
    }
}

fn flow(args: &FlowArgs) -> Result<Outcome, Failure> {
    let shop = shop::open(&args.setup.shop)?;
    let setup = setup(&shop, &args.setup)?;
    let between = args.between.as_deref().map(two_flows).transpose()?;
    let plan = bench::FlowPlan::of(&setup, between, args.length, args.scale).map_err(failed)?;
    let verdict = reading(args.read.as_deref(), |text| plan.read(text))?;
    let toml = verdict.as_ref().and_then(|v| bench::flow_toml(&setup, v));
    let no = verdict.as_ref().is_some_and(|v| v.limit.is_none());
    let said = || match &verdict {
        Some(verdict) => bench::flow_answer(&setup, &plan, verdict),
        None => bench::flow_sheet(&setup, &plan),
    };
    Ok(told(
        "flow",
        &args.setup,
        &setup,
        said,
        &plan,
        verdict.as_ref(),
        toml,
    )
    .or_no(no))
}

fn stopwatch(args: &StopwatchArgs) -> Result<Outcome, Failure> {
    let shop = shop::open(&args.setup.shop)?;
    let setup = setup(&shop, &args.setup)?;
    let plan = bench::StopwatchPlan::of(&setup, args.speed, args.laps, args.pause, args.unbroken)
        .map_err(failed)?;
    let verdict = reading(args.read.as_deref(), |text| plan.read(text))?;
    let kind = match args.course {
        CourseArg::Long => CourseKind::Long,
        CourseArg::Short => CourseKind::Short,
    };
    let written = write_part(args.part.as_deref(), || plan.mesh(kind))?;
    let toml = verdict.as_ref().map(|v| bench::stopwatch_toml(&setup, v));
    let said = || match &verdict {
        Some(verdict) => bench::stopwatch_answer(&setup, &plan, verdict),
        None => bench::stopwatch_sheet(&setup, &plan) + &written,
    };
    let sheet = plan.to_json(&setup);
    Ok(told(
        "stopwatch",
        &args.setup,
        &setup,
        said,
        sheet,
        verdict.as_ref(),
        toml,
    ))
}

fn bonding(args: &BondingArgs) -> Result<Outcome, Failure> {
    let shop = shop::open(&args.setup.shop)?;
    let setup = setup(&shop, &args.setup)?;
    let plan = bench::BondingPlan::of(&setup).map_err(failed)?;
    let verdict = reading(args.read.as_deref(), |text| plan.read(text))?;
    let written = write_part(args.part.as_deref(), || plan.mesh())?;
    let toml = verdict
        .as_ref()
        .and_then(|v| bench::bonding_toml(&setup, v));
    let held = |v: &bench::BondingVerdict| matches!(v.bonding, Bonding::Between { .. });
    let no = verdict.as_ref().is_some_and(|v| !held(v));
    let said = || match &verdict {
        Some(verdict) => bench::bonding_answer(&setup, &plan, verdict),
        None => bench::bonding_sheet(&setup, &plan) + &written,
    };
    Ok(told(
        "bonding",
        &args.setup,
        &setup,
        said,
        &plan,
        verdict.as_ref(),
        toml,
    )
    .or_no(no))
}

fn density(args: &DensityArgs) -> Result<Outcome, Failure> {
    let shop = shop::open(&args.setup.shop)?;
    let setup = setup(&shop, &args.setup)?;
    let part = name(&args.of);
    let laid_mm3 = laid_mm3(&args.of, &setup)?;
    let plan = bench::DensityPlan::of(&setup, laid_mm3, args.scale).map_err(failed)?;
    let verdict = reading(args.read.as_deref(), |text| plan.read(text))?;
    let toml = verdict.as_ref().map(|v| bench::density_toml(&setup, v));
    let said = || match &verdict {
        Some(verdict) => bench::density_answer(&setup, verdict),
        None => bench::density_sheet(&setup, &plan, &part),
    };
    Ok(told(
        "density",
        &args.setup,
        &setup,
        said,
        &plan,
        verdict.as_ref(),
        toml,
    ))
}

/// What the setup lays for a part, solid, without support, mm3.
fn laid_mm3(path: &Path, setup: &Setup<'_>) -> Result<f64, Failure> {
    let bytes = fs::read(path).map_err(|e| {
        Failure::of(format!(
            "{}: {}; give the path of a mesh file",
            name(path),
            plain(&e)
        ))
    })?;
    let of_part = |error: String| Failure::of(format!("{}: {error}", name(path)));
    let mesh = mesh::read(bytes).map_err(|e| of_part(e.to_string()))?;
    let ask = Ask {
        material: Some(setup.material.id.clone()),
        machine: Some(setup.machine.id.clone()),
        nozzle: Some(setup.nozzle.id.clone()),
        ..Ask::default()
    };
    let estimate = estimate_one(&mesh, setup.shop, &ask).map_err(|bad| of_part(bad.error))?;
    match estimate.picked() {
        Some((_, made)) => Ok(made.deposited_mm3),
        None => Err(of_part(format!(
            "can't be laid: {}; give a part that this machine lays",
            estimate.pick.why
        ))),
    }
}

fn setup<'s>(shop: &'s Shop, args: &SetupArgs) -> Result<Setup<'s>, Failure> {
    let chosen = Chosen {
        machine: args.machine.clone(),
        nozzle: args.nozzle.clone(),
        material: args.material.clone(),
    };
    Setup::of(shop, &chosen).map_err(failed)
}

fn failed(error: BenchError) -> Failure {
    Failure::of(error.to_string())
}

fn reading<V>(
    text: Option<&str>,
    read: impl Fn(&str) -> Result<V, BenchError>,
) -> Result<Option<V>, Failure> {
    text.map(|text| read(text).map_err(|e| Failure::of(format!("--read: {e}"))))
        .transpose()
}

fn two_flows(text: &str) -> Result<[f64; 2], Failure> {
    let flows: Vec<f64> = text
        .split(',')
        .filter_map(|f| f.trim().parse().ok())
        .collect();
    <[f64; 2]>::try_from(flows).map_err(|_| {
        Failure::of(format!(
            "--between: \"{}\" is no pair of flows; give a slower and a faster one in mm3/s, such as 15,25",
            mesh::plain_text(text)
        ))
    })
}

/// The page, or the object where JSON was asked for.
fn told<P: Serialize, V: Serialize>(
    command: &'static str,
    args: &SetupArgs,
    setup: &Setup<'_>,
    said: impl Fn() -> String,
    sheet: P,
    verdict: Option<V>,
    toml: Option<String>,
) -> Outcome {
    let out = if args.json {
        bench::answer_json(command, setup, sheet, verdict, toml) + "\n"
    } else {
        said()
    };
    Outcome {
        out,
        ..Outcome::default()
    }
}

impl Outcome {
    fn or_no(mut self, no: bool) -> Outcome {
        self.exit = if no { NO } else { 0 };
        self
    }
}

/// Writes a part where one was asked for, and says so. Never over an existing file.
fn write_part(path: Option<&Path>, part: impl Fn() -> Mesh) -> Result<String, Failure> {
    let Some(path) = path else {
        return Ok(String::new());
    };
    let failed = |e: std::io::Error| match e.kind() {
        std::io::ErrorKind::AlreadyExists => Failure::of(format!(
            "{} exists already; give another name, it is not overwritten",
            name(path)
        )),
        _ => Failure::of(format!(
            "{}: {}; give a path that can be written",
            name(path),
            plain(&e)
        )),
    };
    let mut file = fs::File::create_new(path).map_err(failed)?;
    file.write_all(&bench::stl_bytes(&part())).map_err(failed)?;
    Ok(format!("{} is written.\n", name(path)))
}
