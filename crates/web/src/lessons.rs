//! Exercises for the page: taking one, its record, its debrief, and grading many.
//!
//! A drill is driven like a session; what is judged, and how, is all in the crate `drill`. Records cross as text, one entry
//! to a line, so that the page can store what is new and never has to understand it.

use crate::{manifest, thrown, to_js, too_many};
use drill::debrief::debrief;
use drill::exercise::read::read;
use drill::replay::resume;
use drill::short::{restore, shorten};
use drill::twin::{Without, twin};
use drill::{Lesson, Record, Run};
use engine::plant::file::Plant;
use engine::{Command, Fault};
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::sync::Arc;
use wasm_bindgen::prelude::*;

/// Names of these shapes on the page's side, kept beside them.
#[wasm_bindgen(typescript_custom_section)]
const TYPES: &str = r#"
export interface ExerciseInfo { id: string; title: string; plant: string; length_s: number; idea: string }
export type Way = "up" | "down" | "same";
export type Guess =
  | { kind: "direction"; way: Way } | { kind: "value"; value: number } | { kind: "curve"; points: [number, number][] };
export type Answer =
  | { kind: "choice"; chosen: number[] } | { kind: "number"; value: number }
  | { kind: "component"; device: string } | { kind: "order"; order: number[] };
export interface Advanced { steps: number; waiting: string[] }
export type Ended =
  | { by: "length" } | { by: "condition"; end: number } | { by: "handed_in" } | { by: "stopped"; fault: Fault };
export interface Points { objective: string; share: number; credit: number; reason: { why: string; [field: string]: unknown } }
export interface Score { objectives: Points[]; hints: number; hints_price: number; total: number; passed: boolean }
export interface Marks {
  from: number; to: number; way: Way; guessed_way: Way | null; guessed_to: number | null; half_s: number | null;
  guessed_half_s: number | null; direction: number | null; value: number | null; half: number | null;
  shape: number | null; credit: number;
}
export interface Worth { part: "foresee" | "act" | "explain"; share: number; credit: number }
export interface Debrief {
  exercise: string; time_s: number; ended: Ended | null; score: Score; parts: Worth[];
  timeline: { at_s: number; what: { is: string; [field: string]: unknown } }[];
  excerpts: { objective: string; from_s: number; moment_s: number | null; signals: string[]; columns: number[][] }[];
  predictions: {
    prediction: string; signal: string; at_s: number | null; guess: Guess | null; observed: number[];
    marks: Marks | null;
  }[];
  questions: { question: string; answer: Answer | null; credit: number }[];
}
export type Without = { without: "last_action"; before_s: number } | { without: "malfunctions" };
export interface Twin {
  signals: string[]; from_s: number; action: Command | null; with: number[][]; without: number[][];
}
"#;

pub(crate) fn fault(code: &str, place: &str, message: String, remedy: &str) -> JsValue {
    thrown(&Fault::new(code, place, message, remedy))
}

pub(crate) fn taken<T: DeserializeOwned>(value: JsValue, what: &str) -> Result<T, JsValue> {
    serde_wasm_bindgen::from_value(value).map_err(|e| {
        fault("not_understood", what, format!("this is not a {what}: {e}."), "Give an object of its form.")
    })
}

/// Shipped exercises, in the order in which a beginner would take them.
#[wasm_bindgen(unchecked_return_type = "ExerciseInfo[]")]
pub fn exercises() -> Result<JsValue, JsValue> {
    #[derive(Serialize)]
    struct Info {
        id: String,
        title: String,
        plant: String,
        length_s: f64,
        idea: String,
    }
    let mut list = Vec::new();
    for entry in catalog::EXERCISES {
        let e = read(entry.json).map_err(|f| first(&f))?;
        list.push(Info { id: e.id, title: e.title, plant: e.plant, length_s: e.length_s, idea: e.idea });
    }
    to_js(&list)
}

/// File of a shipped exercise, as text.
#[wasm_bindgen]
pub fn exercise_file(id: &str) -> Result<String, JsValue> {
    entry(id).map(|e| e.json.to_owned())
}

/// What the runs that stand beside a shipped exercise do, the model answer among them, as text.
#[wasm_bindgen]
pub fn exercise_runs(id: &str) -> Result<String, JsValue> {
    entry(id).map(|e| e.runs.to_owned())
}

/// The JSON Schema of exercise files, as text.
#[wasm_bindgen]
pub fn exercise_schema() -> String {
    drill::exercise::read::schema().to_string()
}

/// Every fault of an exercise file, each with its place; an empty list where it can be taken. `plants`: files of plants
/// besides those shipped, each without a fault.
#[wasm_bindgen(unchecked_return_type = "Fault[]")]
pub fn check_exercise(json: &str, plants: Option<Vec<String>>) -> Result<JsValue, JsValue> {
    let own = plants.into_iter().flatten().filter_map(|file| engine::plant::read(&file).ok());
    let own: Vec<Plant> = own.collect();
    let named = |name: &str| match own.iter().find(|p| p.name == name) {
        Some(plant) => Ok(plant.clone()),
        None => catalog::plant(name),
    };
    let faults = match read(json).and_then(|e| e.plant_or(named).map(|p| (e, p))) {
        Ok((e, plant)) => Lesson::new(e, plant).err().unwrap_or_default(),
        Err(faults) => faults,
    };
    to_js(&faults)
}

pub(crate) fn first(faults: &[Fault]) -> JsValue {
    faults.first().map_or(JsValue::NULL, thrown)
}

fn entry(id: &str) -> Result<&'static catalog::ExerciseEntry, JsValue> {
    catalog::EXERCISES.iter().find(|e| e.id == id).ok_or_else(|| {
        let ids: Vec<&str> = catalog::EXERCISES.iter().map(|e| e.id).collect();
        let remedy = format!("Shipped exercises: {}.", ids.join(", "));
        fault("no_such_exercise", id, "no exercise of this id is shipped.".into(), &remedy)
    })
}

fn lesson(json: &str) -> Result<Arc<Lesson>, JsValue> {
    let e = read(json).map_err(|f| first(&f))?;
    let plant = e.plant_or(catalog::plant).map_err(|f| first(&f))?;
    Lesson::new(e, plant).map(Arc::new).map_err(|f| first(&f))
}

/// Most steps in one call, as of a session.
const MOST_STEPS: f64 = 14_400.0;

/// An exercise being taken.
#[wasm_bindgen]
pub struct Drill {
    pub(crate) run: Run,
}

#[wasm_bindgen]
impl Drill {
    /// Begins an exercise, given as the text of its file; who takes it and when are kept in the record as they are.
    #[wasm_bindgen(constructor)]
    pub fn new(json: &str, by: Option<String>, begun: Option<String>) -> Result<Drill, JsValue> {
        Run::new(lesson(json)?, by, begun).map(|run| Drill { run }).map_err(|f| thrown(&f))
    }

    /// Takes up a record where it broke off.
    pub fn resume(json: &str, record: &str) -> Result<Drill, JsValue> {
        let record = Record::read(record).map_err(|f| thrown(&f))?;
        resume(&lesson(json)?, &record).map(|run| Drill { run }).map_err(|f| thrown(&f))
    }

    /// Takes up the short form of a record where it broke off.
    pub fn restore(json: &str, short: &str) -> Result<Drill, JsValue> {
        let record = Record::read(short).map_err(|f| thrown(&f))?;
        restore(&lesson(json)?, &record).map(|run| Drill { run }).map_err(|f| thrown(&f))
    }

    /// The short form of the record as it stands: for places that hold little.
    pub fn short(&self) -> Result<String, JsValue> {
        Record::text(&shorten(&self.run)).map_err(|f| thrown(&f))
    }

    /// What does not change while the plant runs.
    #[wasm_bindgen(unchecked_return_type = "Manifest")]
    pub fn manifest(&self) -> Result<JsValue, JsValue> {
        to_js(&manifest::of(self.run.sim()).map_err(|f| thrown(&f))?)
    }

    /// Advances by whole steps; stops at the end, and once before a moment whose prediction is not made.
    #[wasm_bindgen(unchecked_return_type = "Advanced")]
    pub fn advance(&mut self, steps: f64) -> Result<JsValue, JsValue> {
        if !(0.0..=MOST_STEPS).contains(&steps) || steps.fract() != 0.0 {
            return Err(thrown(&too_many("steps", steps, MOST_STEPS)));
        }
        to_js(&self.run.advance(steps as u32).map_err(|f| thrown(&f))?)
    }

    /// Steps made since the exercise began.
    pub fn step(&self) -> f64 {
        self.run.step() as f64
    }

    /// Gives a command, or throws the reason for refusing it.
    pub fn command(
        &mut self,
        #[wasm_bindgen(unchecked_param_type = "Command")] command: JsValue,
    ) -> Result<(), JsValue> {
        let command: Command = taken(command, "command")?;
        self.run.command(&command).map_err(|f| thrown(&f))
    }

    /// Events with a number above `after`, oldest first.
    #[wasm_bindgen(unchecked_return_type = "PlantEvent[]")]
    pub fn events(&self, after: f64) -> Result<JsValue, JsValue> {
        let list = self.run.events();
        to_js(&list[list.partition_point(|e| e.seq as f64 <= after)..])
    }

    /// Answers a question.
    pub fn answer(
        &mut self,
        question: &str,
        #[wasm_bindgen(unchecked_param_type = "Answer")] answer: JsValue,
    ) -> Result<(), JsValue> {
        self.run.answer(question, &taken(answer, "answer")?).map_err(|f| thrown(&f))
    }

    /// Makes a prediction.
    pub fn predict(
        &mut self,
        prediction: &str,
        #[wasm_bindgen(unchecked_param_type = "Guess")] guess: JsValue,
    ) -> Result<(), JsValue> {
        self.run.predict(prediction, &taken(guess, "guess")?).map_err(|f| thrown(&f))
    }

    /// Predictions that can still be made, by id.
    pub fn open_predictions(&self) -> Vec<String> {
        self.run.open_predictions().into_iter().map(str::to_owned).collect()
    }

    /// Takes the next hint.
    pub fn hint(&mut self) -> Result<String, JsValue> {
        self.run.hint().map_err(|f| thrown(&f))
    }

    /// Notes of the timeline that have been given so far, oldest first.
    pub fn notes(&self) -> Vec<String> {
        let timeline = &self.run.lesson().exercise().timeline;
        self.run.moved().iter().filter_map(|m| timeline[m.happening].note.clone()).collect()
    }

    /// Ends the exercise before its length.
    pub fn hand_in(&mut self) -> Result<(), JsValue> {
        self.run.hand_in().map_err(|f| thrown(&f))
    }

    /// Why it is over; null while it goes on.
    #[wasm_bindgen(unchecked_return_type = "Ended | null")]
    pub fn ended(&self) -> Result<JsValue, JsValue> {
        self.run.ended().map_or(Ok(JsValue::NULL), to_js)
    }

    /// How many entries the record has.
    pub fn entry_count(&self) -> usize {
        self.run.entries().len()
    }

    /// Entries of the record from a number on, one to a line: what is new is to be stored behind what is stored.
    pub fn entries(&self, from: usize) -> Result<String, JsValue> {
        let list = self.run.entries();
        Record::text(list.get(from..).unwrap_or(&[])).map_err(|f| thrown(&f))
    }

    /// A line that says how far it has come; to be kept behind the entries until they or the next such line replace it.
    pub fn reached(&self) -> Result<String, JsValue> {
        Record::text(&[self.run.reached()]).map_err(|f| thrown(&f))
    }

    /// What it is worth as it stands.
    #[wasm_bindgen(unchecked_return_type = "Score")]
    pub fn score(&self) -> Result<JsValue, JsValue> {
        to_js(&self.run.score())
    }

    /// Everything that is shown afterwards.
    #[wasm_bindgen(unchecked_return_type = "Debrief")]
    pub fn debrief(&self) -> Result<JsValue, JsValue> {
        to_js(&debrief(&self.run))
    }

    /// The run once more without an action or the malfunctions, beside the run as it was.
    #[wasm_bindgen(unchecked_return_type = "Twin")]
    pub fn twin(
        &self,
        #[wasm_bindgen(unchecked_param_type = "Without")] without: JsValue,
        signals: Vec<String>,
        from_s: f64,
        to_s: f64,
    ) -> Result<JsValue, JsValue> {
        let without: Without = taken(without, "choice of what to leave out")?;
        let record = Record::of(self.run.entries().to_vec()).map_err(|f| thrown(&f))?;
        let lesson = self.run.lesson();
        to_js(&twin(lesson, &record, without, &signals, (from_s, to_s)).map_err(|f| thrown(&f))?)
    }

    /// SHA-256 of the whole state.
    pub fn state_hash(&self) -> Result<String, JsValue> {
        self.run.sim().state_hash().map_err(|f| thrown(&f))
    }
}
