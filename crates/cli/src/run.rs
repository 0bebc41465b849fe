//! `bledsteam run`: a plant, a time, commands; line by line what it does.

use crate::args::{self, UnitsArg};
use crate::duration::clock;
use crate::failure::{Failure, say, within};
use crate::output::{Csv, Form, Head, Json, Refusal, Sink, Tail};
use crate::schedule::{self, Timed};
use crate::table::Table;
use crate::{plant_source, select, words};
use engine::train::STEP;
use engine::{Event, Fault, Sim, signals};
use std::io;

/// Steps made in one go: few enough that no event is dropped before it is read.
const CHUNK: u64 = 240;
/// Time between lines for programs [s].
const EVERY: f64 = 10.0;
/// Times between the lines of a table [s]: the first that makes at most [`MOST_LINES`].
const TABLE_EVERY: [f64; 9] = [1.0, 5.0, 10.0, 30.0, 60.0, 300.0, 600.0, 1800.0, 3600.0];
/// Lines of a table that fit a screen.
const MOST_LINES: f64 = 40.0;

/// Runs a plant.
pub fn run(args: &args::Run) -> Result<(), Failure> {
    let (end, every, commands) = times(args).map_err(Failure::Usage)?;
    let sim = plant_source::start(&args.plant)?;
    let plant = sim.plant().clone();
    let list = signals::definitions(&sim);
    let columns = select::signals(&list, args.signals.as_deref(), &commands).map_err(Failure::Usage)?;
    let head = Head {
        plant: (&plant.name, &plant.title),
        currency: plant.currency(),
        columns: columns.iter().map(|&k| &list[k]).collect(),
        units: UnitsArg::of(args.units, args.csv || args.json),
        seconds: (end as f64 * STEP, STEP),
    };
    let mut form: Box<dyn Form> = match (args.csv, args.json) {
        (true, _) => Box::new(Csv),
        (_, true) => Box::new(Json::default()),
        _ => Box::new(Table::default()),
    };
    let mut out = Sink::open(args.out_file.as_deref())?;
    form.head(&mut out, &head)?;
    let mut under_way = UnderWay { sim, events: Vec::new(), refused: Vec::new(), values: Vec::new() };
    let fault = under_way.go(end, every, &commands, |values| {
        let values: Vec<f64> = columns.iter().map(|&k| values[k]).collect();
        form.line(&mut out, &head, &values)
    })?;
    let tail = under_way.end(fault.clone())?;
    form.tail(&mut out, &head, &tail)?;
    match fault {
        Some(f) => Err(Failure::Stopped(within(&format!("at {}:", clock(tail.time_s)), f))),
        None if !tail.refused.is_empty() && !args.keep_going => Err(Failure::Refused),
        None => Ok(()),
    }
}

/// Length of the run and time between lines in steps, and the commands; or all that is wrong with them.
fn times(args: &args::Run) -> Result<(u64, u64, Vec<Timed>), Vec<Fault>> {
    let mut faults = Vec::new();
    let seconds = args::time("--for", &args.duration).unwrap_or_else(|f| {
        faults.push(f);
        f64::INFINITY
    });
    let end = schedule::steps(seconds);
    let every = match &args.every {
        Some(text) => args::time("--every", text).map(schedule::steps).and_then(|steps| {
            let short = || {
                let message = format!("it is shorter than a step of {STEP} s.");
                Fault::new("bad_time", format!("--every '{text}'"), message, "Give a longer time.")
            };
            if steps > 0 { Ok(steps) } else { Err(short()) }
        }),
        None if args.csv || args.json => Ok(schedule::steps(EVERY)),
        None => {
            let fits = TABLE_EVERY.into_iter().find(|e| seconds / e <= MOST_LINES);
            // Even an hour makes too many lines: as many hours as it takes.
            let hours = (seconds / MOST_LINES / 3600.0).ceil().max(1.0);
            Ok(schedule::steps(fits.unwrap_or(hours * 3600.0)))
        }
    };
    let commands = schedule::build(&args.commands, args.script.as_deref(), end);
    match (every, commands) {
        (Ok(every), Ok(commands)) if faults.is_empty() => Ok((end, every, commands)),
        (every, commands) => {
            faults.extend(every.err());
            faults.extend(commands.err().into_iter().flatten());
            Err(faults)
        }
    }
}

/// A run on its way.
struct UnderWay {
    sim: Sim,
    events: Vec<Event>,
    refused: Vec<Refusal>,
    values: Vec<f64>,
}

impl UnderWay {
    /// Makes `end` steps with a line after each `every`; gives what stopped the model, if anything did.
    fn go(
        &mut self,
        end: u64,
        every: u64,
        commands: &[Timed],
        mut line: impl FnMut(&[f64]) -> io::Result<()>,
    ) -> io::Result<Option<Fault>> {
        let mut commands = commands.iter().peekable();
        let mut step = 0;
        loop {
            if step % every == 0 || step == end {
                signals::read(&self.sim, &mut self.values);
                line(&self.values)?;
            }
            while let Some(t) = commands.next_if(|t| t.step <= step) {
                self.command(t);
            }
            if step >= end {
                return Ok(None);
            }
            let next = commands.peek().map_or(end, |t| t.step);
            let to = [end, next, (step / every + 1) * every, step + CHUNK].into_iter().fold(end, u64::min);
            let outcome = self.sim.advance((to - step) as u32);
            self.collect();
            if let Err(fault) = outcome {
                // The plant stands where the last good step left it.
                if self.sim.time() > step as f64 * STEP {
                    signals::read(&self.sim, &mut self.values);
                    line(&self.values)?;
                }
                return Ok(Some(fault));
            }
            step = to;
        }
    }

    fn command(&mut self, t: &Timed) {
        let outcome = self.sim.command(&t.command);
        self.collect();
        if let Err(fault) = outcome {
            let (time_s, command) = (self.sim.time(), words::write(&t.command));
            say(&within(&format!("at {} '{command}':", clock(time_s)), fault.clone()));
            self.refused.push(Refusal { time_s, command, fault });
        }
    }

    fn collect(&mut self) {
        let last = self.events.last().map_or(0, |e| e.seq);
        self.events.extend_from_slice(self.sim.events(last));
    }

    fn end(&mut self, fault: Option<Fault>) -> Result<Tail, Failure> {
        let (mass_residual, energy_residual) = self.sim.outputs().residuals;
        Ok(Tail {
            events: std::mem::take(&mut self.events),
            refused: std::mem::take(&mut self.refused),
            fault,
            time_s: self.sim.time(),
            steps: (self.sim.time() / STEP).round() as u64,
            mass_residual,
            energy_residual,
            state_hash: self.sim.state_hash().map_err(Failure::Stopped)?,
        })
    }
}
