//! `bledsteam exercises` and `bledsteam exercise`: the shipped ones, checking a file, taking one as a script says.

use super::args::{Check, Exercise, Exercises, Pack, Shipped, Take};
use super::{exercise, lesson, placed};
use crate::failure::{Failure, note, say};
use crate::output::Sink;
use crate::{plant_source, text_file};
use drill::exercise::read::{read, schema};
use drill::script::{Deed, Runs, perform};
use drill::{Lesson, Record};
use engine::Fault;
use serde::Serialize;
use std::io::Write;
use std::path::Path;

/// Largest script read [bytes].
const LARGEST_SCRIPT: usize = 1 << 20;

/// `bledsteam exercises`.
pub fn exercises(args: &Exercises) -> Result<(), Failure> {
    #[derive(Serialize)]
    struct Line {
        id: String,
        title: String,
        plant: String,
        minutes: f64,
        idea: String,
    }
    let mut list = Vec::new();
    for entry in catalog::EXERCISES {
        let e = read(entry.json).map_err(Failure::Exercise)?;
        list.push(Line {
            id: e.id,
            title: e.title,
            plant: e.plant,
            minutes: e.length_s / 60.0,
            idea: e.idea,
        });
    }
    let mut out = Sink::standard();
    if args.json {
        out.json(&list)?;
    } else {
        for e in list {
            writeln!(out, "{}  {} ({}, {:.0} min)\n    {}", e.id, e.title, e.plant, e.minutes, e.idea)?;
        }
    }
    Ok(out.flush()?)
}

/// `bledsteam exercise`.
pub fn run(job: &Exercise) -> Result<(), Failure> {
    match job {
        Exercise::Check(args) => check(args),
        Exercise::Take(args) => take(args),
        Exercise::Pack(args) => pack(args),
        Exercise::Schema => {
            let mut out = Sink::standard();
            out.json(&schema())?;
            Ok(out.flush()?)
        }
    }
}

fn check(args: &Check) -> Result<(), Failure> {
    #[derive(Serialize)]
    struct Found<'a> {
        faults: &'a [Fault],
    }
    let found = lesson(&args.file, args.plant.as_deref());
    let faults = match &found {
        Ok(_) => Vec::new(),
        Err(Failure::Exercise(faults)) => faults.clone(),
        Err(_) => return found.map(drop),
    };
    let mut out = Sink::standard();
    if args.json {
        out.json(&Found { faults: &faults })?;
    } else if let Ok(lesson) = &found {
        let e = lesson.exercise();
        writeln!(
            out,
            "{}: no faults. {} ({}): {:.0} min on {}, {} objectives.",
            args.file.display(),
            e.title,
            e.id,
            e.length_s / 60.0,
            e.plant,
            e.objectives.len()
        )?;
    }
    out.flush()?;
    if faults.is_empty() {
        return Ok(());
    }
    if !args.json {
        faults.iter().for_each(say);
    }
    // Already listed; the exit code stays.
    Err(Failure::Exercise(Vec::new()))
}

fn pack(args: &Pack) -> Result<(), Failure> {
    let plant = plant_source::load(&args.plant)?;
    let mut exercise = exercise(&args.file)?;
    exercise.plant_file = Some(Box::new(plant.clone()));
    // What does not fit together is told now, not to the trainee.
    let lesson = Lesson::new(exercise, plant).map_err(|faults| placed(&args.file, faults))?;
    let mut out = Sink::standard();
    out.json(lesson.exercise())?;
    Ok(out.flush()?)
}

fn take(args: &Take) -> Result<(), Failure> {
    let deeds = deeds(args)?;
    let lesson = lesson(&args.exercise, args.plant.as_deref())?;
    let run = perform(&lesson, args.by.clone(), &deeds).map_err(Failure::usage)?;
    let mut out = Sink::open(args.out_file.as_deref())?;
    write!(out, "{}", Record::text(run.entries()).map_err(Failure::Stopped)?)?;
    let score = run.score();
    note(&format!("{:.1} points, {}.", score.total, if score.passed { "passed" } else { "not passed" }));
    Ok(out.flush()?)
}

fn deeds(args: &Take) -> Result<Vec<Deed>, Failure> {
    if let Some(path) = &args.script {
        return script(path);
    }
    let id = exercise(&args.exercise)?.id;
    let Some(entry) = catalog::EXERCISES.iter().find(|e| e.id == id) else {
        let remedy = "Give a script with --script.";
        return Err(Failure::usage(Fault::new(
            "no_script",
            id,
            "no run is shipped for this exercise.",
            remedy,
        )));
    };
    let runs: Runs = serde_json::from_str(entry.runs)
        .map_err(|e| Failure::usage(Fault::new("not_a_script", id, format!("{e}."), "Report this fault.")))?;
    Ok(match args.run.unwrap_or(Shipped::Model) {
        Shipped::Model => runs.model.does,
        Shipped::Wrong => runs.wrong.does,
        Shipped::Nothing => runs.nothing.does,
    })
}

fn script(path: &Path) -> Result<Vec<Deed>, Failure> {
    let text = text_file::read(path, LARGEST_SCRIPT).map_err(Failure::usage)?;
    serde_json::from_str(&text).map_err(|e| {
        let remedy = r#"Write a list like [{"at_s": 60, "deed": {"kind": "command", "command": {"do": "trip_heater", "heater": "hp1"}}}]."#;
        Failure::usage(Fault::new("not_a_script", path.display().to_string(), format!("{e}."), remedy))
    })
}
