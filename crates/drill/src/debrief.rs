//! What is shown afterwards: the score with its reasons, a time line, and for each objective the piece of trend in which it
//! was decided.

use crate::entry::{Ended, Entry, Refusal};
use crate::exercise::prediction::Guess;
use crate::exercise::question::Answer;
use crate::exercise::seconds;
use crate::guess::Marks;
use crate::part::{Worth, parts};
use crate::run::Run;
use crate::score::{Reason, Score};
use engine::event::Code;
use engine::{Command, Fault};
use serde::{Deserialize, Serialize};

/// What an excerpt shows before and after the moment it is about [s].
const AROUND: f64 = 120.0;

/// Everything about a run that is over, or as it stands.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Debrief {
    /// Exercise's id.
    pub exercise: String,
    /// Time reached [s].
    pub time_s: f64,
    /// Why it is over, once it is.
    pub ended: Option<Ended>,
    /// What it was worth.
    pub score: Score,
    /// What of it was foreseen, done and explained.
    pub parts: Vec<Worth>,
    /// What happened, in order.
    pub timeline: Vec<Line>,
    /// A piece of trend for each objective that has one.
    pub excerpts: Vec<Excerpt>,
    /// Predictions and what came of them.
    pub predictions: Vec<Foreseen>,
    /// Questions and what was answered.
    pub questions: Vec<Answered>,
}

/// Something that happened.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Line {
    /// When [s].
    pub at_s: f64,
    /// What.
    pub what: What,
}

/// What happened.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "is", rename_all = "snake_case")]
pub enum What {
    /// The trainee gave a command.
    Command {
        /// Command.
        command: Command,
        /// Why it was refused, where it was.
        refused: Option<Refusal>,
    },
    /// The timeline's entry took place.
    Happening {
        /// Its id.
        id: String,
        /// What the plant refused of it.
        refused: Vec<Fault>,
    },
    /// The plant reported.
    Event {
        /// Kind.
        code: Code,
        /// Device.
        device: String,
        /// Which of its valves or controllers; empty for the whole.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        part: String,
        /// Value [inside unit].
        value: f64,
    },
    /// A question was answered.
    Answer {
        /// Question's id.
        question: String,
    },
    /// A prediction was made.
    Prediction {
        /// Prediction's id.
        prediction: String,
    },
    /// A hint was taken.
    Hint,
    /// It was over.
    Ended {
        /// Why.
        why: Ended,
    },
}

/// A piece of trend, a point every second.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Excerpt {
    /// Objective's id.
    pub objective: String,
    /// Time of the first point [s].
    pub from_s: f64,
    /// Moment that decided, where there is one [s].
    pub moment_s: Option<f64>,
    /// Signals.
    pub signals: Vec<String>,
    /// A column for each [inside unit].
    pub columns: Vec<Vec<f64>>,
}

/// A prediction and what came of it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Foreseen {
    /// Its id.
    pub prediction: String,
    /// Signal.
    pub signal: String,
    /// When its moment came [s].
    pub at_s: Option<f64>,
    /// What was guessed.
    pub guess: Option<Guess>,
    /// What was observed every second from the moment on [inside unit].
    pub observed: Vec<f64>,
    /// How it fared, once its window was over.
    pub marks: Option<Marks>,
}

/// A question and what was answered.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Answered {
    /// Its id.
    pub question: String,
    /// The answer that counts.
    pub answer: Option<Answer>,
    /// Its credit.
    pub credit: f64,
}

/// Draws up the debrief of a run.
pub fn debrief(run: &Run) -> Debrief {
    let e = run.lesson().exercise();
    let score = run.score();
    let foreseen = |(o, p): (crate::run::Outcome, &crate::exercise::prediction::Prediction)| Foreseen {
        prediction: p.id.clone(),
        signal: p.signal.clone(),
        at_s: o.locked.map(seconds),
        guess: o.guess.cloned(),
        observed: o.observed.to_vec(),
        marks: o.marks,
    };
    Debrief {
        exercise: e.id.clone(),
        time_s: seconds(run.step()),
        ended: run.ended().cloned(),
        timeline: timeline(run),
        excerpts: excerpts(run, &score),
        predictions: run.outcomes().into_iter().zip(&e.predictions).map(foreseen).collect(),
        questions: answered(run),
        parts: parts(e, &score.objectives),
        score,
    }
}

/// Questions and what was answered.
pub(crate) fn answered(run: &Run) -> Vec<Answered> {
    let of = |(k, q): (usize, &crate::exercise::question::Question)| {
        let answer = run.answered(k);
        Answered {
            question: q.id.clone(),
            answer: answer.map(|(a, _)| a.clone()),
            credit: answer.map_or(0.0, |(_, credit)| credit),
        }
    };
    run.lesson().exercise().questions.iter().enumerate().map(of).collect()
}

fn timeline(run: &Run) -> Vec<Line> {
    let e = run.lesson().exercise();
    let mut lines = Vec::new();
    for entry in run.entries() {
        let what = match entry {
            Entry::Command { command, refused, .. } => {
                What::Command { command: command.clone(), refused: refused.clone() }
            }
            Entry::Answer { question, .. } => What::Answer { question: question.clone() },
            Entry::Prediction { prediction, .. } => What::Prediction { prediction: prediction.clone() },
            Entry::Hint { .. } => What::Hint,
            Entry::End { why, .. } => What::Ended { why: why.clone() },
            _ => continue,
        };
        lines.push(Line { at_s: seconds(entry.step().unwrap_or(0)), what });
    }
    for m in run.moved() {
        let what = What::Happening { id: e.timeline[m.happening].id.clone(), refused: m.refused.clone() };
        lines.push(Line { at_s: seconds(m.step), what });
    }
    let begun = run.began_s();
    for event in run.events() {
        let what = What::Event {
            code: event.code,
            device: event.device.clone(),
            part: event.part.clone(),
            value: event.value,
        };
        lines.push(Line { at_s: event.time_s - begun, what });
    }
    // In order of time; at one time in the order above: what was done, then what came of it.
    lines.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
    lines
}

/// The moment that decided an objective [s].
fn moment(reason: &Reason) -> Option<f64> {
    match reason {
        Reason::Reached { at_s, .. } | Reason::Acted { at_s, .. } | Reason::Came { at_s } => Some(*at_s),
        Reason::Answered { at_s } => Some(*at_s),
        Reason::Outside { worst_s, .. } => Some(*worst_s),
        Reason::Order { first_s, then_s } => then_s.or(*first_s),
        _ => None,
    }
}

fn excerpts(run: &Run, score: &Score) -> Vec<Excerpt> {
    let list = run.lesson().signals();
    let mut excerpts = Vec::new();
    for (points, indices) in score.objectives.iter().zip(run.judged_signals()) {
        if indices.is_empty() {
            continue;
        }
        let moment_s = moment(&points.reason);
        let whole = seconds(run.step());
        let (from, to) = moment_s.map_or((0.0, whole), |m| ((m - AROUND).max(0.0), (m + AROUND).min(whole)));
        let (from, to) = (from.floor() as usize, to.floor() as usize);
        let cut = |k: &usize| {
            let column = run.series().of(*k).unwrap_or(&[]);
            column.get(from..column.len().min(to + 1)).unwrap_or(&[]).to_vec()
        };
        excerpts.push(Excerpt {
            objective: points.objective.clone(),
            from_s: from as f64,
            moment_s,
            signals: indices.iter().map(|k| list[*k].id.clone()).collect(),
            columns: indices.iter().map(cut).collect(),
        });
    }
    excerpts
}
