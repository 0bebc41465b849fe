//! Scripted runs: what somebody does in an exercise, as data. Beside every shipped exercise stand three: the model answer,
//! which a debrief can show, a plausible wrong run and doing nothing; tests take them and compare what they are worth.

use crate::exercise::prediction::Guess;
use crate::exercise::question::{Answer, Asked};
use crate::exercise::steps;
use crate::lesson::Lesson;
use crate::run::Run;
use engine::{Command, Fault};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// The runs that stand beside an exercise.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Runs {
    /// What should be done.
    pub model: Scripted,
    /// What somebody may well do who has not understood it.
    pub wrong: Scripted,
    /// Nothing done.
    pub nothing: Scripted,
}

/// A run and what it is worth.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Scripted {
    /// What is done and why, in a sentence or two.
    pub tells: String,
    /// Deeds, in order of time.
    pub does: Vec<Deed>,
    /// Total it is worth, to half a point [points].
    pub total: f64,
    /// Whether that passes.
    pub passed: bool,
    /// Ids of the objectives that do not get full credit.
    pub loses: Vec<String>,
}

/// Something done at a time.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Deed {
    /// When [s].
    pub at_s: f64,
    /// What.
    pub deed: Act,
}

/// What can be done.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Act {
    /// A command is given.
    Command {
        /// Command.
        command: Command,
    },
    /// A question is answered.
    Answer {
        /// Question's id.
        question: String,
        /// Answer.
        answer: Answer,
    },
    /// A question about a signal is answered with what its display shows.
    Read {
        /// Question's id.
        question: String,
    },
    /// A prediction is made.
    Predict {
        /// Prediction's id.
        prediction: String,
        /// Guess.
        guess: Guess,
    },
    /// A hint is taken.
    Hint,
    /// The exercise is handed in.
    HandIn,
}

/// Takes a lesson as a script says, to its end. What the plant refuses is recorded and goes on.
///
/// # Errors
/// A deed comes after the end or before the one before it, or is none that this exercise knows.
pub fn perform(lesson: &Arc<Lesson>, by: Option<String>, deeds: &[Deed]) -> Result<Run, Fault> {
    let mut run = Run::new(lesson.clone(), by, None)?;
    for (k, d) in deeds.iter().enumerate() {
        let wrong = |f: Fault| Fault { place: format!("does[{k}]: {}", f.place), ..f };
        let step = if d.at_s >= 0.0 { steps(d.at_s) } else { 0 };
        run.go_to(step)?;
        if run.step() != step {
            let message = format!("{} s is not where the run is then.", d.at_s);
            let remedy = "Give the deeds in order of time, within the exercise.";
            return Err(wrong(Fault::new("bad_time", "at_s", message, remedy)));
        }
        let done = match &d.deed {
            Act::Command { command } => match run.command(command) {
                Err(f) if f.code == "ended" => Err(f),
                _ => Ok(()),
            },
            Act::Answer { question, answer } => run.answer(question, answer),
            Act::Read { question } => {
                let value = reading(&run, question).map_err(wrong)?;
                run.answer(question, &Answer::Number { value })
            }
            Act::Predict { prediction, guess } => run.predict(prediction, guess),
            Act::Hint => run.hint().map(drop),
            Act::HandIn => run.hand_in(),
        };
        done.map_err(wrong)?;
    }
    run.go_to(steps(lesson.exercise().length_s))?;
    Ok(run)
}

/// What the signal of a question shows now.
fn reading(run: &Run, question: &str) -> Result<f64, Fault> {
    let asked = run.lesson().exercise().questions.iter().find(|q| q.id == question).map(|q| &q.answer);
    match asked {
        Some(Asked::Number { signal: Some(id), .. }) => Ok(run.values()[run.lesson().signal(id)?]),
        _ => {
            let message = "this is no question about a signal.";
            Err(Fault::new("no_such_question", question, message, "Name a question that has a signal."))
        }
    }
}
