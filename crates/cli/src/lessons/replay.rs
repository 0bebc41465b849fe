//! `bledsteam replay`: whether a record is what it says, and what it was worth; whether a free run comes out again.

use super::{args, library, reason};
use crate::duration::clock;
use crate::failure::{Failure, within};
use crate::output::Sink;
use crate::{plant_source, text_file};
use drill::debrief::{Debrief, debrief};
use drill::exercise::seconds;
use drill::free::file::{self, TapeFile, read_tape};
use drill::free::{Again, Free, MARK};
use drill::kind::{Kind, kind_of};
use drill::lesson::hash_of;
use drill::replay::{Differs, Verdict, verify};
use drill::{Record, record};
use engine::Fault;
use engine::plant::file::Plant;
use serde::Serialize;
use std::io::Write;
use std::path::PathBuf;

/// Replays a record, or a free run that was saved as a tape.
pub fn replay(args: &args::Replay) -> Result<(), Failure> {
    let text = text_file::read(&args.record, record::LARGEST.max(file::LARGEST)).map_err(Failure::usage)?;
    if kind_of(&text) == Some(Kind::Tape) { tape(args, &text) } else { taken(args, &text) }
}

/// Replays a record.
fn taken(args: &args::Replay, text: &str) -> Result<(), Failure> {
    #[derive(Serialize)]
    struct Found<'a> {
        verdict: &'a Verdict,
        debrief: Option<Debrief>,
    }
    let library = library(&args.sources)?;
    let record = Record::read(text).map_err(Failure::usage)?;
    let head = &record.head;
    let lesson = library.find(head).map_err(Failure::usage)?;
    let replayed = verify(&lesson, &record).map_err(Failure::Stopped)?;
    let holds = replayed.verdict.holds();
    let mut out = Sink::standard();
    if args.json {
        let debrief = replayed.run.as_ref().filter(|_| holds).map(debrief);
        out.json(&Found { verdict: &replayed.verdict, debrief })?;
    } else {
        let by = head.by.as_deref().unwrap_or("nobody named");
        writeln!(out, "{} ({}), by {by}", lesson.exercise().title, head.exercise)?;
        writeln!(out, "{}", words(&replayed.verdict))?;
        if let (true, Some(run)) = (holds, &replayed.run) {
            let score = run.score();
            for (p, o) in score.objectives.iter().zip(&lesson.exercise().objectives) {
                let (made, most) = (100.0 * p.share * p.credit, 100.0 * p.share);
                let why = reason::words(&p.reason, &lesson);
                writeln!(out, "  {made:5.1} of {most:4.1}  {}\n                 {why}", o.text)?;
            }
            if score.hints > 0 {
                writeln!(out, "  {:5.1}          hints taken: {}", -score.hints_price, score.hints)?;
            }
            let passed = if score.passed { "passed" } else { "not passed" };
            writeln!(out, "  {:5.1} of 100   {passed}", score.total)?;
        }
    }
    out.flush()?;
    if holds { Ok(()) } else { Err(Failure::NotReproduced) }
}

/// Replays a free run from its start to its end.
fn tape(args: &args::Replay, text: &str) -> Result<(), Failure> {
    #[derive(Serialize)]
    struct Found<'a> {
        plant: &'a str,
        name: &'a str,
        kept: &'a str,
        from_s: f64,
        to_s: f64,
        deeds: usize,
        reproduced: bool,
        /// First minute of the run whose mark is not met; the first is 1.
        minute: Option<u64>,
    }
    let of = |f| within(&format!("{}:", args.record.display()), f);
    let tape = read_tape(text).map_err(|f| Failure::usage(of(f)))?;
    let TapeFile { name, kept, made, end, .. } = tape.clone();
    let mut run =
        Free::new(plant(&args.sources, &made.plant, &made.plant_hash)?).map_err(Failure::Stopped)?;
    let deeds = tape.deeds.len();
    run.open_tape(tape).map_err(|f| Failure::usage(of(f)))?;
    let from = run.step();
    while let Some((end, _)) = run.ahead() {
        let left = end.saturating_sub(run.step()).clamp(1, MARK);
        run.advance(left as u32).map_err(Failure::Stopped)?;
    }
    let minute = match run.again() {
        Some(Again::Differs { step }) => Some((step - from).div_ceil(MARK).max(1)),
        _ => None,
    };
    let found = Found {
        plant: &made.plant,
        name: &name,
        kept: &kept,
        from_s: seconds(from),
        to_s: seconds(end.step),
        deeds,
        reproduced: minute.is_none(),
        minute,
    };
    let mut out = Sink::standard();
    if args.json {
        out.json(&found)?;
    } else {
        let (from, to) = (clock(found.from_s), clock(found.to_s));
        writeln!(out, "{name}: a run of {}, {from} to {to}, {deeds} things done", found.plant)?;
        match minute {
            None => writeln!(out, "Reproduced to the last bit.")?,
            Some(n) => {
                let by = clock(found.from_s + 60.0 * n as f64);
                writeln!(out, "Not reproduced from minute {n} on, plant time {by}: the plant is elsewhere.")?;
            }
        }
    }
    out.flush()?;
    if found.reproduced { Ok(()) } else { Err(Failure::NotReproduced) }
}

/// The plant a tape names: of the same content, or else of the same name.
fn plant(sources: &args::Sources, name: &str, hash: &str) -> Result<Plant, Failure> {
    let own = sources.plants.iter().map(|path: &PathBuf| plant_source::load(path));
    let mut named = own.collect::<Result<Vec<Plant>, _>>()?;
    named.extend(catalog::plant(name).ok());
    named.retain(|p| p.name == name);
    let same = named.iter().position(|p| hash_of(p).is_ok_and(|h| h == hash)).unwrap_or(0);
    if same < named.len() {
        return Ok(named.swap_remove(same));
    }
    let message = "the plant of this run is not at hand.";
    Err(Failure::usage(Fault::new("no_such_plant", name, message, "Give its file with --plant.")))
}

fn words(verdict: &Verdict) -> String {
    match verdict {
        Verdict::Reproduced { over: true } => "Reproduced to the last bit.".into(),
        Verdict::Reproduced { over: false } => {
            "Reproduced to the last bit as far as it goes; the exercise was not brought to its end.".into()
        }
        Verdict::NotReproduced { minute, what } => {
            let what = match what {
                Differs::State => "the plant is elsewhere than the record says",
                Differs::Entries => "answers, predictions or hints are not those that were recorded",
                Differs::Marks => "a mark is missing",
                Differs::Outcome => "what was refused, or how it ended, is not as recorded",
                Differs::Score => "the score written is not the score made",
            };
            format!("Not reproduced from minute {minute} on: {what}.")
        }
        Verdict::OtherExercise => "Made of another exercise of this id: its content differs.".into(),
        Verdict::OtherPlant => "Made on another plant of this name: its content differs.".into(),
        Verdict::OtherEngine { made_by } => {
            format!("Made by another engine ({made_by}): its score cannot be verified here.")
        }
    }
}
