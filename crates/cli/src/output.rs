//! Where a result goes, and the forms a run is written in: a table (in `table.rs`), CSV, JSON.
//!
//! A run is written line by line as it goes, so that a long one needs no room in memory and can be watched.

use crate::failure::{self, Failure};
use crate::lists::{Described, describe};
use crate::units::Units;
use engine::signals::Definition;
use engine::{Event, Fault};
use serde::Serialize;
use std::fs::File;
use std::io::{self, BufWriter, Write};
use std::path::Path;

/// The standard output, or a file; its errors say which.
pub struct Sink {
    to: Box<dyn Write>,
    place: String,
}

impl Sink {
    /// The standard output.
    pub fn standard() -> Sink {
        Sink { to: Box::new(BufWriter::new(io::stdout())), place: "standard output".into() }
    }

    /// A file, emptied if it exists; the standard output where none is named.
    pub fn open(path: Option<&Path>) -> io::Result<Sink> {
        let Some(path) = path else { return Ok(Sink::standard()) };
        let place = path.display().to_string();
        let file = File::create(path).map_err(|e| placed(&place, e))?;
        Ok(Sink { to: Box::new(BufWriter::new(file)), place })
    }

    /// A value as JSON, for people to read too.
    pub fn json<T: Serialize + ?Sized>(&mut self, value: &T) -> io::Result<()> {
        serde_json::to_writer_pretty(&mut *self, value)?;
        writeln!(self)
    }
}

impl Write for Sink {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.to.write(bytes).map_err(|e| placed(&self.place, e))
    }

    fn flush(&mut self) -> io::Result<()> {
        self.to.flush().map_err(|e| placed(&self.place, e))
    }
}

/// A text without what would part or quote a cell of CSV.
pub fn csv_cell(text: &str) -> String {
    text.replace([',', '"', '\n', '\r'], " ")
}

/// Says where and what; keeps the kind, by which a reader that has gone is known.
fn placed(place: &str, e: io::Error) -> io::Error {
    io::Error::new(e.kind(), format!("{place}: the result could not be written: {e}."))
}

/// What is known before the first line.
pub struct Head<'a> {
    /// Plant's name and title.
    pub plant: (&'a str, &'a str),
    /// Sign of its money.
    pub currency: &'a str,
    /// Signals of the columns, the time first.
    pub columns: Vec<&'a Definition>,
    /// Units of the columns.
    pub units: Units,
    /// Length of the run and of a step [s].
    pub seconds: (f64, f64),
}

/// A command that the plant did not take.
#[derive(Debug, Serialize)]
pub struct Refusal {
    /// Plant time [s].
    pub time_s: f64,
    /// The command in words.
    pub command: String,
    /// Why.
    #[serde(flatten)]
    pub fault: Fault,
}

/// What is known after the last line.
#[derive(Serialize)]
pub struct Tail {
    /// What happened.
    pub events: Vec<Event>,
    /// Commands that were not taken.
    pub refused: Vec<Refusal>,
    /// What stopped the model, if anything did.
    pub fault: Option<Fault>,
    /// Plant time reached [s].
    pub time_s: f64,
    /// Steps made.
    pub steps: u64,
    /// Mass unaccounted for since the start over what passed.
    pub mass_residual: f64,
    /// The same for energy.
    pub energy_residual: f64,
    /// Hash of the state.
    pub state_hash: String,
}

/// A form in which a run is written.
pub trait Form {
    /// Before the first line.
    fn head(&mut self, out: &mut Sink, head: &Head) -> io::Result<()>;
    /// One line: a value for each column, as the engine gives it.
    fn line(&mut self, out: &mut Sink, head: &Head, values: &[f64]) -> io::Result<()>;
    /// After the last line.
    fn tail(&mut self, out: &mut Sink, head: &Head, tail: &Tail) -> Result<(), Failure>;
}

/// Numbers parted by commas under one line of headings. No id, unit or number holds a comma or a quote.
pub struct Csv;

impl Form for Csv {
    fn head(&mut self, out: &mut Sink, head: &Head) -> io::Result<()> {
        let title = |d: &&Definition| {
            let unit = csv_cell(&head.units.symbol(d.quantity, head.currency));
            format!("{} [{unit}]", d.id)
        };
        writeln!(out, "{}", head.columns.iter().map(title).collect::<Vec<_>>().join(","))
    }

    fn line(&mut self, out: &mut Sink, head: &Head, values: &[f64]) -> io::Result<()> {
        for (k, (d, v)) in head.columns.iter().zip(values).enumerate() {
            let comma = if k > 0 { "," } else { "" };
            write!(out, "{comma}{}", head.units.number(d.quantity, *v))?;
        }
        writeln!(out)
    }

    fn tail(&mut self, out: &mut Sink, _: &Head, tail: &Tail) -> Result<(), Failure> {
        out.flush()?;
        for line in closing(tail) {
            failure::note(&line);
        }
        Ok(())
    }
}

/// What a result in JSON begins with.
#[derive(Serialize)]
struct Opening<'a> {
    plant: &'a str,
    title: &'a str,
    version: &'static str,
    step_s: f64,
    units: &'static str,
    signals: Vec<Described<'a>>,
}

/// One object: what the columns are, the lines as arrays of numbers, events and the rest.
#[derive(Default)]
pub struct Json {
    lines: u64,
}

impl Form for Json {
    fn head(&mut self, out: &mut Sink, head: &Head) -> io::Result<()> {
        let signals = head.columns.iter().map(|d| describe(d, head.units, head.currency)).collect();
        let value = Opening {
            plant: head.plant.0,
            title: head.plant.1,
            version: env!("CARGO_PKG_VERSION"),
            step_s: head.seconds.1,
            units: head.units.name(),
            signals,
        };
        let text = serde_json::to_string_pretty(&value)?;
        write!(out, "{},\n  \"lines\": [", text.trim_end_matches(['}', '\n']))
    }

    fn line(&mut self, out: &mut Sink, head: &Head, values: &[f64]) -> io::Result<()> {
        let shown = head.columns.iter().zip(values).map(|(d, v)| head.units.number(d.quantity, *v));
        let comma = if self.lines > 0 { "," } else { "" };
        self.lines += 1;
        write!(out, "{comma}\n    {}", serde_json::to_string(&shown.collect::<Vec<f64>>())?)
    }

    fn tail(&mut self, out: &mut Sink, _: &Head, tail: &Tail) -> Result<(), Failure> {
        let text = serde_json::to_string_pretty(tail).map_err(io::Error::from)?;
        writeln!(out, "\n  ],{}", text.trim_start_matches('{'))?;
        Ok(out.flush()?)
    }
}

/// The last lines for people: what did not go right, then residuals and hash.
pub fn closing(tail: &Tail) -> Vec<String> {
    let mut lines = Vec::new();
    if !tail.refused.is_empty() {
        let s = if tail.refused.len() == 1 { " was" } else { "s were" };
        lines.push(format!("{} command{s} refused.", tail.refused.len()));
    }
    lines.push(format!(
        "Unaccounted for since the start: mass {:.1e}, energy {:.1e} of what passed.",
        tail.mass_residual, tail.energy_residual
    ));
    lines.push(format!("State after {} steps: {}", tail.steps, tail.state_hash));
    lines
}
