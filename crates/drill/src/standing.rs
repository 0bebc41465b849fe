//! How an exercise stands while it is taken: what a page shows beside the plant. It gives away neither what is right nor what
//! anything is worth before it is over.

use crate::entry::Ended;
use crate::exercise::prediction::Guess;
use crate::exercise::question::Answer;
use crate::exercise::{seconds, steps};
use crate::run::Run;
use serde::Serialize;

/// How an exercise stands.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Standing {
    /// Steps made.
    pub step: u64,
    /// Time since it began [s].
    pub time_s: f64,
    /// Time left at most [s].
    pub left_s: f64,
    /// Plant time at which it began [s].
    pub began_s: f64,
    /// Why it is over, once it is.
    pub ended: Option<Ended>,
    /// Hints taken.
    pub hints: usize,
    /// What the trainee has been told, oldest first.
    pub notes: Vec<Note>,
    /// Predictions, in the exercise's order.
    pub predictions: Vec<Asked>,
    /// Questions, in the exercise's order.
    pub questions: Vec<Put>,
}

/// Something the trainee has been told.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Note {
    /// When [s].
    pub at_s: f64,
    /// What.
    pub text: String,
}

/// A prediction as it stands.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Asked {
    /// Its id.
    pub prediction: String,
    /// When its moment came; none while it can still be made [s].
    pub locked_s: Option<f64>,
    /// What is guessed.
    pub guess: Option<Guess>,
}

/// A question as it stands.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Put {
    /// Its id.
    pub question: String,
    /// Whether it can be answered now.
    pub open: bool,
    /// The answer that counts.
    pub answer: Option<Answer>,
    /// What its signal showed when that answer was given, once the exercise is over [inside unit].
    pub reading: Option<f64>,
}

/// How a run stands.
pub fn standing(run: &Run) -> Standing {
    let e = run.lesson().exercise();
    let over = run.ended().is_some();
    let note = |m: &crate::run::Moved| {
        e.timeline[m.happening].note.clone().map(|text| Note { at_s: seconds(m.step), text })
    };
    let guesses = run.outcomes().into_iter().zip(&e.predictions);
    let asked = guesses.map(|(o, p)| Asked {
        prediction: p.id.clone(),
        locked_s: o.locked.map(seconds),
        guess: o.guess.cloned(),
    });
    let put = |(k, q): (usize, &crate::exercise::question::Question)| Put {
        question: q.id.clone(),
        open: !over && run.step() >= steps(q.from_s) && q.until_s.is_none_or(|s| run.step() < steps(s)),
        answer: run.answered(k).map(|(a, _)| a.clone()),
        reading: run.reading(k).filter(|_| over),
    };
    Standing {
        step: run.step(),
        time_s: seconds(run.step()),
        left_s: (e.length_s - seconds(run.step())).max(0.0),
        began_s: run.began_s(),
        ended: run.ended().cloned(),
        hints: run.hints_taken(),
        notes: run.moved().iter().filter_map(note).collect(),
        predictions: asked.collect(),
        questions: e.questions.iter().enumerate().map(put).collect(),
    }
}
