//! `bledsteam check`: every fault of a plant file, each with its place, and what is possible but unlikely.

use crate::args::Check;
use crate::failure::{Failure, note, say, within};
use crate::output::Sink;
use crate::plant_source;
use engine::plant::check::{advise, equipped};
use engine::plant::file::Plant;
use engine::steady::Model;
use engine::{Fault, Sim};
use serde::Serialize;
use std::io::{self, Write};

/// What a check finds.
#[derive(Serialize)]
struct Found<'a> {
    faults: &'a [Fault],
    warnings: &'a [Fault],
    /// Why the plant can be balanced but not run, if that is so.
    not_run: Option<&'a Fault>,
}

/// Checks a plant file: its form, its values, its design balance, and, if it has all that running needs, a plant at rest
/// there.
pub fn check(args: &Check) -> Result<(), Failure> {
    let file = format!("{}:", args.file.display());
    let here = |f: Fault| within(&file, f);
    let (plant, mut faults) = match plant_source::load(&args.file) {
        Ok(plant) => (Some(plant), Vec::new()),
        Err(Failure::Plant(faults)) => (None, faults),
        Err(other) => return Err(other),
    };
    let warnings: Vec<Fault> = plant.iter().flat_map(advise).map(here).collect();
    let not_run = plant.as_ref().and_then(|p| equipped(p).err()).map(here);
    let mut sound = None;
    if let Some(p) = plant {
        match output(p.clone(), not_run.is_none()) {
            Ok(gross) => sound = Some((p, gross)),
            Err(f) => faults.push(here(f)),
        }
    }
    let found = Found { faults: &faults, warnings: &warnings, not_run: not_run.as_ref() };
    let mut out = Sink::standard();
    if args.json {
        out.json(&found)?;
    } else {
        for w in &warnings {
            note(&format!("warning: {w}"));
        }
        if let Some((p, gross)) = &sound {
            summary(&mut out, &file, p, *gross, &found)?;
        }
    }
    out.flush()?;
    if faults.is_empty() {
        return Ok(());
    }
    if !args.json {
        faults.iter().for_each(say);
    }
    // Already listed; the exit code stays.
    Err(Failure::Plant(Vec::new()))
}

/// Gross output at the design point [kW], by a plant at rest where it can run.
fn output(plant: Plant, runs: bool) -> Result<f64, Fault> {
    if runs {
        Sim::new(plant).map(|sim| sim.balance().gross)
    } else {
        Model::new(&plant).map(|m| m.design.gross)
    }
}

fn summary(out: &mut Sink, file: &str, p: &Plant, gross: f64, found: &Found) -> io::Result<()> {
    let heaters = p.heaters.len();
    let (s, mw) = (if heaters == 1 { "" } else { "s" }, gross * 1e-3);
    let warnings = match found.warnings.len() {
        0 => String::new(),
        1 => ", 1 warning".into(),
        n => format!(", {n} warnings"),
    };
    writeln!(
        out,
        "{file} no faults{warnings}. {} ({}): {heaters} heater{s}, {mw:.1} MW gross.",
        p.title, p.name
    )?;
    if let Some(f) = found.not_run {
        writeln!(out, "{f}")?;
    }
    Ok(())
}
