//! `bledsteam replay`: whether a record is what it says, and what it was worth.

use super::{Library, args, reason};
use crate::failure::Failure;
use crate::output::Sink;
use crate::text_file;
use drill::debrief::{Debrief, debrief};
use drill::replay::{Differs, Verdict, verify};
use drill::{Record, record};
use serde::Serialize;
use std::io::Write;

/// Replays a record.
pub fn replay(args: &args::Replay) -> Result<(), Failure> {
    #[derive(Serialize)]
    struct Found<'a> {
        verdict: &'a Verdict,
        debrief: Option<Debrief>,
    }
    let mut library = Library::open(&args.sources)?;
    let text = text_file::read(&args.record, record::LARGEST).map_err(Failure::usage)?;
    let record = Record::read(&text).map_err(Failure::usage)?;
    let head = &record.head;
    let lesson = library.find(&head.exercise, &head.exercise_hash).map_err(Failure::usage)?;
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
