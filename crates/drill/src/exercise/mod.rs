//! The exercise document: what an instructor writes, a file shows and a trainee takes.
//!
//! Times are seconds of plant time from the start of the exercise; values are in the engine's inside units (kg/s, MPa
//! absolute, °C, mm of level, kW, shares of 1). All text is plain text.

pub mod check;
pub mod condition;
pub mod control;
pub mod objective;
pub mod prediction;
pub mod question;
pub mod read;

use condition::Condition;
use control::Controls;
use engine::plant::{file::Plant, parse};
use engine::{Command, Fault};
use objective::Objective;
use prediction::Prediction;
use question::Question;
use schemars::JsonSchema;
use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize};
use serde_json::Value;

/// The only value of `format` this build reads.
pub const FORMAT: &str = "bledsteam-exercise/1";

/// An exercise.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Exercise {
    /// Format of this file: `bledsteam-exercise/1`.
    #[schemars(extend("const" = FORMAT))]
    pub format: String,
    /// Short name, as typed in a shell and kept in records: small letters, digits and hyphens.
    pub id: String,
    /// Title for people.
    pub title: String,
    /// Name of the plant it is taken on.
    pub plant: String,
    /// The plant itself, as its plant file says, where it is none of those shipped: such an exercise is taken anywhere, without
    /// a second file.
    #[serde(default, skip_serializing_if = "Option::is_none", deserialize_with = "by_text")]
    pub plant_file: Option<Box<Plant>>,
    /// What the trainee is told before it begins.
    pub brief: String,
    /// What it teaches, in a sentence or two; for the instructor, and shown afterwards.
    pub idea: String,
    /// What happened and why, shown afterwards.
    pub explanation: String,
    /// State of the plant when it begins.
    #[serde(default)]
    pub start: Start,
    /// Longest time it takes [s].
    pub length_s: f64,
    /// What happens by itself.
    #[serde(default)]
    pub timeline: Vec<Happening>,
    /// What the trainee may operate.
    #[serde(default)]
    pub controls: Controls,
    /// Signals to be drawn beside the train from the beginning, by id.
    #[serde(default)]
    pub trends: Vec<String>,
    /// Hints, taken one after the other.
    #[serde(default)]
    pub hints: Vec<Hint>,
    /// Questions.
    #[serde(default)]
    pub questions: Vec<Question>,
    /// What is to be predicted.
    #[serde(default)]
    pub predictions: Vec<Prediction>,
    /// What is judged.
    pub objectives: Vec<Objective>,
    /// What ends it before its length.
    #[serde(default)]
    pub ends: Vec<End>,
    /// Total from which it is passed, 0 to 100 [points].
    pub pass_mark: f64,
}

/// Takes a plant by its text, as plant files are read: a second reader for the whole of a plant would make the page's module
/// larger by several per cent.
fn by_text<'de, D: Deserializer<'de>>(from: D) -> Result<Option<Box<Plant>>, D::Error> {
    let Some(value) = Option::<Value>::deserialize(from)? else { return Ok(None) };
    let plant = parse(&value.to_string());
    let first = |faults: Vec<Fault>| faults.first().map_or_else(String::new, Fault::to_string);
    plant.map(Box::new).map(Some).map_err(|faults| D::Error::custom(first(faults)))
}

impl Exercise {
    /// The plant it is taken on: the one it carries, else what `shipped` has under its name.
    ///
    /// # Errors
    /// It carries none, and none of its name is shipped.
    pub fn plant_or(
        &self,
        shipped: impl FnOnce(&str) -> Result<Plant, Vec<Fault>>,
    ) -> Result<Plant, Vec<Fault>> {
        if let Some(plant) = &self.plant_file {
            return Ok((**plant).clone());
        }
        shipped(&self.plant).map_err(|faults| faults.into_iter().map(|f| self.unshipped(f)).collect())
    }

    /// What to do where a plant is at hand in no way.
    fn unshipped(&self, f: Fault) -> Fault {
        if f.code != "no_such_plant" {
            return f;
        }
        let message = "the exercise names a plant that is not shipped, and does not carry it.";
        let remedy = format!(
            "{} For a plant of your own, put it into the exercise: choose it in the editor and save again, or `bledsteam exercise pack`.",
            f.remedy
        );
        Fault::new(&f.code, f.place, message, remedy)
    }
}

/// State of the plant when the exercise begins: at design, then brought elsewhere and left to settle.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Start {
    /// Steam flow, 0.25 to 1.05 [share of design].
    #[serde(default = "one")]
    pub load: f64,
    /// Closed heaters that are out: no steam, water round them.
    #[serde(default)]
    pub out: Vec<String>,
    /// Closed heaters whose extraction is shut, water on.
    #[serde(default)]
    pub isolated: Vec<String>,
    /// Feed pumps that stand and that nothing has kept warm: as cold as the room, their warm-up valve shut.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cold: Vec<String>,
    /// What is done besides, in this order, malfunctions among it.
    #[serde(default)]
    pub commands: Vec<Command>,
    /// How long the plant is left to itself after that; not needed at design [s].
    #[serde(default)]
    pub settle_s: f64,
}

impl Default for Start {
    fn default() -> Start {
        Start {
            load: 1.0,
            out: Vec::new(),
            isolated: Vec::new(),
            cold: Vec::new(),
            commands: Vec::new(),
            settle_s: 0.0,
        }
    }
}

fn one() -> f64 {
    1.0
}

/// Something that happens by itself, once: at a time, or as soon as a condition holds, whichever comes first. With
/// neither commands nor a note it only marks a moment that predictions and objectives refer to.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Happening {
    /// Name, for what refers to it.
    pub id: String,
    /// When [s].
    pub at_s: Option<f64>,
    /// Or as soon as this holds.
    pub when: Option<Condition>,
    /// What is done to the plant, in this order.
    #[serde(default)]
    pub commands: Vec<Command>,
    /// What the trainee is told when it happens.
    pub note: Option<String>,
}

/// A hint.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Hint {
    /// What it says.
    pub text: String,
    /// What taking it costs, off the total of 100 [points].
    pub price: f64,
}

/// Something that ends the exercise early.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct End {
    /// As soon as this holds.
    pub when: Condition,
    /// What the trainee is told.
    pub text: String,
    /// Whether the exercise is then failed, whatever the points.
    #[serde(default)]
    pub fails: bool,
}

/// A moment: a time, or when a happening of the timeline took place, and so much later.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Moment {
    /// Time; give this or `happening` [s].
    pub at_s: Option<f64>,
    /// Id of a happening.
    pub happening: Option<String>,
    /// So much later [s].
    #[serde(default)]
    pub plus_s: f64,
}

impl Moment {
    /// The start of the exercise.
    pub fn start() -> Moment {
        Moment { at_s: Some(0.0), happening: None, plus_s: 0.0 }
    }
}

/// Whole steps nearest to a time [s]; the checks keep times between 0 and a day.
pub fn steps(seconds: f64) -> u64 {
    (seconds / engine::train::STEP).round() as u64
}

/// Time of a step [s].
pub fn seconds(step: u64) -> f64 {
    step as f64 * engine::train::STEP
}
