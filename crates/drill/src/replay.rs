//! Going through a record again: to verify it, or to resume it where it broke off.

use crate::entry::{Ended, Entry};
use crate::exercise::control::is_malfunction;
use crate::lesson::{Identity, Lesson};
use crate::record::Record;
use crate::run::{CHECK, Omit, Run};
use crate::score::Score;
use engine::Fault;
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// What a record is found to be.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "is", rename_all = "snake_case")]
pub enum Verdict {
    /// The same run, bit for bit, and the same score.
    Reproduced {
        /// The exercise was brought to its end.
        over: bool,
    },
    /// The entries lead elsewhere than the record says.
    NotReproduced {
        /// First minute whose mark is not met: what was changed lies in the minute before it.
        minute: u64,
        /// What differs.
        what: Differs,
    },
    /// It was made of another exercise: another content under this id.
    OtherExercise,
    /// It was made on another plant.
    OtherPlant,
    /// It was made by another version of the engine; its score cannot be verified here.
    OtherEngine {
        /// Version that made it.
        made_by: String,
    },
}

/// What of a record is not met.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Differs {
    /// The plant is elsewhere.
    State,
    /// The plant is the same, the entries are not those that were marked.
    Entries,
    /// Marks are missing.
    Marks,
    /// What the plant or the exercise took and refused, or how it ended.
    Outcome,
    /// The score written is not the score made.
    Score,
}

impl Verdict {
    /// Whether the score can be relied on.
    pub fn holds(&self) -> bool {
        matches!(self, Verdict::Reproduced { .. })
    }
}

/// A record gone through again.
pub struct Replayed {
    /// What it is found to be.
    pub verdict: Verdict,
    /// The run as it comes out here; none where lesson or engine are others.
    pub run: Option<Run>,
}

impl Replayed {
    /// The score made here.
    pub fn score(&self) -> Option<Score> {
        self.run.as_ref().map(Run::score)
    }
}

/// Compares a record's identity with a lesson's.
pub(crate) fn stranger(made: &Identity, here: &Identity) -> Option<Verdict> {
    if made.exercise != here.exercise {
        Some(Verdict::OtherExercise)
    } else if made.plant != here.plant {
        Some(Verdict::OtherPlant)
    } else if made != here {
        Some(Verdict::OtherEngine { made_by: made.engine.clone() })
    } else {
        None
    }
}

/// Verifies a record by running it again.
///
/// # Errors
/// The plant cannot be started. Everything wrong with the record is in the verdict.
pub fn verify(lesson: &Arc<Lesson>, record: &Record) -> Result<Replayed, Fault> {
    let mut replay = Replay::new(lesson, record.clone())?;
    replay.advance(u64::MAX)?;
    Ok(replay.finish())
}

/// A record being gone through again, in pieces as long as the caller likes: a page answers between two of them.
pub struct Replay {
    record: Record,
    /// The run; none where lesson or engine are others.
    run: Option<Run>,
    /// What is found without running anything.
    stranger: Option<Verdict>,
    /// Entries gone through.
    done: usize,
}

impl Replay {
    /// Begins.
    ///
    /// # Errors
    /// The plant cannot be started.
    pub fn new(lesson: &Arc<Lesson>, record: Record) -> Result<Replay, Fault> {
        let stranger = stranger(&record.head.identity(), lesson.identity());
        let run = match stranger {
            Some(_) => None,
            None => Some(Run::with(lesson.clone(), record.head.clone(), Omit::default())?),
        };
        Ok(Replay { record, run, stranger, done: 0 })
    }

    /// Does again what was done, at the same steps, but no more than `most` of them; whether that was all.
    ///
    /// # Errors
    /// The record of this run cannot be kept.
    pub fn advance(&mut self, most: u64) -> Result<bool, Fault> {
        let Some(run) = &mut self.run else { return Ok(true) };
        let until = run.step().saturating_add(most);
        while let Some(entry) = self.record.entries.get(self.done) {
            if let Some(step) = entry.step() {
                run.go_to(step.min(until))?;
                if step > until && run.ended().is_none() {
                    return Ok(false);
                }
            }
            act(run, entry);
            self.done += 1;
        }
        Ok(true)
    }

    /// Steps made, and to be made in all.
    pub fn steps(&self) -> (u64, u64) {
        let all = self.record.last_step();
        (self.run.as_ref().map_or(all, Run::step), all)
    }

    /// What was found; of as much as was gone through.
    pub fn finish(self) -> Replayed {
        match (self.stranger, self.run) {
            (None, Some(run)) => Replayed { verdict: compare(&self.record, &run), run: Some(run) },
            (Some(verdict), run) => Replayed { verdict, run },
            // A run is missing only where a stranger was found.
            (None, None) => Replayed { verdict: Verdict::OtherExercise, run: None },
        }
    }
}

/// Takes up a record where it broke off.
///
/// # Errors
/// It does not lead where it says, was made of something else, or the plant cannot be started.
pub fn resume(lesson: &Arc<Lesson>, record: &Record) -> Result<Run, Fault> {
    let Replayed { verdict, run } = verify(lesson, record)?;
    match (verdict, run) {
        (Verdict::Reproduced { .. }, Some(run)) => Ok(run),
        (verdict, _) => Err(Fault::new(
            "not_resumed",
            "record",
            match verdict {
                Verdict::NotReproduced { minute, .. } => {
                    format!("the record does not lead where it says from minute {minute} on.")
                }
                _ => "the record was made of another exercise, plant or version.".to_owned(),
            },
            "Begin the exercise anew.",
        )),
    }
}

/// Does what an entry says. Refusals come out again in the run's own entries and are compared there.
pub(crate) fn act(run: &mut Run, entry: &Entry) {
    let _ = match entry {
        Entry::Command { command, .. } => run.command(command),
        Entry::Answer { question, answer, .. } => run.answer(question, answer),
        Entry::Prediction { prediction, guess, .. } => run.predict(prediction, guess),
        Entry::Hint { .. } => run.hint().map(drop),
        Entry::End { why: Ended::HandedIn, .. } => run.hand_in(),
        _ => Ok(()),
    };
}

/// What a record says beside what came out.
fn compare(record: &Record, run: &Run) -> Verdict {
    let said = record.entries.iter().filter(|e| !matches!(e, Entry::Reached { .. }));
    let mut came = run.entries().iter().skip(1);
    let mut last = 0;
    for entry in said {
        let step = entry.step().unwrap_or(last);
        let here = came.next();
        if here == Some(entry) {
            last = step;
            continue;
        }
        let what = match (entry, here) {
            (Entry::Check { state: a, step: s, .. }, Some(Entry::Check { state: b, step: t, .. }))
                if s == t =>
            {
                if a == b {
                    Differs::Entries
                } else {
                    Differs::State
                }
            }
            (Entry::Score(_), _) => Differs::Score,
            (_, Some(Entry::Check { .. })) | (Entry::Check { .. }, _) => Differs::Marks,
            _ => Differs::Outcome,
        };
        // The earlier of what is said and what should stand there.
        let step = here.and_then(Entry::step).map_or(step, |s| s.min(step));
        return Verdict::NotReproduced { minute: minute(step), what };
    }
    // What a record that breaks off lacks of its last step had no time to be written.
    let end = record.last_step();
    match came.filter_map(Entry::step).find(|s| *s < end) {
        None => Verdict::Reproduced { over: record.is_over() },
        Some(step) => Verdict::NotReproduced { minute: minute(step), what: Differs::Marks },
    }
}

/// The minute that a step lies in, the first being 1; the mark at its end shows what happened in it.
fn minute(step: u64) -> u64 {
    step.div_ceil(CHECK).max(1)
}

/// Whether a command of a record is the trainee's and was taken.
pub(crate) fn is_action(entry: &Entry) -> bool {
    matches!(entry, Entry::Command { command, refused: None, .. } if !is_malfunction(command))
}
