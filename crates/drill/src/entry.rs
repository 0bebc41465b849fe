//! Entries of a record: what a trainee did, step by step, and marks by which a replay is compared.

use crate::exercise::prediction::Guess;
use crate::exercise::question::Answer;
use crate::lesson::Identity;
use crate::score::Score;
use engine::{Command, Fault};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The only value of `format` this build reads.
pub const FORMAT: &str = "bledsteam-record/1";

/// One line of a record. `step` counts steps of the plant from the start of the exercise.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "entry", rename_all = "snake_case", deny_unknown_fields)]
pub enum Entry {
    /// The first: what was taken, on what, by whom.
    Head(Head),
    /// A command.
    Command {
        /// Steps made before it.
        step: u64,
        /// The command.
        command: Command,
        /// Why it was refused, where it was.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        refused: Option<Refusal>,
    },
    /// An answer; the last one to a question counts.
    Answer {
        /// Steps made before it.
        step: u64,
        /// Question's id.
        question: String,
        /// Answer.
        answer: Answer,
    },
    /// A prediction; the last one before its moment counts.
    Prediction {
        /// Steps made before it.
        step: u64,
        /// Prediction's id.
        prediction: String,
        /// Guess.
        guess: Guess,
    },
    /// The next hint was taken.
    Hint {
        /// Steps made before it.
        step: u64,
    },
    /// So far it has come, in case it goes no further.
    Reached {
        /// Steps made.
        step: u64,
    },
    /// Where it stood: of the plant's state, and of everything recorded so far together with it.
    Check {
        /// Steps made.
        step: u64,
        /// SHA-256 of the state.
        state: String,
        /// SHA-256 over the last mark, the entries since and the state.
        chain: String,
    },
    /// It is over.
    End {
        /// Steps made.
        step: u64,
        /// Why.
        why: Ended,
    },
    /// What it was worth, as counted when it ended.
    Score(Score),
}

/// First entry of a record.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Head {
    /// Format of this record: `bledsteam-record/1`.
    #[schemars(extend("const" = FORMAT))]
    pub format: String,
    /// Exercise's id.
    pub exercise: String,
    /// SHA-256 of the exercise's content.
    pub exercise_hash: String,
    /// Plant's name.
    pub plant: String,
    /// SHA-256 of the plant's content.
    pub plant_hash: String,
    /// Version of the engine.
    pub engine: String,
    /// Fingerprint of the water and steam properties.
    pub properties: String,
    /// Fingerprint of what the engine makes of a standard upset of this plant.
    pub behaviour: String,
    /// Who took it, in words of their own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
    /// When it was begun, as the page's clock said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub begun: Option<String>,
}

impl Head {
    /// Whether it was made of the same things.
    pub fn identity(&self) -> Identity {
        Identity {
            exercise: self.exercise_hash.clone(),
            plant: self.plant_hash.clone(),
            engine: self.engine.clone(),
            properties: self.properties.clone(),
            behaviour: self.behaviour.clone(),
        }
    }
}

/// A fault as it stands in a record.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Refusal {
    /// Short word.
    pub code: String,
    /// Where.
    pub place: String,
    /// Why.
    pub message: String,
    /// What to do.
    pub remedy: String,
}

impl From<&Fault> for Refusal {
    fn from(f: &Fault) -> Refusal {
        let Fault { code, place, message, remedy } = f.clone();
        Refusal { code, place, message, remedy }
    }
}

/// Why an exercise is over.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "by", rename_all = "snake_case", deny_unknown_fields)]
pub enum Ended {
    /// Its length.
    Length,
    /// One of the exercise's ends, by place.
    Condition {
        /// Place in the list, from 0.
        end: usize,
    },
    /// The trainee handed it in.
    HandedIn,
    /// The model could go no further.
    Stopped {
        /// Why.
        fault: Refusal,
    },
}

impl Entry {
    /// Steps made before it; none for head and score.
    pub fn step(&self) -> Option<u64> {
        match self {
            Entry::Head(_) | Entry::Score(_) => None,
            Entry::Command { step, .. }
            | Entry::Answer { step, .. }
            | Entry::Prediction { step, .. }
            | Entry::Hint { step }
            | Entry::Reached { step }
            | Entry::Check { step, .. }
            | Entry::End { step, .. } => Some(*step),
        }
    }

    /// The entry as its line, without the line's end.
    ///
    /// # Errors
    /// It cannot be written.
    pub fn line(&self) -> Result<String, Fault> {
        serde_json::to_string(self).map_err(|e| {
            Fault::new(
                "not_written",
                "record",
                format!("an entry cannot be written: {e}."),
                "Report this fault.",
            )
        })
    }
}
