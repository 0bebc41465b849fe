//! `bledsteam directions`: what a practitioner would say of a feedwater train, each sentence with the command that shows
//! it and whether it holds. The sentences are data, in `directions.json`; what is seen is the run's own figures.

use crate::args::{self, UnitsArg};
use crate::failure::Failure;
use crate::output::Sink;
use crate::schedule::{self, Timed};
use crate::units::Units;
use crate::{duration, plant_source};
use engine::Fault;
use engine::signals::{self, Definition};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::io::Write;
use std::path::Path;

/// The list.
const LIST: &str = include_str!("directions.json");
/// Time between lines of a run, unless it says otherwise: every time that is looked at is one of its lines.
const EVERY: &str = "10s";
/// Equal is within this share of the larger, or of 1 in the engine's unit where that is less.
const EQUAL: f64 = 1e-3;

/// A sentence and the runs that show it.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Direction {
    id: String,
    sentence: String,
    source: String,
    runs: Vec<Shown>,
}

/// A run of `bledsteam run` and what is to be seen in it.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Shown {
    /// Why it takes this run.
    note: Option<String>,
    plant: String,
    #[serde(rename = "for")]
    length: String,
    /// Times and command words.
    at: Vec<(String, String)>,
    every: Option<String>,
    see: Vec<See>,
}

/// A signal at a time against something.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct See {
    signal: String,
    /// The start, if not said.
    when: Option<String>,
    is: Is,
    #[serde(default)]
    than: Than,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Is {
    Above,
    Below,
    Equal,
}

/// A number; or a signal (the same one, if not said) at a time (the start), times a factor, plus something, all in the
/// engine's units.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Than {
    #[serde(skip_serializing_if = "Option::is_none")]
    number: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    signal: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    at: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    times: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    plus: Option<f64>,
}

/// What was seen.
#[derive(Debug, Serialize)]
struct Seen {
    signal: String,
    when: String,
    value: f64,
    is: Is,
    than: Than,
    /// What `than` came to.
    bound: f64,
    holds: bool,
    #[serde(skip)]
    text: String,
}

#[derive(Debug, Serialize)]
struct Ran {
    #[serde(skip_serializing_if = "Option::is_none")]
    note: Option<String>,
    command: String,
    see: Vec<Seen>,
}

#[derive(Debug, Serialize)]
struct Judged {
    id: String,
    sentence: String,
    source: String,
    holds: bool,
    runs: Vec<Ran>,
}

impl Is {
    fn holds(self, value: f64, bound: f64) -> bool {
        match self {
            Is::Above => value > bound,
            Is::Below => value < bound,
            Is::Equal => (value - bound).abs() <= EQUAL * value.abs().max(bound.abs()).max(1.0),
        }
    }

    fn word(self) -> &'static str {
        match self {
            Is::Above => "above",
            Is::Below => "below",
            Is::Equal => "equal to",
        }
    }
}

/// `bledsteam directions`.
pub fn directions(args: &args::Directions) -> Result<(), Failure> {
    let list = asked(args)?;
    let units = UnitsArg::of(args.units, args.json);
    let mut out = Sink::standard();
    let (mut all, mut astray) = (Vec::new(), 0);
    for d in &list {
        let judged = d.judge(units)?;
        astray += usize::from(!judged.holds);
        if !args.json {
            judged.write(&mut out)?;
            out.flush()?;
        }
        all.push(judged);
    }
    if args.json {
        out.json(&all)?;
    } else {
        let (what, s) = (all.len(), if all.len() == 1 { "" } else { "s" });
        writeln!(out, "{} of {what} sentence{s} hold.", what - astray)?;
    }
    out.flush()?;
    if astray > 0 { Err(Failure::DoesNotHold) } else { Ok(()) }
}

/// Those that were asked for by id; all, if none was.
fn asked(args: &args::Directions) -> Result<Vec<Direction>, Failure> {
    let list: Vec<Direction> = serde_json::from_str(LIST).map_err(|e| {
        Failure::usage(Fault::new("no_list", "directions", format!("{e}."), "Install the program anew."))
    })?;
    for id in &args.ids {
        if !list.iter().any(|d| d.id == *id) {
            let ids: Vec<&str> = list.iter().map(|d| d.id.as_str()).collect();
            let message = "there is no sentence of this name.";
            let remedy = format!("Name one of {}; or none, for all.", ids.join(", "));
            return Err(Failure::usage(Fault::new("no_such_direction", id.as_str(), message, remedy)));
        }
    }
    Ok(list.into_iter().filter(|d| args.ids.is_empty() || args.ids.contains(&d.id)).collect())
}

impl Direction {
    fn judge(&self, units: Units) -> Result<Judged, Failure> {
        let runs: Result<Vec<Ran>, Failure> = self.runs.iter().map(|r| r.run(units)).collect();
        let runs = runs?;
        let holds = runs.iter().all(|r| r.see.iter().all(|s| s.holds));
        let (id, sentence, source) = (self.id.clone(), self.sentence.clone(), self.source.clone());
        Ok(Judged { id, sentence, source, holds, runs })
    }
}

impl Judged {
    fn write(&self, out: &mut Sink) -> std::io::Result<()> {
        let verdict = if self.holds { "holds" } else { "DOES NOT HOLD" };
        writeln!(out, "{}: {verdict}\n  {} ({})", self.id, self.sentence, self.source)?;
        for r in &self.runs {
            if let Some(note) = &r.note {
                writeln!(out, "  {note}")?;
            }
            writeln!(out, "  {}", r.command)?;
            for s in &r.see {
                writeln!(out, "    {}{}", s.text, if s.holds { "" } else { "   NO" })?;
            }
        }
        writeln!(out)
    }
}

impl See {
    fn when(&self) -> &str {
        self.when.as_deref().unwrap_or("0s")
    }
}

impl Shown {
    /// Signals that are looked at, each once.
    fn signals(&self) -> Vec<&str> {
        let mut all: Vec<&str> = Vec::new();
        for id in self.see.iter().flat_map(|s| [Some(s.signal.as_str()), s.than.signal.as_deref()]).flatten()
        {
            if !all.contains(&id) {
                all.push(id);
            }
        }
        all
    }

    /// The command that prints what is looked at.
    fn command(&self) -> String {
        let mut line = format!("bledsteam run --plant {} --for {}", self.plant, self.length);
        for (time, words) in &self.at {
            line += &format!(" --at {time} '{words}'");
        }
        let every = self.every.as_deref().unwrap_or(EVERY);
        line + &format!(" --every {every} --signals {}", self.signals().join(","))
    }

    /// Runs it and looks.
    fn run(&self, units: Units) -> Result<Ran, Failure> {
        let mut sim = plant_source::start(Path::new(&self.plant))?;
        let list = signals::definitions(&sim);
        let end = schedule::steps(seconds(&self.length)?);
        let at: Vec<Vec<String>> = self.at.iter().map(|(t, c)| vec![t.clone(), c.clone()]).collect();
        let commands: Vec<Timed> = schedule::build(&at, None, end).map_err(Failure::Usage)?;
        let times = self.see.iter().flat_map(|s| [s.when(), s.than.at.as_deref().unwrap_or("0s")]);
        // Values at every time looked at; commands of the same time come after.
        let mut rows: BTreeMap<u64, Vec<f64>> = BTreeMap::new();
        for time in times {
            rows.entry(schedule::steps(seconds(time)?)).or_default();
        }
        let mut stops: Vec<u64> = commands.iter().map(|t| t.step).chain(rows.keys().copied()).collect();
        stops.sort_unstable();
        let (mut step, mut given) = (0, 0);
        for stop in stops.into_iter().filter(|&s| s <= end) {
            sim.advance((stop - step) as u32).map_err(Failure::Stopped)?;
            step = stop;
            if let Some(row) = rows.get_mut(&stop).filter(|row| row.is_empty()) {
                signals::read(&sim, row);
            }
            while let Some(t) = commands.get(given).filter(|t| t.step <= step) {
                sim.command(&t.command).map_err(Failure::Stopped)?;
                given += 1;
            }
        }
        let currency = sim.plant().currency().to_owned();
        let see: Result<Vec<Seen>, Failure> =
            self.see.iter().map(|s| s.look(&list, &rows, (units, &currency))).collect();
        Ok(Ran { note: self.note.clone(), command: self.command(), see: see? })
    }
}

fn seconds(time: &str) -> Result<f64, Failure> {
    duration::parse(time).map_err(Failure::usage)
}

impl See {
    fn look(
        &self,
        list: &[Definition],
        rows: &BTreeMap<u64, Vec<f64>>,
        (units, currency): (Units, &str),
    ) -> Result<Seen, Failure> {
        let find = |id: &str, time: &str| -> Result<(f64, &Definition), Failure> {
            let row = rows.get(&schedule::steps(seconds(time)?));
            let k = list.iter().position(|d| d.id == id);
            k.and_then(|k| row?.get(k).map(|v| (*v, &list[k]))).ok_or_else(|| {
                let message = format!("the run has no such signal at {time}.");
                Failure::usage(Fault::new("not_seen", id, message, "Correct the list of sentences."))
            })
        };
        let (value, d) = find(&self.signal, self.when())?;
        let than = &self.than;
        let other = than.signal.as_deref().unwrap_or(&self.signal);
        let time = than.at.as_deref().unwrap_or("0s");
        let bound = match than.number {
            Some(number) => number,
            None => find(other, time)?.0 * than.times.unwrap_or(1.0) + than.plus.unwrap_or(0.0),
        };
        let shown = |v: f64| {
            let unit = units.symbol(d.quantity, currency);
            let unit = if unit == "-" { String::new() } else { format!(" {unit}") };
            format!("{}{unit}", units.text(d.quantity, v))
        };
        let mut text = format!(
            "{} at {}: {}, {} {}",
            self.signal,
            self.when(),
            shown(value),
            self.is.word(),
            shown(bound)
        );
        if than.number.is_none() {
            let times = than.times.map_or(String::new(), |x| format!("{x} times "));
            let plus = than.plus.map_or(String::new(), |x| {
                format!(" {} {}", if x < 0.0 { "less" } else { "plus" }, {
                    shown_difference(d, x.abs(), units, currency)
                })
            });
            let whose = if other == self.signal { "its value" } else { other };
            text += &format!(" ({times}{whose} at {time}{plus})");
        }
        Ok(Seen {
            signal: self.signal.clone(),
            when: self.when().to_owned(),
            value,
            is: self.is,
            than: than.clone(),
            bound,
            holds: self.is.holds(value, bound),
            text,
        })
    }
}

fn shown_difference(d: &Definition, x: f64, units: Units, currency: &str) -> String {
    let measure = crate::units::Measure::from(d.quantity).difference();
    let unit = units.symbol(measure, currency);
    let unit = if unit == "-" { String::new() } else { format!(" {unit}") };
    format!("{}{unit}", units.text(measure, x))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn list() -> Vec<Direction> {
        serde_json::from_str(LIST).unwrap()
    }

    /// A sentence that says the contrary does not hold: what is seen is judged, not repeated.
    #[test]
    fn the_contrary_does_not_hold() {
        let d = list().into_iter().find(|d| d.id == "upstream-heater-out").unwrap();
        assert!(d.judge(Units::Inside).unwrap().holds);
        for k in 0..d.runs[0].see.len() {
            let mut other = d.clone();
            let see = &mut other.runs[0].see[k];
            see.is = if see.is == Is::Above { Is::Below } else { Is::Above };
            assert!(!other.judge(Units::Inside).unwrap().holds, "{see:?}", see = d.runs[0].see[k]);
        }
        assert!(
            Is::Equal.holds(0.0, 1e-4) && !Is::Equal.holds(100.0, 100.2) && !Is::Equal.holds(f64::NAN, 1.0)
        );
    }

    /// Every time looked at is a line of the run that is shown, and no name stands for two sentences.
    #[test]
    fn what_is_looked_at_is_printed() {
        let all = list();
        for (k, d) in all.iter().enumerate() {
            assert!(all[..k].iter().all(|other| other.id != d.id), "{}", d.id);
            for r in &d.runs {
                let every = seconds(r.every.as_deref().unwrap_or(EVERY)).unwrap();
                assert!(!r.see.is_empty(), "{} shows nothing", d.id);
                for time in r.see.iter().flat_map(|s| [s.when(), s.than.at.as_deref().unwrap_or("0s")]) {
                    let at = seconds(time).unwrap();
                    let end = seconds(&r.length).unwrap();
                    assert!((at % every == 0.0 || at == end) && at <= end, "{}: no line at {time}", d.id);
                }
            }
        }
    }
}
