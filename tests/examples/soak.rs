//! Soaks random plants in random upsets: `soak --hours N [--seed S] [--into FOLDER]`, or plays one record again:
//! `soak --replay FILE`. Called by `cargo xtask soak`.

#![allow(clippy::print_stdout, clippy::print_stderr, reason = "a program for a shell")]

use bledsteam_tests::soak::record::Of;
use bledsteam_tests::soak::record::Record;
use bledsteam_tests::soak::tally::Tally;
use bledsteam_tests::soak::{Enough, Finding, play, soak};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Plant hours between two lines of progress.
const PROGRESS: f64 = 50.0;

fn main() -> ExitCode {
    match asked() {
        Ok(Asked::Soak { hours, seed, into }) => run(hours, seed, &into),
        Ok(Asked::Replay(file)) => replay(&file),
        Err(why) => {
            eprintln!("{why}");
            ExitCode::from(2)
        }
    }
}

enum Asked {
    Soak { hours: f64, seed: u64, into: PathBuf },
    Replay(PathBuf),
}

fn asked() -> Result<Asked, String> {
    let (mut hours, mut seed, mut into) = (24.0, 1, PathBuf::from("soak"));
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        let value = words.next().ok_or_else(|| format!("{word}: a value is missing. Give it one."))?;
        let number = |e: &dyn std::fmt::Display| format!("{word} '{value}': {e}. Give a number.");
        match word.as_str() {
            "--hours" => hours = value.parse().map_err(|e| number(&e))?,
            "--seed" => seed = value.parse().map_err(|e| number(&e))?,
            "--into" => into = value.into(),
            "--replay" => return Ok(Asked::Replay(value.into())),
            _ => return Err(format!("{word}: unknown. Use --hours, --seed, --into or --replay.")),
        }
    }
    Ok(Asked::Soak { hours, seed, into })
}

fn run(hours: f64, seed: u64, into: &Path) -> ExitCode {
    println!("soak of {hours} plant hours from seed {seed}");
    // A panic is told as a finding.
    std::panic::set_hook(Box::new(|_| {}));
    let mut told = 0.0;
    let tally = soak(Enough::Hours(hours), seed, |tally: &Tally, finding: Option<&Finding>| match finding {
        Some(f) => match keep(f, into) {
            Ok(()) => {}
            Err(e) => eprintln!("{}: {e}. The finding is not kept.", into.display()),
        },
        None if tally.hours() >= told + PROGRESS => {
            told = tally.hours();
            println!("{told:.0} plant hours, {} cases, {} breaches", tally.cases, tally.found.len());
        }
        None => {}
    });
    println!("{tally}");
    for left in &tally.left_over {
        println!("could not be put right: {left}");
    }
    if tally.found.is_empty() { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// Writes a finding: the record, and the same as a plant file and a script for `bledsteam run`.
fn keep(f: &Finding, into: &Path) -> Result<(), Box<dyn std::error::Error>> {
    let r = &f.record;
    std::fs::create_dir_all(into)?;
    let file = |end: &str| into.join(format!("{}{end}", r.seed));
    std::fs::write(file(".json"), serde_json::to_string_pretty(r)?)?;
    let plant = match &r.plant {
        Of::Shipped(name) => name.clone(),
        Of::Drawn(plant) => {
            std::fs::write(file("-plant.json"), serde_json::to_string_pretty(plant)?)?;
            file("-plant.json").display().to_string()
        }
    };
    std::fs::write(file("-script.json"), r.script_text()?)?;
    println!("seed {}: {} broken at {} s: {}", r.seed, f.breach.law, f.breach.at_s, f.breach.what);
    r.script.iter().take(8).for_each(|g| println!("    at {} s: {:?}", g.at_s, g.command));
    if r.script.len() > 8 {
        println!("    and {} commands more", r.script.len() - 8);
    }
    println!(
        "    cargo xtask soak --replay {}\n    bledsteam run --keep-going --plant {} --script {} --for {}s",
        file(".json").display(),
        plant,
        file("-script.json").display(),
        r.end_s.max(1.0)
    );
    Ok(())
}

fn replay(file: &Path) -> ExitCode {
    let record: Result<Record, String> = std::fs::read_to_string(file)
        .map_err(|e| e.to_string())
        .and_then(|text| serde_json::from_str(&text).map_err(|e| e.to_string()));
    match record.map(|r| play::again(&r)) {
        Ok(Ok(())) => {
            println!("{}: every law holds", file.display());
            ExitCode::SUCCESS
        }
        Ok(Err(b)) => {
            println!("{}: {} broken at {} s: {}", file.display(), b.law, b.at_s, b.what);
            ExitCode::FAILURE
        }
        Err(e) => {
            eprintln!("{}: {e}. Name a record that a soak wrote.", file.display());
            ExitCode::from(2)
        }
    }
}
