//! The command line of what has to do with exercises and records.

use crate::args::FormArgs;
use clap::{Args, Subcommand, ValueEnum};
use std::path::PathBuf;

/// Arguments of `exercises`.
#[derive(Args)]
pub struct Exercises {
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

/// What is done with an exercise.
#[derive(Subcommand)]
pub enum Exercise {
    /// Check an exercise file and list its faults, each with its place
    Check(Check),
    /// Take an exercise as a script says, and write the record
    Take(Take),
    /// Print an exercise with its plant in it: one file that the page and a shell take without another
    Pack(Pack),
    /// Print the JSON Schema of exercise files
    Schema,
}

/// Arguments of `exercise check`.
#[derive(Args)]
pub struct Check {
    /// Exercise file, or id of a shipped exercise
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Plant, where the exercise neither carries one nor names one that is shipped
    #[arg(long, value_name = "FILE|NAME")]
    pub plant: Option<PathBuf>,
    /// Print the faults as JSON
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `exercise pack`.
#[derive(Args)]
pub struct Pack {
    /// Exercise file
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Plant that the exercise is to carry
    #[arg(long, value_name = "FILE|NAME")]
    pub plant: PathBuf,
}

/// A run that stands beside a shipped exercise.
#[derive(Clone, Copy, Debug, PartialEq, ValueEnum)]
pub enum Shipped {
    /// The model answer
    Model,
    /// A plausible wrong run
    Wrong,
    /// Nothing done
    Nothing,
}

/// Arguments of `exercise take`.
#[derive(Args)]
pub struct Take {
    /// Exercise file, or id of a shipped exercise
    #[arg(value_name = "FILE|ID")]
    pub exercise: PathBuf,
    /// What is done, as a JSON list of deeds
    #[arg(long, value_name = "FILE", conflicts_with = "run")]
    pub script: Option<PathBuf>,
    /// A run that stands beside a shipped exercise
    #[arg(long, value_enum, value_name = "RUN")]
    pub run: Option<Shipped>,
    /// Plant, where the exercise neither carries one nor names one that is shipped
    #[arg(long, value_name = "FILE|NAME")]
    pub plant: Option<PathBuf>,
    /// Who takes it, for the record
    #[arg(long, value_name = "NAME")]
    pub by: Option<String>,
    /// Write the record to a file, replacing it
    #[arg(long, value_name = "PATH")]
    pub out_file: Option<PathBuf>,
}

/// Where exercises and plants of records are found, besides those shipped.
#[derive(Args)]
pub struct Sources {
    /// Exercise file that records may be of; may be repeated
    #[arg(long = "exercise", value_name = "FILE")]
    pub exercises: Vec<PathBuf>,
    /// Plant file that exercises may name; may be repeated
    #[arg(long = "plant", value_name = "FILE")]
    pub plants: Vec<PathBuf>,
}

/// Arguments of `replay`.
#[derive(Args)]
pub struct Replay {
    /// Record of an exercise, or a free run that the page's desk saved as a file
    #[arg(value_name = "RECORD|RUN")]
    pub record: PathBuf,
    #[command(flatten)]
    pub sources: Sources,
    /// Print verdict and debrief as JSON
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `grade`.
#[derive(Args)]
pub struct Grade {
    /// Records
    #[arg(value_name = "RECORD", required = true)]
    pub records: Vec<PathBuf>,
    #[command(flatten)]
    pub sources: Sources,
    #[command(flatten)]
    pub form: FormArgs,
}
