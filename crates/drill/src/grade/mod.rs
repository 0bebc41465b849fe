//! Many records at once: each verified by replaying it, scored anew, and what the class found hard.

mod book;
mod missed;

pub use book::{Difficulty, Gradebook};
pub use missed::{Given, Guessing, Missed};

use crate::debrief::{Answered, answered};
use crate::entry::Head;
use crate::exercise::prediction::Way;
use crate::exercise::seconds;
use crate::lesson::Lesson;
use crate::record::Record;
use crate::replay::{Replay, Replayed, Verdict};
use crate::run::Run;
use crate::score::Points;
use engine::Fault;
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// One record's line of a gradebook.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Row {
    /// File it was in.
    pub file: String,
    /// Who took it, by their own word.
    pub by: String,
    /// When it was begun, by the page's clock.
    pub begun: String,
    /// Exercise's id.
    pub exercise: String,
    /// What the record is found to be; none where it could not be judged.
    pub verdict: Option<Verdict>,
    /// Why it could not be judged.
    pub fault: Option<Fault>,
    /// Total made here [points]; none where it cannot be relied on.
    pub total: Option<f64>,
    /// Passed; likewise.
    pub passed: Option<bool>,
    /// How long it went on [s].
    pub time_s: f64,
    /// Hints taken.
    pub hints: u32,
    /// Objectives.
    pub objectives: Vec<Points>,
    /// Questions, where the score can be relied on.
    pub questions: Vec<Answered>,
    /// Predictions, likewise.
    pub predictions: Vec<Guessed>,
}

/// A prediction as a gradebook keeps it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Guessed {
    /// Its id.
    pub prediction: String,
    /// Way predicted; none where none was, or a number was asked and the way is not to be told from it.
    pub way: Option<Way>,
    /// Way it went; none where it could not be observed.
    pub went: Option<Way>,
    /// Whether something was predicted.
    pub made: bool,
    /// Credit, 0 to 1 [share].
    pub credit: f64,
}

/// Finds the lesson that a record names.
pub type Find<'a> = dyn Fn(&Head) -> Result<Arc<Lesson>, Fault> + 'a;

/// Judges a record's text. `lesson` finds the lesson that it names.
pub fn row(file: &str, text: &str, lesson: &Find) -> (Row, Option<Arc<Lesson>>) {
    let mut judging = Judging::new(file, text, lesson);
    while !judging.advance(u64::MAX) {}
    let (row, run) = judging.finish();
    (row, run.map(|run| run.lesson().clone()))
}

/// A record being judged, in pieces as long as the caller likes.
pub struct Judging {
    row: Row,
    replay: Option<Replay>,
}

impl Judging {
    /// Begins with a record's text. What is wrong with it stands in the row.
    pub fn new(file: &str, text: &str, lesson: &Find) -> Judging {
        let mut row = Row::of(file);
        match begin(text, lesson, &mut row) {
            Ok(replay) => Judging { row, replay: Some(replay) },
            Err(fault) => Judging::refused(row, fault),
        }
    }

    /// A file that could not even be read as text.
    pub fn unread(file: &str, fault: Fault) -> Judging {
        Judging::refused(Row::of(file), fault)
    }

    fn refused(row: Row, fault: Fault) -> Judging {
        Judging { row: Row { fault: Some(fault), ..row }, replay: None }
    }

    /// Goes on by `most` steps; whether that was all.
    pub fn advance(&mut self, most: u64) -> bool {
        match self.replay.as_mut().map(|r| r.advance(most)) {
            None | Some(Ok(true)) => true,
            Some(Ok(false)) => false,
            Some(Err(fault)) => {
                self.row.fault = Some(fault);
                self.replay = None;
                true
            }
        }
    }

    /// Steps made, and to be made in all.
    pub fn steps(&self) -> (u64, u64) {
        self.replay.as_ref().map_or((0, 0), Replay::steps)
    }

    /// The row, and the run as it comes out here where the record could be gone through.
    pub fn finish(self) -> (Row, Option<Run>) {
        let Judging { mut row, replay } = self;
        let Some(replay) = replay else { return (row, None) };
        let Replayed { verdict, run } = replay.finish();
        if let (true, Some(run)) = (verdict.holds(), &run) {
            let score = run.score();
            row.total = Some(score.total);
            row.passed = Some(score.passed);
            row.hints = score.hints;
            row.objectives = score.objectives;
            row.questions = answered(run);
            row.predictions = guessed(run);
        }
        row.verdict = Some(verdict);
        (row, run)
    }
}

fn begin(text: &str, lesson: &Find, row: &mut Row) -> Result<Replay, Fault> {
    let record = Record::read(text)?;
    row.by = record.head.by.clone().unwrap_or_default();
    row.begun = record.head.begun.clone().unwrap_or_default();
    row.exercise.clone_from(&record.head.exercise);
    row.time_s = seconds(record.last_step());
    let lesson = lesson(&record.head)?;
    Replay::new(&lesson, record)
}

fn guessed(run: &Run) -> Vec<Guessed> {
    let list = run.outcomes().into_iter().zip(&run.lesson().exercise().predictions);
    list.map(|(o, p)| Guessed {
        prediction: p.id.clone(),
        way: o.marks.as_ref().and_then(|m| m.guessed_way),
        went: o.marks.as_ref().map(|m| m.way),
        made: o.guess.is_some(),
        credit: o.marks.as_ref().map_or(0.0, |m| m.credit),
    })
    .collect()
}

impl Row {
    fn of(file: &str) -> Row {
        Row {
            file: file.into(),
            by: String::new(),
            begun: String::new(),
            exercise: String::new(),
            verdict: None,
            fault: None,
            total: None,
            passed: None,
            time_s: 0.0,
            hints: 0,
            objectives: Vec::new(),
            questions: Vec::new(),
            predictions: Vec::new(),
        }
    }

    /// Who it is by; the file where no name is given.
    pub fn name(&self) -> &str {
        if self.by.is_empty() { &self.file } else { &self.by }
    }

    /// What the record is found to be, as a short word.
    pub fn finding(&self) -> String {
        match &self.verdict {
            Some(Verdict::Reproduced { over: true }) => "reproduced".into(),
            Some(Verdict::Reproduced { over: false }) => "unfinished".into(),
            Some(Verdict::NotReproduced { minute, .. }) => format!("not reproduced from minute {minute}"),
            Some(Verdict::OtherExercise) => "other exercise".into(),
            Some(Verdict::OtherPlant) => "other plant".into(),
            Some(Verdict::OtherEngine { made_by }) => format!("other engine ({made_by})"),
            None => self.fault.as_ref().map_or_else(|| "not judged".into(), |f| f.code.clone()),
        }
    }
}
