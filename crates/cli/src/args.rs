//! The command line.

use crate::duration;
use crate::failure::{Failure, within};
use crate::help;
use crate::lessons;
use crate::units::Units;
use clap::error::{ContextKind, ContextValue, ErrorKind};
use clap::{Args, CommandFactory, FromArgMatches, Parser, Subcommand, ValueEnum};
use engine::Fault;
use std::ffi::OsString;
use std::path::{Path, PathBuf};
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
    /// Print the heat balance of a plant: design, or any load with heaters out
    #[command(after_help = help::balance())]
    Balance(Balance),
    /// Print two heat balances side by side: two plants, or one in two cases
    #[command(after_help = help::compare())]
    Compare(Compare),
    /// Print what a heater out, a kelvin of TTD or of DCA costs
    #[command(after_help = help::costs())]
    Costs(Costs),
    /// Print how a number came about: its equation with today's values, or a component's balance
    #[command(after_help = help::explain())]
    Explain(Explain),
    /// Show what a practitioner would say of a feedwater train, each sentence with the command that shows it
    #[command(after_help = help::directions())]
    Directions(Directions),
    /// Check a plant file and list its faults, each with its place
    #[command(after_help = help::check())]
    Check(Check),
    /// Fill in the equipment that a heat balance lacks to be run
    #[command(after_help = help::equip())]
    Equip(Equip),
    /// List the shipped plants
    #[command(after_help = help::plants())]
    Plants(Plants),
    /// List a plant's signals: id, quantity, unit, span
    #[command(after_help = help::signals())]
    Signals(Signals),
    /// Print the JSON Schema of plant files
    #[command(after_help = help::schema())]
    Schema,
    /// List the shipped exercises
    #[command(after_help = help::exercises())]
    Exercises(lessons::args::Exercises),
    /// Check an exercise, or take one as a script says
    #[command(subcommand, after_help = help::exercise())]
    Exercise(lessons::args::Exercise),
    /// Replay a record, or a run saved at the desk: whether it is what it says, and what a record was worth
    #[command(after_help = help::replay())]
    Replay(lessons::args::Replay),
    /// Verify and score many records, and tell what was hard
    #[command(after_help = help::grade())]
    Grade(lessons::args::Grade),
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
    #[command(flatten)]
    pub plant: PlantArg,
    #[command(flatten)]
    pub case: CaseArgs,
    #[command(flatten)]
    pub form: FormArgs,
    /// Units [default: si in a table, the engine's own in CSV and JSON]
    #[arg(long, value_enum, hide_possible_values = true, value_name = "si|us")]
    pub units: Option<UnitsArg>,
}

/// A plant, named with or without the option's name.
#[derive(Args)]
#[group(required = true, multiple = false)]
pub struct PlantArg {
    /// Plant file, or name of a shipped plant
    #[arg(value_name = "PLANT")]
    bare: Option<PathBuf>,
    /// The same, as `run` takes it
    #[arg(long = "plant", value_name = "FILE|NAME")]
    named: Option<PathBuf>,
}

impl PlantArg {
    /// The plant; the parser has seen to it that there is one.
    pub fn path(&self) -> &Path {
        self.bare.as_deref().or(self.named.as_deref()).unwrap_or(Path::new(""))
    }
}

/// Form of a result.
#[derive(Args)]
pub struct FormArgs {
    /// Print CSV
    #[arg(long, conflicts_with = "json")]
    pub csv: bool,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

impl FormArgs {
    /// Whether a program reads the result.
    pub fn for_programs(&self) -> bool {
        self.csv || self.json
    }
}

/// What is held.
#[derive(Clone, Copy, Debug, PartialEq, ValueEnum)]
pub enum HoldArg {
    /// Steam flow to the turbine
    Steam,
    /// Gross output
    Output,
    /// Heat added by boiler and reheater
    Firing,
}

/// A case.
#[derive(Args, Clone, Debug, Default)]
pub struct CaseArgs {
    /// What is held, in percent of design, 25 to 105 [default: 100]
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true)]
    pub load: Option<String>,
    /// What the load is of: steam flow, gross output or firing [default: steam]
    #[arg(long, value_enum, hide_possible_values = true, value_name = "steam|output|firing")]
    pub hold: Option<HoldArg>,
    /// Closed heaters out, parted by commas: no steam, water round them, each with its bypass group
    #[arg(long, value_name = "ID,ID", value_delimiter = ',')]
    pub out: Vec<String>,
    /// Closed heaters with shut extraction, parted by commas: no steam, but water and drains
    #[arg(long, value_name = "ID,ID", value_delimiter = ',')]
    pub isolate: Vec<String>,
    /// What the names of these options end with.
    #[arg(skip)]
    pub suffix: &'static str,
}

impl CaseArgs {
    /// Nothing is asked.
    pub fn is_empty(&self) -> bool {
        self.load.is_none() && self.hold.is_none() && self.out.is_empty() && self.isolate.is_empty()
    }
}

/// Arguments of `compare`.
#[derive(Args)]
pub struct Compare {
    /// Plant file, or name of a shipped plant
    pub a: PathBuf,
    /// The plant beside it [default: A again]
    pub b: Option<PathBuf>,
    #[command(flatten)]
    pub case: CaseArgs,
    /// As --load, for B alone
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true)]
    load_b: Option<String>,
    /// As --hold, for B alone
    #[arg(long, value_enum, hide_possible_values = true, value_name = "steam|output|firing")]
    hold_b: Option<HoldArg>,
    /// As --out, for B alone; none: none out
    #[arg(long, value_name = "ID,ID", value_delimiter = ',')]
    out_b: Vec<String>,
    /// As --isolate, for B alone; none: none isolated
    #[arg(long, value_name = "ID,ID", value_delimiter = ',')]
    isolate_b: Vec<String>,
    #[command(flatten)]
    pub form: FormArgs,
    /// Units [default: si in a table, the engine's own in CSV and JSON]
    #[arg(long, value_enum, hide_possible_values = true, value_name = "si|us")]
    pub units: Option<UnitsArg>,
}

impl Compare {
    /// The case of B: what is not said for B alone is as for both.
    pub fn case_b(&self) -> CaseArgs {
        let list = |own: &[String], both: &[String]| match own {
            [] => both.to_vec(),
            [word] if word == "none" => Vec::new(),
            own => own.to_vec(),
        };
        CaseArgs {
            load: self.load_b.clone().or_else(|| self.case.load.clone()),
            hold: self.hold_b.or(self.case.hold),
            out: list(&self.out_b, &self.case.out),
            isolate: list(&self.isolate_b, &self.case.isolate),
            suffix: "-b",
        }
    }

    /// Whether there is something to compare with.
    pub fn has_b(&self) -> bool {
        let lists = !self.out_b.is_empty() || !self.isolate_b.is_empty();
        self.b.is_some() || self.load_b.is_some() || self.hold_b.is_some() || lists
    }
}

/// Arguments of `costs`.
#[derive(Args)]
pub struct Costs {
    #[command(flatten)]
    pub plant: PlantArg,
    /// Gross output at which they are asked, in percent of design, 25 to 105 [default: 100]
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true)]
    pub load: Option<String>,
    #[command(flatten)]
    pub form: FormArgs,
    /// Units [default: si in a table, the engine's own in CSV and JSON]
    #[arg(long, value_enum, hide_possible_values = true, value_name = "si|us")]
    pub units: Option<UnitsArg>,
}

/// Arguments of `explain`.
#[derive(Args)]
pub struct Explain {
    /// Plant file, or name of a shipped plant
    pub plant: PathBuf,
    /// Signal, or any number that a working names; or a component, for its balance
    #[arg(value_name = "NUMBER")]
    pub number: String,
    /// How long to run before: 90s, 5min, 2h
    #[arg(long = "for", value_name = "TIME", allow_hyphen_values = true, default_value = "0s")]
    pub duration: String,
    /// Give a command at a time; may be repeated
    #[arg(long, num_args = 2.., value_names = ["TIME", "COMMAND"])]
    at: Vec<String>,
    /// The commands of `--at`, one list for each time the option was given.
    #[arg(skip)]
    pub commands: Vec<Vec<String>>,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
    /// Units [default: si in text, the engine's own in JSON]
    #[arg(long, value_enum, hide_possible_values = true, value_name = "si|us")]
    pub units: Option<UnitsArg>,
}

/// Arguments of `directions`.
#[derive(Args)]
pub struct Directions {
    /// Names of sentences [default: all]
    #[arg(value_name = "NAME")]
    pub ids: Vec<String>,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
    /// Units [default: si in text, the engine's own in JSON]
    #[arg(long, value_enum, hide_possible_values = true, value_name = "si|us")]
    pub units: Option<UnitsArg>,
}

/// Arguments of `check`.
#[derive(Args)]
pub struct Check {
    /// Plant file
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Print faults and warnings as JSON
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `equip`.
#[derive(Args)]
pub struct Equip {
    /// Plant file, or a shipped plant's name
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
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
    let commands = match &mut job {
        Job::Run(run) => Some(&mut run.commands),
        Job::Explain(explain) => Some(&mut explain.commands),
        _ => None,
    };
    if let (Some(commands), Some((_, found))) = (commands, matches.subcommand()) {
        let occurrences = found.get_occurrences::<String>("at");
        *commands = occurrences.into_iter().flatten().map(|words| words.cloned().collect()).collect();
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
