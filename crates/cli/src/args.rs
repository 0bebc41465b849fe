//! The command line.

use crate::duration;
use crate::failure::{Failure, within};
use crate::help;
use crate::units::Units;
use clap::error::{ContextKind, ContextValue, ErrorKind};
use clap::{Args, CommandFactory, FromArgMatches, Parser, Subcommand, ValueEnum};
use engine::Fault;
use std::ffi::OsString;
use std::path::PathBuf;
use steam::units::System;

/// Runs and checks the model of a power station's feedwater heater train.
#[derive(Parser)]
#[command(name = "bledsteam", version, after_help = help::program(), arg_required_else_help = true)]
struct Line {
    #[command(subcommand)]
    job: Job,
}

/// What is to be done.
#[derive(Subcommand)]
pub enum Job {
    /// Run a plant for a time, give it commands, print what it does
    #[command(after_help = help::run())]
    Run(Run),
    /// Print the design heat balance of a plant
    #[command(after_help = help::balance())]
    Balance(Balance),
    /// Check a plant file and list its faults, each with its place
    #[command(after_help = help::check())]
    Check(Check),
    /// List the shipped plants
    #[command(after_help = help::plants())]
    Plants(Plants),
    /// List a plant's signals: id, quantity, unit, span
    #[command(after_help = help::signals())]
    Signals(Signals),
}

/// Units as typed.
#[derive(Clone, Copy, ValueEnum)]
pub enum UnitsArg {
    /// SI as on a screen: °C, MPa, kg/s, MW
    Si,
    /// United States customary: °F, psia, klb/h, MW
    Us,
}

impl UnitsArg {
    /// Units of a result: those asked for; else of a screen for people, inside for programs.
    pub fn of(asked: Option<UnitsArg>, for_programs: bool) -> Units {
        match asked {
            Some(UnitsArg::Si) => Units::Shown(System::Si),
            Some(UnitsArg::Us) => Units::Shown(System::Us),
            None if for_programs => Units::Inside,
            None => Units::Shown(System::Si),
        }
    }
}

/// Arguments of `run`.
#[derive(Args)]
pub struct Run {
    /// Plant file, or name of a shipped plant
    #[arg(long, value_name = "FILE|NAME")]
    pub plant: PathBuf,
    /// How long to run: 90s, 5min, 2h, 1h30min
    #[arg(long = "for", value_name = "TIME", allow_hyphen_values = true)]
    pub duration: String,
    /// Give a command at a time; may be repeated
    #[arg(long, num_args = 2.., value_names = ["TIME", "COMMAND"])]
    at: Vec<String>,
    /// The commands of `--at`, one list for each time the option was given.
    #[arg(skip)]
    pub commands: Vec<Vec<String>>,
    /// Take commands from a JSON file
    #[arg(long, value_name = "FILE")]
    pub script: Option<PathBuf>,
    /// Time between lines [default: 10s; in a table what makes at most 40 lines]
    #[arg(long, value_name = "TIME", allow_hyphen_values = true)]
    pub every: Option<String>,
    /// Signals to show, parted by commas, * for any characters, or: all
    #[arg(long, value_name = "ID,ID")]
    pub signals: Option<String>,
    /// Print CSV, header 'id [unit]'
    #[arg(long, conflicts_with = "json")]
    pub csv: bool,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
    /// Units [default: si in a table, the engine's own in CSV and JSON]
    #[arg(long, value_enum, hide_possible_values = true, value_name = "si|us")]
    pub units: Option<UnitsArg>,
    /// Write the result to a file, replacing it
    #[arg(long, value_name = "PATH")]
    pub out_file: Option<PathBuf>,
    /// End with exit code 0 even if commands were refused
    #[arg(long)]
    pub keep_going: bool,
}

/// Arguments of `balance`.
#[derive(Args)]
pub struct Balance {
    /// Plant file, or name of a shipped plant
    #[arg(long, value_name = "FILE|NAME")]
    pub plant: PathBuf,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
    /// Units [default: si in a table, the engine's own in JSON]
    #[arg(long, value_enum, hide_possible_values = true, value_name = "si|us")]
    pub units: Option<UnitsArg>,
}

/// Arguments of `check`.
#[derive(Args)]
pub struct Check {
    /// Plant file
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Print the faults as JSON, an empty list if there is none
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `plants`.
#[derive(Args)]
pub struct Plants {
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `signals`.
#[derive(Args)]
pub struct Signals {
    /// Plant file, or name of a shipped plant
    #[arg(long, value_name = "FILE|NAME")]
    pub plant: PathBuf,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
    /// Units of the spans [default: si in a table, the engine's own in JSON]
    #[arg(long, value_enum, hide_possible_values = true, value_name = "si|us")]
    pub units: Option<UnitsArg>,
}

/// Reads the command line; help and version are printed here.
pub fn parse(line: impl IntoIterator<Item = OsString>) -> Result<Job, Failure> {
    let matches = Line::command().try_get_matches_from(line).map_err(failure)?;
    let mut job = Line::from_arg_matches(&matches).map_err(failure)?.job;
    // The derived list runs the words of all --at together; the occurrences keep them apart.
    if let (Job::Run(run), Some(found)) = (&mut job, matches.subcommand_matches("run")) {
        let occurrences = found.get_occurrences::<String>("at");
        run.commands = occurrences.into_iter().flatten().map(|words| words.cloned().collect()).collect();
    }
    Ok(job)
}

/// Reads the time given to an option.
pub fn time(option: &str, text: &str) -> Result<f64, Fault> {
    duration::parse(text).map_err(|f| within(option, f))
}

/// Puts what the parser says into the form that every fault here has.
fn failure(e: clap::Error) -> Failure {
    if matches!(e.kind(), ErrorKind::DisplayHelp | ErrorKind::DisplayVersion) {
        return e.print().map_or_else(Failure::from, |()| Failure::Helped);
    }
    if e.kind() == ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand {
        let _ = e.print();
        return Failure::Usage(Vec::new());
    }
    let fault =
        |message: &str, remedy: &str| Failure::usage(Fault::new("usage", "command line", message, remedy));
    if let Some(ContextValue::String(arg)) = e.get(ContextKind::InvalidArg)
        && e.kind() == ErrorKind::UnknownArgument
        && arg
            .strip_prefix('-')
            .is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit() || c == '.'))
    {
        let message = format!("'{arg}' begins a negative number, and no time or share here is negative.");
        return fault(&message, "Write a time like 5min and a share like 80.");
    }
    let text = e.to_string();
    let mut parts = text.split("\n\n").map(|p| p.split_whitespace().collect::<Vec<_>>().join(" "));
    let message = parts.next().unwrap_or_default();
    let message = message.strip_prefix("error: ").unwrap_or(&message);
    let tip = parts.find_map(|p| p.strip_prefix("tip: ").map(str::to_owned));
    let tip = tip.map_or(String::new(), |t| format!("Tip: {t}. "));
    fault(&format!("{message}."), &format!("{tip}'--help' after the job's name shows what it takes."))
}
