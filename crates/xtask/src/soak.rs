//! A soak of the engine: compiles it for speed and lets it run.

use crate::places::Places;
use crate::process;
use crate::say::step;
use anyhow::Result;
use std::path::PathBuf;

/// What is asked for.
pub enum What {
    /// So many plant hours from a seed on, findings into a folder.
    Soak { hours: f64, seed: u64, into: PathBuf },
    /// One record again.
    Replay(PathBuf),
}

/// Runs it; fails where a law was broken.
pub fn run(places: &Places, what: &What) -> Result<()> {
    step("soak", "compiling");
    let mut cargo = process::cargo();
    cargo.current_dir(places.root());
    cargo.args(["run", "--release", "--package", "bledsteam-tests", "--example", "soak", "--"]);
    // Paths are meant from where the command was typed.
    let here = std::env::current_dir()?;
    match what {
        What::Soak { hours, seed, into } => {
            cargo.arg("--hours").arg(hours.to_string()).arg("--seed").arg(seed.to_string());
            cargo.arg("--into").arg(here.join(into));
        }
        What::Replay(record) => {
            cargo.arg("--replay").arg(here.join(record));
        }
    }
    process::run(&mut cargo, "play what was found again with `cargo xtask soak --replay`, and mend it")
}
